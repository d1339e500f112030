"""The evidence sheet as two pages of PDF, by typst: offline, with its own fonts, the same bytes each time."""

from __future__ import annotations

import importlib.util
import json
import os
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from kg.chronology.verdict import Verdict
from kg.errors import KilnmarkError
from kg.essays.sheet import Sheet, printable
from kg.resources import resource

#: The pages of a sheet: one to hold up beside the piece, one to turn to.
PAGES = 2
#: Bytes of a photograph; a larger one is made smaller first.
LARGEST_PHOTOGRAPH = 20_000_000
_PHOTOGRAPHS = {b"\x89PNG\r\n\x1a\n": "png", b"\xff\xd8\xff": "jpg"}
_SIGNS = {Verdict.FITS: ("●", "fits"), Verdict.IN_PART: ("◐", "part"), Verdict.CANNOT: ("○", "cannot")}
#: How many lines of each list are tried in turn, until all stands on two pages.
_ROOM = (8, 6, 5, 4, 3, 2, 1)
#: How many empty lines for notes are tried in turn.
_LINES = (20, 16, 12, 9, 6, 4, 3)


class CannotPrint(KilnmarkError):
    """The sheet cannot be printed: something is missing or does not fit."""


@dataclass(frozen=True, slots=True)
class Photograph:
    """A photograph to print: its bytes, and what kind of picture they are."""

    kind: str
    content: bytes


def photograph_from(path: Path) -> Photograph:
    """A photograph from a file, known by its content.

    :raises CannotPrint: if it is no JPEG or PNG, or too large.
    """
    if not path.is_file():
        raise CannotPrint(f"{path} is no file. Name a photograph, JPEG or PNG.")
    if path.stat().st_size > LARGEST_PHOTOGRAPH:
        raise CannotPrint(
            f"{path} is larger than {LARGEST_PHOTOGRAPH // 1_000_000} MB. Save it smaller and try again."
        )
    content = path.read_bytes()
    kind = next((kind for start, kind in _PHOTOGRAPHS.items() if content.startswith(start)), None)
    if kind is None:
        raise CannotPrint(f"{path} is neither JPEG nor PNG, whatever its name says. Save it as one of them.")
    return Photograph(kind, content)


def sheet_pdf(sheet: Sheet, photograph: Photograph | None = None) -> bytes:
    """The sheet as a PDF of two pages; what has no room is counted on it.

    :raises CannotPrint: if typst is not installed, or cannot show the photograph.
    """
    if importlib.util.find_spec("typst") is None:
        raise CannotPrint("Printing needs typst. Install it: pip install 'kilnmark[papers]'.")
    with tempfile.TemporaryDirectory(prefix="kilnmark-sheet-") as folder:
        root = Path(folder)
        (root / "sheet.typ").write_bytes(resource("sources/reference/sheet.typ").read_bytes())
        if photograph is not None:
            (root / f"photograph.{photograph.kind}").write_bytes(photograph.content)
        name = f"photograph.{photograph.kind}" if photograph is not None else None
        for room in _ROOM:
            told = _told(sheet, name, room)
            for lines in _LINES if _pages(root, told | {"lines": _LINES[-1]}) <= PAGES else ():
                if _pages(root, told | {"lines": lines}) <= PAGES:
                    return _compiled(root, told | {"lines": lines})
    raise CannotPrint(f"{sheet.title}: the sheet does not fit on two pages.")


def new_pdf(path: Path, content: bytes) -> Path:
    """Write a PDF under a name that is free, or that held a PDF before; whole or not at all.

    :raises CannotPrint: if the place cannot be written, or holds something else.
    """
    if not path.parent.is_dir() or path.is_dir():
        raise CannotPrint(
            f"{path} cannot be written as a file. Choose a file name in a folder that is there."
        )
    if path.exists() and not path.read_bytes().startswith(b"%PDF-"):
        raise CannotPrint(f"{path} is there and is no PDF. Choose another name.")
    temporary = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        temporary.write_bytes(content)
        temporary.replace(path)
    finally:
        temporary.unlink(missing_ok=True)
    return path


def _pages(root: Path, told: Mapping[str, Any]) -> int:
    import typst

    try:
        ends = typst.query(
            str(root / "sheet.typ"), "<pages>", field="value", one=True, **_settings(root, told)
        )
    except (RuntimeError, typst.TypstError) as error:
        raise CannotPrint(f"typst cannot set the sheet: {error}. Is the photograph whole?") from error
    return int(json.loads(ends))


