"""Entries as TriG files: writing one, reading many, and the content hash.

Authority: RDF 1.1 TriG (W3C 2014); RDF Dataset Canonicalization, RDFC-1.0 (W3C 2024).
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Any

import pyoxigraph as ox

from kg.daybook.record import BadRecord, Citation, Claim, Entry, Judgement, Thing
from kg.vocabulary import CLAIM, EDTF, ENTRY, JUDGEMENT, RDF, RDFS, SLUG, THING, XSD, K, Vocabulary, short

_PREFIXES = {"k": K, "t": THING, "c": CLAIM, "e": ENTRY, "j": JUDGEMENT, "rdf": RDF, "rdfs": RDFS, "xsd": XSD}
_HEAD = "".join(f"@prefix {name}: <{iri}> .\n" for name, iri in _PREFIXES.items())

#: More blank nodes than this are refused: canonical naming of linked ones costs exponential time.
MOST_BLANK_NODES = 0


class DamagedEntry(BadRecord):
    """An entry file cannot be read as an entry."""


def content_hash(trig: bytes) -> str:
    """SHA-256, in hexadecimal, of the RDFC-1.0 canonical N-Quads of a TriG file.

    :raises DamagedEntry: if the file is no TriG.
    """
    try:
        nquads = ox.serialize(ox.parse(trig, format=ox.RdfFormat.TRIG), format=ox.RdfFormat.N_QUADS) or b""
        if b"_:" not in nquads:
            # Without blank nodes the canonical form is the sorted lines, each once: no naming is needed.
            lines = set(nquads.splitlines(keepends=True))
            del nquads  # an entry of many thousand claims has hundreds of megabytes of them
            digest = hashlib.sha256()
            for line in sorted(lines):
                digest.update(line)
            return digest.hexdigest()
        dataset = ox.Dataset(ox.parse(trig, format=ox.RdfFormat.TRIG))
    except (SyntaxError, ValueError) as error:
        raise DamagedEntry(f"it is no TriG that can be read ({error})") from error
    return hashlib.sha256(canonical_nquads(dataset).encode()).hexdigest()


def canonical_nquads(dataset: ox.Dataset) -> str:
    """The RDFC-1.0 canonical form of a dataset, as sorted N-Quads."""
    dataset.canonicalize(ox.CanonicalizationAlgorithm.RDFC_1_0)
    return "".join(sorted(f"{quad} .\n" for quad in dataset))


def to_trig(entry: Entry, vocabulary: Vocabulary) -> bytes:
    """The entry as a TriG file that people can read too."""
    lines = [f"e:{entry.name} {{", *_entry_lines(entry)]
    lines += [line for thing in entry.things for line in _thing_lines(thing)]
    lines += [line for claim in entry.claims for line in _claim_lines(claim, vocabulary)]
    for number, judgement in enumerate(entry.judgements, start=1):
        lines += _block(
            f"j:{entry.name}.{number}",
            ("a", "k:Judgement"),
            ("k:judges", f"c:{judgement.claim}"),
            ("k:finds", f"k:{judgement.standing}"),
            ("k:because", _text(judgement.why)),
        )
    return (_HEAD + "\n".join([*lines, "}", ""])).encode()


def _entry_lines(entry: Entry) -> list[str]:
    stamp = entry.recorded.isoformat().replace("+00:00", "Z")
    return _block(
        f"e:{entry.name}",
        ("a", "k:Entry"),
        ("k:recorded", f'"{stamp}"^^xsd:dateTime'),
        ("k:recordedBy", _text(entry.researcher)),
        ("k:note", _text(entry.note) if entry.note else None),
    )


def _thing_lines(thing: Thing) -> list[str]:
    return _block(
        f"t:{thing.slug}",
        ("a", " , ".join(f"k:{kind}" for kind in thing.kinds)),
        ("rdfs:label", _text(thing.label)),
        ("k:confidential", "true" if thing.is_confidential else None),
        ("k:datesBy", _text(thing.convention) if thing.convention else None),
    )


def _claim_lines(claim: Claim, vocabulary: Vocabulary) -> list[str]:
    return _block(
        f"c:{claim.id}",
        ("a", "k:Claim"),
        ("rdf:subject", _subject(claim, vocabulary)),
        ("rdf:predicate", f"k:{claim.property}"),
        ("rdf:object", _value(claim, vocabulary)),
        ("k:written", _text(claim.written) if claim.written is not None else None),
        ("k:source", f"t:{claim.citation.source}"),
        ("k:locator", _text(claim.citation.locator)),
        ("k:quotation", _text(claim.citation.quotation) if claim.citation.quotation else None),
        ("k:strength", f"k:{claim.strength}" if claim.strength != "hard" else None),
        ("k:confidential", "true" if claim.is_confidential else None),
    )


def _block(subject: str, *pairs: tuple[str, str | None]) -> list[str]:
    kept = [f"{predicate} {value}" for predicate, value in pairs if value is not None]
    return [f"  {subject} {kept[0]}" + "".join(f" ;\n    {pair}" for pair in kept[1:]) + " ."]


def _subject(claim: Claim, vocabulary: Vocabulary) -> str:
    """A thing, or another claim where the property is said of claims."""
    return f"{'c' if vocabulary.property(claim.property).domain == 'Claim' else 't'}:{claim.subject}"


def _value(claim: Claim, vocabulary: Vocabulary) -> str:
    prop = vocabulary.property(claim.property)
    if prop.is_date:
        return f"{_text(claim.value)}^^<{EDTF}>"
    if prop.is_link:
        return f"{'c' if prop.range == 'Claim' else 't'}:{claim.value}"
    return str(int(claim.value)) if prop.is_number else _text(claim.value)


def _text(text: str) -> str:
    return str(ox.Literal(text))


def read_entries(trig: bytes) -> list[Entry]:
    """Every entry that a TriG document holds, one named graph each.

    :raises DamagedEntry: if it is no TriG, holds blank nodes or triples outside entries, or leaves out what an
        entry, claim or judgement must have.
    """
    try:
        graphs = _by_graph(ox.parse(trig, format=ox.RdfFormat.TRIG))
    except (SyntaxError, ValueError) as error:
        raise DamagedEntry(f"it is no TriG that can be read ({error})") from error
    except AttributeError as error:  # only a triple has no value, and no entry holds one as a term
        raise DamagedEntry("it holds a triple as a term, which no entry does") from error
    return [_entry(name, subjects) for name, subjects in graphs.items()]


_Subjects = dict[str, dict[str, Any]]
_TYPE = RDF + "type"
_OBJECT = RDF + "object"
#: A thing may have several classes; every other predicate of an entry has one value.
_ENTRY_START = len(ENTRY)


def _by_graph(quads: Iterable[ox.Quad]) -> dict[str, _Subjects]:
    """The terms of each graph: graph, subject, predicate, value (a list for classes)."""
    graphs: dict[str, _Subjects] = {}
    graph: str | None = None
    subjects: _Subjects = {}
    for quad in quads:
        if isinstance(quad.graph_name, ox.DefaultGraph):
            raise DamagedEntry("it holds triples outside a graph that is an entry")
        if quad.graph_name.value != graph:
            graph = quad.graph_name.value
            if not graph.startswith(ENTRY):
                raise DamagedEntry(f"it holds a graph that is no entry: {graph}")
            subjects = graphs.setdefault(graph[_ENTRY_START:], {})
        subject, predicate, term = quad.subject.value, quad.predicate.value, quad.object  # type: ignore[union-attr]
        terms = subjects.get(subject)
        if terms is None:
            if not isinstance(quad.subject, ox.NamedNode):
                raise DamagedEntry("it holds a blank node; entries name everything by an IRI")
            terms = subjects[subject] = {}
        value = term.value  # type: ignore[union-attr]  # a triple as a term is no part of an entry
        if predicate == _TYPE:
            terms.setdefault(_TYPE, []).append(value)
            continue
        if predicate == _OBJECT and isinstance(term, ox.NamedNode):
            value = _local(value)
        if terms.setdefault(predicate, value) != value:
            raise DamagedEntry(f"{short(subject)} has two values for {short(predicate)}")
    return graphs


def _local(iri: str) -> str:
    """The slug or claim id behind the IRI that a claim speaks of."""
    for base in (THING, CLAIM):
        if iri.startswith(base):
            return iri[len(base) :]
    raise DamagedEntry(f"{iri} is no thing or claim of a daybook")


def _entry(name: str, subjects: _Subjects) -> Entry:
    try:
        own = subjects.pop(ENTRY + name)
        things: list[Thing] = []
        claims: list[Claim] = []
        judgements: list[tuple[str, Judgement]] = []
        for subject, terms in subjects.items():
            if subject.startswith(CLAIM):
                claims.append(_claim(subject[len(CLAIM) :], name, terms))
            elif subject.startswith(THING):
                things.append(_thing(subject[len(THING) :], terms))
            else:
                judgements.append((subject, _judgement(name, terms)))
        return Entry(
            name,
            datetime.fromisoformat(own[K + "recorded"]),
            own[K + "recordedBy"],
            own.get(K + "note", ""),
            tuple(sorted(things, key=lambda t: t.slug)),
            tuple(sorted(claims, key=lambda c: c.id)),
            tuple(judgement for _, judgement in sorted(judgements, key=lambda pair: pair[0])),
        )
    except KeyError as error:
        raise DamagedEntry(f"entry {name} lacks {short(str(error.args[0]))}") from error


def _claim(claim_id: str, entry: str, terms: dict[str, Any]) -> Claim:
    citation = Citation(_slug(terms[K + "source"]), terms[K + "locator"], terms.get(K + "quotation"))
    return Claim(
        claim_id,
        _local(terms[RDF + "subject"]),
        terms[RDF + "predicate"][len(K) :],
        terms[_OBJECT],
        citation,
        terms.get(K + "written"),
        terms.get(K + "strength", K + "hard")[len(K) :],
        terms.get(K + "confidential") == "true",
        entry,
    )


def _slug(iri: str) -> str:
    if not iri.startswith(THING):
        raise DamagedEntry(f"{iri} is no thing of a daybook")
    return iri[len(THING) :]


def _thing(slug: str, terms: dict[str, Any]) -> Thing:
    kinds = tuple(sorted(kind[len(K) :] for kind in terms[_TYPE]))
    is_confidential = terms.get(K + "confidential") == "true"
    return Thing(slug, kinds, terms[RDFS + "label"], is_confidential, terms.get(K + "datesBy"))


def _judgement(entry: str, terms: dict[str, Any]) -> Judgement:
    return Judgement(short(terms[K + "judges"]), short(terms[K + "finds"]), terms[K + "because"], entry)


def check_slugs(slugs: Iterable[str]) -> Iterator[str]:
    """A sentence for each name that cannot stand in an IRI."""
    for slug in slugs:
        if not SLUG.fullmatch(slug) or slug.endswith("."):
            yield (
                f"{slug!r} is no usable name. Use letters a to z, digits, '-', '_' and '.', beginning with a letter "
                "or digit, as in 'maker-brumelow'."
            )
