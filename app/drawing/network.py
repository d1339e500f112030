"""The network of the claims: the picture, and the same as a sorted list."""

from __future__ import annotations

from app.drawing.words import plain
from kg.picture import Picture, Row


def listed(picture: Picture) -> str:
    """Every claim of the picture as a sorted list, for the keyboard and the screen reader."""
    more = (
        f"<p>{plain(picture.left_out)} things were too many for the picture.</p>" if picture.left_out else ""
    )
    rows = "".join(f"<li>{_row(row)}</li>" for row in picture.rows)
    return f'<ul class="k-list k-network" aria-label="The claims of the network">{rows}</ul>{more}'


def _row(row: Row) -> str:
    number = f'<span class="k-number">{plain(row.number)}</span> ' if row.number else ""
    confidential = ' <span class="k-tag">confidential</span>' if row.is_confidential else ""
    cite = f'<div class="k-cite">{plain(row.citation)} <code>{plain(row.claim)}</code></div>'
    return f"{number}{plain(row.sentence)}{confidential}{cite}"
