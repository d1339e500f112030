"""The screen *Take in*, driven without a browser."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.app.pages import markup, opened, text
from tests.app.test_add import signed
from tests.app.test_fit_a_date import HOSTILE
from tests.conftest import Scene

Opened = Callable[[Path], AppTest]

TABLE = """number,name,made,maker,page
1,Lady in grey,about 1878,Adela Brumelow,p. 3
2,Lady in blue,in days of yore,Nobody Yet,p. 4
"""

BIB = """@book{tarn1932, title = {Heads of the Valley}, author = {Tarn, Corwin}, year = {1932}}
"""


def brought_up(page: AppTest, name: str, text: str | bytes, way: str = "table") -> AppTest:
    """The page after a file was brought up."""
    if page.radio(key="take_in-way").value != way:
        page.radio(key="take_in-way").set_value(way).run()
    raw = text.encode() if isinstance(text, str) else text
    uploader = next(one for one in page.file_uploader if one.key == f"take_in-file-{way}")
    uploader.upload(name, raw, "text/plain").run()
    assert not page.exception
    return page


def drafted(page: AppTest) -> AppTest:
    """The page after the three questions of a drafted mapping were answered."""
    page.selectbox(key="take_in-kind").set_value("Piece").run()
    page.text_input(key="take_in-source-name").set_value("Stock book").run()
    page.selectbox(key="take_in-source-kind").set_value("Dataset").run()
    assert not page.exception
    return page


def test_a_table_is_mapped_by_its_headings_tried_and_recorded(told: Scene, open_desk: Opened) -> None:
    page = drafted(brought_up(opened(open_desk(told.daybook.shelf.folder), "take_in"), "stock.csv", TABLE))
    assert page.selectbox(key="take_in-use Piece number").value == "the id"
    assert page.selectbox(key="take_in-use Piece made").value == "madeOn"
    page.selectbox(key="take_in-use Piece maker").set_value("madeBy").run()
    said = text(page)
    assert "2 rows read" in said
    assert "Lady in grey made about 1878" in said
    assert "row 3 made in days of yore" in said
    assert "left out" in said
    before = len(told.daybook.entries())
    signed(page).button(key="take_in-record").click().run()
    assert not page.exception
    assert len(told.daybook.entries()) == before + 1
    view = told.daybook.view()
    entry = told.daybook.entries()[-1]
    assert entry.researcher == "A. Quill"
    assert {view.sentence(claim) for claim in entry.claims} == {
        "Lady in grey made about 1878",
        "Lady in grey made by Adela Brumelow",
        "Lady in blue made by Nobody Yet",
    }
    assert "Recorded by A. Quill" in text(page)


def test_a_table_by_a_mapping_that_ships(told: Scene, open_desk: Opened) -> None:
    from kg.resources import resource

    example = resource("sources/mappings/examples/maker.csv").read_text(encoding="utf-8")
    page = brought_up(opened(open_desk(told.daybook.shelf.folder), "take_in"), "makers.csv", example)
    page.radio(key="take_in-mapping-way").set_value("shipped").run()
    page.selectbox(key="take_in-shipped").set_value("examples/maker.toml").run()
    assert "What it holds" in text(page)
    assert not page.button(key="take_in-record").disabled or "Your name" in str(page.text_input)


@pytest.mark.parametrize(
    ("name", "raw", "said"),
    [
        ("a.csv", b"", "a.csv is empty"),
        ("a.csv", b"%PDF-1.7 x", "a.csv is a PDF by its first bytes"),
        ("a.csv", b"\x7fELF", "a program"),
        ("a.csv", b"a,a\n1,2\n", "more than one column"),
        ("a.csv", b"a,b\n\x00\x01,2\n", "NUL"),
    ],
)
def test_what_is_no_table_is_refused_whatever_its_name(
    name: str, raw: bytes, said: str, told: Scene, open_desk: Opened
) -> None:
    page = brought_up(opened(open_desk(told.daybook.shelf.folder), "take_in"), name, raw)
    assert said in text(page)
    assert not any(button.key == "take_in-record" for button in page.button)


def test_a_bibliography_is_tried_and_recorded(told: Scene, open_desk: Opened) -> None:
    page = brought_up(
        opened(open_desk(told.daybook.shelf.folder), "take_in"), "list.bib", BIB, "bibliography"
    )
    assert "1 record of BibTeX read" in text(page)
    signed(page).button(key="take_in-record").click().run()
    view = told.daybook.view()
    assert "C. Tarn, Heads of the Valley (1932)" in {thing.label for thing in view.things.values()}


def test_a_passage_is_ticked_one_by_one_and_recorded(told: Scene, open_desk: Opened) -> None:
    page = opened(open_desk(told.daybook.shelf.folder), "take_in")
    page.radio(key="take_in-way").set_value("passage").run()
    page.selectbox(key="take_in-source").set_value("plates").run()
    page.text_input(key="take_in-locator").set_value("p. 12").run()
    page.text_area(key="take_in-passage").set_value(
        "Adela Brumelow was born in 1839. Adela Brumelow died in 1881."
    ).run()
    assert not page.exception
    assert "Adela Brumelow born 1839" in text(page)
    page.checkbox(key="take_in-tick 1").set_value(True).run()
    assert "These could not all be true" in text(page)
    signed(page).button(key="take_in-record").click().run()
    entry = told.daybook.entries()[-1]
    assert [(c.property, c.value, c.citation.source, c.citation.locator) for c in entry.claims] == [
        ("diedOn", "1881", "plates", "p. 12")
    ]


def test_all_proposals_can_be_ticked_at_once(told: Scene, open_desk: Opened) -> None:
    page = opened(open_desk(told.daybook.shelf.folder), "take_in")
    page.radio(key="take_in-way").set_value("passage").run()
    page.text_area(key="take_in-passage").set_value(
        "Adela Brumelow was born in 1839. Adela Brumelow died in 1881."
    ).run()
    page.button(key="take_in-all").click().run()
    assert [box.value for box in page.checkbox] == [True, True]
    assert "No source is chosen" in text(page)


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_tables_stay_text(name: str, told: Scene, open_desk: Opened) -> None:
    quoted = name.replace('"', '""')
    table = f'number,name,made,"{quoted}"\n1,"{quoted}","{quoted}","{quoted}"\n'
    page = drafted(brought_up(opened(open_desk(told.daybook.shelf.folder), "take_in"), "stock.csv", table))
    drawn = markup(page)
    assert "canary" in drawn
    for trap in ("<img", "<script", "](", ":material", "$x$", "**", "javascript:"):
        assert trap not in drawn
    for box in page.selectbox:
        assert "canary.example" not in box.label or "![" not in box.label
