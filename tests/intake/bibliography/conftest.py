"""A daybook with a few invented sources, and a bibliography file beside it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from kg.daybook.daybook import Daybook, Note
from kg.daybook.record import Citation, Claim, Draft, Entry, Thing
from kg.intake.bibliography import Plan, Wishes, plan_bibliography, take_in_bibliography

#: A small shelf in BibTeX, with a firm among the authors, a macro, a cross reference and a hedged date.
SHELF = r"""% encoding: utf-8
@string{otp = "Ottery Press"}
@book{tarn1892,
  author = {van Tarn, Ottmar and {Brumelow \& Ottery} and others},
  title = {K{\"o}pfe aus {Ton}},
  subtitle = {Ein Verzeichnis},
  year = {c. 1892},
  address = {Coburg},
  publisher = otp,
  keywords = {heads},
  owner = {me}
}
@incollection{plum, crossref = {coll}, author = {Plumtree, Ada},
  title = {On shoulder heads}, pages = {12--19}}
@collection{coll, title = {Essays on Heads}, editor = {Ottery, Simon},
  date = {1903/1905}, location = {Bath}}
"""


class Reading:
    """A daybook, and a bibliography that is written and taken in."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.daybook = Daybook.begin(folder / "daybook", "Test")
        self.file = folder / "shelf.bib"

    def write(self, text: str | bytes, name: str = "shelf.bib") -> None:
        """Write the bibliography anew."""
        self.file = self.folder / name
        self.file.write_bytes(text if isinstance(text, bytes) else text.encode())

    def plan(self, **wishes: object) -> Plan:
        """The dry run."""
        return plan_bibliography(
            self.daybook.view(),
            self.file,
            researcher="A. Tester",
            wishes=Wishes(**wishes),  # type: ignore[arg-type]  # forwarded as they are
        )

    def take_in(self, **wishes: object) -> tuple[Plan, Entry | None]:
        """Take in the bibliography."""
        return take_in_bibliography(
            self.daybook,
            self.file,
            researcher="A. Tester",
            wishes=Wishes(**wishes),  # type: ignore[arg-type]  # forwarded as they are
        )

    def source(self, slug: str, kind: str, label: str, **says: str) -> None:
        """Put a source on record, with what the note says of it."""
        cited = Citation(slug, "title page")
        drafts = [Draft(slug, name, value, cited, value) for name, value in says.items()]
        things = [Thing(slug, (kind,), label)]
        if "writtenBy" in says:
            things.append(Thing(says["writtenBy"], ("Person",), says["writtenBy"].replace("-", " ").title()))
        note = Note("A. Tester", things=tuple(things), drafts=tuple(drafts))
        self.daybook.record(self.daybook.compose(note))

    def live(self, subject: str, says: str) -> Sequence[Claim]:
        """The claims that stand about a thing."""
        return [c for c in self.daybook.view().by_subject.get(subject, ()) if c.property == says]

    def values(self, subject: str, says: str) -> list[str]:
        """What they say."""
        return sorted(claim.value for claim in self.live(subject, says))

    def files(self) -> list[str]:
        """Every file of the daybook, also unfinished ones."""
        return sorted(path.name for path in self.daybook.shelf.folder.rglob("*"))


@pytest.fixture
def reading(tmp_path: Path) -> Reading:
    """An empty daybook and the small shelf."""
    made = Reading(tmp_path)
    made.write(SHELF)
    return made
