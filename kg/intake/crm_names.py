"""The outside vocabularies that exports speak, by prefix."""

from __future__ import annotations

from functools import lru_cache

from kg.vocabulary import CLAIM, ENTRY, JUDGEMENT, RDF, RDFS, THING, XSD, K

CRM = "http://www.cidoc-crm.org/cidoc-crm/"
CRMINF = "http://www.cidoc-crm.org/extensions/crminf/"
PROV = "http://www.w3.org/ns/prov#"
DCTERMS = "http://purl.org/dc/terms/"
BIBO = "http://purl.org/ontology/bibo/"
CITO = "http://purl.org/spar/cito/"
OWL = "http://www.w3.org/2002/07/owl#"

#: What exports write before the colon.
PREFIXES = {
    "k": K, "t": THING, "c": CLAIM, "e": ENTRY, "j": JUDGEMENT, "rdf": RDF, "rdfs": RDFS, "xsd": XSD, "crm": CRM,
    "crminf": CRMINF, "prov": PROV, "dcterms": DCTERMS, "bibo": BIBO, "cito": CITO, "owl": OWL,
}  # fmt: skip


def expanded(name: str) -> str:
    """The IRI that a prefixed name stands for.

    >>> expanded("crm:E12_Production")
    'http://www.cidoc-crm.org/cidoc-crm/E12_Production'
    """
    prefix, _, local = name.partition(":")
    return PREFIXES[prefix] + local


@lru_cache(maxsize=10_000)
def compact(iri: str) -> str:
    """An IRI with its prefix, or in angle brackets where it has none here.

    >>> compact("http://www.cidoc-crm.org/cidoc-crm/E12_Production"), compact("urn:x")
    ('crm:E12_Production', '<urn:x>')
    """
    prefix = max(
        (p for p, base in PREFIXES.items() if iri.startswith(base)),
        key=lambda p: len(PREFIXES[p]),
        default="",
    )
    return f"{prefix}:{iri.removeprefix(PREFIXES[prefix])}" if prefix else f"<{iri}>"
