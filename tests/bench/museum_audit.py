"""An audit of a museum's own records against its makers' lives, end to end, with a file that no one here wrote.

Run: ``python -m tests.bench.museum_audit PATH_TO_CSV``. The columns are those of sources/mappings/README.md.
The file is not part of the project; it can be made from the open data of the Carnegie Museum of Art
(github.com/cmoa/collection, CC0). The table is taken in by each of the mappings that ship, the working-life
conventions are switched off, and the datings that cannot be true beside the makers' lives are held against a
plain comparison of the years.
"""

from __future__ import annotations

import csv
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from kg.chronology.audit import Audit
from kg.chronology.chronology import Chronology
from kg.chronology.network import Conventions
from kg.dates.conventions import convention
from kg.dates.errors import DateNotUnderstood
from kg.dates.phrases import read_phrase
from kg.dates.window import Window, year_of
from kg.daybook.daybook import Daybook
from kg.errors import KilnmarkError
from kg.intake.take_in import Plan, take_in_table
from kg.resources import resource

MAPPINGS = ("museum-objects-years", "museum-objects-texts", "museum-objects-roles")
PREFIX = "object-"
#: The whole run is to take no longer; it is printed, and the exit code is 1 if it does.
MOST_SECONDS = 20.0

Rows = Mapping[str, Mapping[str, str]]


@dataclass(frozen=True)
class Run:
    """One take-in with its audit."""

    plan: Plan
    audit: Audit
    seconds: float

    @property
    def impossible(self) -> dict[str, str]:
        """The objects whose dating cannot fit, each with the claims that decide it."""
        found = {}
        for dating in self.audit.impossible:
            first, latest = dating.window.first, dating.not_after.day
            is_too_late = first is not None and latest is not None and first > latest
            claims = (dating.not_after if is_too_late else dating.not_before).claims
            view = self.audit.chronology.view
            sentences = (view.sentence(claim) for claim in claims)
            found[dating.claim.subject.removeprefix(PREFIX)] = "; ".join(sentences)
        return found

    @property
    def contradicted(self) -> dict[str, str]:
        """The objects whose dating is in a conflict of the record, each with the claims of one conflict."""
        view = self.audit.chronology.view
        found: dict[str, str] = {}
        for conflict in self.audit.conflicts:
            for claim in conflict.claims:
                if view.vocabulary.property(claim.property).is_opinion:
                    others = (view.sentence(other) for other in conflict.claims if other is not claim)
                    found.setdefault(claim.subject.removeprefix(PREFIX), "; ".join(others))
        return found

    @property
    def told(self) -> dict[str, str]:
        """The objects that the audit tells: cannot fit, or contradicted where the maker's life contradicts itself.

        A maker who died before birth leaves two equal ways to mend the life. The audit takes one; under the other
        a dating may be impossible too, and stands among the conflicts.
        """
        return self.contradicted | self.impossible


def run(path: Path, mapping: str, folder: Path) -> Run:
    """Take in the table by a mapping that ships, and audit it."""
    start = time.perf_counter()
    book = Daybook.begin(folder / mapping)
    plan, entry = take_in_table(book, path, resource(f"sources/mappings/{mapping}.toml"), researcher="Bench")
    assert entry is not None
    view = book.view()
    audit = Audit(Chronology(view, Conventions.without(["working-life"], view.vocabulary)))
    assert audit.datings
    _ = audit.conflicts
    return Run(plan, audit, time.perf_counter() - start)


def outside_by_years(rows: Rows) -> set[str]:
    """The objects whose museum years lie wholly outside the maker's life, by comparing the columns."""
    return {
        key
        for key, row in rows.items()
        if int(row["museum_latest"]) < int(row["maker_born"])
        or (row["maker_died"] and int(row["museum_earliest"]) > int(row["maker_died"]))
    }


def reading(row: Mapping[str, str]) -> tuple[str, Window | None]:
    """How the printed date of a row is read, in words, and its window."""
    try:
        found = read_phrase(row["date_text"], convention("widens-with-age"), "en")
    except DateNotUnderstood as error:
        return f"refused: expected {error.wanted}", None
    if found.status != "read" or found.window is None:
        return "says no date", None
    stages = f", stages {', '.join(stage.kind for stage in found.stages)}" if found.stages else ""
    return f"{found.edtf}, {years(found.window)}{stages}", found.window


