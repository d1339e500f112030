"""Entries as TriG files: writing one, reading many, and the content hash.

Authority: RDF 1.1 TriG (W3C 2014); RDF Dataset Canonicalization, RDFC-1.0 (W3C 2024).
"""

from __future__ import annotations

import hashlib
import re
import uuid
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from functools import lru_cache
from typing import Any

import pyoxigraph as ox

from kg.daybook.record import BadRecord, Citation, Claim, Entry, Judgement, Thing, in_utc
from kg.vocabulary import CLAIM, EDTF, ENTRY, JUDGEMENT, RDF, RDFS, SLUG, THING, XSD, K, Vocabulary, short

_PREFIXES = {"k": K, "t": THING, "c": CLAIM, "e": ENTRY, "j": JUDGEMENT, "rdf": RDF, "rdfs": RDFS, "xsd": XSD}
_HEAD = "".join(f"@prefix {name}: <{iri}> .\n" for name, iri in _PREFIXES.items())

#: What opens a triple term, and all in which it is only text: quoted strings, IRIs, comments, escapes.
_OPENING = re.compile(
    rb'"""(?:[^"\\]|\\.|"(?!""))*"""|'
    rb"\'\'\'(?:[^\'\\]|\\.|\'(?!\'\'))*\'\'\'|"
    rb'"(?:[^"\\\n\r]|\\.)*"|'
    rb"\'(?:[^\'\\\n\r]|\\.)*\'|"
    rb"<[^<>\"{}|^`\x00-\x20]*>|#[^\n\r]*|\\.|(?P<opening><<)",
    re.DOTALL,
)


class DamagedEntry(BadRecord):
    """An entry file cannot be read as an entry."""


def content_hash(trig: bytes) -> str:
    """SHA-256, in hexadecimal, of the RDFC-1.0 canonical N-Quads of a TriG file.

    :raises DamagedEntry: if the file is no TriG.
    """
    try:
        nquads = ox.serialize(parsed(trig), format=ox.RdfFormat.N_QUADS) or b""
    except (SyntaxError, ValueError) as error:
        raise DamagedEntry(f"it is no TriG that can be read ({error})") from error
    # Without blank nodes the canonical form is the sorted lines, each once. Naming linked ones costs exponential
    # time, and no entry has any.
    lines = set(nquads.splitlines(keepends=True))
    del nquads  # an entry of many thousand claims has hundreds of megabytes of them
    if any(_BLANK_NODE.search(line) for line in lines if b"_:" in line):
        raise DamagedEntry("it holds a blank node; entries name everything by an IRI")
    digest = hashlib.sha256()
    for line in sorted(lines):
        digest.update(line)
    return digest.hexdigest()


_BLANK_NODE = re.compile(rb'^_:|^<[^>]*> <[^>]*> _:|> _:[^" ]+ \.$')


def parsed(trig: bytes) -> Iterable[ox.Quad]:
    """The quads of an entry file, read one by one.

    :raises DamagedEntry: if a triple stands as a term: no entry holds one, and deep ones exhaust the parser's stack.
    """
    if holds_triple_term(trig):
        raise DamagedEntry("it holds a triple as a term, which no entry does")
    return ox.parse(trig, format=ox.RdfFormat.TRIG)


def holds_triple_term(turtle: bytes) -> bool:
    """Whether a Turtle or TriG text opens a triple term (``<<``) outside of strings, IRIs and comments.

    >>> holds_triple_term(b'<a> <b> "<<" .'), holds_triple_term(b"<a> <b> <<( <c> <d> <e> )>> .")
    (False, True)
    """
    return b"<<" in turtle and any(match["opening"] for match in _OPENING.finditer(turtle))


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
    prop = vocabulary.properties.get(claim.property)
    of_claim = prop.domain == "Claim" if prop else claim.form.startswith(CLAIM)
    return f"{'c' if of_claim else 't'}:{claim.subject}"


def _value(claim: Claim, vocabulary: Vocabulary) -> str:
    prop = vocabulary.properties.get(claim.property)
    if prop is None:
        return _value_as_read(claim)
    if prop.is_date:
        return f"{_text(claim.value)}^^<{EDTF}>"
    if prop.is_link:
        return f"{'c' if prop.range == 'Claim' else 't'}:{claim.value}"
    if prop.is_number:
        # What is no whole number was never recorded by this program; it is kept as it was read.
        is_plain = _PLAIN_NUMBER.fullmatch(claim.value)
        return claim.value if is_plain else f"{_text(claim.value)}^^xsd:integer"
    return _text(claim.value)


_PLAIN_NUMBER = re.compile(r"-?[0-9]{1,18}")


