"""Whose is it? The ranking with its reasons, those struck, the next looks, and how far to trust it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from app.drawing.words import claim, claim_link, parts, plain, tags, thing_link
from kg.asking.observing import FeatureAsked, LookingGroup, OnRecord
from kg.asking.trust import Dot, Trust
from kg.asking.whose import Moved, NextLook, Reason, Runner, Struck, Whose


def head(page: Whose) -> str:
    """The answer in words, with the house's rule for them."""
    confidential = ' <span class="k-tag">confidential</span>' if page.is_confidential else ""
    supposed = "; ".join(f"{plain(label)}: {plain(text)}" for label, text in page.supposed)
    if_so = f"<p><strong>Supposed, and not recorded:</strong> {supposed}.</p>" if supposed else ""
    why = f"<p>{plain(page.too_few)}</p>" if page.too_few else ""
    return (
        f'<section class="w-answer" aria-label="Answer"><p class="k-asked">{parts([page.piece])}{confidential}, '
        f'{plain(page.kinds)}</p><h2>{plain(page.headline)}</h2><p class="k-small">{plain(page.certainty)} '
        f"{plain(page.basis)}</p>{if_so}{why}</section>"
    )


def ranking(page: Whose) -> str:
    """The makers with their chances, and the reasons of each to be opened."""
    more = f'<p class="k-small">{plain(page.not_asked)}</p>' if page.not_asked else ""
    legend = (
        '<p class="k-small">Decibans: ten is ten times likelier than in the trade as a whole. '
        "● speaks for the maker, ○ against. Open a maker for its reasons.</p>"
    )
    return (
        "".join(_runner(one, is_first=place == 0) for place, one in enumerate(page.runners)) + legend + more
    )


def _runner(one: Runner, *, is_first: bool) -> str:
    confidential = ' <span class="k-tag">confidential</span>' if one.is_confidential else ""
    weight = f"{plain(one.decibans)} decibans" if one.decibans else ""
    recorded = f"; recorded pieces: {plain(one.recorded)}" if one.recorded not in ("", "–") else ""
    bar = f'<i class="w-bar" aria-hidden="true"><b style="width:{one.share:.1%}"></b></i>'
    line = (
        f'<div class="w-runner"><div>{parts([one.maker])}{confidential}<div class="k-small">{weight}{recorded}</div>'
        f"</div><div><strong>{plain(one.chance)}</strong>{bar}</div></div>"
    )
    if not one.reasons:
        return line
    more = f'<p class="k-small">and {one.more_reasons} lesser ones</p>' if one.more_reasons else ""
    opened = " open" if is_first else ""
    return (
        f"{line}<details{opened}><summary>For and against {plain(one.maker.text)}</summary>"
        f"{''.join(map(_reason, one.reasons))}{more}</details>"
    )


def _reason(one: Reason) -> str:
    side, shape, said = ("w-for", "●", "for") if one.is_for else ("w-against", "○", "against")
    counted = f'<div class="k-small">{plain(one.counted)}</div>' if one.counted else ""
    example = f'<div class="k-small">as on {parts(one.example)}</div>' if one.example else ""
    return (
        f'<div class="w-reason {side}"><div class="w-weight"><span aria-hidden="true">{shape}</span> '
        f'{plain(one.decibans)} <span class="k-small">{said}</span>'
        f'<i class="w-tilt" aria-hidden="true"><b style="width:{one.share:.1%}"></b></i></div>'
        f"<div><strong>{plain(one.feature)}:</strong> {plain(one.found)}{counted}"
        f"{_cited(one.claims) if one.is_plain else _claims(one.claims)}{example}</div></div>"
    )


def _cited(given: Iterable[Mapping[str, Any]]) -> str:
    """Claims by their citations alone, where their sentences would say the same again."""
    return "".join(
        '<div class="k-small">supposed</div>'
        if one["standing"] == "supposed"
        else f'<div class="k-small">{thing_link(one["source"], one["citation"])} '
        f"<code>{claim_link(one['claim'])}</code>{tags(one)}</div>"
        for one in given
    )


def _claims(given: Iterable[Mapping[str, Any]]) -> str:
    return "".join(f'<div class="w-claim">{claim(one)}</div>' for one in given)


def struck(page: Whose) -> str:
    """The makers that the dates rule out, with the claims that cannot all be true together."""
    more = f'<p class="k-small">and {page.more_struck} more</p>' if page.more_struck else ""
    return "".join(map(_struck, page.struck)) + more


