"""The gold set: an invented trade, sentences with planted faults, and how often the audit finds them.

The sentences of ``held_out.txt`` were written before the audit and never tuned on; ``tuned.txt`` is the other half.
"""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from pathlib import Path

from kg.daybook.record import Citation, Claim, Draft, Entry, Judgement, Thing, compose
from kg.daybook.view import WorkingView
from kg.essays.audit import Evidence, Kind, audit, audit_edition
from kg.essays.editions import Edition
from kg.essays.syntax import read_essay
from kg.vocabulary import load_vocabulary

HERE = Path(__file__).parent
WHEN, LATER = datetime(2026, 1, 5, 9, tzinfo=UTC), datetime(2026, 6, 5, 9, tzinfo=UTC)
KINDS = {
    "claim": Kind.NO_CLAIM,
    "unknown": Kind.UNKNOWN_CLAIM,
    "held": Kind.NOT_HELD,
    "sure": Kind.TOO_SURE,
    "shaken": Kind.SHAKEN,
    "second": Kind.SECOND_HAND,
    "secret": Kind.CONFIDENTIAL,
    "hygiene": Kind.HYGIENE,
    "stale": Kind.STALE,
}


@dataclass(frozen=True, slots=True)
class Planted:
    """A sentence with the faults that were planted in it."""

    kinds: tuple[Kind, ...]
    text: str
    line: int


@dataclass(frozen=True, slots=True)
class Score:
    """How often one kind of fault was planted, found, and said to be there where it is not."""

    found: int
    missed: int
    false: int

    @property
    def precision(self) -> float:
        """The share of what was found that was planted; 1 where nothing was found."""
        return self.found / (self.found + self.false) if self.found + self.false else 1.0

    @property
    def recall(self) -> float:
        """The share of what was planted that was found; 1 where nothing was planted."""
        return self.found / (self.found + self.missed) if self.found + self.missed else 1.0


@lru_cache(maxsize=1)
def world() -> tuple[Mapping[str, Claim], WorkingView, WorkingView]:
    """The claims by their keys, the daybook when the sentences were written, and the daybook later."""
    entries = [_things()]
    claims: dict[str, Claim] = {}
    for number, row in enumerate(_rows("world.csv"), start=1):
        entry = _claim(row, WHEN + timedelta(minutes=number))
        claims[row["key"]] = entry.claims[0]
        entries.append(entry)
        if row["mode"] in ("doubted", "setAside", "withdrawn"):
            entries.append(
                _judged(claims[row["key"]], row["mode"], "planted", WHEN + timedelta(hours=9, minutes=number))
            )
    vocabulary = load_vocabulary()
    then = WorkingView.of(vocabulary, entries, revision="then")
    for number, row in enumerate(_rows("later_claims.csv"), start=1):
        entries.append(_claim(row, LATER + timedelta(minutes=number)))
    for number, row in enumerate(_rows("later.csv"), start=1):
        when = LATER + timedelta(hours=1, minutes=number)
        entries.append(_judged(claims[row["key"]], row["standing"], row["why"], when))
    return claims, then, WorkingView.of(vocabulary, entries, revision="now")


def _rows(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _things() -> Entry:
    things = tuple(
        Thing(row["slug"], tuple(row["kinds"].split()), row["label"], row["confidential"] == "yes")
        for row in _rows("things.csv")
    )
    return compose(WHEN, "A. Tester", things=things)


def _claim(row: Mapping[str, str], when: datetime) -> Entry:
    cited = Citation(row["source"], row["locator"], row["quotation"] or None)
    draft = Draft(
        row["subject"], row["property"], row["value"], cited, is_confidential=row["mode"] == "confidential"
    )
    return compose(when, "A. Tester", drafts=(draft,))


def _judged(claim: Claim, standing: str, why: str, when: datetime) -> Entry:
    return compose(when, "A. Tester", judgements=(Judgement(claim.id, standing, why),))


def planted(name: str) -> Iterator[Planted]:
    """The sentences of a file, with their notes written out."""
    claims = world()[0]
    for number, line in enumerate((HERE / name).read_text(encoding="utf-8").splitlines(), start=1):
        kinds, bar, text = line.partition(" | ")
        if line.startswith("#") or not bar:
            continue
        noted = re.sub(r"\{(\w+)\}", lambda m: f"[^{'own' if m[1] == 'own' else claims[m[1]].id}]", text)
        wanted = tuple(KINDS[kind] for kind in dict.fromkeys(kinds.split()) if kind in KINDS)
        yield Planted(wanted, noted, number)


def found_in(evidence: Evidence, one: Planted) -> frozenset[Kind]:
    """The kinds of fault that the audit finds in a sentence."""
    essay = read_essay(f"# Lady with coral beads\n\n{one.text}\n")
    return frozenset(finding.kind for finding in audit(evidence, essay))


def scores(name: str) -> dict[Kind, Score]:
    """How well the audit finds each kind in the sentences of a file."""
    evidence = Evidence(world()[1])
    return _counted((one.kinds, found_in(evidence, one)) for one in planted(name))


def _counted(pairs: Iterator[tuple[tuple[Kind, ...], frozenset[Kind]]]) -> dict[Kind, Score]:
    counts: Counter[tuple[Kind, str]] = Counter()
    for wanted, found in pairs:
        for kind in Kind:
            if kind in wanted or kind in found:
                counts[kind, ("found" if kind in found else "missed") if kind in wanted else "false"] += 1
    return {
        kind: Score(*(counts[kind, what] for what in ("found", "missed", "false")))
        for kind in Kind
        if any(counts[kind, what] for what in ("found", "missed", "false"))
    }


def printed() -> tuple[list[tuple[bool, Planted]], list[tuple[bool, Planted]]]:
    """The sentences that went to print with whether they are stale by now: those tuned on, and those held out."""
    lines = (HERE / "printed.txt").read_text(encoding="utf-8").splitlines()
    border = lines.index("---") + 1
    every = [*planted("printed.txt")]
    halves = [one for one in every if one.line < border], [one for one in every if one.line > border]
    first, second = ([(Kind.STALE in one.kinds, one) for one in half] for half in halves)
    return first, second


def is_stale(now: Evidence, then: Evidence, one: Planted) -> bool:
    """Whether the audit tells a printed sentence as stale."""
    edition = Edition("edition", "", "essay", "2026-02-01", f"# Lady with coral beads\n\n{one.text}\n", ())
    return bool(audit_edition(now, then, edition))
