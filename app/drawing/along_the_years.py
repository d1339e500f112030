"""The answer drawn along the years: bars with a certain middle and faded ends, and the days that bind."""

from __future__ import annotations

from app.drawing.words import plain
from kg.timeline import Bar, Mark, Timeline


def drawn(timeline: Timeline, label: str = "The answer along the years") -> str:
    """The whole drawing, readable as text where it cannot be seen; ``label`` is words of our own."""
    rows = "".join(_row(bar, timeline.binding) for bar in timeline.bars)
    years = "".join(_label(mark) for mark in timeline.years)
    binding = " Upright lines: the days that bind." if timeline.binding else ""
    return f"""<figure class="k-time" aria-label="{label}">
{_marks(timeline.binding)}{rows}
<div class="k-row k-axis"><div></div><div class="k-track" aria-hidden="true">{years}</div></div>
<figcaption>Full tone: certain. Faded: the width of circa, or an end that is not known.{binding}</figcaption>
</figure>"""


def _row(bar: Bar, binding: tuple[Mark, ...]) -> str:
    confidential = ' <span class="k-tag">confidential</span>' if bar.is_confidential else ""
    fades = _fades(bar.is_open_left, bar.is_open_right)
    sure = ""
    if bar.sure_first is not None and bar.sure_last is not None:
        ends = _fades(bar.is_sure_open_left, bar.is_sure_open_right)
        sure = f'<i class="k-sure {ends}" style="{_place(bar.sure_first, bar.sure_last)}"></i>'
    return f"""<div class="k-row k-{bar.kind}"><div class="k-name">{plain(bar.label)}{confidential}
<span>{plain(bar.text)}</span></div><div class="k-track" aria-hidden="true">
<i class="k-outer {fades}" style="{_place(bar.first, bar.last)}"></i>{sure}{_upright(binding)}</div></div>"""


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
