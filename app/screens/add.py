"""The screen *Add a finding*: what a source says of a thing, checked, its effect shown, then recorded as one entry."""

from __future__ import annotations

import streamlit as st

from app.address import as_of, is_new, part
from app.daybook import desk
from app.drawing import effects
from app.drawing.fields import Fields, fault
from app.drawing.recording import attempt, done, failed
from app.drawing.things import thing_field, thing_given
from app.drawing.words import lines, plain, refusal, thing_link
from app.sign_in import admitted, at_the_desk, signature
from kg.asking.adding import (
    Filled,
    NoteDraft,
    PropertyChoice,
    form_of,
    kinds_of,
    note_of,
    properties_for,
    put_on,
    reading_of,
    strengths,
)
from kg.asking.recording import draft_lines, record_note, try_note
from kg.asking.roles import UNSIGNED, Act
from kg.asking.standpoint import Standpoint
from kg.daybook.record import Entry
from kg.errors import KilnmarkError

#: Where the note, what is wrong in the form, and the remark are kept between runs.
NOTE, FAULTS = "add note", "add faults"

#: The fields that are emptied when a finding is put on the note; the others mostly stay for the next one.
ONE_FINDING = (
    "says", "value", "value-text", "value-new", "value-kind", "value-name", "quotation", "strength", "confidential",
)  # fmt: skip


def screen() -> None:
    """The whole screen."""
    st.title("Add a finding")
    if not admitted(Act.ADD):
        return
    standpoint = desk().standpoint()
    fields = Fields("add")
    if is_new() and (about := part("about")):
        fields.put("about", about)
        fields.put("about-new", False)
    done("add")
    _form(standpoint, fields)
    if _note().rows:
        _note_so_far(standpoint)


def _note() -> NoteDraft:
    found: NoteDraft = st.session_state.setdefault(NOTE, NoteDraft())
    return found


def _faults() -> dict[str, str]:
    found: dict[str, str] = st.session_state.setdefault(FAULTS, {})
    return found


def _form(standpoint: Standpoint, fields: Fields) -> None:
    """The fields of one finding; those of the value follow from the property, and it from the thing."""
    with st.container(border=True, key="k-add-form"):
        left, right = st.columns(2, gap="medium")
        with left:
            thing_field(standpoint, fields, _note(), "about", "About", "Thing")
            fault(_faults(), "about")
            _all_about(standpoint, fields)
            says = _property(standpoint, fields)
            if says is not None:
                _value(standpoint, fields, says)
        with right:
            thing_field(standpoint, fields, _note(), "source", "Source that says so", "Source")
            fault(_faults(), "source")
            fields.text("locator", "Place in the source", placeholder="p. 12; pl. 4; no. 118; head, back")
            fault(_faults(), "locator")
            fields.page("quotation", "Its words, if you wish", height=80)
            fault(_faults(), "quotation")
        with st.expander("More: how strongly it says so, confidential"):
            fields.one_of("strength", "Strength", {one.slug: one.text for one in strengths(standpoint.view)})
            fields.switch("confidential", "Confidential: never printed or exported")
        st.button("Put it on the note", key="add-put", type="primary", on_click=_put_on)


def _all_about(standpoint: Standpoint, fields: Fields) -> None:
    """The way to what is on record of the thing already."""
    about = thing_given(fields, "about")
    if isinstance(about, str) and about in standpoint.view.things:
        label = thing_link(about, standpoint.view.label(about))
        st.html(f'<p class="k-small">All that is on record of {label}</p>')


def _property(standpoint: Standpoint, fields: Fields) -> PropertyChoice | None:
    """What the source says of the thing: the properties of its classes, in their groups."""
    view = standpoint.view
    about = thing_given(fields, "about")
    kinds = kinds_of(view, _note(), about)
    offered = {one.name: one for one in properties_for(view, kinds)} if kinds else {}
    chosen = fields.choice(
        "says",
        "What it says of it",
        {name: one.text for name, one in offered.items()},
        placeholder="Choose the thing first" if not offered else "Type part of it",
        disabled=not offered,
    )
    fault(_faults(), "says")
    found = offered.get(chosen or "")
    if found is not None and found.comment:
        st.html(f'<p class="k-small">{plain(found.comment)}</p>')
    return found


