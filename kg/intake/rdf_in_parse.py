"""RDF files as statements: what may be opened, in which syntax, and what is refused before a parser sees it.

Authority: RDF 1.1 Turtle, TriG, N-Triples, N-Quads and RDF/XML (W3C 2014), JSON-LD 1.1 (W3C 2020); statements about
statements as RDF 1.2 (W3C, candidate recommendation) writes them. Nothing is ever fetched: a context or a document
that lies elsewhere is refused by name.
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import re
import stat
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import ParseError

import defusedxml.ElementTree as SafeTree
import pyoxigraph as ox
from defusedxml.common import DefusedXmlException

from kg.errors import KilnmarkError

#: Bytes of a file, statements in it, and how deep its brackets, objects or elements may be nested.
LARGEST_FILE, MOST_STATEMENTS, DEEPEST = 256 * 2**20, 2_000_000, 100
#: Characters of an IRI.
LONGEST_IRI = 2_000
#: Bytes of one text that the parser holds (the buffer of oxttl); a note takes far less.
LONGEST_READ = 16_777_216

#: What the endings of file names stand for.
ENDINGS = {
    ".ttl": ox.RdfFormat.TURTLE,
    ".turtle": ox.RdfFormat.TURTLE,
    ".trig": ox.RdfFormat.TRIG,
    ".nt": ox.RdfFormat.N_TRIPLES,
    ".nq": ox.RdfFormat.N_QUADS,
    ".jsonld": ox.RdfFormat.JSON_LD,
    ".rdf": ox.RdfFormat.RDF_XML,
    ".owl": ox.RdfFormat.RDF_XML,
}
#: What names a thing; and what may stand in statements that are not taken in, since nothing is ever followed.
NAMING = ("http://", "https://", "urn:")
_HARMLESS = ("mailto:", "tel:", "tag:", "info:", "doi:", "geo:")
_UNUSABLE = re.compile('[\x00-\x20\x7f-\x9f<>"{}|^`\\\\\u202a-\u202e\u2066-\u2069]')
#: What a parser quotes from the file may steer a terminal.
_UNPRINTABLE = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
_PACKED = {
    b"\x1f\x8b": "gzip",
    b"PK\x03\x04": "zip",
    b"BZh": "bzip2",
    b"\xfd7zXZ": "xz",
    b"\x28\xb5\x2f\xfd": "zstd",
}
_WIDE = (b"\xff\xfe", b"\xfe\xff", b"\x00\x00\xfe\xff")
_BOM = b"\xef\xbb\xbf"
_BRACKETS = re.compile(
    rb'"""(?:[^"\\]|\\.|"(?!""))*"""|'
    rb"'''(?:[^'\\]|\\.|'(?!''))*'''|"
    rb'"(?:[^"\\\n\r]|\\.)*"|'
    rb"'(?:[^'\\\n\r]|\\.)*'|"
    rb"<[^<>\"{}|^`\x00-\x20]*>|#[^\n\r]*|\\.|(?P<opens><<|[\[({])|(?P<closes>>>|[\])}])",
    re.DOTALL,
)
_JSON_BRACKETS = re.compile(rb'"(?:[^"\\]|\\.)*"|(?P<opens>[\[{])|(?P<closes>[\]}])', re.DOTALL)


class BadRdf(KilnmarkError):
    """An RDF file cannot be taken in as it stands; nothing was recorded."""


@dataclass(frozen=True, slots=True)
class Parsed:
    """The statements of an RDF file, in its order, with what identifies the file."""

    name: str
    form: str
    digest: str
    quads: tuple[ox.Quad, ...]


def parse_rdf(path: Path) -> Parsed:
    """The statements of an RDF file, whose syntax the ending of its name tells.

    :raises BadRdf: naming what was found, what was expected and what to do.
    """
    form = ENDINGS.get(path.suffix.lower())
    if form is None:
        raise BadRdf(f"{path.name} has no ending of an RDF file; expected one of {', '.join(ENDINGS)}.")
    return parse_bytes(_bytes_of(path), form, path.name)


def parse_bytes(content: bytes, form: ox.RdfFormat, name: str) -> Parsed:
    """The statements of the bytes of an RDF file.

    :raises BadRdf: naming what was found, what was expected and what to do.
    """
    text = _utf8(content, name)
    _CHECKS[form](text, name)
    quads: list[ox.Quad] = []
    seen: set[str] = set()
    try:
        for quad in ox.parse(text, format=form):
            _check_terms(quad, name, seen)
            quads.append(quad)
            if len(quads) > MOST_STATEMENTS:
                raise BadRdf(f"{name} has more than {MOST_STATEMENTS:,} statements; take it in by parts.")
    except MemoryError as error:
        raise BadRdf(
            f"{name} holds a text of more than {LONGEST_READ:,} characters, which is too long to be read. Shorten it."
        ) from error
    except (SyntaxError, ValueError) as error:
        told = " ".join(_UNPRINTABLE.sub("\ufffd", str(getattr(error, "msg", None) or error)).split())[:300]
        raise BadRdf(
            f"{name} is no {form.name} that can be read: {told}. Mend it, or see to its ending."
        ) from error
    return Parsed(name, form.name, hashlib.sha256(content).hexdigest(), tuple(quads))


def _bytes_of(path: Path) -> bytes:
    """The bytes of a regular file that is not too large; its size is looked at first."""
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    try:
        found = os.fstat(handle)
        if not stat.S_ISREG(found.st_mode):
            raise BadRdf(f"{path.name} is no regular file; name the file itself.")
        if found.st_size > LARGEST_FILE:
            raise BadRdf(
                f"{path.name} has {found.st_size:,} bytes; at most {LARGEST_FILE:,} are taken in. Divide it."
            )
        with os.fdopen(handle, "rb", closefd=False) as file:
            return file.read(LARGEST_FILE)
    finally:
        os.close(handle)


def _utf8(content: bytes, name: str) -> bytes:
    """The bytes without a byte order mark, certainly UTF-8."""
    for magic, packing in _PACKED.items():
        if content.startswith(magic):
            raise BadRdf(f"{name} is packed with {packing}, not RDF text; unpack it first.")
    if content.startswith(_WIDE) or b"\x00" in content[:4096]:
        raise BadRdf(f"{name} is not UTF-8 text (it holds zero bytes, as UTF-16 does); save it as UTF-8.")
    text = content.removeprefix(_BOM)
    try:
        text.decode("utf-8")
    except UnicodeDecodeError as error:
        raise BadRdf(
            f"{name} is not UTF-8 text: byte {error.start} is {text[error.start]:#04x}. Save it as UTF-8."
        ) from error
    if not text.strip():
        raise BadRdf(f"{name} is empty; expected RDF statements.")
    return text


def _check_depth(text: bytes, name: str, brackets: re.Pattern[bytes] = _BRACKETS) -> None:
    if sum(text.count(sign) for sign in (b"[", b"(", b"{", b"<<")) <= DEEPEST:
        return
    depth = 0
    for found in brackets.finditer(text):
        if found["opens"]:
            depth += 1
            if depth > DEEPEST:
                raise BadRdf(f"{name} nests its brackets more than {DEEPEST} deep; write it flat.")
        elif found["closes"]:
            depth = max(depth - 1, 0)


def _check_json(text: bytes, name: str) -> None:
    _check_depth(text, name, _JSON_BRACKETS)
    try:
        document = json.loads(text)
    except ValueError as error:
        raise BadRdf(f"{name} is no JSON: {error}. Mend it, or see to its ending.") from error
    for key, value in _members(document):
        if key == "@import" or (key == "@context" and any(isinstance(c, str) for c in _listed(value))):
            told = next((c for c in _listed(value) if isinstance(c, str)), value)
            raise BadRdf(
                f"{name} names a context that lies elsewhere ({str(told)[:200]!r}). Nothing is fetched: "
                f'put the context itself into the file, as "@context": {{ … }}.'
            )


def _members(value: Any) -> Iterator[tuple[str, Any]]:
    """Every key with its value, however deep; the depth was checked."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield key, inner
            yield from _members(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _members(inner)


def _listed(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [value]


def _check_xml(text: bytes, name: str) -> None:
    depth = 0
    try:
        for event, element in SafeTree.iterparse(
            io.BytesIO(text),
            events=("start", "end"),
            forbid_dtd=True,
            forbid_entities=True,
            forbid_external=True,
        ):
            depth += 1 if event == "start" else -1
            if depth > DEEPEST:
                raise BadRdf(f"{name} nests its elements more than {DEEPEST} deep; write it flat.")
            if event == "end":
                element.clear()
    except DefusedXmlException as error:
        raise BadRdf(
            f"{name} has a document type or entities of its own (<!DOCTYPE …>), which can make a small file endless. "
            "Write the names out and take that part away."
        ) from error
    except (ParseError, ValueError, LookupError) as error:
        raise BadRdf(f"{name} is no XML that can be read: {error}. Mend it, or see to its ending.") from error


def _check_terms(quad: ox.Quad, name: str, seen: set[str]) -> None:
    """Check each IRI of a statement, once a file."""
    for term in (quad.subject, quad.predicate, quad.object, quad.graph_name):
        for iri in _iris(term):
            if iri not in seen:
                _check_iri(iri, name)
                seen.add(iri)


def _iris(term: Any) -> Iterator[str]:
    if isinstance(term, ox.NamedNode):
        yield term.value
    elif isinstance(term, ox.Literal):
        yield term.datatype.value
    elif isinstance(term, ox.Triple):
        for part in (term.subject, term.predicate, term.object):
            yield from _iris(part)


def _check_iri(iri: str, name: str) -> None:
    if len(iri) > LONGEST_IRI:
        raise BadRdf(f"{name} has an IRI of {len(iri):,} characters; at most {LONGEST_IRI:,} are taken.")
    if found := _UNUSABLE.search(iri):
        raise BadRdf(
            f"{name} has an IRI with U+{ord(found[0]):04X} in it, which no IRI may hold: {iri[:100]!a}."
        )
    if not iri.startswith((*NAMING, *_HARMLESS)):
        raise BadRdf(f"{name} has the IRI {iri[:100]!r}; expected one that begins with http, https or urn.")


_CHECKS: dict[ox.RdfFormat, Callable[[bytes, str], None]] = {
    **dict.fromkeys(
        (ox.RdfFormat.TURTLE, ox.RdfFormat.TRIG, ox.RdfFormat.N_TRIPLES, ox.RdfFormat.N_QUADS), _check_depth
    ),
    ox.RdfFormat.JSON_LD: _check_json,
    ox.RdfFormat.RDF_XML: _check_xml,
}
