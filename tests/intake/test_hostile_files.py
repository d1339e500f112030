"""Hostile, huge, malformed and foreign files: each a clear refusal, and the daybook's bytes as they were."""

from __future__ import annotations

import hashlib
import os
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from openpyxl import Workbook

from kg.intake import workbook
from kg.intake.faults import BadTable
from tests.intake.conftest import HEADINGS, ROWS, Bench

GOOD = "\n".join([HEADINGS, *ROWS, ""])


def fingerprint(folder: Path) -> dict[str, str]:
    """Every file of a folder with the hash of its bytes."""
    files = (path for path in sorted(folder.rglob("*")) if path.is_file())
    return {str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


def refused(bench: Bench, told: str) -> None:
    """The take-in is refused in such words, which are short, and nothing of the daybook changes."""
    before = fingerprint(bench.daybook.shelf.folder)
    with pytest.raises(BadTable) as caught:
        bench.take_in()
    assert told in str(caught.value)
    assert len(str(caught.value)) < 600
    assert fingerprint(bench.daybook.shelf.folder) == before


@pytest.fixture
def filled(bench: Bench) -> Bench:
    """A daybook that holds something to lose."""
    bench.take_in()
    return bench


TEXTS: list[object] = [
    pytest.param(b"\x89\x1f\x8b\x08\xff\xfe" * 30, "is no utf-8 text", id="binary junk"),
    pytest.param(GOOD.replace("Lady", "La\0dy").encode(), "row 2: a NUL byte found", id="NUL byte"),
    pytest.param(GOOD.encode("utf-16-le"), "NUL byte", id="UTF-16 without its mark"),
    pytest.param(GOOD.encode("latin-1"), "the byte 0xe8 is no utf-8 text", id="Latin-1 claimed as UTF-8"),
    pytest.param(GOOD.replace("Lady", '"Lady').encode(), "a quotation mark is out of place", id="unbalanced quote"),
    pytest.param((HEADINGS + "\n" + "x" * 1_100_000).encode(), "1,000,000 characters in one line", id="long line"),
    pytest.param(GOOD.replace("title", "id").encode(), "the heading 'id' stands over more", id="duplicate headings"),
    pytest.param(GOOD.replace(",W\n", "\n").encode(), "row 2: 6 cells found; expected 7", id="ragged rows"),
    pytest.param(b"", "is empty", id="empty file"),
    pytest.param(HEADINGS.encode(), "holds headings and no row", id="only headings"),
    pytest.param(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "older Excel format (.xls)", id="xls"),
    pytest.param(b"<html>\n<td>1</td>\n", "mapping stocklist names", id="a web page"),
]  # fmt: skip


@pytest.mark.parametrize(("content", "told"), TEXTS)
def test_a_malformed_text_is_refused_and_changes_nothing(filled: Bench, content: bytes, told: str) -> None:
    filled.table.write_bytes(content)
    before = fingerprint(filled.daybook.shelf.folder)
    with pytest.raises(Exception) as caught:  # noqa: PT011  the words are looked at below
        filled.take_in()
    assert type(caught.value).__module__ == "kg.intake.faults"
    assert told in str(caught.value)
    assert len(str(caught.value)) < 600
    assert fingerprint(filled.daybook.shelf.folder) == before


def test_mixed_line_ends_are_read_as_line_ends(bench: Bench) -> None:
    bench.table.write_bytes((HEADINGS + "\r\n" + ROWS[0] + "\r" + ROWS[1] + "\n" + ROWS[2]).encode())
    assert bench.plan().rows == 3


def test_control_characters_and_turned_writing_are_recorded_and_never_act(bench: Bench) -> None:
    from tests.intake.test_commands import taking

    bench.write(ROWS[0].replace("c. 1878", "\x1b[2J\u202e1878").replace("W", "\x1b]0;x\x07worn"))
    _, out, err = taking(bench, "--dry-run")
    assert not {"\x1b", "\x07", "\u202e"} & set(out + err)
    bench.take_in()
    assert bench.values("piece-01", "condition") == ["\x1b]0;x\x07worn"]
    assert list(bench.daybook.verify()) == []


def test_a_folder_is_refused(filled: Bench) -> None:
    filled.table = filled.folder
    refused(filled, "is a folder. Name a table file in it.")


def test_a_pipe_is_refused_without_waiting_for_it(filled: Bench) -> None:
    filled.table = filled.folder / "pipe.csv"
    os.mkfifo(filled.table)
    refused(filled, "is no file but a device or a pipe")


def test_a_device_is_refused(filled: Bench) -> None:
    filled.table = Path("/dev/zero")
    refused(filled, "is no file but a device or a pipe")


def test_a_ring_of_symbolic_links_is_refused(filled: Bench) -> None:
    one, two = filled.folder / "one.csv", filled.folder / "two.csv"
    one.symlink_to(two)
    two.symlink_to(one)
    filled.table = one
    refused(filled, "There is no table file")


def packed(path: Path, members: dict[str, bytes | str], *, level: int = 9) -> None:
    """A zip of these members."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=level) as package:
        for name, content in members.items():
            package.writestr(name, content)


@pytest.fixture
def members(tmp_path: Path) -> dict[str, bytes | str]:
    """The members of a sound workbook, to be spoilt."""
    made = Workbook()
    page = made.worksheets[0]
    for line in GOOD.splitlines():
        page.append(line.split(","))
    made.save(tmp_path / "sound.xlsx")
    with zipfile.ZipFile(tmp_path / "sound.xlsx") as package:
        return {name: package.read(name) for name in package.namelist()}


SHEET, BOOK = "xl/worksheets/sheet1.xml", "xl/workbook.xml"
Spoil = Callable[[dict[str, bytes | str]], object]


def _with_doctype(member: str, declaration: str, padding: int = 0) -> Spoil:
    def spoil(found: dict[str, bytes | str]) -> None:
        text = found[member]
        assert isinstance(text, bytes)
        body = text.decode().split("?>", 1)[-1]
        space = f"<!--{'-x' * (padding // 2)} -->" if padding else ""
        found[member] = f'<?xml version="1.0"?>{space}<!DOCTYPE worksheet [{declaration}]>{body}'

    return spoil


def _with_absent_string(found: dict[str, bytes | str]) -> None:
    sheet = found[SHEET]
    assert isinstance(sheet, bytes)
    cell = b't="inlineStr"><is><t>title</t></is>'
    assert cell in sheet
    found[SHEET] = sheet.replace(cell, b't="s"><v>999</v>')


BOMB = '<!ENTITY a "aaaaaaaaaa">' + "".join(
    f'<!ENTITY {chr(98 + n)} "{f"&{chr(97 + n)};" * 10}">' for n in range(9)
)
OUTSIDE = '<!ENTITY x SYSTEM "file:///etc/hostname">'
SPOILT = [
    pytest.param(lambda m: m.update({"xl/media/a.bin": bytes(50_000_000)}), "times its size; at most 100", id="ratio"),
    pytest.param(
        lambda m: m.update({f"xl/media/{n}.bin": b"" for n in range(1001)}), "files; at most 1,000", id="many members"
    ),
    pytest.param(_with_doctype(SHEET, BOMB), "declares entities of its own", id="entity bomb in the sheet"),
    pytest.param(_with_doctype(SHEET, BOMB, 70_000), "declares entities of its own", id="entity bomb far down"),
    pytest.param(_with_doctype(BOOK, OUTSIDE, 70_000), "declares entities of its own", id="outside entity far down"),
    pytest.param(_with_doctype(SHEET, OUTSIDE), "declares entities of its own", id="outside entity"),
    pytest.param(lambda m: m.update({SHEET: "<worksheet><row>"}), "cannot be read as a workbook", id="cut XML"),
    pytest.param(_with_absent_string, "cannot be read as a workbook", id="a string that is not there"),
    pytest.param(lambda m: m.pop(SHEET), "has no sheet with cells", id="no sheet"),
    pytest.param(lambda m: m.pop(BOOK), "is a zip file and no Excel workbook", id="no workbook"),
    pytest.param(lambda m: m.update({"xl/workbook.bin": b"x"}), "is a binary workbook (.xlsb)", id="xlsb"),
    pytest.param(
        lambda m: m.update({"mimetype": "application/vnd.oasis.opendocument.spreadsheet"}),
        "is an OpenDocument file. Save it as .xlsx",
        id="ods",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("spoil", "told"), SPOILT)
def test_a_spoilt_workbook_is_refused_and_changes_nothing(
    filled: Bench, members: dict[str, bytes | str], spoil: Spoil, told: str
) -> None:
    spoil(members)
    filled.table = filled.folder / "stock.xlsx"
    packed(filled.table, members)
    refused(filled, told)


def test_a_workbook_that_unpacks_to_too_much_is_refused_unread(
    filled: Bench, members: dict[str, bytes | str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(workbook, "MOST_UNPACKED", 10_000)
    filled.table = filled.folder / "stock.xlsx"
    packed(filled.table, {**members, "xl/media/a.bin": os.urandom(20_000)})
    refused(filled, "would unpack to")


@pytest.mark.parametrize(
    ("part", "limit"), [("xl/styles.xml", "MOST_PART"), ("xl/sharedStrings.xml", "MOST_TEXTS")]
)
def test_a_part_that_is_read_whole_may_not_be_huge(
    filled: Bench, members: dict[str, bytes | str], monkeypatch: pytest.MonkeyPatch, part: str, limit: str
) -> None:
    monkeypatch.setattr(workbook, limit, 50_000)
    filled.table = filled.folder / "stock.xlsx"
    packed(filled.table, {**members, part: os.urandom(60_000)})
    refused(filled, f"its part '{part}' would unpack to 60,000 bytes; at most 50,000 expected.")


def test_a_workbook_packed_by_a_method_that_nobody_here_knows_is_refused(
    filled: Bench, members: dict[str, bytes | str]
) -> None:
    filled.table = filled.folder / "stock.xlsx"
    packed(filled.table, members)
    whole = bytearray(filled.table.read_bytes())
    for head, method in ((b"PK\x03\x04", 8), (b"PK\x01\x02", 10)):  # PKWARE APPNOTE 4.3.7 and 4.3.12
        at = whole.find(head)
        while at >= 0:
            whole[at + method : at + method + 2] = (9).to_bytes(2, "little")  # Deflate64
            at = whole.find(head, at + 4)
    filled.table.write_bytes(whole)
    refused(filled, "cannot be read as a workbook")


def test_a_workbook_cut_short_is_refused(filled: Bench, members: dict[str, bytes | str]) -> None:
    filled.table = filled.folder / "stock.xlsx"
    packed(filled.table, members)
    whole = filled.table.read_bytes()
    filled.table.write_bytes(whole[: len(whole) // 2])
    refused(filled, "cannot be read as a workbook (BadZipFile); it is damaged or cut short")


def test_a_workbook_with_a_changed_byte_is_refused(filled: Bench, members: dict[str, bytes | str]) -> None:
    filled.table = filled.folder / "stock.xlsx"
    packed(filled.table, members, level=0)
    whole = filled.table.read_bytes()
    assert whole.count(b"Lady with a fan") == 1
    filled.table.write_bytes(whole.replace(b"Lady with a fan", b"Lady with a pan"))
    refused(filled, "cannot be read as a workbook")


def test_a_row_that_says_it_is_the_trillionth_is_refused_or_passed_over(
    filled: Bench, members: dict[str, bytes | str]
) -> None:
    sheet = members[SHEET]
    assert isinstance(sheet, bytes)
    members[SHEET] = sheet.replace(b'<row r="2"', b'<row r="1000000000000"')
    filled.table = filled.folder / "stock.xlsx"
    packed(filled.table, members)
    refused(filled, "holds headings and no row")