def _compiled(root: Path, told: Mapping[str, Any]) -> bytes:
    import typst

    moment = int(datetime(2000, 1, 1, tzinfo=UTC).timestamp())
    pdf: bytes = typst.compile(str(root / "sheet.typ"), timestamp=moment, **_settings(root, told))
    return pdf


def _settings(root: Path, told: Mapping[str, Any]) -> dict[str, Any]:
    """Nothing outside the root can be read; the words come as one value; fonts are typst's own."""
    words = json.dumps(told, ensure_ascii=False)
    return {"root": str(root), "sys_inputs": {"sheet": words}, "ignore_system_fonts": True}


# ---------------------------------------------------------------- what the page is given


def _told(sheet: Sheet, photograph: str | None, room: int) -> dict[str, Any]:
    """The sheet as plain values for the page, with at most ``room`` lines of each list."""
    makers = sheet.makers
    told = {
        "title": sheet.title,
        "piece": sheet.piece,
        "described": sheet.described,
        "seen": list(sheet.seen[: max(3, room)]),
        "photograph": photograph,
        "limits": ", ".join(sheet.limits) + ".",
        "verdict": _verdict(sheet.date),
        "reasons": _reasons(sheet.date, room),
        **_drawn(sheet, room),
        **_rows("marks", [_mark(row) for row in sheet.marks.lines], room),
        **_rows("witnesses", [dict(row) for row in sheet.witnesses.lines], room),
        "makers": {
            **_rows("recorded", list(makers["recorded"]), room),
            "words": makers["words"],
            "ranked": list(makers["ranked"])[:room],
            **_rows(
                "struck", [{**row, "because": "; ".join(row["because"])} for row in makers["struck"]], room
            ),
        },
        **_rows("questions", [dict(row) for row in sheet.questions.lines], room),
        **_rows("looks", [dict(row) for row in sheet.looks.lines], min(room, 4)),
        **_rows("cautions", list(sheet.cautions), room),
        **_rows("sources", [row["label"] for row in sheet.sources.lines], 2 * room),
        "footer": sheet.footer,
    }
    return dict(_clean(told))


def _clean(value: Any) -> Any:
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, Mapping):
        return {key: _clean(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_clean(one) for one in value]
    return value


def _rows(name: str, rows: Sequence[Any], room: int) -> dict[str, Any]:
    return {name: list(rows[:room]), f"more_{name}": max(0, len(rows) - room)}


def _verdict(date: Mapping[str, Any] | None) -> dict[str, Any] | None:
    if date is None:
        return None
    verdict = Verdict(date["verdict"])
    sign, colour = _SIGNS.get(verdict, ("–", "nothing"))
    lines = [date["circa"]] if date["circa"] else []
    lines += date["contested"][:2]
    lines += [f"{strain['sentence']}." for strain in date["strains"][:2]]
    return {
        "phrase": date["phrase"], "word": verdict.value.capitalize(), "sign": sign, "colour": colour,
        "headline": date["headline"], "lines": lines,
    }  # fmt: skip


def _reasons(date: Mapping[str, Any] | None, room: int) -> list[dict[str, Any]]:
    if date is None:
        return []
    sides = []
    number = 0
    for title, side in (("Not before", date["not_before"]), ("Not after", date["not_after"])):
        steps = []
        for step in side["because"]:
            number += 1
            sentence = step["sentence"] if step["claim"] else step["rule"]
            steps.append(
                {"number": str(number), "sentence": sentence, "citation": step.get("citation") or "by rule"}
            )
        day = side["text"] or "nothing bounds this side"
        sides.append({"title": f"{title} {day}", "steps": steps[:room], "more": max(0, len(steps) - room)})
    return sides


def _mark(row: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "text": row["text"],
        "place": row["place"],
        "says": "; ".join(row["says"]),
        "questions": list(row["questions"])[:2],
    }


def _drawn(sheet: Sheet, room: int) -> dict[str, Any]:
    line = sheet.line
    if line is None:
        return {"bars": [], "years": [], "binding": [], "key": ""}
    bars = [
        {
            "label": bar.label, "text": bar.text, "first": bar.first, "last": bar.last,
            "sure_first": bar.sure_first, "sure_last": bar.sure_last,
            "open_left": bar.is_open_left, "open_right": bar.is_open_right,
        }
        for bar in line.bars[: room + 2]
    ]  # fmt: skip
    binding: list[dict[str, Any]] = [{"at": mark.at, "text": mark.text} for mark in line.binding]
    key = "Pale: possible; dark: certain; fading: open on that side."
    if binding:
        key += " Lines: " + ", ".join(mark["text"] for mark in binding) + "."
    return {
        "bars": bars,
        "years": [{"at": y.at, "text": y.text} for y in line.years],
        "binding": binding,
        "key": key,
    }