def _value_as_read(claim: Claim) -> str:
    """The value of a claim whose property no vocabulary file defines, as its entry wrote it."""
    form = claim.form.partition(" ")[2]
    if form in (THING, CLAIM):
        return f"{'c' if form == CLAIM else 't'}:{claim.value}"
    if form in ("", XSD + "string", RDF + "langString"):
        return _text(claim.value)
    return f"{_text(claim.value)}^^<{form}>"


def _text(text: str) -> str:
    return str(ox.Literal(text))


def read_entries(trig: bytes) -> list[Entry]:
    """Every entry that a TriG document holds, one named graph each.

    :raises DamagedEntry: if it is no TriG, holds blank nodes or triples outside entries, or leaves out what an
        entry, claim or judgement must have.
    """
    return [_entry(name, subjects) for name, subjects in _parsed_graphs(trig).items()]


def read_in_order(trig: bytes) -> list[Entry]:
    """As ``read_entries``, with things and claims in the order of the file, on which the entry's name rests."""
    return [_entry(name, subjects, in_order=True) for name, subjects in _parsed_graphs(trig).items()]


def read_files(files: Sequence[bytes]) -> list[Entry] | None:
    """The entries of many files read as one document; None if a file does not hold exactly one entry of its own.

    A mark of its own stands before each file, which no file can know, so that none can add to the entry of another.
    """
    if not all(file.startswith(_HEAD_BYTES) for file in files):
        return None
    mark = f"urn:uuid:{uuid.uuid4()}"
    line = f"\n<{mark}> {{ <{mark}> <{mark}> <{mark}> }}\n".encode()
    graphs = _parsed_graphs(line + line.join(files), mark)
    return (
        [_entry(name, subjects) for name, subjects in graphs.items()] if len(graphs) == len(files) else None
    )


def _parsed_graphs(trig: bytes, mark: str = "") -> dict[str, _Subjects]:
    try:
        return _by_graph(parsed(trig), mark)
    except (SyntaxError, ValueError) as error:
        raise DamagedEntry(f"it is no TriG that can be read ({error})") from error


_Subjects = dict[str, dict[str, Any]]
_HEAD_BYTES = _HEAD.encode()
_TYPE = RDF + "type"
_OBJECT = RDF + "object"
_FORM = "form"
_ENTRY_START = len(ENTRY)


def _by_graph(quads: Iterable[ox.Quad], mark: str) -> dict[str, _Subjects]:
    """The terms of each graph: graph, subject, predicate, value (a list for classes)."""
    graphs: dict[str, _Subjects] = {}
    graph: str | None = None
    subjects: _Subjects = {}
    is_open = True  # whether a further graph may begin: once a file where files are marked
    for quad in quads:
        if isinstance(quad.graph_name, ox.DefaultGraph):
            raise DamagedEntry("it holds triples outside a graph that is an entry")
        name = quad.graph_name.value
        if name != graph:
            graph = name
            if name == mark:
                is_open = True
                continue
            subjects = _begun(name, graphs, is_open)
            is_open = not mark
        subject, predicate, term = quad.subject.value, quad.predicate.value, quad.object  # type: ignore[union-attr]  # no triple term is left
        terms = subjects.get(subject)
        if terms is None:
            if not isinstance(quad.subject, ox.NamedNode):
                raise DamagedEntry("it holds a blank node; entries name everything by an IRI")
            terms = subjects[subject] = {}
        value = term.value  # type: ignore[union-attr]  # no triple term is left
        if predicate == _TYPE:
            terms.setdefault(_TYPE, []).append(value)
            continue
        if predicate == _OBJECT:
            if isinstance(term, ox.NamedNode):
                terms[_FORM] = CLAIM if value.startswith(CLAIM) else THING
                value = _local(value)
            else:
                terms[_FORM] = term.datatype.value  # type: ignore[union-attr]  # a literal
        if terms.setdefault(predicate, value) != value:
            raise DamagedEntry(f"{short(subject)} has two values for {short(predicate)}")
    return graphs


def _begun(name: str, graphs: dict[str, _Subjects], is_open: bool) -> _Subjects:
    """Room for the terms of a graph that begins."""
    if not name.startswith(ENTRY):
        raise DamagedEntry(f"it holds a graph that is no entry: {name}")
    entry = _checked(name[_ENTRY_START:])
    if entry in graphs or not is_open:
        raise DamagedEntry(f"it holds entry {entry} twice, or adds to another entry")
    graphs[entry] = {}
    return graphs[entry]


@lru_cache(maxsize=100_000)
def _checked(name: str) -> str:
    """A short name that can stand in an entry file."""
    if not SLUG.fullmatch(name) or name.endswith("."):
        raise DamagedEntry(f"{name!r} is no usable name")
    return name


