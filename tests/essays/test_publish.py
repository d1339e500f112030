"""Essays in print: what stands in the notes, what never reaches print, and that each form is whole."""

from __future__ import annotations

import html
import io
import re
import struct
import subprocess
import zipfile
import zlib
from pathlib import Path
from typing import Any

import pytest
from docx import Document
from pypdf import PdfReader

from kg.daybook.record import Citation, Draft, Thing
from kg.essays import pandoc
from kg.essays.pandoc import PrintingFailed, PrintingNotInstalled, run_pandoc
from kg.essays.private_names import private_surnames
from kg.essays.publish import FORMS, FormUnknown, published, set_in
from kg.essays.publish_plan import Manuscript, NotToBePrinted, Settings, manuscript
from kg.essays.publish_words import LanguageUnknown
from kg.essays.styles import StyleUnknown, style_named, styles
from kg.essays.syntax import read_catalogue, read_essay
from tests.conftest import Scene


class Desk:
    """A small daybook with what an essay can cite, and the ids of its claims."""

    def __init__(self, scene: Scene) -> None:
        scene.add(
            things=(
                Thing("photograph-head", ("Photograph",), "The head from behind, 1958"),
                Thing("letters", ("Book",), "Letters of an owner", is_confidential=True),
                Thing("owner", ("Person",), "Ottilie Grauwacke", is_confidential=True),
                Thing("trade-card", ("Advertisement",), "Trade card of the Lantern Bazaar"),
            )
        )
        said = scene.add(
            drafts=(
                Draft("book", "title", "A book of heads", Citation("book", "title page")),
                Draft("book", "writtenBy", "brumelow", Citation("book", "title page")),
                Draft("book", "publishedOn", "1958", Citation("book", "imprint"), written="1958"),
                Draft("lady", "madeBy", "tarn", Citation("book", "p. 12")),
                Draft("lady", "title", "Blue snood", Citation("book", "p. 14")),
                Draft("lady", "madeOn", "1880", Citation("plates", "pl. 3"), written="1880"),
                Draft("lady", "firstSoldBy", "shop", Citation("trade-card", "front")),
                Draft("lady", "ownedBy", "owner", Citation("book", "p. 30")),
                Draft("lady", "heightMm", "415", Citation("letters", "p. 1")),
                Draft("lady", "madeAt", "Bath", Citation("book", "p. 31"), is_confidential=True),
            )
        )
        self.view = scene.daybook.view()
        names = "title author year maker name made sold owner height secret".split()  # noqa: SIM905
        self.id = {name: claim.id for name, claim in zip(names, said, strict=True)}

    def essay(self, text: str) -> str:
        """A text with the names of claims put in for their ids."""
        return re.sub(r"\[\^(\w+)(?=[\],])", lambda m: f"[^{self.id.get(m[1], m[1])}", text)

    def plan(self, text: str, **settings: Any) -> Manuscript:
        """The manuscript of a text."""
        return manuscript(self.view, read_catalogue(self.essay(text)), Settings(**settings))

    def printed(self, text: str, form: str, **settings: Any) -> bytes:
        """A text in a form of print."""
        return set_in(self.plan(text, **settings), form)


@pytest.fixture
def desk(scene: Scene) -> Desk:
    """The daybook of these tests."""
    return Desk(scene)


TEXT = """# Lady with a snood

She is by Tarn & Ottery.[^maker][^name][^made] She is well kept.[^own] She was sold new.[^sold][^own][^n1]

[^n1]: The card is *torn*.
"""


def _words(markup: str) -> str:
    """The words of a piece of a web page; blanks that do not break are told as blanks."""
    return re.sub("[\xa0\u202f]", " ", html.unescape(re.sub(r"<[^>]+>", "", markup)))


def notes_of(page: bytes) -> list[str]:
    """The words of the notes of a web page, in their order."""
    told = page.decode().split('id="footnotes"')[1]
    return [
        _words(note).replace("↩︎", "").strip()
        for note in re.findall(r"<li id=\"fn\d+\">(.*?)</li>", told, re.DOTALL)
    ]


def test_claims_of_one_source_in_one_note_are_one_citation_with_all_places(desk: Desk) -> None:
    notes = notes_of(desk.printed(TEXT, "html"))
    assert notes[0] == "Adela Brumelow, A book of heads (1958), 12, 14; Plates of Heads (n.d.), pl. 3."