def _value(standpoint: Standpoint, fields: Fields, says: PropertyChoice) -> None:
    if says.form == "thing":
        thing_field(standpoint, fields, _note(), "value", f"Which {says.range_label}", says.range)
    elif says.form == "date":
        typed = fields.text(
            "value-text", "Date, as the source prints it", placeholder="about 1878; vers 1872; 1871/1886"
        )
        if typed and "value" not in _faults():
            read = reading_of(standpoint.view, typed, thing_given(fields, "source"))
            st.html(f'<p class="k-small k-reading" role="status">{lines(read)}</p>')
    elif says.form == "number":
        fields.text("value-text", f"{says.label.capitalize()}, a whole number")
    else:
        fields.text("value-text", says.label.capitalize())
    fault(_faults(), "value")


def _filled(fields: Fields) -> Filled:
    """The finding as it stands in the form."""
    says = fields.value("says")
    is_thing = form_of(desk().standpoint().view, says) == "thing"
    return Filled(
        thing_given(fields, "about"),
        says,
        thing_given(fields, "value") if is_thing else fields.value("value-text", ""),
        thing_given(fields, "source"),
        fields.value("locator", ""),
        fields.value("quotation", ""),
        fields.value("strength", "hard"),
        fields.value("confidential", False),
    )


def _put_on() -> None:
    """Put the finding on the note, or keep what is wrong with it."""
    fields = Fields("add")
    checked = put_on(desk().standpoint().view, _note(), _filled(fields))
    st.session_state[FAULTS] = dict(checked.faults)
    if checked.note is None:
        return
    named = checked.note.rows[-1]
    st.session_state[NOTE] = checked.note
    fields.clear(*ONE_FINDING)
    for name, slug in (("about", named.about), ("source", named.source)):
        fields.clear(f"{name}-new", f"{name}-kind", f"{name}-name")
        fields.put(name, slug)


def _take_off(number: int) -> None:
    st.session_state[NOTE] = _note().without(number)


def _note_so_far(standpoint: Standpoint) -> None:
    """The note, what it would change, and the button that records it."""
    st.header("The note")
    draft, tried = _note(), None
    try:
        note = note_of(standpoint.view, draft, UNSIGNED)
        lines_told = standpoint.kept(("draft lines", note), lambda: draft_lines(desk(), note))
        for number, one in enumerate(lines_told):
            left, right = st.columns([6, 1], vertical_alignment="center")
            left.html(effects.line(one))
            right.button("Take off", key=f"add-off-{number}", on_click=_take_off, args=(number,))
        with st.spinner("Looking at what it would change"):
            tried = standpoint.kept(("tried", note), lambda: try_note(desk(), note))
        st.html(effects.trial(tried))
    except KilnmarkError as error:
        st.html(refusal("The note cannot be recorded as it stands", error))
        st.button("Begin the note anew", key="add-anew", on_click=_begin_anew)
    Fields("add").text("remark", "Remark on the entry, if you wish", placeholder="from the reading room")
    failed("add")
    is_signed = signature()
    count = len(draft.rows)
    st.button(
        f"Record {count} finding{'' if count == 1 else 's'}",
        key="add-record",
        type="primary",
        disabled=tried is None or tried.effect.is_refused or not is_signed,
        on_click=_record,
    )


def _begin_anew() -> None:
    st.session_state[NOTE] = NoteDraft()


def _record() -> None:
    """Record the note as it stands on the screen, signed by whoever is at the desk."""
    fields, colleague = Fields("add"), at_the_desk()

    def work() -> Entry:
        note = note_of(desk().standpoint().view, _note(), colleague.name, fields.value("remark", ""))
        return record_note(desk(), colleague, note, as_of())

    if attempt("add", work):
        st.session_state[NOTE] = NoteDraft()
        fields.clear("remark", "locator")
