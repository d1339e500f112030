"""Files that are huge, broken or meant to do harm: a clear error or a told fault, and nothing recorded."""

from __future__ import annotations

import os

import pytest

from kg.intake.bibliography import BadBibliography, FaultyRecords
from kg.intake.bibliography import reading as reading_module
from tests.intake.bibliography.conftest import Reading


def refused(reading: Reading, text: str | bytes, name: str = "shelf.bib") -> str:
    """The message by which a file is refused; the daybook is as it was."""
    reading.write(text, name)
    before = reading.files()
    with pytest.raises(BadBibliography) as error:
        reading.take_in()
    assert reading.files() == before
    return str(error.value)


LATIN = "\n@book{k, title={Köpfe}}".encode("latin-1")
REFUSED = {
    "empty": (b"", "a.bib", "a.bib is empty. Export it again."),
    "only a mark": (b"\xef\xbb\xbf \n", "a.bib", "a.bib is no bibliography"),
    "a zip": (b"PK\x03\x04\x00", "a.bib", "a NUL byte found"),
    "utf-16": ("@book{k, title={A}}".encode("utf-16"), "a.bib", "a.bib is in UTF-16. Save it as UTF-8"),
    "latin-1": (LATIN, "a.bib", "a.bib, line 2: the byte 0xf6 is not UTF-8. Save"),
    "declared": (
        "% encoding: klingon\n@book{k, title={A}}",
        "a.bib",
        "the encoding 'klingon' found; expected one of",
    ),
    "prose": ("A list of books.", "a.bib", "a.bib is no bibliography: 'A list of books.' found at its begin"),
    "braces alone": ("{" * 100_000, "a.bib", "a.bib is no bibliography"),
    "no record": ("@comment{nothing}", "a.bib", "a.bib holds no record, though it looks like BibTeX"),
    "empty list": ("[]", "a.json", "a.json holds no record, though it looks like CSL-JSON"),
    "no json": ('[{"a": NaN}]', "a.json", "a.json, line 1: "),
    "deep json": ("[" * 1_000_000, "a.json", "not nested so deeply"),
    "huge number": ('[{"id": "k", "volume": ' + "9" * 10_000 + "}]", "a.json", "a.json, line 1: "),
}


@pytest.mark.parametrize(("text", "name", "told"), REFUSED.values(), ids=REFUSED)
def test_what_is_no_bibliography_is_refused(
    reading: Reading, text: str | bytes, name: str, told: str
) -> None:
    assert told in refused(reading, text, name)


@pytest.mark.parametrize(
    ("name", "told"),
    [
        pytest.param(
            "none.bib", r"There is no bibliography file .*none\.bib\. Check the name\.", id="absent"
        ),
        pytest.param(
            "folder.bib", r"folder\.bib is a folder\. Name a bibliography file in it\.", id="a folder"
        ),
        pytest.param("pipe.bib", r"pipe\.bib is no file but a device or a pipe\. Save the", id="a pipe"),
    ],
)
def test_what_is_no_file_is_refused_for_what_it_is(reading: Reading, name: str, told: str) -> None:
    (reading.folder / "folder.bib").mkdir()
    os.mkfifo(reading.folder / "pipe.bib")
    reading.file = reading.folder / name
    with pytest.raises(BadBibliography, match=told):
        reading.plan()


def test_too_many_bytes_or_records_are_refused(reading: Reading, monkeypatch: pytest.MonkeyPatch) -> None:
    with reading.file.open("wb") as file:
        file.truncate(reading_module.MOST_BYTES + 1)
    with pytest.raises(BadBibliography, match="at most 50,000,000 are taken in at once"):
        reading.plan()
    monkeypatch.setattr(reading_module, "MOST_RECORDS", 2)
    told = refused(reading, "".join(f"@book{{k{n}, title={{A}}}}" for n in range(3)))
    assert (
        told == "shelf.bib has 3 records; at most 2 are taken in at once. Cut it into parts and take in each."
    )


def test_far_too_many_records_are_refused_before_they_are_read(reading: Reading) -> None:
    told = refused(reading, "@book{k," * 200_000)
    assert told.startswith("shelf.bib has 200,000 records; at most 50,000 are taken in at once.")


def test_records_that_are_all_alike_are_told_apart(reading: Reading) -> None:
    same = "author={Tarn, A.}, title={Heads of the Valley}, year=1932, isbn={0-306-40615-2}"
    reading.write("".join(f"@book{{k{number}, {same}, volume={number}}}\n" for number in range(3_000)))
    sources = [taken.source for taken in reading.plan().taken]
    assert len(set(sources)) == 3_000
    assert sources[-1] == "book-tarn-1932-heads-of-the-valley-3000"


