"""Whose is it? Who a piece may be by, why and why not, what to look at next, and what would follow if it were seen."""

from __future__ import annotations

import streamlit as st

from app.address import address, as_of, part
from app.daybook import desk
from app.drawing import effects, record
from app.drawing import whose as drawn
from app.drawing.going import go_to
from app.drawing.recording import attempt, done, failed
from app.drawing.words import notice, refusal
from app.frame import ways_on
from app.sign_in import admitted, at_the_desk, signature
from kg.asking.observing import FeatureAsked, LookingGroup, Supposed, drafts_count, read_supposed
from kg.asking.recording import draft_lines, record_note, try_note
from kg.asking.roles import Act
from kg.asking.standpoint import Standpoint
from kg.asking.weighed import sources_to_choose
from kg.asking.whose import Whose, findings_note, pieces_to_ask, question_note, seen_form, since_kept, whose
from kg.daybook.record import Entry
from kg.errors import KilnmarkError

#: What is supposed of each piece is kept here between runs and visits.
SUPPOSED = "whose_is_it supposed"

_NO_PIECE = """<p>The daybook holds no piece yet. Add one with what is seen on it, or take in a table of pieces.</p>"""

_CHOOSE = """<p>Choose a piece. Those without a maker stand first. What is recorded of it is weighed against the pieces
whose makers are known.</p>"""


def screen() -> None:
    """The whole screen."""
    st.title("Whose is it?")
    standpoint = desk().standpoint(as_of())
    name = part("id")
    with standpoint.lock:
        choices = {choice.slug: choice.text for choice in pieces_to_ask(standpoint)}
    if not choices and not name:
        st.html(notice("There is no piece to ask about", _NO_PIECE))
        return
    _choose(standpoint, choices, name)
    done("whose_is_it")
    if not name:
        st.html(notice("Nothing is asked yet", _CHOOSE))
        return
    try:
        with st.spinner("Weighing what was seen against the recorded pieces"), standpoint.lock:
            slug = standpoint.view.thing(name).slug
            groups = seen_form(standpoint, slug)
            supposed = read_supposed(groups, _given(slug))
            answer = whose(standpoint, slug, supposed)
    except KilnmarkError as error:
        st.html(refusal("There is no answer", error))
        return
    _answer(standpoint, slug, answer)
    _seen(slug, groups, supposed, answer)
    _recording(standpoint, slug, answer, supposed)
    if answer.trust is not None:
        st.html(record.titled("How far to trust this", drawn.trust(answer.trust)))


def _choose(standpoint: Standpoint, choices: dict[str, str], name: str) -> None:
    key = "whose_is_it piece"
    if name in standpoint.view.things:
        choices = {name: standpoint.view.label(name), **choices} if name not in choices else choices
    st.session_state[key] = name if name in choices else None
    st.selectbox(
        "Piece",
        list(choices),
        format_func=choices.__getitem__,
        index=None,
        key=key,
        placeholder="Type part of its name",
        on_change=_chosen,
    )


def _chosen() -> None:
    name = st.session_state["whose_is_it piece"]
    go_to(address("whose_is_it", **({"id": name} if name else {})))


def _given(slug: str) -> dict[str, str]:
    """What the form of a piece was last sent with."""
    kept: dict[str, dict[str, str]] = st.session_state.setdefault(SUPPOSED, {})
    return kept.setdefault(slug, {})


def _answer(standpoint: Standpoint, slug: str, answer: Whose) -> None:
    st.html(drawn.head(answer))
    st.html(
        ways_on(
            [
                (True, "thing", {"id": slug}, "On record"),
                (True, "fit_a_date", {"subject": slug}, "Fit a date"),
                (answer.question is not None, "question", {"id": answer.question or ""}, "The question kept"),
            ]
        )
    )
    body = (
        (record.titled("Who it may be by", drawn.ranking(answer)) if answer.runners else "")
        + record.titled("Struck, whatever else speaks for them", drawn.struck(answer))
        + record.titled("What to look at next", drawn.looks(answer))
    )
    if body:
        st.html(body)
    _since_kept(standpoint, slug, answer)


def _since_kept(standpoint: Standpoint, slug: str, answer: Whose) -> None:
    """What moved since the ranking was kept; it is ranked anew for that, so only when it is asked for."""
    if answer.kept_on is None:
        return
    st.header("Kept as an open question")
    st.html(f"<p>Kept last on {answer.kept_on}.</p>")
    if not st.toggle("Tell what moved since", key=f"whose_is_it since {slug}"):
        return
    with st.spinner("Ranking as it was then"), standpoint.lock:
        moves = since_kept(standpoint, slug)
    st.html(drawn.moved(moves or ()) or "<p>Nothing moved as it is shown.</p>")


