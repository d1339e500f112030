"""Big invented daybooks for measurements: the same every time, with about two pieces of a hundred in conflict."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from kg.daybook.daybook import Daybook
from kg.daybook.record import Citation, Draft, Entry, Thing, compose
from kg.daybook.view import WorkingView
from kg.vocabulary import load_vocabulary

START = datetime(2026, 1, 1, tzinfo=UTC)
#: Claims about each piece: maker, date, registration, plate, retailer, sale, height.
CLAIMS_A_PIECE = 7
#: One maker, one registration, one source and one retailer to so many pieces.
PIECES_A_MAKER, PIECES_A_REGISTRATION, PIECES_A_SOURCE, PIECES_A_RETAILER = 12, 6, 15, 40
CONFLICT_SHARE = 0.02


def view_of(claims: int, seed: int = 1878) -> WorkingView:
    """A working view of about so many claims, held in memory only."""
    return WorkingView.of(load_vocabulary(), entries(claims, seed), revision=f"trade-{claims}")


def build(folder: Path | None, claims: int, seed: int = 1878) -> WorkingView | Daybook:
    """An invented trade of about so many claims: a daybook in a folder, or without one its working view."""
    if folder is None:
        return view_of(claims, seed)
    daybook = Daybook.begin(folder, "Invented trade")
    for entry in entries(claims, seed):
        daybook.record(entry)
    return daybook


def entries(claims: int, seed: int = 1878) -> Iterator[Entry]:
    """The entries of an invented trade, oldest first."""
    chance = random.Random(seed)
    around = 2 / PIECES_A_MAKER + 1 / PIECES_A_REGISTRATION + 1 / PIECES_A_SOURCE + 2 / PIECES_A_RETAILER
    pieces = max(1, round(claims / (CLAIMS_A_PIECE + around)))
    clock = START
    for things, drafts in _pages(chance, pieces):
        clock += timedelta(seconds=30)
        yield compose(clock, "A. Tester", things=things, drafts=drafts)


_Page = tuple[tuple[Thing, ...], tuple[Draft, ...]]


def _pages(chance: random.Random, pieces: int) -> Iterator[_Page]:
    yield (
        (
            Thing("book", ("Book",), "A Book of Heads"),
            Thing("register", ("Register",), "Register of Deposits"),
        ),
        (),
    )
    makers = [_maker(chance, number) for number in range(-(-pieces // PIECES_A_MAKER))]
    deposits = [_deposit(chance, number) for number in range(-(-pieces // PIECES_A_REGISTRATION))]
    plates = [_plates(chance, number) for number in range(-(-pieces // PIECES_A_SOURCE))]
    shops = [_shop(chance, number) for number in range(-(-pieces // PIECES_A_RETAILER))]
    for page, _ in (*makers, *deposits, *plates, *shops):
        yield page
    for number in range(pieces):
        maker, deposit, plate, shop = (chance.choice(known) for known in (makers, deposits, plates, shops))
        yield _piece(chance, number, maker, deposit, plate, shop)


def _says(subject: str, says: str, value: object, source: str = "book") -> Draft:
    return Draft(subject, says, str(value), Citation(source, f"p. {len(subject)}"), written=str(value))


def _maker(chance: random.Random, number: int) -> tuple[_Page, int]:
    slug, begin = f"maker-{number}", chance.randrange(1840, 1872)
    if number % 3:
        drafts = (_says(slug, "bornOn", begin - 25), _says(slug, "diedOn", begin + 45))
        return ((Thing(slug, ("Person",), f"Maker {number}"),), drafts), begin
    drafts = (_says(slug, "founded", begin), _says(slug, "ceased", begin + 40))
    return ((Thing(slug, ("Firm",), f"Firm {number}"),), drafts), begin


def _deposit(chance: random.Random, number: int) -> tuple[_Page, int]:
    slug, year = f"deposit-{number}", chance.randrange(1872, 1876)
    return (
        (Thing(slug, ("DesignDeposit",), f"Deposit {number}"),),
        (_says(slug, "filedOn", year, "register"),),
    ), year


def _plates(chance: random.Random, number: int) -> tuple[_Page, int]:
    slug, year = f"plates-{number}", chance.randrange(1905, 1960)
    return ((Thing(slug, ("Book",), f"Plates {number}"),), (_says(slug, "publishedOn", year, slug),)), year


def _shop(chance: random.Random, number: int) -> tuple[_Page, int]:
    slug, year = f"shop-{number}", chance.randrange(1850, 1870)
    drafts = (_says(slug, "founded", year), _says(slug, "ceased", year + 60))
    return ((Thing(slug, ("Retailer",), f"Shop {number}"),), drafts), year


def _piece(chance: random.Random, number: int, *known: tuple[_Page, int]) -> _Page:
    slug = f"piece-{number}"
    maker, deposit, plate, shop = (page[0][0].slug for page, _ in known)
    made = chance.randrange(1877, 1880)
    dated = str(made) if number % 2 else f"{made}~"
    if chance.random() < CONFLICT_SHARE:
        dated = chance.choice(("1790", "1835", "1862", "1990"))
    drafts = (
        _says(slug, "madeOn", dated),
        _says(slug, "madeBy", maker),
        _says(slug, "bearsRegistration", deposit, "register"),
        _says(slug, "illustratedIn", plate, plate),
        _says(slug, "soldBy", shop),
        _says(slug, "soldOn", f"{made}/{made + 9}"),
        _says(slug, "heightMm", 300 + number % 500),
    )
    return (Thing(slug, ("Piece",), f"Piece {number}"),), drafts
