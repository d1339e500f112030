"""The daybook that the desk was opened with, one for all readers of the process."""

from __future__ import annotations

import os
from pathlib import Path

import streamlit as st

from kg.asking import Desk

#: Names the daybook's folder; the command `kilnmark desk` sets it.
VARIABLE = "KILNMARK_DAYBOOK"


def desk() -> Desk:
    """The daybook to ask."""
    return _desk(os.environ.get(VARIABLE, ""))


@st.cache_resource(max_entries=4, show_spinner=False)
def _desk(folder: str) -> Desk:
    return Desk(Path(folder))
