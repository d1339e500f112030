"""The verdict: a word, a shape and a colour, never the colour alone."""

from __future__ import annotations

from app.drawing.words import plain
from kg.asking import Answer
from kg.chronology.verdict import Verdict

#: The class of each verdict in the style sheet, and the shape that stands for it.
_LOOKS = {
    Verdict.FITS: ("k-fits", "●"),
    Verdict.IN_PART: ("k-part", "◐"),
    Verdict.CANNOT: ("k-cannot", "✕"),
    Verdict.UNBOUNDED: ("k-unbounded", "○"),
}


def look(verdict: Verdict) -> str:
    """The class of a verdict in the style sheet."""
    return _LOOKS[verdict][0]


def shape(verdict: Verdict) -> str:
    """The shape of a verdict; the word beside it says the same, so screen readers pass over it."""
    return f'<span class="k-shape" aria-hidden="true">{_LOOKS[verdict][1]}</span>'


def word(verdict: Verdict) -> str:
    """A verdict in a line of text: its shape and its word."""
    return f'<span class="k-word {look(verdict)}">{shape(verdict)}{plain(verdict.value)}</span>'


def panel(answer: Answer) -> str:
    """The verdict at the head of the answer: word, sentence, how the phrase was read, what circa decides."""
    told, fit = answer.told, answer.fit
    maker = f", supposed to be by {plain(answer.view.label(fit.maker))}" if fit.maker else ""
    circa = f"<p>{plain(told['circa'])}</p>" if told["circa"] else ""
    contested = "".join(f"<p><strong>{plain(sentence)}</strong></p>" for sentence in told["contested"])
    before = answer.verdict_with_all
    changed = f"<p>With nothing set aside it {word(before)}.</p>" if before is not None else ""
    return f"""<section class="k-verdict {look(fit.verdict)}" aria-label="Verdict">
{shape(fit.verdict)}
<div><p class="k-asked">{plain(told["label"])}{maker}, claimed “{plain(fit.phrase)}”</p>
<h2>{plain(fit.verdict.value.capitalize())}</h2>
<p class="k-lead">{plain(answer.headline)}</p>{changed}{contested}{circa}
<p class="k-small">{plain(told["read_as"])}</p></div></section>"""
