"""The mapping of a table: one that ships, one that was brought up, or one drafted column by column."""

from __future__ import annotations

import streamlit as st

from app.daybook import desk
from app.drawing.fields import Fields
from app.drawing.taking_in import sample
from app.drawing.uploads import uploader
from app.drawing.words import plain, refusal
from kg.asking.adding import kinds_under
from kg.asking.mapping_draft import MappingDraft, guessed, toml_of, uses_for
from kg.asking.taking_in import (
    Upload,
    check_mapping,
    checked_upload,
    mapping_text,
    shipped_mappings,
    table_head,
)
from kg.errors import KilnmarkError

#: Where a mapping that was brought up is kept.
OWN = "take_in mapping"

_WAYS = {
    "draft": "Say what each column means",
    "shipped": "A mapping that ships",
    "own": "A mapping of my own, a file",
}


def mapping_chosen(fields: Fields, upload: Upload) -> str | None:
    """The mapping as a page of TOML, checked; None while there is none yet."""
    way = fields.one_of("mapping-way", "What do its columns mean?", _WAYS, horizontal=True)
    text = {"draft": _drafted, "shipped": _shipped, "own": _own}[way](fields, upload)
    if text is None:
        return None
    with st.expander("The mapping as a page to keep"):
        st.code(text, language="toml")
        st.download_button("Keep it as a file", text, "mapping.toml", "application/toml", key="take_in-keep")
    check_mapping(desk(), text)
    return text


def _shipped(fields: Fields, upload: Upload) -> str | None:
    texts = {one.slug: one.text for one in shipped_mappings()}
    chosen = fields.choice("shipped", "Mapping", texts, placeholder="Choose one")
    return mapping_text(chosen) if chosen else None


def _own(fields: Fields, upload: Upload) -> str | None:
    brought = uploader("Mapping", ["toml"], "take_in-mapping", 1)
    if brought is not None:
        checked = checked_upload(brought.name, brought.getvalue())
        st.session_state[OWN] = checked.raw.decode("utf-8-sig", errors="replace")
    found: str | None = st.session_state.get(OWN)
    return found


def _drafted(fields: Fields, upload: Upload) -> str | None:
    """A mapping from what is chosen for each column."""
    view = desk().standpoint().view
    head = table_head(upload)
    kinds = {one.slug: one.text for one in kinds_under(view)}
    sources = {one.slug: one.text for one in kinds_under(view, "Source")}
    left, middle, right = st.columns(3, gap="medium")
    with left:
        kind = fields.choice("kind", "Each row is about one", kinds, placeholder="piece, maker, sale …")
    with middle:
        source = fields.text("source-name", "Source that says so", placeholder="the list itself, or the book")
    with right:
        source_kind = fields.choice("source-kind", "Which is a", sources, placeholder="data file, book …")
    if not (kind and source and source_kind):
        st.html("<p>Fill in these three; then choose what each column says.</p>")
        return None
    uses = {one.slug: one.text for one in uses_for(view, kind)}
    guesses = guessed(view, kind, head.headings)
    chosen = [
        (column, _use(fields, (kind, column), uses, guesses.get(column), sample(head, column)))
        for column in head.headings
    ]
    try:
        return toml_of(
            MappingDraft(
                upload.name.rsplit(".", 1)[0],
                kind,
                source,
                source_kind,
                tuple((c, use) for c, use in chosen if use),
            ),
            view.vocabulary,
        )
    except KilnmarkError as error:
        st.html(refusal("No mapping yet", error))
        return None


def _use(
    fields: Fields, asked: tuple[str, str], uses: dict[str, str], guess: str | None, shown: str
) -> str | None:
    """What a column says; guessed at first by its heading."""
    left, right = st.columns([3, 2], vertical_alignment="bottom")
    kind, column = asked
    name = f"use {kind} {column}"
    if name not in fields.kept:
        fields.kept[name] = guess
    with left:
        use = fields.choice(name, f"Column “{plain(column)}”", uses, placeholder="Not taken in")
    right.html(shown)
    return use
