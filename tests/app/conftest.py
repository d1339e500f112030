"""A daybook on the desk, and the desk as a test drives it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from kg.resources import resource
from tests.conftest import Scene


@pytest.fixture
def told(scene: Scene) -> Scene:
    """A head whose maker and deposit bound it from 1 March 1875 to 1 June 1890, with one dating on record."""
    scene.say("brumelow", "diedOn", "1880-05")
    scene.say("deposit", "filedOn", "1875-03-01", "register")
    scene.say("head", "madeBy", "brumelow")
    scene.say("head", "bearsRegistration", "deposit", "register")
    scene.say("head", "madeOn", "1866~", "plates")
    return scene


@pytest.fixture
def open_desk(monkeypatch: pytest.MonkeyPatch) -> Callable[[Path], AppTest]:
    """The desk opened on the daybook of a folder."""

    def opened(folder: Path) -> AppTest:
        monkeypatch.setenv("KILNMARK_DAYBOOK", str(folder))
        monkeypatch.syspath_prepend(str(resource("app").parent))
        return AppTest.from_file(str(resource("app") / "home.py"), default_timeout=30)

    return opened
