"""How long one search among recorded marks takes, and how much of an exhaustive scan it finds.

The marks are invented: makers of invented name, legal wording, registration numbers, mould and size numbers, some of
the records worn themselves. A mark in hand is a recorded one, worn: characters lost, uncertain or misread, half of it
gone, or mirrored. Run it from the top of the repository: ``python -m tests.bench.marks``. Times are printed beside
rapidfuzz's ``process.extract`` of the same run, as ratios. Recall counts a mark as found if its score reaches the
tenth best of the exhaustive scan, so that equal scores are equal; marks that score nothing are in no ten. On a
machine with other work to do, the processor's time says more than the clock's. Nothing here is a test.
"""

from __future__ import annotations

import argparse
import math
import statistics
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from random import Random
from time import perf_counter, process_time

from rapidfuzz import fuzz, process

from kg.marks.confusion import confusion_model
from kg.marks.matching import MarkIndex, Match
from kg.marks.matching_symbols import FIRST, character_of, shown, symbols_of
from kg.marks.transcription import Transcription, parse_transcription

_ONSETS = [
    "B",
    "Br",
    "C",
    "Cl",
    "D",
    "F",
    "Fr",
    "G",
    "Gr",
    "H",
    "K",
    "L",
    "M",
    "N",
    "P",
    "R",
    "S",
    "Sch",
    "St",
    "T",
    "Tr",
    "V",
    "W",
    "Z",
]
_MIDDLES = ["a", "e", "i", "o", "u", "au", "ei", "ie"]
_ENDS = ["b", "ck", "d", "ff", "ld", "ll", "lm", "m", "n", "nd", "ng", "r", "rn", "ss", "st", "t", "tz"]
_TAILS = ["er", "mann", "ow", "el", "ing", "ley", "ton", "by", "ert", "icke", "ard", "ot"]
_PLACES = [
    "Altquell",
    "Obersteinbach",
    "Kallental",
    "Merrowby",
    "Sorelle",
    "Untermoor",
    "Hafling",
    "Brackwell",
    "Virolles",
    "Eschenau",
]
_FORMS = ["", "", "G.m.b.H.", "& Co.", "& Cie", "& Sohn", "Ltd."]
_LEGAL = ["D.R.G.M.", "D.R.P.", "DEP", "Déposé", "Regd. No.", "Patent", "ges. gesch.", "Rd.", "B.S.G.D.G."]
_LANDS = ["Germany", "Made in Germany", "France", "England", "Austria", ""]


@dataclass(frozen=True)
class Trade:
    """The invented makers, the first far busier than the last."""

    random: Random
    makers: tuple[str, ...]

    @classmethod
    def of(cls, random: Random, makers: int) -> Trade:
        """A trade of so many makers."""
        return cls(random, tuple(_maker(random) for _ in range(makers)))

    def mark(self) -> str:
        """One recorded mark."""
        random = self.random
        maker = self.makers[int(len(self.makers) * random.random() ** 3)]
        parts = [maker if random.random() < 0.7 else "".join(w[0] for w in maker.split() if w[0].isalpha())]
        if random.random() < 0.4:
            parts.append(f"{random.choice(_LEGAL)} {random.randint(1000, 999_999)}")
        if random.random() < 0.5:
            parts.append(random.choice(_LANDS))
        if random.random() < 0.7:
            parts.append(f"{random.randint(10, 999)}")
        if random.random() < 0.6:
            parts.append(random.choice(["{}", "{}/0", "{} 1/2", "No. {}"]).format(random.randint(1, 16)))
        random.shuffle(parts)
        text = " ".join(part for part in parts if part)
        return text if random.random() > 0.05 else _worn_record(text, random)


def _maker(random: Random) -> str:
    def name() -> str:
        return random.choice(_ONSETS) + random.choice(_MIDDLES) + random.choice(_ENDS) + random.choice(_TAILS)

    parts = [name()]
    if random.random() < 0.3:
        parts += ["&", name()]
    parts.append(random.choice(_FORMS))
    if random.random() < 0.4:
        parts.append(random.choice(_PLACES))
    return " ".join(part for part in parts if part)


def _worn_record(text: str, random: Random) -> str:
    cut = random.randint(0, len(text))
    return random.choice([f"{text[:cut]}…", f"…{text[cut:]}"]) if 2 < cut < len(text) - 2 else text


