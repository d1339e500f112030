"""Probabilities as one reads them."""

from __future__ import annotations


def percent(probability: float) -> str:
    """A probability as one reads it; never none and never certain.

    >>> percent(0.25), percent(0.0001)
    ('25.0 %', '< 0.1 %')
    """
    return (
        "< 0.1 %"
        if probability < 0.001
        else "> 99.9 %"
        if probability > 0.999
        else f"{probability:.1%}".replace("%", " %")
    )