@lru_cache(maxsize=100_000)
def _local(iri: str) -> str:
    """The slug or claim id behind the IRI that a claim speaks of."""
    for base in (THING, CLAIM):
        if iri.startswith(base):
            return _checked(iri[len(base) :])
    raise DamagedEntry(f"{iri} is no thing or claim of a daybook")


@lru_cache(maxsize=10_000)
def _term(iri: str) -> str:
    """The short name of a term of the vocabulary's namespace, defined or not."""
    if not iri.startswith(K):
        raise DamagedEntry(f"{iri} is no term of the vocabulary's namespace")
    return _checked(iri[len(K) :])


def _entry(name: str, subjects: _Subjects, *, in_order: bool = False) -> Entry:
    try:
        own = subjects.pop(ENTRY + name)
        things: list[Thing] = []
        claims: list[Claim] = []
        judgements: list[tuple[tuple[int, str], Judgement]] = []
        for subject, terms in subjects.items():
            if subject.startswith(CLAIM):
                claims.append(_claim(_local(subject), name, terms))
            elif subject.startswith(THING):
                things.append(_thing(_local(subject), terms, in_order))
            elif subject.startswith(JUDGEMENT):
                judgements.append((_number(subject), _judgement(name, terms)))
            else:
                raise DamagedEntry(f"{subject} is no thing, claim or judgement")
        if not in_order:
            things.sort(key=lambda t: t.slug)
            claims.sort(key=lambda c: c.id)
        judgements.sort(key=lambda pair: pair[0])
        return Entry(
            name,
            _recorded(own[K + "recorded"]),
            own[K + "recordedBy"],
            own.get(K + "note", ""),
            tuple(things),
            tuple(claims),
            tuple(judgement for _, judgement in judgements),
        )
    except KeyError as error:
        raise DamagedEntry(f"entry {name} lacks {short(str(error.args[0]))}") from error


def _recorded(text: str) -> datetime:
    try:
        recorded = datetime.fromisoformat(text)
    except ValueError as error:
        raise DamagedEntry(f"its time of recording is {text!r}, which is no time") from error
    if recorded.tzinfo is None:
        raise DamagedEntry(f"its time of recording {text!r} has no time zone")
    try:
        return in_utc(recorded)
    except BadRecord as error:
        raise DamagedEntry(str(error)) from error


def _number(subject: str) -> tuple[int, str]:
    """The place of a judgement in its entry: ``j:….10`` comes after ``j:….2``."""
    last = subject.rpartition(".")[2]
    return (int(last) if re.fullmatch(r"[0-9]{1,9}", last) else -1), subject


def _claim(claim_id: str, entry: str, terms: dict[str, Any]) -> Claim:
    citation = Citation(_slug(terms[K + "source"]), terms[K + "locator"], terms.get(K + "quotation"))
    subject = terms[RDF + "subject"]
    return Claim(
        claim_id,
        _local(subject),
        _term(terms[RDF + "predicate"]),
        terms[_OBJECT],
        citation,
        terms.get(K + "written"),
        _term(terms.get(K + "strength", K + "hard")),
        _is_confidential(terms),
        entry,
        f"{CLAIM if subject.startswith(CLAIM) else THING} {terms[_FORM]}",
    )


def _is_confidential(terms: dict[str, Any]) -> bool:
    """Whether something is marked confidential; a mark that cannot be read counts as one."""
    return terms.get(K + "confidential", "false") not in ("false", "0")


def _slug(iri: str) -> str:
    if not iri.startswith(THING):
        raise DamagedEntry(f"{iri} is no thing of a daybook")
    return _local(iri)


def _thing(slug: str, terms: dict[str, Any], in_order: bool) -> Thing:
    kinds = [_term(kind) for kind in terms[_TYPE]]
    named = kinds if in_order else sorted(kinds)
    return Thing(slug, tuple(named), terms[RDFS + "label"], _is_confidential(terms), terms.get(K + "datesBy"))


def _judgement(entry: str, terms: dict[str, Any]) -> Judgement:
    return Judgement(_local(terms[K + "judges"]), _term(terms[K + "finds"]), terms[K + "because"], entry)


def check_slugs(slugs: Iterable[str]) -> Iterator[str]:
    """A sentence for each name that cannot stand in an IRI."""
    for slug in slugs:
        if not SLUG.fullmatch(slug) or slug.endswith("."):
            yield (
                f"{slug!r} is no usable name. Use letters a to z, digits, '-', '_' and '.', beginning with a letter "
                "or digit, as in 'maker-brumelow'."
            )
