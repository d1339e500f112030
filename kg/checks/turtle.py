"""Small pieces of Turtle: prefixes of the shapes, and text in quotes."""

from __future__ import annotations

from kg.vocabulary import RDF, RDFS, THING, XSD, K

SH = "http://www.w3.org/ns/shacl#"
SHAPE = "https://kilnmark.example/shape/"

PREFIXES = {"s": SHAPE, "sh": SH, "k": K, "t": THING, "rdf": RDF, "rdfs": RDFS, "xsd": XSD}
HEAD = "".join(f"@prefix {name}: <{iri}> .\n" for name, iri in PREFIXES.items())


def text(words: str) -> str:
    """Words as a Turtle literal.

    >>> print(text('a "note"'))
    "a \\"note\\""
    """
    escaped = words.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n").replace("\r", "\\r")
    return f'"{escaped}"'
