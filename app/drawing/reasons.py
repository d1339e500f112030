"""The reasons: the claims that bind each side, what would change the verdict, and what else is on record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from app.drawing import verdicts
from app.drawing.words import claim, claim_link, plain, tags
from kg.asking import Answer, Bound, Link
from kg.chronology.verdict import Verdict


def bound_head(bound: Bound) -> str:
    """The heading of one side: its day, or that nothing sets one."""
    if bound.day is None:
        return f'<h3 class="k-side">{plain(bound.title)}: nothing on record sets a limit</h3>'
    return f'<h3 class="k-side">{plain(bound.title)} {plain(bound.day)}, because</h3>'


def link(one: Link) -> str:
    """One link of a chain of reasons: the claim with its source, the rule, and what follows."""
    convention = f" Convention: {plain(one.convention)}." if one.convention else ""
    follows = f'<div class="k-follows">{plain(one.follows)}</div>' if one.follows else ""
    rule = f'<div class="k-rule">Rule ({plain(one.strength)}): {plain(one.rule)}.{convention}</div>'
    change = ""
    if one.without is not None:
        change = f'<div class="k-change">If this claim is wrong: {verdicts.word(one.without)}</div>'
    said = claim(one.told) if one.told else ""
    return numbered(one.number, f"{said}{rule}{follows}{change}")


def numbered(number: int | None, said: str) -> str:
    """A claim or a rule with its number on the screen before it; ``said`` is markup already."""
    mark = "·" if number is None else plain(number)
    return f'<div class="k-link"><span class="k-number">{mark}</span><div>{said}</div></div>'


def deciders(answer: Answer) -> str:
    """Which single claims, if wrong, would change the verdict."""
    if not answer.fit.deciders:
        return "<p>No single statement would change it: each reason holds alone, or several would have to be wrong.</p>"
    items = zip(answer.told["deciding"], answer.fit.deciders, strict=True)
    listed = "".join(
        f"<li>Without claim {plain(answer.numbers.get(d.claim.id, ''))}, "
        f"{claim_link(t['claim'], t['sentence'])}{tags(t)}: "
        f"{verdicts.word(d.verdict)}{_repeated(t['repeated_by'])}</li>"
        for t, d in items
    )
    return f'<ul class="k-list">{listed}</ul>'


def _repeated(told: Sequence[Mapping[str, Any]]) -> str:
    """The further claims that say the same and would have to be wrong too."""
    if not told:
        return ""
    listed = "".join(f"<li>{claim_link(one['claim'], one['citation'])}</li>" for one in told)
    return f'<div class="k-rule">With all that say the same:</div><ul class="k-list">{listed}</ul>'


def cautions(told: Mapping[str, Any]) -> str:
    """What to mind before the piece is touched."""
    return "".join(f'<div class="k-item">{plain(caution)}</div>' for caution in told["cautions"])


def strains(told: Mapping[str, Any]) -> str:
    """The usual and weak rules that the date breaks without being impossible."""
    return "".join(
        f'<div class="k-item"><strong>{plain(strain["sentence"])}</strong>{_because(strain["because"])}</div>'
        for strain in told["strains"]
    )


def tried(told: Sequence[Mapping[str, Any]]) -> str:
    """Dates tested like the phrase: each with its verdict, and the claim that gives it."""
    return "".join(
        f'<div class="k-item"><strong>{plain(one["text"])}</strong>: {verdicts.word(Verdict(one["verdict"]))}'
        f"{claim(one) if one['claim'] else ''}</div>"
        for one in told
    )


def set_aside(told: Mapping[str, Any]) -> str:
    """Claims that the daybook sets aside, with the claims that they cannot be true beside."""
    return "".join(
        f'<div class="k-item">{claim(one)}<div class="k-rule">These cannot all be true:</div>'
        f'<ul class="k-list">{"".join(f"<li>{claim(other)}</li>" for other in one["conflict"])}</ul></div>'
        for one in told["set_aside"]
    )


def claims(told: Sequence[Mapping[str, Any]]) -> str:
    """Some claims, one below the other."""
    return "".join(f'<div class="k-item">{claim(one)}</div>' for one in told)


def _because(steps: Sequence[Mapping[str, Any]]) -> str:
    return "".join(
        f"{claim(step) if step['claim'] else ''}"
        f'<div class="k-rule">Rule ({plain(step["strength"])}): {plain(step["rule"])}.</div>'
        for step in steps
    )
