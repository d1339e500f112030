"""The demo, read once for all tests of essays."""

from __future__ import annotations

from pathlib import Path

import pytest

from kg.daybook.daybook import Daybook
from kg.daybook.demo import begin_demo
from kg.essays.plan import Bench


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the demo; tests that write copy it."""
    folder = tmp_path_factory.mktemp("essays") / "daybook"
    begin_demo(folder)
    return folder


@pytest.fixture(scope="session")
def demo_bench(demo_folder: Path) -> Bench:
    """The demo ready for drafts."""
    return Bench(Daybook.open(demo_folder).view())