def _seen(slug: str, groups: tuple[LookingGroup, ...], supposed: Supposed, answer: Whose) -> None:
    """The form of what was seen; what is chosen here is supposed until it is recorded."""
    st.header("What was seen")
    st.html(
        "<p>Say what you see, then weigh it. Nothing of it is recorded until you say so below. "
        "Not to have looked is no finding; to have looked in vain is one.</p>"
    )
    with st.form(f"whose_is_it seen {slug}", border=False):
        for place, group in enumerate(groups):
            count = len(group.features)
            title = f"{group.label.capitalize()}: {group.recorded_count} of {count} on record"
            with st.expander(title, expanded=place == 0):
                if group.caution:
                    st.html(drawn.group_head(group))
                for one in group.features:
                    _feature(slug, one)
        st.form_submit_button("Weigh with these", type="primary", on_click=_sent, args=(slug, groups))
    if supposed:
        moves = drawn.moved(answer.moved) or "<p>It moves nothing as it is shown.</p>"
        st.html(record.titled(f"What the supposition moves: {answer.headline}", moves))
        st.button("Suppose nothing", key="whose_is_it clear", on_click=_cleared, args=(slug, groups))


def _feature(slug: str, one: FeatureAsked) -> None:
    texts = {each.key: each.text for each in one.possible}
    key = _key(slug, one.slug)
    kept = _given(slug).get(one.slug, "")
    if st.session_state.get(key) not in texts:
        st.session_state[key] = kept if kept in texts else ""
    left, right = st.columns([2, 3], gap="medium")
    left.selectbox(one.label.capitalize(), list(texts), format_func=texts.__getitem__, key=key)
    right.html(drawn.feature(one))


def _key(slug: str, feature: str) -> str:
    return f"whose_is_it {slug} {feature}"


def _sent(slug: str, groups: tuple[LookingGroup, ...]) -> None:
    chosen = {
        one.slug: st.session_state.get(_key(slug, one.slug), "") for group in groups for one in group.features
    }
    st.session_state[SUPPOSED][slug] = {feature: key for feature, key in chosen.items() if key}


def _cleared(slug: str, groups: tuple[LookingGroup, ...]) -> None:
    st.session_state[SUPPOSED][slug] = {}
    for one in (one for group in groups for one in group.features):
        st.session_state[_key(slug, one.slug)] = ""


def _recording(standpoint: Standpoint, slug: str, answer: Whose, supposed: Supposed) -> None:
    """Recording what was seen, and keeping the ranking as an open question."""
    st.header("Record")
    if not admitted(Act.ADD):
        return
    count = drafts_count(supposed)
    if count:
        _to_record(standpoint, slug, supposed)
    failed("whose_is_it")
    is_signed = signature()
    if count:
        st.button(
            f"Record {count} finding{'' if count == 1 else 's'}",
            key="whose_is_it record",
            type="primary",
            disabled=not is_signed,
            on_click=_record,
            args=(slug, supposed),
        )
    if supposed:
        st.html(
            "<p>A ranking is kept only as it stands on record: record the findings, or suppose nothing.</p>"
        )
        return
    _source(standpoint, answer)
    st.button(
        "Keep the ranking as an open question",
        key="whose_is_it keep",
        disabled=not is_signed,
        on_click=_keep,
        args=(slug,),
    )


def _to_record(standpoint: Standpoint, slug: str, supposed: Supposed) -> None:
    """The findings as they would be recorded, and what that would change where it is asked."""
    try:
        note = findings_note(standpoint, slug, supposed, "not signed yet")
        st.html("".join(map(effects.line, draft_lines(desk(), note))))
        if st.toggle("Tell what recording them would change", key="whose_is_it trial"):
            with st.spinner("Looking at what it would change"):
                tried = standpoint.kept(("tried", note), lambda: try_note(desk(), note))
            st.html(effects.trial(tried))
    except KilnmarkError as error:
        st.html(refusal("This cannot be recorded as it stands", error))


def _source(standpoint: Standpoint, answer: Whose) -> None:
    if not answer.needs_source:
        return
    texts = {choice.slug: choice.text for choice in sources_to_choose(standpoint)}
    st.selectbox(
        "What the answers cite, since the piece is no source itself",
        list(texts),
        format_func=texts.__getitem__,
        index=None,
        key="whose_is_it source",
        placeholder="Such as your own working notes",
    )


def _record(slug: str, supposed: Supposed) -> None:
    colleague = at_the_desk()

    def work() -> Entry:
        note = findings_note(desk().standpoint(), slug, supposed, colleague.name)
        return record_note(desk(), colleague, note, as_of())

    if attempt("whose_is_it", work):
        _cleared(slug, seen_form(desk().standpoint(), slug))


def _keep(slug: str) -> None:
    colleague, source = at_the_desk(), st.session_state.get("whose_is_it source")

    def work() -> Entry:
        note = question_note(desk().standpoint(), slug, colleague.name, source)
        return record_note(desk(), colleague, note, as_of())

    attempt("whose_is_it", work)
