"""The page of a thing: all that the record says of it, at an address that can be kept."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from app.address import address, as_of, part
from app.daybook import desk
from app.drawing import along_the_years, record, surroundings
from app.drawing.words import claim_link, link, notice, parts, plain
from app.frame import ways_on
from kg.asking.history import Touch
from kg.asking.thing import MOST_ROWS, FollowingSource, MarkRead, PartOfPiece, Section, ThingPage, thing_page

#: Entries of the history that are shown before the reader asks for all.
MOST_ENTRIES = 12


def screen() -> None:
    """The whole screen."""
    slug = part("id")
    if not slug:
        st.title("On record")
        st.html(
            notice("No thing is named", "<p>Look for one by its name, number or mark, in the box above.</p>")
        )
        return
    standpoint = desk().standpoint(as_of())
    page = thing_page(standpoint, slug, None if part("all") else MOST_ROWS)
    st.set_page_config(page_title=f"{page.label} – Kilnmark")
    st.html(_head(page) + _ways_on(page))
    if page.timeline is not None:
        st.html(
            record.titled(
                "Along the years",
                along_the_years.with_reasons(page.timeline, "What is known of its dates, along the years"),
            )
        )
    surroundings.show(page.slug, standpoint)
    if page.cautions:
        st.html(
            record.titled(
                "Caution", "".join(f'<div class="k-item">{plain(one)}</div>' for one in page.cautions)
            )
        )
    body = [
        *(_section(page, section, record.about(section.rows)) for section in page.sections),
        _parts(page.parts),
        _marks(page.marks),
        *(_section(page, section, record.subjects(section.rows)) for section in page.mentions),
        _section(page, page.says, record.sentences(page.says.rows, page.slug)) if page.says else "",
        _following("It follows", page.follows),
        _following("Followed by", page.followed_by),
        _history(page, page.history),
    ]
    st.html("".join(body))


def _head(page: ThingPage) -> str:
    confidential = ' <span class="k-tag">confidential</span>' if page.is_confidential else ""
    same = f"<p>The same as {'; '.join(parts([one]) for one in page.same_as)}.</p>" if page.same_as else ""
    kinds = f"{plain(page.kinds)} · " if page.kinds else ""
    count = f"{page.claim_count} claim{'' if page.claim_count == 1 else 's'}"
    words = part("words")
    all_found = link(address("find", words=words), f"All that answers to “{plain(words)}”") if words else ""
    same += f'<p class="k-small">{all_found}</p>' if all_found else ""
    return (
        f'<div class="k-thing"><p class="k-asked">{kinds}{count} · <code>{plain(page.slug)}</code></p>'
        f"<h1>{plain(page.label)}{confidential}</h1>{same}</div>"
    )


def _ways_on(page: ThingPage) -> str:
    """What can be done from here, as far as its screens are there."""
    ways = [
        (page.can_be_dated, "fit_a_date", {"subject": page.slug}, "Fit a date"),
        (page.is_artefact, "whose_is_it", {"id": page.slug}, "Whose is it?"),
        (True, "threads", {"from": page.slug}, "A thread from here"),
        (page.is_piece, "essay_bench", {"piece": page.slug}, "Draft an essay"),
        (page.is_essay, "essay_bench", {"id": page.slug}, "Open on the bench"),
        (page.is_source, "sources_weighed", {"id": page.slug}, "Weigh this source"),
        (as_of() is None, "add", {"about": page.slug}, "Add a finding"),
        (as_of() is None, "join", {"id": page.slug}, "One or two?"),
        (True, "question", {"about": page.slug}, "Questions"),
    ]
    return ways_on(ways)


def _section(page: ThingPage, section: Section, drawn: str) -> str:
    more = ""
    if len(section.rows) < section.count:
        everything = link(address("thing", id=page.slug, all="1"), "show all")
        more = f'<p class="k-small">{len(section.rows)} of {section.count}: {everything}</p>'
    return record.titled(section.title, drawn + more)


def _parts(given: Sequence[PartOfPiece]) -> str:
    return record.titled(
        "The making of its parts",
        "".join(
            f'<div class="k-part"><h3>{parts([one.name])} '
            f'<span class="k-small">{plain(one.kinds)}, {plain(one.relation)}</span></h3>'
            f"{record.about(one.rows) or '<p class=k-small>Nothing is recorded of its making.</p>'}</div>"
            for one in given
        ),
    )


def _marks(given: Sequence[MarkRead]) -> str:
    return record.titled("Marks as they are read", "".join(map(_mark, given)))


def _mark(one: MarkRead) -> str:
    said = "".join(f"<li>{plain(sentence)}</li>" for sentence in one.sentences)
    window = f'<div class="k-follows">Together: {plain(one.window)}</div>' if one.window else ""
    question = f'<div class="k-rule">{plain(one.question)}</div>' if one.question else ""
    return (
        f'<div class="k-item"><div class="k-claim">{parts([one.mark])}: '
        f"{claim_link(one.claim, one.transcription)}</div>"
        f"{f'<ul class=k-list>{said}</ul>' if said else ''}{window}{question}</div>"
    )


def _following(title: str, given: Sequence[FollowingSource]) -> str:
    return record.titled(
        title,
        "".join(
            f'<div class="k-part"><h3>{parts([one.source])}</h3>{record.sentences(one.because)}</div>'
            for one in given
        ),
    )


def _history(page: ThingPage, touches: Sequence[Touch]) -> str:
    shown = touches if part("all") else touches[:MOST_ENTRIES]
    more = ""
    if len(shown) < len(touches):
        everything = link(address("thing", id=page.slug, all="1"), "show all")
        more = f'<p class="k-small">The last {len(shown)} of {len(touches)}: {everything}</p>'
    return record.titled("Entries that speak of it", record.history(shown) + more)
