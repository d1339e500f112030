"""Time drawn: bars with a certain middle and faded ends, the days and claims that bind; and the same as a table."""

from __future__ import annotations

from collections.abc import Mapping

from app.drawing.reasons import numbered
from app.drawing.words import claim, link, plain, thing_link
from kg.timeline import Bar, Chain, Mark, Reason, Timeline

#: More rows than this stand closer, and have their years above them too.
MANY = 14


def drawn(
    timeline: Timeline,
    label: str = "The answer along the years",
    explaining: Mapping[str, str] | None = None,
) -> str:
    """The whole drawing, readable as text where it cannot be seen; ``label`` is words of our own.

    ``explaining`` holds for a thing the address that explains its limits.
    """
    rows = "".join(_row(bar, timeline.binding, explaining or {}) for bar in timeline.bars)
    years = "".join(_label(mark) for mark in timeline.years)
    axis = f'<div class="k-row k-axis"><div></div><div class="k-track" aria-hidden="true">{years}</div></div>'
    is_long = len(timeline.bars) > MANY
    return f"""<figure class="k-time{" k-many" if is_long else ""}" aria-label="{label}">
{axis if is_long else ""}{_marks(timeline.binding)}{rows}
{axis}
<figcaption>{_caption(timeline)}</figcaption>
</figure>"""


def with_reasons(timeline: Timeline, label: str, explaining: Mapping[str, str] | None = None) -> str:
    """The drawing with the claims that bind its limits, its conflicts, and the same as a table."""
    below = (_counted, chains, clashes, table)
    return drawn(timeline, label, explaining) + "".join(part(timeline) for part in below)


def _caption(timeline: Timeline) -> str:
    kinds = {bar.kind for bar in timeline.bars}
    said = ["Full tone: certain. Faded: the width of circa, or an end that is not known."]
    if kinds <= {"stretch", "moment"}:
        said = ["Full tone: certain. Pale: possible. Faded away: an end that is not known."]
    if "moment" in kinds:
        said.append("Framed: a moment somewhere within.")
    if any(bar.numbers for bar in timeline.bars):
        said.append("Numbers: the claims that bind, listed below.")
    if timeline.clashes:
        said.append("✕: claims about it are in conflict.")
    if timeline.binding:
        said.append("Upright lines: the days that bind.")
    return " ".join(said)


def _row(bar: Bar, binding: tuple[Mark, ...], explaining: Mapping[str, str]) -> str:
    confidential = ' <span class="k-tag">confidential</span>' if bar.is_confidential else ""
    fades = _fades(bar.is_open_left, bar.is_open_right)
    sure = ""
    if bar.sure_first is not None and bar.sure_last is not None:
        ends = _fades(bar.is_sure_open_left, bar.is_sure_open_right)
        sure = f'<i class="k-sure {ends}" style="{_place(bar.sure_first, bar.sure_last)}"></i>'
    name = plain(bar.label) if bar.thing is None else thing_link(bar.thing, bar.label)
    numbers = "".join(_numbered_day(mark) for mark in bar.numbers)
    text = plain(bar.text)
    if bar.thing is not None and bar.thing in explaining:
        text = link(explaining[bar.thing], text)
    return f"""<div class="k-row k-{bar.kind}"><div class="k-name">{name}{confidential}{_in_conflict(bar)}
<span>{text}</span></div><div class="k-track" aria-hidden="true">
<i class="k-outer {fades}" style="{_place(bar.first, bar.last)}"></i>{sure}{_upright(binding)}{numbers}</div></div>"""


def _in_conflict(bar: Bar) -> str:
    if not bar.clashes:
        return ""
    word = "conflict" if len(bar.clashes) == 1 else "conflicts"
    return f' <b class="k-clash">✕ {word} {plain(_runs(bar.clashes))}</b>'


