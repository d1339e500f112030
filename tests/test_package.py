"""The wheel carries all that it needs: installed in an empty environment, it runs from any folder."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).resolve().parent.parent


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel of this checkout."""
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "pip", "wheel", "--no-deps", "-q", "-w", str(folder), str(CHECKOUT)]
    subprocess.run(command, check=True, timeout=300)
    (found,) = folder.glob("kilnmark-*.whl")
    return found


def test_the_wheel_holds_shapes_sources_and_the_desk(wheel: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    shipped = {"shapes/vocabulary.ttl", "shapes/shapes.ttl", "sources/periods.csv", "sources/demo/README.md"}
    for folder in ("app", "shapes", "sources"):
        for path in (CHECKOUT / folder).rglob("*"):
            if path.is_file() and "__pycache__" not in path.parts:
                shipped.add(path.relative_to(CHECKOUT).as_posix())
    assert {f"kg/_data/{name}" for name in shipped} <= names
    assert "kg/py.typed" in names


def test_an_empty_environment_runs_the_main_job_from_another_folder(wheel: Path, tmp_path: Path) -> None:
    home = tmp_path / "empty"
    venv.create(home, with_pip=True)
    python = home / ("Scripts" if os.name == "nt" else "bin") / "python"
    subprocess.run([python, "-m", "pip", "install", "-q", str(wheel)], check=True, timeout=1200)
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    environment = {
        key: value for key, value in os.environ.items() if not key.startswith(("PYTHON", "KILNMARK"))
    }

    def run(*words: str) -> str:
        command = [str(python.with_name("kilnmark")), *words]
        done = subprocess.run(
            command, cwd=elsewhere, env=environment, capture_output=True, text=True, timeout=300, check=False
        )
        assert done.returncode == 0, done.stderr
        return str(done.stdout)

    told = json.loads(run("demo", "--json"))
    assert told["verdict"] == "fits in part"
    assert told["not_before"]["because"]
    assert json.loads(run("read-date", "um 1890", "--json"))["edtf"] == "1890~"
    assert "entries are whole" in run("verify", "-d", "kilnmark-demo")
