"""The fields of a form that outlast a visit to another screen, and what is wrong beside each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import streamlit as st

from app.drawing.words import lines


class Fields:
    """The fields of one screen: what is typed is kept under a key of its own until it is recorded or cleared."""

    def __init__(self, screen: str) -> None:
        self.screen = screen
        self.kept: dict[str, Any] = st.session_state.setdefault(f"{screen} kept", {})

    def key(self, name: str) -> str:
        """The key of a field's widget."""
        return f"{self.screen}-{name}"

    def value(self, name: str, default: Any = None) -> Any:
        """What a field holds: as it stands on the screen, else as it was kept."""
        return st.session_state.get(self.key(name), self.kept.get(name, default))

    def put(self, name: str, value: Any) -> None:
        """Fill a field in; only in a callback, or before the field is drawn."""
        self.kept[name] = st.session_state[self.key(name)] = value

    def text(self, name: str, label: str, **more: Any) -> str:
        """One line of text."""
        self._seed(name, "")
        return str(self._keep(name, st.text_input(label, key=self.key(name), max_chars=1_000, **more)))

    def page(self, name: str, label: str, **more: Any) -> str:
        """Several lines of text."""
        self._seed(name, "")
        return str(self._keep(name, st.text_area(label, key=self.key(name), **more)))

    def switch(self, name: str, label: str, **more: Any) -> bool:
        """Yes or no."""
        self._seed(name, False)
        return bool(self._keep(name, st.toggle(label, key=self.key(name), **more)))

    def tick(self, name: str, label: str, *, default: bool = False, **more: Any) -> bool:
        """Yes or no, in a list."""
        self._seed(name, default)
        return bool(self._keep(name, st.checkbox(label, key=self.key(name), **more)))

    def choice(self, name: str, label: str, texts: Mapping[str, str], **more: Any) -> str | None:
        """One of many, by part of its text; nothing at first."""
        self._seed(name, None, texts)
        chosen = st.selectbox(
            label,
            list(texts),
            format_func=lambda one: texts.get(one, one),
            index=None,
            key=self.key(name),
            **more,
        )
        found: str | None = self._keep(name, chosen)
        return found

    def one_of(self, name: str, label: str, texts: Mapping[str, str], **more: Any) -> str:
        """One of a few, all shown; the first at first."""
        self._seed(name, next(iter(texts)), texts)
        chosen = st.radio(
            label, list(texts), format_func=lambda one: texts.get(one, one), key=self.key(name), **more
        )
        return str(self._keep(name, chosen))

    def several(self, name: str, label: str, texts: Mapping[str, str], **more: Any) -> Sequence[str]:
        """Some of many."""
        self._seed(name, [])
        self.put(name, [one for one in self.value(name) if one in texts])
        chosen = st.multiselect(
            label, list(texts), format_func=lambda one: texts.get(one, one), key=self.key(name), **more
        )
        found: Sequence[str] = self._keep(name, chosen)
        return found

    def clear(self, *names: str) -> None:
        """Empty some fields, or all; only in a callback, or before they are drawn."""
        for name in names or tuple(self.kept):
            self.kept.pop(name, None)
            st.session_state.pop(self.key(name), None)

    def _seed(self, name: str, default: Any, allowed: Mapping[str, str] | None = None) -> None:
        """Give a field that another screen has emptied what it held; a choice that is gone is forgotten."""
        if self.key(name) not in st.session_state:
            st.session_state[self.key(name)] = self.kept.get(name, default)
        if allowed is not None and st.session_state[self.key(name)] not in allowed:
            st.session_state[self.key(name)] = default

    def _keep(self, name: str, value: Any) -> Any:
        self.kept[name] = value
        return value


def fault(faults: Mapping[str, str], name: str) -> None:
    """What is wrong with a field, beside it."""
    if name in faults:
        st.html(f'<p class="k-fault" role="alert">{lines(faults[name])}</p>')
