"""A field for a thing: one on record, found by part of its name, or a new one with its class and name."""

from __future__ import annotations

import streamlit as st

from app.drawing.fields import Fields
from app.drawing.words import notice, thing_link
from kg.asking.adding import NewThing, NoteDraft, choices_for, kinds_under, namesakes
from kg.asking.standpoint import Standpoint


def thing_field(
    standpoint: Standpoint, fields: Fields, note: NoteDraft, name: str, label: str, wanted: str
) -> None:
    """The field: a list to choose from, or the class and name of a thing that is not on record yet."""
    is_new = bool(fields.value(f"{name}-new", False))
    if not is_new:
        texts = {one.slug: one.text for one in choices_for(standpoint, note, wanted)}
        fields.choice(name, label, texts, placeholder="Type part of a name")
    else:
        kinds = {one.slug: one.text for one in kinds_under(standpoint.view, wanted)}
        left, right = st.columns([2, 3])
        with left:
            fields.choice(f"{name}-kind", f"{label}: kind", kinds, placeholder="What it is")
        with right:
            fields.text(f"{name}-name", f"{label}: name")
        _namesakes(standpoint, fields, name)
    fields.switch(
        f"{name}-new", f"A {standpoint.view.vocabulary.kinds[wanted].label} that is not on record yet"
    )


def thing_given(fields: Fields, name: str) -> str | NewThing | None:
    """What such a field holds."""
    if fields.value(f"{name}-new", False):
        return NewThing(fields.value(f"{name}-kind") or "", fields.value(f"{name}-name", ""))
    found: str | None = fields.value(name)
    return found


def _namesakes(standpoint: Standpoint, fields: Fields, name: str) -> None:
    new = thing_given(fields, name)
    if isinstance(new, NewThing) and (found := namesakes(standpoint.view, new)):
        listed = ", ".join(thing_link(one.slug, one.text) for one in found)
        st.html(
            notice(
                "This name is on record", f"<p>{listed}. Is it the same? Then choose it from the list.</p>"
            )
        )
