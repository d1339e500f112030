"""Sign-in: the file that sets it up, and the name that is kept where there is none; a browser tests the rest."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from kg.asking.roles import BadColleagues, Colleague, Colleagues, NoName, Role
from kg.cli.desk import COLLEAGUES, SIGN_IN_EXAMPLE, BadSignIn, checked_sign_in, set_up_sign_in
from tests.app.pages import opened, text
from tests.conftest import Scene

GOOD = SIGN_IN_EXAMPLE


@pytest.fixture(autouse=True)
def apart(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The variables that tell the screens of colleagues, set for one test only."""
    monkeypatch.setenv("KILNMARK_SIGNER_FILE", str(tmp_path / "kept" / "signer.txt"))
    monkeypatch.setenv(COLLEAGUES, "")
    return tmp_path / "kept" / "signer.txt"


def test_the_example_of_a_file_for_sign_in_can_be_used(tmp_path: Path, scene: Scene) -> None:
    file = tmp_path / "sign-in.toml"
    file.write_text(GOOD)
    folder = scene.daybook.shelf.folder
    assert set_up_sign_in(folder, file, None) == file.resolve()
    assert os.environ[COLLEAGUES] == str(folder.resolve() / "colleagues.toml")


def test_without_sign_in_nobody_is_told_apart(scene: Scene, tmp_path: Path) -> None:
    assert set_up_sign_in(scene.daybook.shelf.folder, None, None) is None
    assert COLLEAGUES not in os.environ
    with pytest.raises(BadSignIn, match="Give --sign-in too"):
        set_up_sign_in(scene.daybook.shelf.folder, None, tmp_path / "colleagues.toml")


@pytest.mark.parametrize(
    ("written", "said"),
    [
        (None, "There is no file"),
        ("[auth", "cannot be read as TOML"),
        ("auth = 3", "leaves out redirect_uri"),
        (GOOD.replace("client_id", "client"), "leaves out client_id"),
        (GOOD.replace("at least 32 characters that nobody can guess", "short"), "fewer than 32 characters"),
    ],
)
def test_a_file_for_sign_in_that_cannot_be_used_says_why(
    written: str | None, said: str, tmp_path: Path, scene: Scene
) -> None:
    file = tmp_path / "sign-in.toml"
    if written is not None:
        file.write_text(written)
    with pytest.raises(BadSignIn, match=said):
        checked_sign_in(file, scene.daybook.shelf.folder)


def test_secrets_do_not_lie_in_the_daybook(scene: Scene) -> None:
    file = scene.daybook.shelf.folder / "sign-in.toml"
    file.write_text(GOOD)
    with pytest.raises(BadSignIn, match="lies in the daybook"):
        checked_sign_in(file.resolve(), scene.daybook.shelf.folder)


def test_colleagues_are_checked_before_the_desk_opens(tmp_path: Path, scene: Scene) -> None:
    file, named = tmp_path / "sign-in.toml", tmp_path / "colleagues.toml"
    file.write_text(GOOD)
    with pytest.raises(BadSignIn, match="names who is reader"):
        set_up_sign_in(scene.daybook.shelf.folder, file, named)
    named.write_text('[colleagues]\n"a@example.org" = "owner"')
    with pytest.raises(BadColleagues, match="expected reader, researcher, editor"):
        set_up_sign_in(scene.daybook.shelf.folder, file, named)


def test_an_address_that_is_not_verified_gives_no_more_than_a_reader() -> None:
    known = Colleagues({"a@example.org": Role.EDITOR})
    told = {"email": "a@example.org", "name": "Ada"}
    assert known.by_claims(told) == Colleague("Ada", Role.EDITOR)
    assert known.by_claims({**told, "email_verified": False}) == Colleague("Ada", Role.READER)
    with pytest.raises(NoName):
        known.by_claims({})


def test_a_name_is_asked_for_once_and_kept(
    told: Scene, open_desk: Callable[[Path], AppTest], apart: Path
) -> None:
    died = next(c.id for c in told.daybook.view().live if c.property == "diedOn")
    page = opened(open_desk(told.daybook.shelf.folder), "judge", id=died)
    page.selectbox(key="judge-standing").set_value("doubted").run()
    page.text_area(key="judge-why").set_value("a namesake").run()
    assert page.button(key="judge-record").disabled
    page.text_input(key="sign-name").set_value(" \t ").run()
    page.text_input(key="sign-name").set_value("Ada Quill").run()
    assert "Signed by Ada Quill , editor." in text(page)
    assert apart.read_text() == "Ada Quill"
    again = opened(open_desk(told.daybook.shelf.folder), "judge", id=died)
    again.selectbox(key="judge-standing").set_value("doubted").run()
    again.text_area(key="judge-why").set_value("a namesake").run()
    assert "Signed by Ada Quill , editor." in text(again)
