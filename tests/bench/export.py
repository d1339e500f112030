"""How long exports and RDF in take, beside loading the daybook: ``python -m tests.bench.export [CLAIMS]``."""

from __future__ import annotations

import io
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from kg.daybook.daybook import Daybook, Note
from kg.daybook.record import Citation, Draft, Thing
from kg.intake.export import export_daybook
from kg.intake.forms import Form
from kg.intake.merge import plan_merge
from kg.intake.rdf_in import plan_rdf, record_rdf

ENDINGS = {
    Form.TRIG: "trig",
    Form.NQUADS: "nq",
    Form.JSONLD: "jsonld",
    Form.TURTLE: "ttl",
    Form.CRM: "ttl",
    Form.CRM_NTRIPLES: "nt",
}
#: Claims that one entry holds.
SHARE = 50


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    start = time.perf_counter()
    found = work()
    return time.perf_counter() - start, found


def filled(folder: Path, claims: int) -> Daybook:
    """A daybook of pieces, each with a maker, a dating, a height and a note."""
    book = Daybook.begin(folder, "Bench")
    things = [Thing("book", ("Book",), "A Book"), Thing("maker", ("Person",), "A Maker")]
    book.record(book.compose(Note("A", things=tuple(things))))
    said = (("madeBy", "maker"), ("madeOn", "1878~"), ("heightMm", "320"), ("noted", "a note"))
    for first in range(0, claims, SHARE):
        numbers = range(first, min(first + SHARE, claims))
        pieces = tuple(Thing(f"piece-{n}", ("Piece",), f"Piece {n}") for n in {n // 4 for n in numbers})
        drafts = tuple(
            Draft(f"piece-{n // 4}", *said[n % 4], Citation("book", f"p. {n}"), written=said[n % 4][1])
            for n in numbers
        )
        book.record(book.compose(Note("A", things=pieces, drafts=drafts)))
    return book


def main(claims: int) -> None:
    """Print the times and their ratios to loading."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        filled(folder / "book", claims)
        loading, book = timed(lambda: Daybook.open(folder / "book"))
        loading += timed(book.view)[0]
        print(f"{claims:,} claims; loading {loading:.2f} s")
        for form in Form:
            file = io.BytesIO()
            spent, _ = timed(lambda f=form, out=file: export_daybook(book, f, out))
            told = f"{form:8} out {spent:6.2f} s ({spent / loading:5.1f} times), {len(file.getvalue()) / 1e6:6.1f} MB"
            if form in ENDINGS:
                path = folder / f"{form}.{ENDINGS[form]}"
                path.write_bytes(file.getvalue())
                other = Daybook.begin(folder / f"other-{form}", "Other")
                planned, plan = timed(lambda o=other, p=path: plan_rdf(o.view(), p, "B"))
                written, _ = timed(lambda o=other, p=plan: record_rdf(o, p))
                told += f"; in {planned:6.2f} s ({planned / loading:5.1f} times), recorded {written:.2f} s"
            print(told)
        other = Daybook.begin(folder / "merged", "Merged")
        spent, _ = timed(lambda: plan_merge(other, folder / "book"))
        print(f"merge: looking through {spent:.2f} s ({spent / loading:.1f} times)")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
