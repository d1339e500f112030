"""The desk's door: the settings of the page, its style, the frame, and the screen that is chosen.

How a screen is added:

1. Write ``app/screens/<name>.py`` with a function ``screen() -> None``. It appears by itself at ``/<name>``, with
   ``-`` for ``_``; `app.frame.LISTED` holds the order and titles of those listed at the top (the day's eight are named
   there already), all other modules are reached by links.
2. Work out everything in ``kg/asking/<name>.py`` as frozen values; take ``desk().standpoint(as_of())`` (view,
   chronology, audit, weighed, threads, and ``kept(name, make)`` for what is worked out once a revision).
3. The day is `app.address.as_of`: never record while it is not None. ``with desk().daybook() as daybook:`` records.
4. Each text that is not ours goes through `app.drawing.words.plain`; names, dates and numbers through
   ``thing_link(slug, text)``, ``claim_link(id)``, ``parts(...)``; a told claim through ``claim(told)``.
5. Addresses: ``address("thing", id=slug)`` for a link, ``part("id")`` to read one, ``put(id=slug)`` to set it, and
   ``go_to(address(…))`` in a callback (never ``st.switch_page``, which spoils the Back button); all keep the day.
   ``is_new()`` tells that the reader came by a link or by Back: what is asked then stands in the address.
6. A `KilnmarkError` that is raised is shown in place of the screen; there is always a daybook when a screen runs.
7. Widget keys begin with the screen's name; what must outlast another screen is kept in session state under a key of
   your own. Style: a block in desk.css with a prefix of your own.
8. Tests: ``opened(page, "<name>", id=…)`` of tests/app/pages.py runs it without a browser; put its address into
   ``SCREENS`` of tests/browser/test_screens.py, and it is looked at for access, outside requests and hostile names.
"""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from app import frame, sign_in

HERE = Path(__file__).resolve().parent

st.set_page_config(page_icon=str(HERE / "favicon.png"), layout="wide")
st.html(HERE / "desk.css")
pages = frame.pages()
chosen = st.navigation(list(pages.values()), position="top")
st.set_page_config(page_title=f"{chosen.title} – Kilnmark")
if sign_in.gate() and frame.head():
    chosen.run()