def _struck(one: Struck) -> str:
    but_for = f' <span class="k-small">{plain(one.but_for)}</span>' if one.but_for else ""
    return (
        f'<details class="w-struck"><summary><s>{plain(one.maker.text)}</s> excluded{but_for}</summary>'
        f"<p>{parts([one.maker])} is struck: these cannot all be true.</p>{_claims(one.claims)}</details>"
    )


def looks(page: Whose) -> str:
    """What to look at next, by what it is expected to tell."""
    never = (
        f'<p class="k-small">On no recorded piece, so nothing can be told: {plain(", ".join(page.never))}.</p>'
        if page.never
        else ""
    )
    return "".join(map(_look, page.looks)) + (never if page.looks else "")


def _look(one: NextLook) -> str:
    tried = "; noted as not examined" if one.was_tried else ""
    found = "".join(f"<li>{plain(outcome)}</li>" for outcome in one.outcomes)
    caution = f"<p><strong>Caution:</strong> {plain(one.caution)}</p>" if one.caution else ""
    return (
        f'<div class="w-runner"><div><strong>{plain(one.feature)}</strong> '
        f'<span class="k-small">{plain(one.cost)}{tried}</span><div>{plain(one.look_for)}</div>'
        f'<ul class="k-list">{found}</ul>{caution}</div>'
        f'<div><strong>{plain(one.bits)}</strong><i class="w-bar" aria-hidden="true">'
        f'<b style="width:{one.share:.1%}"></b></i></div></div>'
    )


def moved(given: Iterable[Moved]) -> str:
    """The makers whose chance is another than before."""
    lines = "".join(
        f"<li>{parts([one.maker])}: {plain(one.before)} → <strong>{plain(one.after)}</strong>"
        f"{_because(one)}</li>"
        for one in given
    )
    return f'<ul class="k-list">{lines}</ul>' if lines else ""


def _because(one: Moved) -> str:
    return f' <span class="k-small">({plain("; ".join(one.because))} decibans)</span>' if one.because else ""


def trust(given: Trust) -> str:
    """The reliability diagram with its figures; the table beside it says the same."""
    figures = "".join(f"<dt>{plain(name)}</dt><dd>{plain(said)}</dd>" for name, said in given.figures)
    rows = "".join(
        f"<tr><td>{plain(dot.said_text)}</td><td>{plain(dot.true_text)}</td><td>{plain(dot.pieces)}</td></tr>"
        for dot in given.dots
    )
    dots = "".join(map(_dot, given.dots))
    return (
        f'<p>{plain(given.says)}</p><div class="w-trust"><figure class="w-reliable">'
        f'<div class="w-square" role="img" aria-label="What was said against what came true; the table says the same">'
        f'<i class="w-even"></i>{dots}</div>'
        "<figcaption>Left to right: what was said of the first maker, none to certain. "
        "Upwards: how often it came true. "
        "On the line the two agree. Larger: more pieces.</figcaption></figure>"
        '<table class="w-table w-small"><thead><tr><th scope=col>Said</th><th scope=col>Came true</th>'
        f"<th scope=col>Pieces</th></tr></thead><tbody>{rows}</tbody></table>"
        f'<dl class="w-figures">{figures}</dl></div>'
    )


def _dot(one: Dot) -> str:
    return f'<i style="left:{one.said:.1%};bottom:{one.true:.1%};--w-share:{one.share:.3f}"></i>'


# ---------------------------------------------------------------- the form


def group_head(group: LookingGroup) -> str:
    """What to mind in this kind of looking."""
    return f"<p><strong>Caution:</strong> {plain(group.caution)}</p>" if group.caution else ""


def feature(one: FeatureAsked) -> str:
    """What a feature is, what is on record of it, and what each value looks like."""
    recorded = "".join(map(_on_record, one.recorded))
    meanings = "".join(
        f"<dt>{plain(each.label)}</dt><dd>{plain(each.description)}</dd>" for each in one.meanings
    )
    listed = (
        f"<details><summary>What each looks like: {plain(one.label)}</summary>"
        f"<dl class=w-means>{meanings}</dl></details>"
        if meanings
        else ""
    )
    return f'<div class="w-feature"><div>{plain(one.description)}</div>{recorded}{listed}</div>'


def _on_record(one: OnRecord) -> str:
    claims = ", ".join(f"<code>{parts([each])}</code>" for each in one.claims)
    looked = f" ({plain(one.looked)})" if one.looked else ""
    return f'<div class="k-small">On record: {plain(one.text)}{looked} {claims}</div>'