def test_a_judgement_of_ones_own_is_noted_in_the_houses_words_and_a_remark_in_its_own(desk: Desk) -> None:
    notes = notes_of(desk.printed(TEXT, "html"))
    assert notes[1:] == [
        "Our own judgement.",
        "Trade card of the Lantern Bazaar, front. The card is torn. Our own judgement.",
    ]


def test_a_locator_of_the_notes_own_stands_in_place_of_the_claims(desk: Desk) -> None:
    notes = notes_of(desk.printed("# T\n\nWords.[^maker, p. 99, fig. 2]", "html", style="mhra-notes"))
    assert notes == ["Adela Brumelow, A book of heads (1958), p. 99, fig. 2."]


@pytest.mark.parametrize(
    ("language", "tag", "note"),
    [
        ("fr", "fr", "Brumelow Adela, A book of heads, 1958, p. 12. Notre propre jugement."),
        ("de", "de", "Brumelow, Adela: A book of heads, 1958, S. 12. Eigenes Urteil."),
    ],
)
def test_a_print_in_another_language_has_its_places_and_words_in_it(
    desk: Desk, language: str, tag: str, note: str
) -> None:
    page = desk.printed("# T\n\nWords.[^maker][^own]", "html", language=language)
    assert notes_of(page) == [note]
    assert f'<html lang="{tag}">' in page.decode()


def test_a_style_of_author_and_date_cites_in_the_text_before_the_stop_and_notes_the_rest(desk: Desk) -> None:
    page = desk.printed(TEXT, "html", style="chicago-author-date").decode()
    text = _words(page.split('id="footnotes"')[0])
    assert "She is by Tarn & Ottery (Brumelow 1958, 12, 14; Plates of Heads, n.d., pl. 3)." in text
    assert notes_of(page.encode()) == ["Our own judgement.", "The card is torn. Our own judgement."]


@pytest.mark.parametrize("style", [style.name for style in styles()])
def test_every_style_prints_every_source_in_its_list(desk: Desk, style: str) -> None:
    page = desk.printed(TEXT, "html", style=style, language=style_named(style, "en").language[:2]).decode()
    listed = _words(page.split('id="refs"')[1].split('id="footnotes"')[0])
    for title in ("book of heads", "Plates of Heads", "Trade card of the Lantern Bazaar"):
        assert title.casefold() in listed.casefold()


# ---------------------------------------------------------------- what never reaches print

REFUSED = (
    pytest.param("She is 415 mm high.[^height]", "Line 3, column 20: ", "rests on letters, which is", id="source"),
    pytest.param("She was owned.[^owner]", "Line 3, column 15: ", "is confidential. Leave it", id="owner"),
    pytest.param("From Bath.[^secret]", "Line 3, column 11: ", "is confidential. Leave it", id="claim"),
    pytest.param("Of *Ottilie*\nGrauwacke.", "Line 3, column 5: ", "private collection", id="a name with markup in it"),
    pytest.param("Words.[^c22222]", "Line 3, column 7: ", "c22222 is no claim of this daybook", id="no claim"),
    pytest.param("![x](photograph-none)", "Line 3, column 1: ", "no photograph of this daybook", id="no photograph"),
    pytest.param("![x](book)", "Line 3, column 1: ", "book is no photograph", id="a picture that is a book"),
)  # fmt: skip


@pytest.mark.parametrize(("text", "place", "why"), REFUSED)
@pytest.mark.parametrize("form", FORMS)
def test_what_must_not_be_printed_is_refused_with_its_place(
    desk: Desk, form: str, text: str, place: str, why: str
) -> None:
    with pytest.raises(NotToBePrinted) as caught:
        desk.printed(f"# T\n\n{text}", form)
    assert place in str(caught.value)
    assert why in str(caught.value)


def test_every_fault_is_told_at_once(desk: Desk) -> None:
    with pytest.raises(NotToBePrinted) as caught:
        desk.plan("# T\n\nA.[^height]\n\nB.[^owner]\n\nC.[^c22222]")
    assert len(caught.value.reasons) == 3


