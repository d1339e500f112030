"""Pandoc, called as a program of its own: no network, no files but those that it is given, and a limit of time."""

from __future__ import annotations

import importlib.util
import json
import os
import re
import shutil
import subprocess
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from kg.errors import KilnmarkError
from kg.essays.styles import Style

#: Seconds after which pandoc is stopped; a catalogue of 500 entries takes a part of it.
LONGEST = 300
_UNLISTED = re.compile(r"\[WARNING\] Citeproc: Bibliography entry with no printed form: (\S+)")


class PrintingNotInstalled(KilnmarkError):
    """What prints is not installed on this computer."""

    def __init__(self, what: str) -> None:
        super().__init__(
            f"{what} is not installed, which this form of print needs. Install it: pip install "
            "'kilnmark[papers]'. Markdown is printed without it."
        )


class PrintingFailed(KilnmarkError):
    """Pandoc or typst could not set the print; nothing was written."""


def pandoc_program() -> str:
    """The path of pandoc: the one that came with the package, else the computer's own.

    :raises PrintingNotInstalled: if there is none.
    """
    spec = importlib.util.find_spec("pypandoc")
    if spec is not None and spec.origin is not None:
        for name in ("pandoc", "pandoc.exe"):
            beside = Path(spec.origin).parent / "files" / name
            if beside.is_file():
                return str(beside)
    found = shutil.which("pandoc")
    if found is None:
        raise PrintingNotInstalled("pandoc")
    return found


def run_pandoc(
    tree: Mapping[str, Any],
    items: Sequence[Mapping[str, Any]],
    style: Style,
    folder: Path,
    to: str,
    *options: str,
) -> bytes:
    """What pandoc makes of a tree, its citations worked out by a style; ``folder`` is a private one.

    :raises PrintingNotInstalled: if there is no pandoc.
    :raises PrintingFailed: if it fails, warns or takes too long.
    """
    made, said = _once(tree, items, style, folder, to, *options)
    unlisted = set(_UNLISTED.findall(said))
    if unlisted:
        # Some styles list no letters, papers or objects. A catalogue lists every source, so these go as a collection's.
        listed = [{**item, "type": "collection"} if item["id"] in unlisted else item for item in items]
        made, said = _once(tree, listed, style, folder, to, *options)
    # An unknown id prints as a question mark and is no more than a warning, so none is passed over.
    if said.strip():
        raise PrintingFailed(f"Pandoc refused the print: {said.strip()[:500]}")
    return made


def _once(
    tree: Mapping[str, Any],
    items: Sequence[Mapping[str, Any]],
    style: Style,
    folder: Path,
    to: str,
    *options: str,
) -> tuple[bytes, str]:
    """What pandoc makes, and what it warns of."""
    sources = folder / "sources.json"
    sources.write_text(json.dumps(items, ensure_ascii=False), encoding="utf-8")
    # fmt: off
    command = [
        pandoc_program(), "--from", "json", "--to", to, "--sandbox", "--data-dir", str(folder),
        "--citeproc", "--csl", str(style.file), "--bibliography", sources.name, *options,
    ]
    # fmt: on
    try:
        done = subprocess.run(
            command,
            input=json.dumps(tree, ensure_ascii=False).encode(),
            capture_output=True,
            cwd=folder,
            env=_surroundings(folder),
            timeout=LONGEST,
            check=False,
        )
    except subprocess.TimeoutExpired as error:
        raise PrintingFailed(
            f"Pandoc took more than {LONGEST} seconds. Print fewer essays at once."
        ) from error
    except OSError as error:
        raise PrintingFailed(f"Pandoc could not be started: {error}.") from error
    said = done.stderr.decode("utf-8", "replace")
    if done.returncode:
        told = said.strip()[:500] or f"it ended with {done.returncode}"
        raise PrintingFailed(f"Pandoc refused the print: {told}")
    return done.stdout, said


def _surroundings(folder: Path) -> dict[str, str]:
    """The least that pandoc needs to run; nothing of the user's own settings."""
    kept = {
        name: os.environ[name] for name in ("PATH", "SystemRoot", "SOURCE_DATE_EPOCH") if name in os.environ
    }
    return {**kept, "HOME": str(folder), "LC_ALL": "C.UTF-8"}
