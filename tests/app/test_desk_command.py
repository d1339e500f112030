"""The command ``desk``: which daybook, which port, which settings; the server itself is tested in the browser."""

from __future__ import annotations

import asyncio
import gc
import importlib
import socket
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from kg.asking import desk_of
from kg.cli.desk import (
    HEADERS,
    HOST,
    Doorkeeper,
    PortTaken,
    chosen_daybook,
    chosen_port,
    data_folder,
    remember,
    settings_of,
)
from kg.daybook.shelf import NoDaybook
from kg.resources import resource
from tests.conftest import Scene

#: The module, which bears the same name as the command that it holds.
MODULE = importlib.import_module("kg.cli.desk")


def test_the_named_daybook_comes_before_that_of_the_environment(
    scene: Scene, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("KILNMARK_DAYBOOK", str(tmp_path / "other"))
    assert chosen_daybook(scene.daybook.shelf.folder) == scene.daybook.shelf.folder.resolve()


def test_a_folder_without_a_daybook_is_refused_with_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(NoDaybook, match="kilnmark begin"):
        chosen_daybook(tmp_path)


def test_the_demo_is_begun_once_where_none_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("KILNMARK_DAYBOOK", raising=False)
    monkeypatch.setattr(MODULE, "data_folder", lambda: tmp_path / "kilnmark")
    first = chosen_daybook(None)
    entries = sorted(first.rglob("*.trig"))
    assert entries
    assert chosen_daybook(None) == first
    assert sorted(first.rglob("*.trig")) == entries


def test_the_daybook_opened_last_comes_before_the_demo_while_it_is_there(
    scene: Scene, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("KILNMARK_DAYBOOK", raising=False)
    monkeypatch.setattr(MODULE, "data_folder", lambda: tmp_path / "kilnmark")
    folder = scene.daybook.shelf.folder.resolve()
    remember(folder)
    assert chosen_daybook(None) == folder
    remember(tmp_path / "gone")
    assert chosen_daybook(None) == tmp_path / "kilnmark" / "demo"


@pytest.mark.skipif("sys.platform in ('win32', 'darwin')")
def test_a_relative_data_home_counts_as_unset(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", "relative")
    assert data_folder() == Path.home() / ".local" / "share" / "kilnmark"


def test_a_port_in_use_is_refused_when_it_was_asked_for() -> None:
    with socket.socket() as taken:
        taken.bind((HOST, 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(PortTaken, match=f"Port {port} is in use"):
            chosen_port(port)


def test_a_free_port_is_found_when_the_usual_one_is_in_use(monkeypatch: pytest.MonkeyPatch) -> None:
    with socket.socket() as taken:
        taken.bind((HOST, 0))
        taken.listen()
        port = taken.getsockname()[1]
        monkeypatch.setattr(MODULE, "USUAL_PORT", port)
        assert chosen_port(None) != port


def test_the_settings_keep_the_desk_to_this_machine_and_quiet() -> None:
    settings = dict(settings_of(resource("app") / ".streamlit" / "config.toml"))
    assert settings["server.address"] == "127.0.0.1"
    assert settings["server.allowedHosts"] == ["127.0.0.1", "localhost"]
    assert settings["browser.gatherUsageStats"] is False
    assert settings["theme.light.backgroundColor"] != settings["theme.dark.backgroundColor"]


def test_the_library_loads_neither_the_screens_nor_what_draws_them() -> None:
    program = (
        "import sys, kg.cli, kg.asking, kg.picture, kg.timeline\n"
        "print(sorted({'streamlit', 'pyvis', 'app', 'jinja2'} & sys.modules.keys()))"
    )
    found = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert found.stdout == "[]\n"


def answered(kind: str, host: str) -> list[dict[str, Any]]:
    """What the doorkeeper sends for a request to a host, before an application that always says yes."""
    sent: list[dict[str, Any]] = []

    async def inner(_scope: Any, _receive: Any, send: Any) -> None:
        await send(
            {"type": "http.response.start", "status": 200, "headers": [(b"x-content-type-options", b"old")]}
        )

    async def send(message: Any) -> None:
        sent.append(dict(message))

    async def receive() -> Any:
        return {"type": "http.request"}

    asyncio.run(Doorkeeper(inner)({"type": kind, "headers": [(b"host", host.encode())]}, receive, send))
    return sent


@pytest.mark.parametrize("host", ["127.0.0.1:8760", "localhost:8760", "localhost"])
def test_a_request_by_the_machines_own_name_is_let_in_with_safe_headers(host: str) -> None:
    (start,) = answered("http", host)
    assert start["status"] == 200
    assert dict(start["headers"]) == {name.encode(): value.encode() for name, value in HEADERS.items()}


@pytest.mark.parametrize(
    "host", ["canary.example", "127.0.0.1.canary.example:8760", "localhost@canary.example", ""]
)
def test_a_request_by_another_name_is_turned_away(host: str) -> None:
    assert answered("http", host)[0]["status"] == 421
    assert answered("websocket", host) == [{"type": "websocket.close", "code": 1008}]


def test_the_daybook_is_read_ahead_for_the_first_screen(scene: Scene) -> None:
    folder = scene.daybook.shelf.folder
    try:
        MODULE._read_ahead(folder)
    finally:
        gc.unfreeze()
    ahead = desk_of(folder).standpoint()
    assert desk_of(folder) is desk_of(folder)
    assert {"stock", "chronology"} <= ahead._kept.keys(), "the first screen finds both worked out"


def test_reading_ahead_leaves_it_to_the_first_screen_to_say_that_there_is_no_daybook(tmp_path: Path) -> None:
    MODULE._read_ahead(tmp_path)
    with pytest.raises(NoDaybook):
        desk_of(tmp_path).standpoint()