def test_nothing_confidential_stands_in_any_form_of_a_print(desk: Desk) -> None:
    for form in ("html", "markdown"):
        told = desk.printed(TEXT, form).decode().casefold()
        assert "grauwacke" not in told
        assert "letters of an owner" not in told
    words = zipfile.ZipFile(io.BytesIO(desk.printed(TEXT, "docx")))
    assert not any(b"Grauwacke" in words.read(name) for name in words.namelist())


def test_a_sentence_on_a_claim_that_was_set_aside_is_told_unless_it_says_formerly(scene: Scene) -> None:
    desk = Desk(scene)
    scene.daybook.record(scene.daybook.compose(_set_aside(scene, desk.id["maker"])))
    desk.view = scene.daybook.view()
    told = desk.plan("# T\n\nBy Tarn & Ottery.[^maker]").told
    assert [line.split(": ")[0] for line in told] == ["Line 3, column 18"]
    assert desk.plan("# T\n\nShe was formerly given to Tarn & Ottery.[^maker]").told == ()


def _set_aside(scene: Scene, claim: str) -> Any:
    from datetime import timedelta

    from kg.daybook.daybook import Note
    from kg.daybook.record import Judgement

    scene.clock += timedelta(minutes=1)
    return Note(
        "A. Tester", judgements=(Judgement(claim, "setAside", "Another mark."),), recorded=scene.clock
    )


# ---------------------------------------------------------------- each form


def test_a_document_has_real_footnotes_and_its_properties(desk: Desk) -> None:
    made = desk.printed(TEXT, "docx", author="The House")
    document = Document(io.BytesIO(made))
    assert (document.core_properties.title, document.core_properties.author) == (
        "Lady with a snood",
        "The House",
    )
    titles = [p.text for p in document.paragraphs if p.style is not None and p.style.name == "Heading 1"]
    assert titles == ["Lady with a snood"]
    parts = zipfile.ZipFile(io.BytesIO(made))
    notes = parts.read("word/footnotes.xml").decode()
    assert len(re.findall(r"<w:footnote (?![^>]*w:type=)", notes)) == 3
    assert "Our own judgement." in re.sub(r"<[^>]+>", "", notes)