def test_a_field_of_very_many_lines_is_put_together(reading: Reading) -> None:
    reading.write("TY  - BOOK\nTI  - Heads\nAB  - a\n" + "b\n" * 40_000 + "ER  - \n", "a.ris")
    reading.take_in()
    (note,) = reading.values("book-heads", "noted")
    assert len(note) == len("AB: a") + 80_000


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("@book{k, title=" + "{" * 100_000, id="open braces"),
        pytest.param("@book{k," * 2_000, id="records in records"),
        pytest.param('@book{k, a="' + '{"' * 50_000, id="open quotes"),
        pytest.param("@book{k, title={" + "a" * 200_000 + "}}", id="one long record"),
        pytest.param("TY  - BOOK\nTI  - One", id="no end"),
    ],
)
def test_a_broken_record_is_a_told_fault(reading: Reading, text: str) -> None:
    before = reading.files()
    reading.write(text)
    with pytest.raises(FaultyRecords):
        reading.take_in()
    assert reading.files() == before


def test_braces_that_close_are_read_however_deep(reading: Reading) -> None:
    reading.write("@book{k, title={" + "{" * 40_000 + "Heads" + "}" * 40_000 + "}}")
    reading.take_in()
    assert reading.values("book-heads", "title") == ["Heads"]


def test_what_steers_a_terminal_or_cannot_be_written_is_replaced(reading: Reading) -> None:
    reading.write(
        '[{"id": "k\\u001b[31m", "type": "book", "title": "Heads\\ud800 \\u202eof wax\\u0007",'
        ' "publisher": "A\\u001bB"}]',
        "a.json",
    )
    reading.take_in()
    view = reading.daybook.view()
    printed = "".join(f"{c.value}{c.citation.locator}" for c in view.claims.values()) + "".join(
        thing.label for thing in view.things.values()
    )
    assert not set(printed) & set("\x1b\x07\u202e\ud800")
    assert not list(reading.daybook.verify())


def test_commands_of_latex_are_never_carried_out(reading: Reading) -> None:
    reading.write("@book{k, title={\\input{/etc/passwd} \\write18{rm}}}")
    plan, _ = reading.take_in()
    (title,) = reading.values(plan.taken[0].source, "title")
    assert title == "\\input /etc/passwd \\write 18rm"


def test_a_mark_at_the_begin_and_mixed_line_ends_are_read(reading: Reading) -> None:
    reading.write(b"\xef\xbb\xbfTY  - BOOK\r\nTI  - Heads\rPY  - 1932\nER  - \r\n", "a.ris")
    plan, _ = reading.take_in()
    assert [(taken.source, taken.line) for taken in plan.taken] == [("book-1932-heads", 1)]


def test_declared_latin_1_is_read(reading: Reading) -> None:
    reading.write("% Encoding: ISO-8859-1\n@book{k, title={Köpfe}}".encode("latin-1"))
    reading.take_in()
    assert reading.values("book-koepfe", "title") == ["Köpfe"]


def test_the_content_tells_the_format_and_not_the_ending(reading: Reading) -> None:
    reading.write("TY  - BOOK\nTI  - Heads\nER  - \n", "shelf.bib")
    assert reading.plan().format == "RIS"
    reading.write('\n [{"id": "k", "title": "@book{x}"}]', "shelf.ris")
    assert reading.plan().format == "CSL-JSON"


def test_a_list_of_a_thousand_authors_is_kept_in_order(reading: Reading) -> None:
    names = " and ".join(f"Tarn{number}, A." for number in range(1_000))
    reading.write("@book{k, title={Heads}, author={" + names + "}}")
    plan, _ = reading.take_in()
    assert len(reading.live(plan.taken[0].source, "writtenBy")) == 1_000


def test_the_name_of_the_file_cannot_lead_outside_or_steer(reading: Reading) -> None:
    reading.write("@book{k, title={Heads}}", "..\u202eä b'\".bib")
    plan, _ = reading.take_in()
    assert plan.source == "bibliography-ae-b-bib"
    assert "\u202e" not in plan.remark


def test_macros_within_macros_do_not_grow_without_end(reading: Reading) -> None:
    macros = ['@string{a = "xxxxxxxxxx"}']
    macros += [
        f"@string{{{new} = {'#'.join([old] * 10)}}}"
        for old, new in zip("abcdefghi", "bcdefghij", strict=True)
    ]
    reading.write("\n".join([*macros, "@book{k, title=c, year=1900}", "@book{l, title=c#c#c, year=1900}"]))
    plan = reading.plan()
    assert plan.records == 1
    assert [fault.line for fault in plan.faults] == [4, 8, 12]
    assert "longer than 2,000 characters" in str(plan.faults[0])
