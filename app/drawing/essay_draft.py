"""The text that is being written: kept for this window under keys of its own, until it is saved or given up."""

from __future__ import annotations

from datetime import date
from typing import Any

import streamlit as st

from app.drawing.fields import Fields
from kg.asking.essays import Opened

#: Texts that are not saved yet, by what they are kept under: their title and where they are opened.
_UNSAVED = "essay_bench unsaved"

#: Lines of the text that are seen at once, in pixels.
_HEIGHT = 640


class Draft:
    """The text on the bench: as it stands on the screen today, or as it stood at the end of a past day."""

    def __init__(self, opened: Opened, day: date | None = None) -> None:
        self.opened = opened
        self.day = day
        self.name = opened.pieces[0].slug if opened.is_draft else opened.essay
        self.fields = Fields(f"essay_bench-{'new' if opened.is_draft else 'text'}-{self.name}")
        kept = self.fields.kept
        is_new = "text" not in kept
        is_behind = not is_new and kept["text"] == kept["base"] and kept["base"] != opened.text
        if day is None and (is_new or is_behind) and not self.is_changed:
            self.take_saved()

    @property
    def text(self) -> str:
        """The text as it stands."""
        return self.opened.text if self.day is not None else str(self.fields.value("text", self.opened.text))

    @property
    def seen(self) -> int:
        """How many versions the writer knows of."""
        return int(self.fields.kept.get("seen", self.opened.number))

    @property
    def is_changed(self) -> bool:
        """Whether the text differs from what it began from."""
        return self.day is None and self.text != self.fields.kept.get("base", self.opened.text)

    def field(self) -> None:
        """The field to write in."""
        self.fields.page(
            "text",
            "The essay in Markdown; a note is written [^claim], your own judgement [^own]",
            height=_HEIGHT,
        )
        self._list()

    def put(self, text: str) -> None:
        """Change the text; only in a callback, or before the field is drawn."""
        self.fields.put("text", text)

    def catch_up(self) -> None:
        """Keep what stands in the field; for a callback."""
        self.fields.kept["text"] = self.text

    def take_saved(self) -> None:
        """Go back to the text as it is on record, or as it was drafted."""
        self.fields.put("text", self.opened.text)
        self.fields.kept["base"] = self.opened.text
        self.see()

    def see(self) -> None:
        """Know of all versions that there are."""
        self.fields.kept["seen"] = self.opened.number

    def saved(self) -> None:
        """The text is on record now; a draft of a piece is an essay from here on."""
        self._all().pop(self._key(), None)
        if self.opened.is_draft:
            self.fields.clear()
            return
        self.fields.kept["base"] = self.text
        self.fields.kept["seen"] = self.seen + 1

    def _list(self) -> None:
        """Have the text among those that are not saved, or not."""
        if not self.is_changed:
            self._all().pop(self._key(), None)
            return
        to = {"piece": self.name} if self.opened.is_draft else {"id": self.name}
        self._all()[self._key()] = (self.opened.title, to)

    def _key(self) -> str:
        return self.fields.screen

    @staticmethod
    def _all() -> dict[str, Any]:
        found: dict[str, Any] = st.session_state.setdefault(_UNSAVED, {})
        return found

    @staticmethod
    def unsaved() -> tuple[tuple[str, dict[str, str]], ...]:
        """The texts of this window that are not saved: their titles, and the parts of their addresses."""
        return tuple(Draft._all().values())