@pytest.mark.parametrize("form", ["docx", "pdf", "html", "markdown"])
def test_the_same_print_has_the_same_bytes(desk: Desk, form: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1790000000")
    assert desk.printed(TEXT, form) == desk.printed(TEXT, form)


@pytest.mark.parametrize("form", FORMS)
def test_a_print_tells_nothing_of_the_computer_that_made_it(desk: Desk, form: str) -> None:
    made = desk.printed(TEXT, form)
    parts = [made]
    if form == "docx":
        whole = zipfile.ZipFile(io.BytesIO(made))
        parts = [whole.read(name) for name in whole.namelist()]
    for part in parts:
        assert b"kilnmark-print-" not in part
        assert b"chicago-notes.csl" not in part
        assert str(Path.home()).encode() not in part


def test_pages_hold_the_words_the_notes_and_their_fonts(desk: Desk) -> None:
    pages = PdfReader(io.BytesIO(desk.printed(TEXT, "pdf")))
    words = " ".join(page.extract_text() for page in pages.pages)
    for told in ("Lady with a snood", "Our own judgement.", "Sources", "pl. 3"):
        assert told in re.sub(r"\s+", " ", words)
    assert pages.metadata is not None
    assert pages.metadata.title == "Lady with a snood"
    embedded = 0
    for page in pages.pages:
        fonts: Any = page["/Resources"]
        for one in fonts["/Font"].values():
            described = one.get_object()["/DescendantFonts"][0].get_object()["/FontDescriptor"]
            assert any(key.startswith("/FontFile") for key in described)
            embedded += 1
    assert embedded


@pytest.mark.parametrize("name", ["Mrs Grauwacke", "GRAUWACKE", "Grauwacke, Ottilie", "Ottilie Grauwacke"])
def test_the_surname_of_a_private_owner_is_never_printed(desk: Desk, name: str) -> None:
    with pytest.raises(NotToBePrinted) as refused:
        desk.plan(f"# Lady\n\nShe came from {name} to us.[^made]\n")
    assert str(refused.value).count("this names what is confidential") == 1


def test_a_surname_that_an_open_name_has_too_gives_nobody_away(desk: Desk, scene: Scene) -> None:
    scene.add(
        things=(
            Thing("wood", ("Person",), "Ada Wood", is_confidential=True),
            Thing("m", ("Material",), "wood"),
        )
    )
    assert private_surnames(scene.daybook.view()) == private_surnames(desk.view)


def test_a_note_with_words_of_our_own_begins_as_other_notes_do(desk: Desk) -> None:
    text = (
        "# Lady\n\nA.[^maker]\n\nB.[^made]\n\nC.[^made][^own]\n\nD.[^made][^r]\n\n[^r]: See *there*, p. 9.\n"
    )
    notes = notes_of(desk.printed(text, "html", language="de", style="infoclio-de"))
    assert [note[:4] for note in notes[2:]] == ["Ebd.", "Ebd."]
    assert notes[2].endswith(". Eigenes Urteil.")
    assert notes[3].endswith(". See there, p. 9.")


def test_a_mark_keeps_its_hyphens_in_the_pages(desk: Desk) -> None:
    text = '# Lady\n\nThe stamp reads “C\\[---\\]T”, perhaps of 1870-? or so -- it\'s "worn".[^maker]\n'
    words = PdfReader(io.BytesIO(desk.printed(text, "pdf"))).pages[0].extract_text()
    assert "“C[---]T”, perhaps of 1870-? or so -- it’s “worn”." in re.sub(r"\s+", " ", words)


def test_a_catalogue_numbers_its_entries_and_begins_its_notes_anew_with_each(desk: Desk) -> None:
    two = "# One\n\nA.[^maker]\n\n# Two\n\nB.[^made]\n"
    page = desk.printed(two, "html", title="Two ladies").decode()
    assert re.findall(r"<h1[^>]*>(.*?)</h1>", page)[:2] == ["1\u2003One", "2\u2003Two"]
    assert len(notes_of(page.encode())) == 2
    markdown = desk.printed(two, "markdown", title="Two ladies").decode()
    assert re.findall(r"^#+ .*", markdown, re.MULTILINE)[:3] == ["# Two ladies", "## 1 One", "## 2 Two"]
    assert re.findall(r"^\[\^[\d-]+\]", markdown, re.MULTILINE) == ["[^1-1]", "[^2-1]"]
    pages = PdfReader(io.BytesIO(desk.printed(two, "pdf", title="Two ladies")))
    assert "Contents" in pages.pages[1].extract_text()


def test_the_notes_of_pages_begin_anew_with_each_entry(desk: Desk) -> None:
    two = "# One\n\nA.[^maker]\n\n# Two\n\nB.[^made]\n"
    pages = PdfReader(io.BytesIO(desk.printed(two, "pdf", title="Two ladies"))).pages
    second = next(text for page in pages[2:] if "Two" in (text := page.extract_text()))
    assert re.search(r"B\.\s*1\b", second)
    assert not re.search(r"B\.\s*2\b", second)


def test_the_notes_of_a_web_page_begin_anew_and_stand_under_their_entry(desk: Desk) -> None:
    two = "# One\n\nA.[^maker] B.[^made]\n\n# Two\n\nC.[^made]\n"
    page = desk.printed(two, "html", title="Two ladies").decode()
    assert re.findall(r"<sup>(\d+)</sup></a>", page) == ["1", "2", "1"]
    assert re.findall(r'<p class="notes-of">(.*?)</p>', page) == ["1\u2003One", "2\u2003Two"]
    assert page.count("<ol>") == page.count("</ol>") == 2
    assert len(notes_of(page.encode())) == 3


@pytest.mark.parametrize("form", ["markdown", "html"])
def test_that_a_piece_is_in_private_hands_gets_no_note_of_ours(desk: Desk, form: str) -> None:
    text = "# Lady\n\nBy Tarn.[^maker] She is in a private collection.[^own] We like her.[^own]\n"
    assert desk.plan(text).notes == 2
    page = desk.printed(text, form).decode()
    assert page.count("Our own judgement") == 1
    assert "private collection.[" not in page


def test_several_places_of_one_source_are_divided_by_semicolons(desk: Desk) -> None:
    text = "# Lady\n\nBy Tarn.[^maker, p. 12][^name, pl. 4][^year, spine]\n"
    assert "p. 12; pl. 4; spine." in desk.printed(text, "markdown").decode()
    for style in ("infoclio-de", None):
        notes = notes_of(desk.printed(text, "html", language="de", style=style))
        assert "S. 12; Taf. 4; spine" in " ".join(notes)


@pytest.mark.parametrize(("language", "name"), [("de", "German"), ("fr", "French")])
def test_an_english_essay_among_words_of_another_language_is_told(
    desk: Desk, language: str, name: str
) -> None:
    english = "# Lady\n\nThe lady is by Tarn.[^maker]\n"
    line = f"The text is English, but the words round its notes and lists are {name}."
    assert line in desk.plan(english, language=language).told
    assert desk.plan(english).told == ()
    assert line not in desk.plan("# Dame\n\nDie Dame ist von Tarn und gut.[^maker]\n", language=language).told


@pytest.mark.parametrize(
    "name",
    [
        pytest.param("Ottilie Grau\u00adwacke", id="a soft hyphen"),
        pytest.param("Ottilie Gr\u0430uw\u0430cke", id="letters that look alike"),
        pytest.param("Mrs Grau\u00adwacke", id="a surname with a soft hyphen"),
    ],
)
def test_a_private_name_is_refused_however_it_is_masked(desk: Desk, name: str) -> None:
    with pytest.raises(NotToBePrinted, match=r"Line 3, column .*names what is confidential"):
        desk.plan(f"# Lady\n\nOf {name}.[^maker]\n")


def test_an_empty_essay_is_refused(desk: Desk) -> None:
    with pytest.raises(NotToBePrinted, match="There is no text"):
        desk.plan("")


def test_markdown_is_printed_where_no_other_program_is(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pandoc, "pandoc_program", _not_there)
    told = desk.printed(TEXT, "markdown").decode()
    assert "[^1]: Adela Brumelow, *A book of heads* (1958), pp. 12, 14; *Plates of Heads*, pl. 3." in told
    assert "[^2]: Our own judgement." in told
    assert "- Brumelow, Adela, *A book of heads* (1958)." in told
    read_essay(told)


def _not_there() -> str:
    raise PrintingNotInstalled("pandoc")


@pytest.mark.parametrize("form", ["docx", "pdf", "html"])
def test_a_form_whose_program_is_missing_says_what_to_install(
    desk: Desk, form: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pandoc, "pandoc_program", _not_there)
    with pytest.raises(PrintingNotInstalled, match=r"pip install 'kilnmark\[papers\]'.*Markdown"):
        desk.printed(TEXT, form)


# ---------------------------------------------------------------- illustrations


def _png() -> bytes:
    def chunk(kind: bytes, content: bytes) -> bytes:
        return (
            struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))
        )

    row = b"\x00" + b"\xc0\xb0\x90" * 30
    head = struct.pack(">IIBBBBB", 30, 20, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(row * 20))
        + chunk(b"IEND", b"")
    )


