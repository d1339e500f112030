"""The screen *Judge a claim*: how it stands, what another standing would change, and the judgement recorded."""

from __future__ import annotations

import streamlit as st

from app.address import is_new, part
from app.daybook import desk
from app.drawing import record
from app.drawing.deciding import decide
from app.drawing.fields import Fields
from app.drawing.recording import done
from app.drawing.words import claim_link, notice, plain
from app.sign_in import admitted
from kg.asking.claim import claim_page
from kg.asking.judging import judgement_note, standings
from kg.asking.roles import Act


def screen() -> None:
    """The whole screen."""
    st.title("Judge a claim")
    if not admitted(Act.JUDGE):
        return
    ident = part("id")
    if not ident:
        st.html(
            notice("No claim is named", "<p>Come from a claim's page: look for its id in the box above.</p>")
        )
        return
    standpoint, fields = desk().standpoint(), Fields("judge")
    done("judge")
    if is_new():
        fields.clear("standing", "why")
    page = claim_page(standpoint, ident)
    st.html(
        record.sentences([page.row]) + f'<p class="k-small">{claim_link(ident, "All about this claim")}</p>'
    )
    if page.judgements:
        said = "".join(
            f"<li>{plain(one.standing)} by {plain(one.researcher)}, {plain(one.day)}: {plain(one.why)}</li>"
            for one in page.judgements
        )
        st.html(record.titled("Judged before", f'<ul class="k-list">{said}</ul>'))
    texts = {one.slug: one.text for one in standings(standpoint.view)}
    standing = fields.choice("standing", "It is to be", texts, placeholder="Choose")
    why = fields.page("why", "Why", height=80, max_chars=5_000)
    if not standing:
        st.html("<p>Choose a standing to see what it would change.</p>")
        return
    decide(
        "judge",
        "Record the judgement",
        lambda view, name: judgement_note(view, ident, standing, why, name),
        lambda: fields.clear("standing", "why"),
        shows_lines=False,
    )
