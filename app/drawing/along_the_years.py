"""The answer drawn along the years: bars with a certain middle and faded ends, and the days that bind."""

from __future__ import annotations

from app.drawing.words import plain
from kg.timeline import Bar, Mark, Timeline


def drawn(timeline: Timeline) -> str:
    """The whole drawing, readable as text where it cannot be seen."""
    rows = "".join(_row(bar, timeline.binding) for bar in timeline.bars)
    marks = "".join(
        f'<div class="k-row k-marks"><div></div><div class="k-track">{_label(m)}</div></div>'
        for m in timeline.binding
    )
    years = "".join(_label(mark) for mark in timeline.years)
    return f"""<figure class="k-time" role="group" aria-label="The answer along the years">
{marks}{rows}<div class="k-row k-axis"><div></div><div class="k-track" aria-hidden="true">{years}</div></div>
<figcaption>Full tone: certain. Faded: the width of circa, or an end that is not known.
Upright lines: the days that bind.</figcaption></figure>"""


def _row(bar: Bar, binding: tuple[Mark, ...]) -> str:
    confidential = ' <span class="k-tag">confidential</span>' if bar.is_confidential else ""
    lines = "".join(f'<i class="k-line" style="left:{mark.at:.3%}"></i>' for mark in binding)
    fades = " ".join(
        name
        for name, is_open in (("k-open-left", bar.is_open_left), ("k-open-right", bar.is_open_right))
        if is_open
    )
    sure = ""
    if bar.sure_first is not None and bar.sure_last is not None:
        sure = f'<i class="k-sure {fades}" style="{_place(bar.sure_first, bar.sure_last)}"></i>'
    return f"""<div class="k-row k-{bar.kind}"><div class="k-name">{plain(bar.label)}{confidential}
<span>{plain(bar.text)}</span></div><div class="k-track" aria-hidden="true">
<i class="k-outer {fades}" style="{_place(bar.first, bar.last)}"></i>{sure}{lines}</div></div>"""


def _place(first: float, last: float) -> str:
    return f"left:{first:.3%};right:calc(100% - {last:.3%})"


def _label(mark: Mark) -> str:
    """A label at its place, shifted by its own share so that it never leaves the drawing."""
    return f'<span style="left:{mark.at:.3%};transform:translateX(-{mark.at:.3%})">{plain(mark.text)}</span>'