PICTURE = "# T\n\n![The head from *behind*.[^made]](photograph-head)\n"


def test_a_photograph_is_printed_from_the_folder_and_listed(desk: Desk, tmp_path: Path) -> None:
    (tmp_path / "photograph-head.png").write_bytes(_png())
    page = desk.printed(PICTURE, "html", pictures=tmp_path).decode()
    assert 'src="data:image/png;base64,' in page
    assert "Fig. 1. The head from behind. Photograph: The head from behind, 1958." in _words(page)
    document = zipfile.ZipFile(io.BytesIO(desk.printed(PICTURE, "docx", pictures=tmp_path)))
    assert [name for name in document.namelist() if name.startswith("word/media/")]
    pages = PdfReader(io.BytesIO(desk.printed(PICTURE, "pdf", pictures=tmp_path)))
    assert sum(len(page.images) for page in pages.pages) == 1


def test_a_photograph_without_a_file_is_told_and_its_place_kept(desk: Desk) -> None:
    plan = desk.plan(PICTURE)
    assert plan.told == ("1 illustration has no picture yet; --pictures names their folder.",)
    assert "picture to be placed" in set_in(plan, "html").decode()


def test_a_file_that_is_no_picture_or_leads_elsewhere_is_refused(desk: Desk, tmp_path: Path) -> None:
    folder = tmp_path / "pictures"
    folder.mkdir()
    (folder / "photograph-head.jpg").write_text("no picture")
    with pytest.raises(Exception, match="neither JPEG nor PNG"):
        desk.plan(PICTURE, pictures=folder)
    (folder / "photograph-head.jpg").unlink()
    (tmp_path / "elsewhere.png").write_bytes(_png())
    (folder / "photograph-head.png").symlink_to(tmp_path / "elsewhere.png")
    with pytest.raises(Exception, match="leads out of its folder"):
        desk.plan(PICTURE, pictures=folder)


