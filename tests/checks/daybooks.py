"""Random small daybooks: a fixed cast, and claims, descriptions and judgements drawn at will."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta

from hypothesis import strategies as st

from kg.daybook.record import Citation, Draft, Entry, Judgement, Thing, compose
from kg.daybook.view import WorkingView
from kg.vocabulary import Vocabulary, load_vocabulary
from tests.conftest import CAST

START = datetime(2026, 1, 1, tzinfo=UTC)
SLUGS = [thing.slug for thing in CAST]
#: Properties that meet one another in the time rules, so that random claims often clash.
LINKS = [
    "madeBy", "bearsRegistration", "illustratedIn", "soldBy", "consignedBy", "offeredAt", "hasOriginalPart",
    "succeeded", "registeredBy", "partnerIn", "attributedTo", "sourceFollows", "founderOf", "childOf", "assembledBy",
]  # fmt: skip
DATES = [
    "bornOn", "diedOn", "founded", "ceased", "activeIn", "knownActive", "openedOn", "madeOn", "inscribedOn",
    "existedBy", "soldOn", "filedOn", "registeredOn", "publishedOn", "heldOn",
]  # fmt: skip
GOOD_DATES = [
    "1820",
    "1850~",
    "1868-05",
    "1870/1874",
    "1878?",
    "1880-03-02",
    "/1885",
    "1890/..",
    "1870/1880~",
    "1899",
    "1925",
]
BAD_DATES = ["19o5", "", "1890/1880"]


def drafts(*, only_good: bool = False) -> st.SearchStrategy[Draft]:
    """A claim: usually of a sensible form, sometimes of nonsense unless ``only_good``."""
    slugs = st.sampled_from(SLUGS if only_good else [*SLUGS, "nobody"])
    strength = st.sampled_from(["hard", "hard", "hard", "usual", "weak"])
    locator = st.just("p. 1") if only_good else st.sampled_from(["p. 1", "p. 1", "p. 1", "", " "])
    source = st.sampled_from(
        ["book", "register"] if only_good else ["book", "register", "plates", "lady", "nobody"]
    )
    citation = st.builds(Citation, source, locator)
    dates = st.sampled_from(GOOD_DATES if only_good else [*GOOD_DATES, *BAD_DATES])
    dated = st.builds(Draft, slugs, st.sampled_from(DATES), dates, citation, strength=strength)
    linked = st.builds(Draft, slugs, st.sampled_from(LINKS), slugs, citation, strength=strength)
    if only_good:
        return st.one_of(dated, dated, linked)
    numbers = st.builds(Draft, slugs, st.just("heightMm"), st.sampled_from(["400", "tall"]), citation)
    unknown = st.builds(Draft, slugs, st.sampled_from(["named", "owned"]), st.just("words"), citation)
    return st.one_of(dated, dated, dated, linked, linked, numbers, unknown)


def _fitting(kind: str) -> list[str]:
    return [thing.slug for thing in CAST if load_vocabulary().is_a(thing.kinds, kind)]


@st.composite
def sensible_drafts(draw: st.DrawFn) -> Draft:
    """A claim whose subject and value are of the right kinds, of any property that says something about time."""
    timed = [p for p in load_vocabulary().properties.values() if p.rules and _fitting(p.domain)]
    prop = draw(st.sampled_from([p for p in timed if p.is_date or _fitting(p.range)]))
    value = st.sampled_from(GOOD_DATES) if prop.is_date else st.sampled_from(_fitting(prop.range))
    strength = draw(st.sampled_from(["hard", "hard", "hard", "hard", "usual", "weak"]))
    subject = draw(st.sampled_from(_fitting(prop.domain)))
    return Draft(subject, prop.name, draw(value), Citation("book", "p. 1"), strength=strength)


def things() -> st.SearchStrategy[Thing]:
    """One of the cast described anew, or someone new, with any class."""
    kinds = st.sampled_from(["Person", "Firm", "Piece", "Head", "Book", "Sale", "Place", "Automaton"])
    return st.builds(
        lambda slug, kind, label, convention: Thing(slug, (kind,), label, convention=convention),
        st.sampled_from([*SLUGS, "nobody"]),
        kinds,
        st.sampled_from(["A name", ""]),
        st.sampled_from([None, None, "twelve-years"]),
    )


def compose_entries(pages: Sequence[tuple[Sequence[Thing], Sequence[Draft]]]) -> list[Entry]:
    """The cast, and then one entry for each page, a minute apart."""
    made = [compose(START, "A. Tester", things=CAST)]
    for number, (described, said) in enumerate(pages, start=1):
        when = START + timedelta(minutes=number)
        made.append(compose(when, "A. Tester", f"page {number}", things=tuple(described), drafts=tuple(said)))
    return made


def pages() -> st.SearchStrategy[list[tuple[list[Thing], list[Draft]]]]:
    """What some entries hold."""
    page = st.tuples(st.lists(things(), max_size=1), st.lists(drafts(), min_size=1, max_size=4))
    return st.lists(page, min_size=1, max_size=6)


def speaking_of(claims: Sequence[str]) -> list[Draft]:
    """Claims about claims: the first supports an answer and follows the last."""
    if not claims:
        return []
    return [
        Draft("book", "supportedBy", claims[0], Citation("book", "p. 1")),
        Draft(claims[0], "claimFollows", claims[-1], Citation("book", "p. 1")),
        Draft(claims[-1], "claimTakenFrom", "plates", Citation("book", "p. 1")),
    ]


def judged(entry: Entry, claims: Sequence[str], standings: Sequence[str]) -> Entry:
    """The same entry with judgements on some claims."""
    found = tuple(Judgement(c, s, "a reason") for c, s in zip(claims, standings, strict=False))
    again = tuple(
        Draft(c.subject, c.property, c.value, c.citation, c.written, c.strength, c.is_confidential)
        for c in entry.claims
    )
    return compose(
        entry.recorded, entry.researcher, entry.note, things=entry.things, drafts=again, judgements=found
    )


def view_of(entries: Iterable[Entry], vocabulary: Vocabulary | None = None) -> WorkingView:
    """The working view of some entries, nothing written anywhere."""
    return WorkingView.of(vocabulary or load_vocabulary(), entries)


def view_saying(
    *said: Draft, described: Sequence[Thing] = (), vocabulary: Vocabulary | None = None
) -> WorkingView:
    """The working view of the cast, with some claims in entries of their own."""
    first = [(tuple(described), ())] if described else []
    return view_of(compose_entries([*first, *(((), (draft,)) for draft in said)]), vocabulary)