def _runs(numbers: tuple[int, ...]) -> str:
    """Numbers in their order, a run of several as its two ends."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{run[0]}–{run[-1]}" if len(run) > 1 else str(run[0]) for run in runs)


def _numbered_day(mark: Mark) -> str:
    return f'<b class="k-at" style="left:{mark.at:.3%}">{plain(mark.text)}</b>'


def _fades(is_open_left: bool, is_open_right: bool) -> str:
    named = (("k-open-left", is_open_left), ("k-open-right", is_open_right))
    return " ".join(name for name, is_open in named if is_open)


def _place(first: float, last: float) -> str:
    return f"left:{first:.3%};right:calc(100% - {last:.3%})"


def _marks(binding: tuple[Mark, ...]) -> str:
    """A row for each day that binds: its words beside the head of its upright line."""
    rows = []
    for number, mark in enumerate(binding, start=1):
        side = f"left:{mark.at:.3%}" if mark.is_in_left_half else f"right:calc(100% - {mark.at:.3%})"
        label = f'<span style="{side}">{plain(mark.text)}</span>'
        track = f'<div class="k-track">{label}{_upright(binding[:number])}</div>'
        rows.append(f'<div class="k-row k-marks"><div></div>{track}</div>')
    return "".join(rows)


def _upright(binding: tuple[Mark, ...]) -> str:
    return "".join(f'<i class="k-line" style="left:{mark.at:.3%}"></i>' for mark in binding)


def _label(mark: Mark) -> str:
    """A label at its place, shifted by its own share so that it never leaves the drawing."""
    return f'<span style="left:{mark.at:.3%};transform:translateX(-{mark.at:.3%})">{plain(mark.text)}</span>'


def _counted(timeline: Timeline) -> str:
    """What is not drawn: things that were too many, and those of whose time nothing is known."""
    said = []
    if timeline.left_out:
        said.append(f"{timeline.left_out} more are not drawn; choose fewer to see them.")
    if timeline.unknown:
        names = "; ".join(timeline.unknown)
        more = f" and {timeline.more_unknown} more" if timeline.more_unknown else ""
        said.append(f"Nothing bounds the time of {names}{more}.")
    if timeline.beyond:
        names = "; ".join(timeline.beyond)
        more = f" and {timeline.more_beyond} more" if timeline.more_beyond else ""
        said.append(f"Beyond these years: {names}{more}.")
    return f'<p class="k-small">{plain(" ".join(said))}</p>' if said else ""


def chains(timeline: Timeline) -> str:
    """The claims that bind each limit, numbered as in the drawing."""
    if not timeline.chains:
        return ""
    cards = "".join(map(_chain, timeline.chains))
    return f'<div class="k-chains">{cards}</div>'


def _chain(chain: Chain) -> str:
    steps = "".join(map(_reason, chain.reasons))
    return (
        f'<section class="k-chain"><h3 class="k-side">{plain(chain.title)} {plain(chain.day)}, because</h3>'
        f"{steps}</section>"
    )


def _reason(reason: Reason) -> str:
    convention = f" Convention: {plain(reason.convention)}." if reason.convention else ""
    rule = f'<div class="k-rule">Rule ({plain(reason.strength)}): {plain(reason.rule)}.{convention}</div>'
    follows = f'<div class="k-follows">{plain(reason.follows)}</div>' if reason.follows else ""
    return numbered(reason.number, f"{claim(reason.told) if reason.told else ''}{rule}{follows}")


def clashes(timeline: Timeline) -> str:
    """The conflicts that the drawing marks, each with its claims."""
    if not timeline.clashes:
        return ""
    listed = "".join(
        f'<details class="k-as-table"{" open" if clash.number == 1 else ""}><summary>'
        f'<span class="k-clash">✕ Conflict {plain(clash.number)}</span>: '
        f"these {plain(len(clash.told))} cannot all be true</summary>"
        f"{''.join(f'<div class=k-item>{claim(told)}</div>' for told in clash.told)}</details>"
        for clash in timeline.clashes
    )
    more = (
        f'<p class="k-small">{plain(timeline.more_clashes)} more conflicts.</p>'
        if timeline.more_clashes
        else ""
    )
    return f'<div class="k-clashes">{listed}{more}</div>'


def table(timeline: Timeline) -> str:
    """The same as a table, to open."""
    rows = "".join(_table_row(bar) for bar in timeline.bars)
    return (
        '<details class="k-as-table"><summary>The same as a table</summary><div class="k-scroll" tabindex="0" '
        'role="region" aria-label="Times as a table"><table><thead><tr><th scope="col">Of</th>'
        '<th scope="col">Begin</th><th scope="col">End</th><th scope="col">Claims</th>'
        '<th scope="col">Conflicts</th></tr></thead>'
        f"<tbody>{rows}</tbody></table></div></details>"
    )


def _table_row(bar: Bar) -> str:
    name = plain(bar.label) if bar.thing is None else thing_link(bar.thing, bar.label)
    numbers = ", ".join(mark.text for mark in bar.numbers)
    cells = (bar.begin or bar.text, bar.end, numbers, _runs(bar.clashes))
    return f'<tr><th scope="row">{name}</th>{"".join(f"<td>{plain(cell)}</td>" for cell in cells)}</tr>'
