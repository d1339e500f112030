"""The evidence sheet: two pages, what stands on them, and what never does."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader

from kg.daybook.demo import begin_demo
from kg.essays.plan import Bench, NothingToDraft
from kg.essays.sheet import Sheet, evidence_sheet, printable
from kg.essays.sheet_print import CannotPrint, new_pdf, photograph_from, sheet_pdf
from tests.conftest import Scene

pytest.importorskip("typst")

#: A PNG of one white pixel.
PIXEL = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de0000000c49444154789c63f8ffff3f0005"
    "fe02fe0def46b80000000049454e44ae426082"
)


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    return Bench(begin_demo(tmp_path_factory.mktemp("sheet") / "demo").view())


def text_of(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())


def test_the_sheet_holds_verdict_claims_and_citations_on_two_pages(bench: Bench) -> None:
    pdf = sheet_pdf(evidence_sheet(bench, "piece-lady-with-blue-snood", "about 1878"))
    assert len(PdfReader(io.BytesIO(pdf)).pages) == 2
    text = text_of(pdf)
    for words in (
        "Fits in part",
        "Of 1873–1883 only 30 June 1880 to 31 December 1883 is possible",
        "Haubensack & Teichgräber ceased business 30 June 1880",
        "Annuaire des métiers de Paris, 1885, p. 301",
        "T. & S. / 118",
        "1 independent witness",
    ):
        assert words in text


def test_an_unidentified_piece_has_its_ranking_the_struck_and_the_next_look_with_its_caution(
    bench: Bench,
) -> None:
    text = text_of(sheet_pdf(evidence_sheet(bench, "piece-unidentified-lady")))
    assert "Courtépée" in text
    assert "excluded: Castagnet ceased business 1862" in text
    assert "What to look at next" in text
    assert "gloves" in text


def test_every_kind_of_piece_has_two_pages(bench: Bench) -> None:
    pieces = sorted(slug for slug, thing in bench.view.things.items() if "Piece" in thing.kinds)
    for piece in pieces[::13]:
        pages = PdfReader(io.BytesIO(sheet_pdf(evidence_sheet(bench, piece)))).pages
        assert len(pages) == 2, piece


@pytest.mark.long
def test_each_piece_of_the_demo_has_two_pages(bench: Bench) -> None:
    for piece in sorted(slug for slug, thing in bench.view.things.items() if "Piece" in thing.kinds):
        assert len(PdfReader(io.BytesIO(sheet_pdf(evidence_sheet(bench, piece)))).pages) == 2, piece


def test_no_confidential_owner_stands_on_a_sheet(bench: Bench) -> None:
    hidden = [t.label for t in bench.whole.things.values() if t.is_confidential]
    owned = [
        c.subject for c in bench.whole.live if c.property == "ownedBy" and bench.whole.is_confidential(c)
    ]
    assert hidden
    assert owned
    for piece in sorted(set(owned)):
        text = text_of(sheet_pdf(evidence_sheet(bench, piece)))
        assert not [label for label in hidden if label in text]


def test_the_same_sheet_has_the_same_bytes(bench: Bench) -> None:
    sheet = evidence_sheet(bench, "piece-governess-in-grey")
    assert sheet_pdf(sheet) == sheet_pdf(sheet)


def hostile(scene: Scene, name: str) -> Sheet:
    from kg.daybook.record import Thing

    scene.add(things=[Thing("lady", ("Piece",), name)])
    scene.say("lady", "madeOn", "1878")
    return evidence_sheet(Bench(scene.daybook.view()), "lady")


@pytest.mark.parametrize(
    "name",
    [
        '#read("/etc/passwd")',
        "$ x $ #let",
        "@preview/x:1.0.0",
        "*bold* _it_ `raw` <label> [content]",
        '\\u{202e} "quoted" \\',
        "= Heading\n#pagebreak()",
        "{{}} #panic()",
    ],
)
def test_a_hostile_name_is_printed_as_it_stands(scene: Scene, name: str) -> None:
    pdf = sheet_pdf(hostile(scene, name))
    assert len(PdfReader(io.BytesIO(pdf)).pages) == 2
    shown = text_of(pdf).replace(" ", "")
    assert printable(name).replace(" ", "")[:8] in shown
    assert "root:" not in shown


def test_what_steers_a_page_is_not_printed() -> None:
    assert printable("a\u202eb\x07c\n d") == "abc d"


def test_a_photograph_is_known_by_its_content(tmp_path: Path, bench: Bench) -> None:
    good, bad = tmp_path / "lady.png", tmp_path / "lady.jpg"
    good.write_bytes(PIXEL)
    bad.write_bytes(b"%PDF-1.7 not a picture")
    picture = photograph_from(good)
    assert picture.kind == "png"
    assert sheet_pdf(evidence_sheet(bench, "piece-governess-in-grey"), picture).startswith(b"%PDF-")
    with pytest.raises(CannotPrint, match="neither JPEG nor PNG"):
        photograph_from(bad)
    with pytest.raises(CannotPrint, match="is no file"):
        photograph_from(tmp_path)


def test_a_broken_photograph_is_refused_in_words(tmp_path: Path, bench: Bench) -> None:
    broken = tmp_path / "lady.png"
    broken.write_bytes(PIXEL[:20])
    with pytest.raises(CannotPrint, match="Is the photograph whole"):
        sheet_pdf(evidence_sheet(bench, "piece-governess-in-grey"), photograph_from(broken))


def test_only_a_pdf_is_written_over(tmp_path: Path) -> None:
    path = tmp_path / "sheet.pdf"
    assert new_pdf(path, b"%PDF-1") == path
    assert new_pdf(path, b"%PDF-2").read_bytes() == b"%PDF-2"
    (tmp_path / "notes.txt").write_text("mine")
    with pytest.raises(CannotPrint, match="is no PDF"):
        new_pdf(tmp_path / "notes.txt", b"%PDF-1")
    with pytest.raises(CannotPrint, match="cannot be written"):
        new_pdf(tmp_path / "none" / "sheet.pdf", b"%PDF-1")


def test_without_typst_the_message_says_what_to_install(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    absent: Callable[[str], None] = lambda _name: None  # noqa: E731
    monkeypatch.setattr("importlib.util.find_spec", absent)
    with pytest.raises(CannotPrint, match=r"pip install 'kilnmark\[papers\]'"):
        sheet_pdf(evidence_sheet(bench, "piece-governess-in-grey"))


def test_a_maker_has_no_sheet(bench: Bench) -> None:
    with pytest.raises(NothingToDraft, match="is no piece"):
        evidence_sheet(bench, "maker-courtepee")
