"""Whose is it? driven without a browser."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from kg.daybook.daybook import Daybook
from kg.daybook.record import Citation, Draft, Thing
from tests.app.pages import gone_to, markup, opened, text
from tests.app.test_fit_a_date import HOSTILE
from tests.asking.makers import trade
from tests.conftest import Scene

Opened = Callable[[Path], AppTest]

EYES, SLEEPING = "whose_is_it lady seen-eyes", "seen:feature-eyes-sleeping"


@pytest.fixture
def page(scene: Scene, open_desk: Opened, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> AppTest:
    """The desk on a small trade, with the lady asked about; its signer is kept nowhere else."""
    monkeypatch.setenv("KILNMARK_SIGNER_FILE", str(tmp_path / "signer"))
    return opened(open_desk(trade(scene).daybook.shelf.folder), "whose_is_it", id="lady")


def weighed(page: AppTest, key: str, said: str) -> AppTest:
    """The page after something was said in the form and weighed."""
    page.selectbox(key=key).set_value(said)
    next(button for button in page.button if button.label == "Weigh with these").click().run()
    assert not page.exception
    return page


def signed(page: AppTest) -> AppTest:
    """The page after a name was given that signs."""
    page.text_input(key="sign-name").set_value("A. Quill").run()
    return page


def test_makers_are_ranked_with_reasons_that_lead_to_their_claims(page: AppTest, scene: Scene) -> None:
    said = text(page)
    assert "Who it may be by Birch" in said
    assert "neck: swivel-neck on 11 of 12 recorded pieces of this maker" in said
    assert "A maker not in the daybook" in said
    assert "How far to trust this" in said
    claim = next(c for c in scene.daybook.view().live if c.subject == "lady")
    assert f'href="claim?id={claim.id}"' in markup(page)
    assert "What each looks like: neck" in said


def test_what_is_supposed_moves_the_ranking_and_is_kept_while_another_screen_is_looked_at(
    page: AppTest, scene: Scene
) -> None:
    count = len(scene.daybook.entries())
    said = text(weighed(page, EYES, SLEEPING))
    assert "Supposed, and not recorded: eyes: sleeping eyes." in said
    assert "What the supposition moves" in said
    assert len(scene.daybook.entries()) == count
    opened(page, "thing", id="lady")
    again = opened(page, "whose_is_it", id="lady")
    assert again.selectbox(key=EYES).value == SLEEPING
    assert "Supposed, and not recorded" in text(again)
    again.button(key="whose_is_it clear").click().run()
    assert "Supposed, and not recorded" not in text(again)


def test_findings_are_recorded_signed_when_that_is_said(page: AppTest, scene: Scene) -> None:
    weighed(page, EYES, SLEEPING)
    page.toggle(key="whose_is_it trial").set_value(True).run()
    assert not page.exception
    assert "Lady with a blue snood shows the feature" in text(page)
    assert page.button(key="whose_is_it record").disabled, "nobody signs yet"
    signed(page).button(key="whose_is_it record").click().run()
    assert not page.exception
    assert "Recorded by A. Quill" in text(page)
    (entry,) = [one for one in scene.daybook.entries() if one.researcher == "A. Quill"]
    assert [(c.subject, c.property, c.value) for c in entry.claims] == [
        ("lady", "hasFeature", "feature-eyes-sleeping")
    ]
    assert "Supposed, and not recorded" not in text(page)
    assert "On record: sleeping eyes (A. Quill" in text(page)


def test_a_ranking_is_kept_as_an_open_question(page: AppTest, scene: Scene) -> None:
    signed(page).button(key="whose_is_it keep").click().run()
    assert "Nothing was recorded" in text(page), "the piece is no source, and none is named"
    page.selectbox(key="whose_is_it source").set_value("book").run()
    page.button(key="whose_is_it keep").click().run()
    assert not page.exception
    assert "question-who-made-lady" in scene.daybook.view().things
    assert "Kept last on" in text(page)
    page.toggle(key="whose_is_it since lady").set_value(True).run()
    assert "Nothing moved as it is shown." in text(page)


def test_as_of_a_past_day_nothing_is_recorded_and_the_way_back_is_told(page: AppTest) -> None:
    then = opened(page, "whose_is_it", id="lady", **{"as-of": "2026-01-02"})
    assert "Who it may be by" in text(then)
    assert "Nothing can be recorded here" in text(then)
    assert not [button for button in then.button if button.key == "whose_is_it keep"]


def test_a_piece_chosen_is_gone_to(page: AppTest) -> None:
    page.selectbox(key="whose_is_it piece").set_value("aster-00").run()
    assert gone_to(page) == "whose-is-it?id=aster-00"


@pytest.mark.parametrize(
    ("name", "said"),
    [
        pytest.param("gossip", "'gossip' is not in the daybook", id="not on record"),
        pytest.param("book", "is no piece or part", id="no piece"),
    ],
)
def test_what_cannot_be_asked_about_is_said(name: str, said: str, page: AppTest) -> None:
    asked = opened(page, "whose_is_it", id=name)
    assert "There is no answer" in text(asked)
    assert said in text(asked)


def test_too_few_pieces_are_said(scene: Scene, open_desk: Opened) -> None:
    page = opened(open_desk(scene.daybook.shelf.folder), "whose_is_it", id="lady")
    assert "Too few recorded pieces to rank" in text(page)


def test_an_empty_daybook_and_no_piece_chosen_say_what_to_do(
    tmp_path: Path, scene: Scene, open_desk: Opened
) -> None:
    Daybook.begin(tmp_path / "empty")
    assert "There is no piece to ask about" in text(opened(open_desk(tmp_path / "empty"), "whose_is_it"))
    assert "Nothing is asked yet" in text(opened(open_desk(scene.daybook.shelf.folder), "whose_is_it"))


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_stay_text(name: str, scene: Scene, open_desk: Opened) -> None:
    trade(scene)
    at = Citation("tome", f"p. 1 {name}", f"quoted {name}")
    scene.add(
        things=[
            Thing("tome", ("Book",), f"Tome {name}"),
            Thing("lady", ("Piece",), f"Lady {name}"),
            Thing("birch", ("Firm",), f"Birch {name}"),
            Thing("shop", ("Retailer",), f"Shop {name}"),
        ],
        drafts=[
            Draft("lady", "hasFeature", "feature-eyes-sleeping", at),
            Draft("birch", "ceased", "1850", at, f"1850 {name}"),
            Draft("deposit", "filedOn", "1875-03-01", at),
            Draft("lady", "bearsRegistration", "deposit", at),
            Draft("birch-00", "soldBy", "shop", at),
        ],
    )
    drawn = markup(opened(open_desk(scene.daybook.shelf.folder), "whose_is_it", id="lady"))
    assert drawn.count("canary") > 5
    for trap in ("<img", "<script", "](", ":material", "$x$", "**", "javascript:"):
        assert trap not in drawn
