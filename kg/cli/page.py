"""What pages for reading are made of: headings, lines, lists, claims and names of sources."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from kg.cli.common import put

if TYPE_CHECKING:
    from rich.console import Console


def claim_line(row: dict[str, Any]) -> str:
    """A claim as one line: sentence, citation, id, and what must be known of it."""
    marks = [row["standing"]] if row["standing"] != "held" else []
    marks += ["confidential"] if row["confidential"] else []
    behind = f" ({', '.join(marks)})" if marks else ""
    return f"{row['sentence']} — {row['citation']}  [{row['claim']}]{behind}"


def source_name(row: dict[str, Any]) -> str:
    """A source's name, with a word where it is confidential."""
    return f"{row['label']} (confidential)" if row["confidential"] else str(row["label"])


def heading(console: Console, text: str) -> None:
    """Print a heading, indented by the blanks that it begins with."""
    words = text.lstrip()
    console.print()
    put(console, words, len(text) - len(words), "bold")


def line(console: Console, text: str, indent: int) -> None:
    """Print one line, indented."""
    put(console, text, indent)


def section(console: Console, title: str, rows: list[str], most: int | None) -> None:
    """Print a titled list, or nothing where it is empty; a title with a count in it stands alone too."""
    if not rows and ":" not in title:
        return
    heading(console, f"  {title}")
    for row in rows[:most]:
        line(console, f"• {row}", 4)
    if most is not None and len(rows) > most:
        line(console, f"… and {len(rows) - most} more; --all prints them, --json holds them.", 4)
