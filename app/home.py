"""The desk's door: the settings of the page, its style, and the screens to choose from."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

HERE = Path(__file__).resolve().parent

st.set_page_config(page_title="Kilnmark", page_icon=str(HERE / "favicon.png"), layout="wide")
st.html(HERE / "desk.css")
st.navigation(
    [st.Page(HERE / "screens" / "fit_a_date.py", title="Fit a date", default=True)], position="top"
).run()
