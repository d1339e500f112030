"""An empty daybook and tables of invented pieces to take in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from kg.daybook.daybook import Daybook
from kg.daybook.record import Claim, Entry
from kg.intake.take_in import Plan, plan_take_in, take_in_table

#: A small mapping for a table with the columns id, title, maker, born, dated, height, state.
MAPPING = """
name = "stocklist"
researcher = "A. Tester"

[source]
id = "stocklist"
label = "An invented stock list"
convention = "five-years"

[[thing]]
name = "piece"
id = "piece-{id}"
kind = "Piece"
label = "{title?}"
unique = true

[[thing]]
name = "maker"
id = "maker-{maker}-{born?}"
kind = "Person"
label = "{maker}"
when = "maker"

[[claim]]
about = "piece"
says = "madeBy"
thing = "maker"

[[claim]]
about = "piece"
says = "madeOn"
column = "dated"
form = "phrase"

[[claim]]
about = "maker"
says = "bornOn"
column = "born"
form = "year"

[[claim]]
about = "piece"
says = "heightMm"
column = "height"

[[claim]]
about = "piece"
says = "condition"
column = "state"
map = { "W" = "worn" }
"""
HEADINGS = "id,title,maker,born,dated,height,state"
ROWS = (
    "01,Lady with a fan,Adèle Brumelow,1839,c. 1878,320,W",
    "02,Boy with a hoop,Adèle Brumelow,1839,1885,280,good",
    "03,Girl in tarlatan,Ottmar Tarn,1851,undated,,",
)


@dataclass
class Bench:
    """A daybook with a table and a mapping beside it."""

    folder: Path
    daybook: Daybook = field(init=False)
    mapping: Path = field(init=False)
    table: Path = field(init=False)

    def __post_init__(self) -> None:
        self.daybook = Daybook.begin(self.folder / "daybook", "Test")
        self.mapping = self.folder / "mapping.toml"
        self.mapping.write_text(MAPPING, encoding="utf-8")
        self.table = self.folder / "stock.csv"

    def write(self, *rows: str, headings: str = HEADINGS, encoding: str = "utf-8", end: str = "\n") -> None:
        """Write the table anew."""
        self.table.write_bytes(end.join([headings, *rows, ""]).encode(encoding))

    def remap(self, *changes: tuple[str, str]) -> None:
        """Change the mapping's text."""
        text = self.mapping.read_text(encoding="utf-8")
        for old, new in changes:
            assert old in text
            text = text.replace(old, new)
        self.mapping.write_text(text, encoding="utf-8")

    def plan(self) -> Plan:
        """The dry run."""
        return plan_take_in(self.daybook.view(), self.table, self.mapping)

    def take_in(self) -> tuple[Plan, Entry | None]:
        """Take in the table."""
        return take_in_table(self.daybook, self.table, self.mapping)

    def files(self) -> list[str]:
        """Every file of the daybook, also unfinished ones."""
        return sorted(path.name for path in self.daybook.shelf.folder.rglob("*"))

    def live(self, subject: str, says: str) -> Sequence[Claim]:
        """The claims that stand about a thing."""
        return [c for c in self.daybook.view().by_subject.get(subject, ()) if c.property == says]

    def values(self, subject: str, says: str) -> list[str]:
        """What they say."""
        return sorted(claim.value for claim in self.live(subject, says))


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    """An empty daybook, the small mapping and a table of three rows."""
    made = Bench(tmp_path)
    made.write(*ROWS)
    return made