# ---------------------------------------------------------------- hostile words

HOSTILE = (
    '<script>alert(1)</script> #eval("1") $x$ [a](b) @ref `{=html}` \\input{x} "quoted" &amp; {{x}} </w:t>'
)


@pytest.mark.parametrize("form", FORMS)
def test_hostile_words_of_text_and_sources_are_printed_as_words(scene: Scene, form: str) -> None:
    from kg.essays.syntax import escaped

    scene.add(things=(Thing("bad", ("Book",), HOSTILE),))
    said = scene.add(drafts=(Draft("lady", "title", HOSTILE, Citation("bad", HOSTILE)),))[0]
    text = f"# {escaped(HOSTILE)}\n\n{escaped(HOSTILE)}[^{said.id}]"
    made = published(scene.daybook.view(), [read_essay(text)], form)
    if form == "html":
        assert b"<script" not in made
        assert made.count(b"&lt;script&gt;") >= 3
    elif form == "docx":
        body = zipfile.ZipFile(io.BytesIO(made)).read("word/document.xml").decode()
        assert "&lt;script&gt;" in body
    elif form == "pdf":
        words = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(made)).pages)
        assert "#eval(" in words
        assert "$x$" in words
    else:
        assert "\\<script\\>" in made.decode()


def test_an_unknown_source_never_prints_as_a_question_mark(tmp_path: Path) -> None:
    cite = {
        "t": "Cite",
        "c": [[{"citationId": "none", "citationPrefix": [], "citationSuffix": [], "citationHash": 0,
                "citationMode": {"t": "NormalCitation"}, "citationNoteNum": 0}], []],
    }  # fmt: skip
    tree = {"pandoc-api-version": [1, 23, 1], "meta": {}, "blocks": [{"t": "Para", "c": [cite]}]}
    with pytest.raises(PrintingFailed, match="none"):
        run_pandoc(tree, [], style_named(None, "en"), tmp_path, "html5")


def test_a_print_that_takes_too_long_is_stopped(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    def slow(*_: Any, **__: Any) -> None:
        raise subprocess.TimeoutExpired("pandoc", 1)

    monkeypatch.setattr(subprocess, "run", slow)
    with pytest.raises(PrintingFailed, match="Print fewer essays at once"):
        desk.printed(TEXT, "html")


@pytest.mark.parametrize("style", styles(), ids=lambda style: style.name)
def test_every_style_stands_alone_and_keeps_its_authors_and_rights(style: Any) -> None:
    text = style.file.read_text(encoding="utf-8")
    assert "independent-parent" not in text
    assert re.search(r"<author>\s*<name>[^<]+</name>", text)
    assert "creativecommons.org/licenses/by-sa" in text
    assert "citationstyles.org" in text
    assert "Changed:" in text


def test_styles_languages_and_forms_that_there_are_not_are_named(desk: Desk) -> None:
    with pytest.raises(StyleUnknown, match="expected one of chicago-notes"):
        desk.plan(TEXT, style="plain")
    with pytest.raises(LanguageUnknown, match="expected one of en, fr, de"):
        desk.plan(TEXT, language="it")
    with pytest.raises(FormUnknown, match="expected one of docx, pdf, html, markdown"):
        desk.printed(TEXT, "odt")


def test_an_empty_essay_is_not_printed(desk: Desk) -> None:
    with pytest.raises(NotToBePrinted, match="There is no text"):
        desk.plan(" \n")


def test_the_glossary_holds_the_terms_in_use_and_no_others(desk: Desk) -> None:
    terms = desk.plan("# T\n\nShe is probably by Tarn & Ottery.[^maker]").terms
    assert [term.words for term in terms] == ["probably by …"]
    assert desk.plan("# T\n\nShe stands by the door.[^maker]").terms == ()
