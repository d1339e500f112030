"""What a test reads off a screen."""

from __future__ import annotations

import html
import json
import re

from streamlit.testing.v1 import AppTest
from streamlit.util import calc_hash


def markup(page: AppTest) -> str:
    """All markup that a screen draws, as it is sent to the browser."""
    drawn = (str(block.proto.body) for block in page.get("html"))
    return "\n".join(body for body in drawn if not body.startswith("<style>"))


def text(page: AppTest) -> str:
    """All words that a screen shows, as a reader sees them."""
    bare = html.unescape(re.sub(r"<[^>]*>", " ", markup(page)))
    return " ".join(bare.split())


def opened(page: AppTest, screen: str, /, **parts: str) -> AppTest:
    """The page after its address was typed: a screen, by its module's name, and the parts after it."""
    page._page_hash = calc_hash(screen.replace("_", "-"))  # what a page of st.navigation is known by
    page.query_params.clear()
    page.query_params.update(parts)
    page.run()
    assert not page.exception
    return page


def gone_to(page: AppTest) -> str | None:
    """The address that the browser was told to go to in the last run."""
    for one in page.get("bidi_component"):
        told = json.loads(one.proto.json or "null")
        if told:
            return str(told["to"])
    return None
