"""How many catalogue dates are read right, and how fast, beside two other ways of reading them.

    python tests/bench/dates.py [CSV]

The CSV has the columns date_text, earliest, latest (years, BCE negative without a year zero) and
category. A reading is right if both years lie within 1 of the museum's (within 20 for a part of a
century, on which museums differ), or do so once the core of a qualified date is widened by a
half-width that museums use. An open end is held right. What was read and is not right is silently wrong.

The others are the `edtf` library's reader of phrases, and the naive floor: the first and last figure
of four digits. Times are of one run on one machine; only their ratios say anything.
"""

from __future__ import annotations

import argparse
import csv
import re
import sys
import time
import warnings
from collections import Counter, defaultdict
from collections.abc import Callable
from pathlib import Path

from kg.dates import edtf as our_edtf
from kg.dates import phrases
from kg.dates.conventions import convention
from kg.dates.errors import DateNotUnderstood
from kg.dates.window import Window, year_of

WIDTHS_IN_USE = (0, 2, 3, 5, 10, 12, 15, 25)
Pair = tuple[int | None, int | None]
Reader = Callable[[str], list[Pair] | None]

#: Read when no table is given: enough for the ratios, too few and too plain for a score.
PLAIN = [
    "1878",
    "c. 1878",
    "1890-1920",
    "1870s",
    "late 19th century",
    "before 1914",
    "um 1890",
    "fin du XIXe siècle",
]


def ours(phrase: str) -> list[Pair] | None:
    """Every pair of years that our reading allows, or None if the phrase is refused or undated."""
    try:
        reading = phrases.read_phrase(phrase, convention())
    except DateNotUnderstood:
        return None
    if reading.window is None or reading.core is None:
        return None
    pairs = [_years(reading.window)]
    first, last = _years(reading.core)
    if reading.qualifier and first is not None and last is not None:
        pairs += [(first - width, last + width) for width in WIDTHS_IN_USE]
    return pairs


def _years(window: Window) -> Pair:
    return (
        None if window.first is None else year_of(window.first),
        None if window.last is None else year_of(window.last),
    )


def edtf_library() -> Reader:
    """The reader of the `edtf` library, scored with the same allowances."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import edtf
        from edtf.parser.edtf_exceptions import EDTFParseException

    def read(phrase: str) -> list[Pair] | None:
        try:
            text = edtf.text_to_edtf(phrase)
            date = edtf.parse_edtf(text) if text else None
            if date is None:
                return None
            ends = [_year(date.lower_strict()), _year(date.upper_strict())]
        except EDTFParseException:
            return None
        first, last = ends
        pairs: list[Pair] = [(first, last)]
        if first is not None and last is not None and set(str(text)) & set("~?%"):
            pairs += [(first - width, last + width) for width in WIDTHS_IN_USE]
        return pairs

    return read


def _year(when: object) -> int | None:
    """The year of its time tuple; it gives an infinity for an open end."""
    return None if isinstance(when, float) else int(when[0])  # type: ignore[index]  # a time tuple


def naive(phrase: str) -> list[Pair] | None:
    """The first and the last figure of four digits."""
    figures = [int(figure) for figure in re.findall(r"\d{4}", phrase)]
    return [(figures[0], figures[-1])] if figures else None


def verdict(pairs: list[Pair] | None, row: dict[str, str]) -> str:
    """Right, wrong or refused."""
    if pairs is None:
        return "refused"
    slack = 20 if row["category"] == "part of century" else 1
    earliest, latest = int(row["earliest"]), int(row["latest"])
    for first, last in pairs:
        low = first is None or abs(first - earliest) <= slack
        high = last is None or abs(last - latest) <= slack
        if (first, last) != (None, None) and low and high:
            return "right"
    return "wrong"


def score(rows: list[dict[str, str]], readers: dict[str, Reader]) -> None:
    """Print the shares right, silently wrong and refused, by kind and in all."""
    tallies: dict[str, dict[str, Counter[str]]] = {name: defaultdict(Counter) for name in readers}
    for row in rows:
        for name, read in readers.items():
            found = verdict(read(row["date_text"]), row)
            tallies[name][row["category"]][found] += 1
            tallies[name]["all"][found] += 1
    print(f"{'right / silently wrong / refused, %':38}" + "".join(f"{name:>22}" for name in readers))
    kinds = sorted(tallies["ours"], key=lambda kind: (kind == "all", kind))
    for kind in kinds:
        total = sum(tallies["ours"][kind].values())
        cells = [
            " / ".join(f"{100 * tally[kind][each] / total:.1f}" for each in ("right", "wrong", "refused"))
            for tally in tallies.values()
        ]
        print(f"{kind:30} n={total:5} " + "".join(f"{cell:>22}" for cell in cells))


def microseconds(read: Callable[[str], object], texts: list[str], forget: Callable[[], None]) -> float:
    """The mean time of reading a text for the first time."""
    best = float("inf")
    for _ in range(3):
        forget()
        start = time.perf_counter()
        for text in texts:
            read(text)
        best = min(best, (time.perf_counter() - start) / len(texts) * 1e6)
    return best


def forget_ours() -> None:
    """Empty the memory of earlier readings, so that each text is read anew."""
    phrases._read.cache_clear()
    our_edtf._parse.cache_clear()


def speed(texts: list[str], library: Reader) -> None:
    """Print how long a phrase takes, ours beside the library's, and a plain EDTF text."""
    ours(texts[0])  # the tables are read once
    mine = microseconds(ours, texts, forget_ours)
    again = microseconds(ours, texts, lambda: None)
    theirs = microseconds(library, texts[:: max(1, len(texts) // 60)], lambda: None)
    print(f"a phrase: {mine:.0f} µs, read again {again:.1f} µs")
    print(f"the edtf library: {theirs:.0f} µs a phrase, {theirs / mine:.0f} times ours")
    for text in ("1878", "1890/1920", "[1867..1899]"):
        one = microseconds(our_edtf.parse_edtf, [text], forget_ours)
        print(f"EDTF {text}: {one:.1f} µs")


def main() -> None:
    """Score the table given, or measure speed alone."""
    arguments = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    arguments.add_argument("table", nargs="?", type=Path, help="CSV: date_text, earliest, latest, category")
    table: Path | None = arguments.parse_args().table
    library = edtf_library()
    if table is None:
        print("No table given, so no score: name a CSV with date_text, earliest, latest, category.")
        speed(PLAIN, library)
        return
    if not table.is_file():
        sys.exit(f"{table} is not a file; name a CSV with the columns date_text, earliest, latest, category")
    with table.open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["date_text"].strip()]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        score(rows, {"ours": ours, "edtf library": library, "naive floor": naive})
        speed([row["date_text"] for row in rows], library)


if __name__ == "__main__":
    main()
