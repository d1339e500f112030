"""What an entry would bring, drawn before it is recorded."""

from __future__ import annotations

from collections.abc import Iterable

from app.drawing import record, verdicts
from app.drawing.words import claim_link, parts, plain
from kg.asking.effect import Dated, Effect, Found, Moved
from kg.asking.lines import Line
from kg.asking.recording import Trial


def trial(tried: Trial) -> str:
    """What a note would change, and what of it is on record already."""
    ids = ", ".join(map(claim_link, tried.known))
    known = f"<p>On record already and left out: {ids}.</p>" if tried.known else ""
    return f"{known}{effect(tried.effect)}"


def lines(given: Iterable[Line], most: int = 40) -> str:
    """Claims and judgements that are not recorded yet."""
    told = list(given)
    drawn = "".join(map(line, told[:most]))
    more = f'<p class="k-small">… and {len(told) - most} more.</p>' if len(told) > most else ""
    return drawn + more


def line(one: Line) -> str:
    """A claim or judgement that is not recorded yet."""
    read = f' <span class="k-small">({plain(one.read_as)})</span>' if one.read_as else ""
    quotation = f"<blockquote>{plain(one.quotation)}</blockquote>" if one.quotation else ""
    ident = f" <code>{claim_link(one.claim)}</code>" if one.claim else ""
    return (
        f'<div class="k-rec k-wide"><div><div class="k-claim">{parts(one.said)}{read}</div>'
        f'<div class="k-cite">{parts(one.cited)}{ident}</div>{quotation}</div></div>'
    )


def effect(told: Effect) -> str:
    """What recording it would change in the rest of the daybook."""
    untold = "".join(f"<p>{plain(sentence)}</p>" for sentence in told.untold)
    if told.is_quiet:
        quiet = "" if told.untold else "<p>It contradicts nothing on record, and moves no date.</p>"
        return record.titled("What it would change", quiet + untold)
    return record.titled(
        "What it would change",
        _titled("Found by the checks", "".join(map(_found, told.findings)))
        + _titled("These could not all be true", _conflicts(told))
        + _titled("No longer in conflict", "".join(map(_conflict, told.settled)))
        + _titled("Datings, tested by the rest", "".join(map(_dated, told.datings)))
        + _titled("What is known of dates", _windows(told.windows, told.more_windows))
        + untold,
    )


def _titled(title: str, markup: str) -> str:
    return f"<h3>{plain(title)}</h3>{markup}" if markup else ""


def _found(one: Found) -> str:
    hint = f'<div class="k-rule">{plain(one.hint)}</div>' if one.hint else ""
    return (
        f'<div class="k-item"><span class="k-tag">{plain(one.severity.lower())}</span> {parts([one.focus])}: '
        f"{plain(one.message)}{hint}</div>"
    )


def _conflicts(told: Effect) -> str:
    more = told.more_conflicts
    rest = f'<p class="k-small">… and {plain(more)} more such sets.</p>' if more else ""
    return "".join(map(_conflict, told.conflicts)) + rest


def _conflict(given: tuple[Line, ...]) -> str:
    return f'<div class="k-set">{"".join(map(line, given))}</div>'


def _dated(one: Dated) -> str:
    before = "" if one.before is None else f"{verdicts.word(one.before)} → "
    why = f'<div class="k-rule">{plain(one.why)}</div>' if one.why else ""
    return (
        f'<div class="k-item"><div class="k-claim">{parts(one.line.said)}: {before}'
        f"{verdicts.word(one.after)}</div>{why}</div>"
    )


def _windows(moved: tuple[Moved, ...], more: int) -> str:
    rows = "".join(
        f'<div class="k-rec"><div class="k-prop">{parts([one.thing])}, {plain(one.span)}</div>'
        f"<div>{plain(one.before)} → {plain(one.after)}"
        f' <span class="k-small">({plain(one.how)})</span></div></div>'
        for one in moved
    )
    return rows + (f'<p class="k-small">… and {plain(more)} more.</p>' if more else "")
