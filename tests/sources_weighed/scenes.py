"""Small shelves of invented sources: who says what, and who follows whom."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime, timedelta

from kg.daybook.record import Citation, Draft, Entry, Judgement, Thing, compose
from kg.daybook.view import WorkingView
from kg.sources_weighed.dependence import Weighed
from kg.vocabulary import load_vocabulary

WHEN = datetime(2026, 1, 1, tzinfo=UTC)
MAKER = Thing("tarn", ("Firm",), "Tarn & Ottery")


def source(slug: str) -> Thing:
    """A source whose first letter says its class: r for a register, b for a book."""
    return Thing(slug, ("Register",) if slug.startswith("r") else ("Book",), f"Source {slug}")


def says(who: str, value: str = "1871", says: str = "founded", about: str = "tarn") -> Draft:
    """A source gives the firm's first year."""
    return Draft(about, says, value, Citation(who, "p. 1"), written=value)


def follows(who: str, whom: str, how: str = "sourceFollows") -> Draft:
    """A source follows another, by its own note."""
    return Draft(who, how, whom, Citation(who, "note 1"))


def entries(
    sources: Iterable[str], drafts: Iterable[Draft], judged: Mapping[Draft, str] | None = None
) -> list[Entry]:
    """An entry for the shelf, one for each claim, and one for each judgement."""
    made = [compose(WHEN, "A. Tester", things=(MAKER, *map(source, sources)))]
    ids = {}
    for number, draft in enumerate(drafts, start=1):
        made.append(compose(WHEN + timedelta(minutes=number), "A. Tester", drafts=(draft,)))
        ids[draft] = made[-1].claims[0].id
    for number, (draft, finds) in enumerate((judged or {}).items(), start=1):
        judgement = Judgement(ids[draft], finds, "for the test")
        made.append(compose(WHEN + timedelta(days=1, minutes=number), "A. Tester", judgements=(judgement,)))
    return made


def view_of(
    sources: Iterable[str], drafts: Iterable[Draft], judged: Mapping[Draft, str] | None = None
) -> WorkingView:
    """The working view of a shelf and what its sources say."""
    return WorkingView.of(load_vocabulary(), entries(sources, drafts, judged))


def weighed_of(sources: str, *drafts: Draft, judged: Mapping[Draft, str] | None = None) -> Weighed:
    """A shelf, its sources named in one text with spaces, with its sources weighed."""
    return Weighed(view_of(sources.split(), drafts, judged))
