"""A file tried before it is taken in: what it holds, every fault with its place, what it would change."""

from __future__ import annotations

from collections.abc import Iterable

from app.drawing import effects, record
from app.drawing.words import plain
from kg.asking.taking_in import Fault, TableHead, Trial


def trial(tried: Trial) -> str:
    """All that is told of a file before it is recorded."""
    refused = (
        "<p><strong>It cannot be taken in as it stands: mend what is named below.</strong></p>"
        if tried.is_refused
        else ""
    )
    empty = "<p>The daybook holds all of it already.</p>" if tried.is_empty and not tried.is_refused else ""
    counts = "".join(f"<li>{plain(count)}</li>" for count in tried.counts)
    more = f'<p class="k-small">… and {plain(tried.more)} more.</p>' if tried.more else ""
    return (
        record.titled("What it holds", f'{refused}{empty}<ul class="k-list">{counts}</ul>')
        + record.titled("What is wrong", faults(tried.faults))
        + record.titled("To be recorded", effects.lines(tried.lines) + more if tried.lines else "")
        + (effects.effect(tried.effect) if tried.effect else "")
    )


def faults(given: Iterable[Fault]) -> str:
    """Every fault with its row and column."""
    rows = "".join(
        f"<tr><td>{plain(one.place)}</td><td>{plain(one.column)}</td><td>{plain(one.found[:200])}</td>"
        f"<td>{plain(one.expected)}. {plain(one.remedy)}</td>"
        f"<td>{'left out' if one.is_left_out else 'refused'}</td></tr>"
        for one in given
    )
    head = "<tr><th>Place</th><th>Column</th><th>Found</th><th>Expected</th><th>Comes to</th></tr>"
    if not rows:
        return ""
    return (
        '<div class="k-scroll" tabindex="0" role="region" aria-label="Faults, each with its place">'
        f'<table class="k-table"><thead>{head}</thead><tbody>{rows}</tbody></table></div>'
    )


def sample(head: TableHead, column: str) -> str:
    """What the first rows of a table hold in a column."""
    texts = [row[column] for row in head.samples if row.get(column)]
    return (
        f'<p class="k-small">{plain("; ".join(text[:60] for text in texts) or "empty in the first rows")}</p>'
    )
