"""Notes in short Turtle: what they say, as the same tables that a TOML note gives.

Authority: RDF 1.2 Turtle (W3C, candidate recommendation), annotation syntax ``{| … |}``.
"""

from __future__ import annotations

import re
from collections import defaultdict
from typing import Any

import pyoxigraph as ox

from kg.daybook.trig import holds_triple_term
from kg.vocabulary import CLAIM, RDF, RDFS, THING, K, Vocabulary, short

_HEAD = "\n".join(
    f"@prefix {name}: <{iri}> ." for name, iri in (("k", K), ("t", THING), ("c", CLAIM), ("rdfs", RDFS))
)
_HEAD_LINES = _HEAD.count("\n") + 1
_REIFIES = RDF + "reifies"


def turtle_tables(text: str, vocabulary: Vocabulary) -> dict[str, Any]:
    """The things, claims and judgements of a Turtle note, as tables for the note reader.

    :raises ValueError: if it is no Turtle, or says something of a thing without a citation.
    """
    if holds_triple_term(text.encode()):
        raise ValueError("it writes a triple as a term (<<); cite each claim by {| … |} behind it.")
    try:
        triples = [quad.triple for quad in ox.parse(f"{_HEAD}\n{text}", format=ox.RdfFormat.TURTLE)]
    except SyntaxError as error:
        told = re.sub(r"line (\d+)", lambda m: f"line {max(int(m[1]) - _HEAD_LINES, 1)}", error.msg)
        raise ValueError(f"it is no Turtle: {told}") from error
    tables: dict[str, Any] = {"thing": [], "claim": [], "judgement": []}
    annotations: dict[Any, dict[str, str]] = defaultdict(dict)
    statements: dict[Any, ox.Triple] = {}
    asserted: dict[Any, dict[str, list[Any]]] = defaultdict(lambda: defaultdict(list))
    for triple in triples:
        if triple.predicate.value == _REIFIES and isinstance(triple.object, ox.Triple):
            statements[triple.subject] = triple.object
        elif isinstance(triple.subject, ox.BlankNode):
            said, key = annotations[triple.subject], short(triple.predicate.value)
            value = _plain(triple.object)
            if said.setdefault(key, value) != value:
                raise ValueError(f"an annotation gives {key} twice: {said[key]!r} and {value!r}; give one.")
        else:
            asserted[triple.subject][triple.predicate.value].append(triple.object)
    if annotations.keys() - statements.keys():
        raise ValueError(
            "a thing without a name ([] or _:name) is spoken of; name it, as in t:maker-brumelow."
        )
    cited = {statement: annotations[node] for node, statement in statements.items()}
    for subject, pairs in asserted.items():
        _thing(subject, pairs, cited, tables)
    for statement, annotation in cited.items():
        tables["claim"].append(_claim(statement, annotation))
    return tables


def _thing(
    subject: Any, pairs: dict[str, list[Any]], cited: dict[ox.Triple, dict[str, str]], tables: Any
) -> None:
    kinds = [_plain(kind) for kind in pairs.pop(RDF + "type", [])]
    labels = [label.value for label in pairs.pop(RDFS + "label", [])]
    extra = {
        key: _only(subject, name, pairs.pop(K + name))
        for key, name in _THING_KEYS.items()
        if K + name in pairs
    }
    if len(labels) > 1:
        raise ValueError(f"{_plain(subject)} has {len(labels)} labels; give one.")
    if kinds or labels or extra:
        row: dict[str, Any] = {
            "id": _plain(subject),
            "kind": kinds or "",
            "label": labels[0] if labels else "",
            **extra,
        }
        row |= _mark(extra)
        tables["thing"].append(row)
    for predicate, values in pairs.items():
        for value in values:
            if ox.Triple(subject, ox.NamedNode(predicate), value) not in cited:
                raise ValueError(
                    f"{_plain(subject)} {short(predicate)} {_plain(value)!r} cites no source. "
                    'Write {| k:source t:… ; k:locator "p. …" |} behind it.'
                )


_BOOLEANS = {"true": True, "1": True, "false": False, "0": False}
_THING_KEYS = {"confidential": "confidential", "dates-by": "datesBy"}


def _claim(statement: ox.Triple, annotation: dict[str, str]) -> dict[str, Any]:
    row: dict[str, Any] = {
        "about": _plain(statement.subject),
        "says": _plain(statement.predicate),
        "value": _plain(statement.object),
        **annotation,
    }
    return row | _mark(annotation)


def _mark(given: dict[str, str]) -> dict[str, Any]:
    """The mark of confidentiality; what is no boolean stays as it is, for the reader to refuse."""
    found = given.get("confidential")
    return {} if found is None else {"confidential": _BOOLEANS.get(found, found)}


def _only(subject: Any, name: str, values: list[Any]) -> str:
    if len(values) > 1:
        raise ValueError(f"{_plain(subject)} has {len(values)} values for {name}; give one.")
    return _plain(values[0])


def _plain(term: Any) -> str:
    if isinstance(term, ox.Triple):
        raise ValueError("a triple stands where a value belongs; write the value.")
    if isinstance(term, ox.BlankNode):
        raise ValueError(
            "a blank node ([] or _:name) stands where a thing belongs; name the thing, as in t:maker-brumelow."
        )
    if isinstance(term, ox.NamedNode):
        for base in (THING, CLAIM, K):
            if term.value.startswith(base):
                return str(term.value[len(base) :])
        raise ValueError(
            f"<{term.value}> is no name of a daybook; write t:… for a thing, c:… for a claim, k:… for a word."
        )
    return str(term.value)
