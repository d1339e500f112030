"""An interruption ends a command in words, with its own exit code."""

from __future__ import annotations

import sys

import pytest

from kg.cli import main
from kg.cli.common import INTERRUPTED


def test_an_interrupted_command_says_that_nothing_was_half_recorded(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken_off(_named: object, *_more: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("kg.cli.listing.open_view", broken_off)
    monkeypatch.setattr(sys, "argv", ["kilnmark", "list"])
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == INTERRUPTED
    assert capsys.readouterr().err == "Interrupted; nothing was half recorded.\n"