def worn(text: str, random: Random, manner: str) -> Transcription:
    """A recorded mark as it might be seen on a worn piece, typed by the conventions."""
    symbols = symbols_of(text)
    chances = confusion_model().seen_as()
    typed: list[str] = []
    for symbol in symbols:
        char = character_of(symbol)
        roll = random.random()
        if symbol < FIRST:
            typed.append("[---]" if char == "…" else char)
        elif roll < {"clear": 0.0, "worn": 0.12, "half": 0.06}[manner]:
            typed.append("[.]")
        elif roll < {"clear": 0.02, "worn": 0.24, "half": 0.12}[manner]:
            typed.append(
                _typed(random.choices(range(len(chances)), chances[symbol])[0]) + random.choice(["?", ""])
            )
        else:
            typed.append(_typed(symbol))
    if manner == "half" and len(typed) > 5:
        middle = len(typed) // 2
        typed = random.choice([[*typed[:middle], "[---]"], ["[---]", *typed[middle:]]])
    return parse_transcription("".join(typed).replace("][", "] [") or "X")


def _typed(symbol: int) -> str:
    char = character_of(symbol)
    return "\\" + char if char == "/" else char


@dataclass(frozen=True)
class Timed:
    """What a run found, and the seconds it took by the clock and by the processor."""

    found: list[Match]
    clock: float
    processor: float


def timed(search: Callable[[Transcription], list[Match]], asked: Sequence[Transcription]) -> list[Timed]:
    """Each search by itself."""
    runs: list[Timed] = []
    for mark in asked:
        clock, processor = perf_counter(), process_time()
        found = search(mark)
        runs.append(Timed(found, perf_counter() - clock, process_time() - processor))
    return runs


def measured(size: int, queries: int, random: Random, judge: int) -> None:
    """Build an index of so many marks, search it, and print what it took."""
    trade = Trade.of(random, max(50, size // 200))
    marks = [trade.mark() for _ in range(size)]
    index = MarkIndex.build([str(at) for at in range(size)], marks)
    distinct = len(index.shelves[0].records)
    print(f"\n{size:,} marks, {distinct:,} distinct: built in {index.build_seconds:.1f} s, ", end="")
    print(f"index {index.bytes_held / 2**20:.0f} MiB")

    def by_rapidfuzz(mark: Transcription) -> list[Match]:
        process.extract(mark.visible, marks, scorer=fuzz.ratio, limit=10)
        return []

    for manner in ("clear", "worn", "half"):
        picked = [random.randrange(size) for _ in range(queries)]
        asked = [worn(marks[at], random, manner) for at in picked]
        index.search(asked[0])
        runs, scans = timed(index.search, asked), timed(index.exhaustive, asked[:judge])
        fuzzy = timed(by_rapidfuzz, asked[:5])
        own = [shown(symbols_of(marks[at])) for at in picked]
        print(f"  {manner:5}: {_times(runs)}; {_findings(runs, scans, own)}")
        middle = statistics.median(run.processor for run in runs)
        for name, others in (("the scan", scans), ("process.extract", fuzzy)):
            ratio = statistics.median(run.processor for run in others) / middle
            print(f"         {name} takes {ratio:.2f} times the processor's time of a search")


def _times(runs: Sequence[Timed]) -> str:
    parts = []
    for name, times in (("clock", [r.clock for r in runs]), ("processor", [r.processor for r in runs])):
        late = sorted(times)[math.ceil(0.95 * len(times)) - 1]
        parts.append(
            f"{name}: median {statistics.median(times) * 1e3:.1f} ms, 95th percentile {late * 1e3:.1f} ms"
        )
    return "; ".join(parts)


def _findings(runs: Sequence[Timed], scans: Sequence[Timed], own: Sequence[str]) -> str:
    recall = statistics.fmean(_recall(r.found, s.found) for r, s in zip(runs, scans, strict=False) if s.found)
    kept = [
        [any(match.recorded == text for match in run.found) for run, text in zip(some, own, strict=False)]
        for some in (runs[: len(scans)], scans)
    ]
    ours, theirs = (statistics.fmean(found) for found in kept)
    return f"recall {recall:.4f} of the tens of {len(scans)} scans; own mark in the ten {ours:.2f}, scan {theirs:.2f}"


def _recall(found: list[Match], judged: list[Match]) -> float:
    floor = judged[-1].score_bits
    return sum(match.score_bits >= floor for match in found) / len(judged)


def main() -> None:
    """Measure the sizes asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", type=int, nargs="+", default=[10_000, 100_000, 1_000_000])
    parser.add_argument("--queries", type=int, default=100)
    parser.add_argument(
        "--judge", type=int, default=20, help="how many marks the exhaustive scan judges per manner"
    )
    asked = parser.parse_args()
    for size in asked.sizes:
        measured(size, asked.queries, Random(7), asked.judge)


if __name__ == "__main__":
    main()