def years(window: Window) -> str:
    """The first and last year of a window, before our era as negative numbers without a year 0."""
    ends = (None if day is None else year_of(day) for day in (window.first, window.last))
    return " to ".join("open" if year is None else str(year if year > 0 else year - 1) for year in ends)


def why_not_told(row: Mapping[str, str], window: Window | None, words: str) -> str:
    """The kind of reason for which the printed text is not impossible while the museum's years are."""
    if window is None:
        return words.split(":")[0]
    museum = f"{row['museum_earliest']} to {row['museum_latest']}"
    first, last = years(window).split(" to ")
    if "open" in (first, last):
        return f"the text leaves an end open, the museum closes it ({museum})"
    if "~" in words or "%" in words or "?" in words:
        inside = int(first) <= int(row["museum_earliest"]) and int(last) >= int(row["museum_latest"])
        return (
            f"circa width: the convention allows more than the museum's {museum}"
            if inside
            else (f"circa: the convention's years and the museum's {museum} differ")
        )
    if "stages" in words:
        return f"stage words: the making is dated apart from the museum's {museum}"
    return f"the museum's years are not what its text says ({museum})"


def show_difference(rows: Rows, objects: Iterable[str], title: str) -> None:
    """Print a table of objects that one way of dating tells and the other does not."""
    listed = sorted(objects)
    print(f"\n{title}: {len(listed) or 'none'}")
    for key in listed:
        row = rows[key]
        words, window = reading(row)
        life = f"{row['maker_born']}-{row['maker_died']}"
        print(f"  {key}  {row['date_text'][:28]:<28}  life {life:<10}  read {words}")
        print(f"            {why_not_told(row, window, words)}")


def show_run(name: str, found: Run, expected: set[str], rows: Rows) -> None:
    """Print what one mapping gave beside the comparison of years."""
    told = set(found.told)
    plan = found.plan
    print(f"\n== {name}: {plan.rows} rows, {len(plan.drafts)} claims, {found.seconds:.1f} s")
    print(f"   {plan.left_out} dates left out, {plan.undated} cells say that there is no date")
    print(f"   cannot fit: {len(found.impossible)}; with those in a conflict of the record: {len(told)}")
    print(f"   of the {len(expected)} by years: {len(told & expected)} told, {len(told - expected)} besides")
    for key in sorted(told - set(found.impossible)):
        print(f"   only as a conflict: {key}: {found.contradicted[key]}")


def main(arguments: list[str]) -> int:
    """The whole run; 0 if each record by years is told and none besides, within the time."""
    if len(arguments) != 1 or not Path(arguments[0]).is_file():
        print(__doc__)
        print("No such file. Give the path of the table, or make one as told above; nothing else needs it.")
        return 2
    start = time.perf_counter()
    path = Path(arguments[0])
    with path.open(encoding="utf-8", newline="") as file:
        rows = {row["object_id"]: row for row in csv.DictReader(file)}
    expected = outside_by_years(rows)
    with tempfile.TemporaryDirectory() as folder:
        try:
            runs = {name: run(path, name, Path(folder)) for name in MAPPINGS}
        except KilnmarkError as error:
            print(error)
            return 1
        seconds = time.perf_counter() - start
        by_years, by_texts, by_roles = (runs[name] for name in MAPPINGS)
        for name, found in runs.items():
            show_run(name, found, expected, rows)
        print("\nEach dating by years that cannot be true, with what decides it:")
        for key, why in sorted(by_years.told.items()):
            print(f"  {key}  {rows[key]['museum_earliest']}..{rows[key]['museum_latest']}: {why}")
        told_by_texts, told_by_years = set(by_texts.told), set(by_years.told)
        show_difference(rows, told_by_years - told_by_texts, "By years and not by the printed texts")
        show_difference(rows, told_by_texts - told_by_years, "By the printed texts and not by years")
        roles = Counter(rows[key]["role"] or "(none)" for key in told_by_years - set(by_roles.told))
        print(f"\nNo longer impossible once the words of the role are told apart: {dict(roles)}")
    print(f"\nWhole run: {seconds:.1f} s (at most {MOST_SECONDS:.0f})")
    return 0 if told_by_years == expected and seconds <= MOST_SECONDS else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
