"""Notes as they are typed: a form-like TOML file (``EXAMPLE``), or a short Turtle with its citations.

Turtle uses the annotation syntax of RDF 1.2::

    t:maker-brumelow a k:Person ; rdfs:label "Adela Brumelow" ;
        k:bornOn "about 1839" {| k:source t:book-tarn-1932 ; k:locator "p. 12" |} .
"""

from __future__ import annotations

import shlex
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from kg.daybook.daybook import Note
from kg.daybook.note_reader import BadNote, Fault, Reader
from kg.daybook.notes_turtle import turtle_tables
from kg.daybook.record import Citation, Draft, Thing
from kg.daybook.view import WorkingView

#: What a note looks like, as `kilnmark add --example` prints it.
EXAMPLE = """\
# A note in TOML. Leave out what you do not need.
researcher = "A. Researcher"
remark = "from the reading room"

[[thing]]
id = "maker-brumelow"
kind = "Person"
label = "Adela Brumelow"

[[thing]]
id = "book-tarn-1932"
kind = "Book"
label = "Tarn, Heads of the Valley (1932)"

[[claim]]
about = "maker-brumelow"
says = "bornOn"
value = "about 1839"
source = "book-tarn-1932"
locator = "p. 12"
quotation = "born at Sonneberg about 1839"

# strength = "usual"        hard unless you say usual or weak; only a hard claim can contradict
# confidential = true      never printed or exported

# A source may carry the convention by which its dates are read:
# [[thing]]
# id = "catalogue-1968"
# kind = "Catalogue"
# label = "Sale catalogue, 1968"
# dates-by = "circa-where-printed"

# A piece that you examine is a source too, and can be cited for what stands on it:
# [[thing]]
# id = "piece-lady"
# kind = ["Piece", "ObjectExamined"]
# label = "Lady with a comb"

# A judgement on a claim that is already there:
# [[judgement]]
# claim = "c4k7q2mz9xa"
# finds = "doubted"
# why = "the register gives another year"
"""


#: Characters of a note; a longer one is better taken in as a table.
LARGEST_NOTE = 4 * 2**20


def read_note(text: str, view: WorkingView, *, researcher: str | None = None, form: str = "toml") -> Note:
    """The note that a text in TOML or Turtle stands for, checked against the daybook's vocabulary and things.

    :raises BadNote: naming every fault with its place; nothing is half taken.
    """
    if len(text) > LARGEST_NOTE:
        raise BadNote(
            [Fault("the file", f"it has {len(text):,} characters; a note has at most {LARGEST_NOTE:,}.")]
        )
    note = note_from_tables(_toml(text) if form == "toml" else _turtle(text, view), view, researcher)
    if note.recorded and note.recorded > datetime.now(UTC) + timedelta(days=1):
        told = f"recorded = {note.recorded.isoformat()} lies in the future. Correct it, or the clock?"
        raise BadNote([Fault("the file", told)])
    return note


def note_from_tables(tables: Mapping[str, Any], view: WorkingView, researcher: str | None = None) -> Note:
    """The note that tables of things, claims and judgements stand for, checked as a typed note is.

    :raises BadNote: naming every fault with its place; nothing is half taken.
    """
    return Reader(view).note(tables, researcher)


def _toml(text: str) -> Mapping[str, Any]:
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise BadNote([Fault("the file", "its tables or arrays are nested too deeply.")]) from error
    except ValueError as error:
        raise BadNote(
            [Fault("the file", f"it is no TOML: {error}. See `kilnmark add --help` for an example.")]
        ) from error


def _turtle(text: str, view: WorkingView) -> Mapping[str, Any]:
    try:
        return turtle_tables(text, view.vocabulary)
    except ValueError as error:
        raise BadNote([Fault("the file", str(error))]) from error


def only_new(note: Note, view: WorkingView) -> tuple[Note | None, list[str]]:
    """The note without what the daybook holds already, and the ids of the claims that it repeats.

    None where nothing is left to record.
    """
    live = {claim.as_draft(): claim.id for claim in view.live}
    drafts = tuple(draft for draft in note.drafts if draft not in live)
    things = tuple(thing for thing in note.things if not _is_known(thing, view))
    known = [live[draft] for draft in note.drafts if draft in live]
    if not (drafts or things or note.judgements):
        return None, known
    return replace(note, things=things, drafts=drafts), known


def _is_known(thing: Thing, view: WorkingView) -> bool:
    old = view.things.get(thing.slug)
    return (
        old is not None
        and set(thing.kinds) <= set(old.kinds)
        and thing.label == old.label
        and (old.is_confidential or not thing.is_confidential)
        and thing.convention in (None, old.convention)
    )


def supposed_draft(text: str, view: WorkingView) -> Draft:
    """The claim that a line "THING PROPERTY VALUE" stands for, as one supposes it for a question.

    :raises BadNote: if it does not say a claim that the vocabulary knows.
    :raises kg.daybook.view.NotInDaybook: if it names a thing that is not there.
    """
    try:
        words = shlex.split(text)
    except ValueError as error:
        raise BadNote([Fault(repr(text), f"{error}; close the quotes.")]) from error
    if len(words) < 3:
        raise BadNote(
            [Fault(repr(text), "expected a thing, a property and a value, as in 'firm-tarn ceased 1884'.")]
        )
    reader = Reader(view)
    prop = view.vocabulary.property(words[1])
    given = " ".join(words[2:])
    if prop.is_link:
        given = view.claim(given).id if prop.range == "Claim" else view.thing(given).slug
    row = {"value": given, "source": ""}
    value, written = reader.value(repr(text), prop, row)
    if reader.faults:
        raise BadNote(reader.faults)
    about = view.claim(words[0]).id if prop.domain == "Claim" else view.thing(words[0]).slug
    return Draft(about, prop.name, value, Citation("", "supposed for this question"), written)
