"""The folder of entries: written once, atomically and durably, never changed."""

from __future__ import annotations

import os
import re
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from kg.daybook.trig import DamagedEntry, content_hash, read_entries
from kg.errors import KilnmarkError

_NAME = re.compile(r"(?P<entry>(?P<year>\d{4})\d{4}T\d{12}Z-[a-z2-7]{10})-(?P<hash>[0-9a-f]{64})\.trig")
MARKER = "daybook.toml"

#: Folder times are trusted only when older than this, since a file system's clock ticks in steps.
SETTLED_SECONDS = 2.0


class NoDaybook(KilnmarkError):
    """There is no daybook where one was looked for."""


class DaybookExists(KilnmarkError):
    """A daybook was to be begun in a folder that holds something already."""


@dataclass(frozen=True, slots=True)
class Damage:
    """A file in the daybook that is not what its name says."""

    file: str
    what: str


class Shelf:
    """The entry files of one daybook: ``entries/<year>/<entry>-<sha256>.trig``."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.entries = folder / "entries"
        self._root = str(self.entries)
        self._listed: dict[str, tuple[int, tuple[str, ...]]] = {}

    @classmethod
    def begin(cls, folder: Path, title: str) -> Shelf:
        """A new, empty daybook in a folder that is empty or not there yet.

        :raises DaybookExists: if the folder holds anything.
        """
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise DaybookExists(
                f"{folder} is not empty. Choose another folder, or open the daybook that is there."
            )
        (folder / "entries").mkdir(parents=True)
        quoted = title.replace("\\", "\\\\").replace('"', '\\"')
        (folder / MARKER).write_text(f'title = "{quoted}"\nformat = 1\n', encoding="utf-8")
        return cls(folder)

    @classmethod
    def open(cls, folder: Path) -> Shelf:
        """The daybook in that folder.

        :raises NoDaybook: if there is none.
        """
        if not (folder / MARKER).is_file():
            raise NoDaybook(
                f"There is no daybook in {folder}. Begin one with `kilnmark begin {folder.name}`, or try the demo with "
                "`kilnmark demo`."
            )
        return cls(folder)

    def names(self) -> list[str]:
        """The file names of all entries, in order of their time; folders that did not change are not listed again."""
        found: list[str] = []
        now = time.time_ns()
        for year in sorted(self._years()):
            stamp = year.stat().st_mtime_ns
            kept = self._listed.get(year.name)
            if kept is None or kept[0] != stamp or now - stamp < SETTLED_SECONDS * 1e9:
                names = tuple(sorted(name for name in os.listdir(year) if _NAME.fullmatch(name)))
                kept = self._listed[year.name] = (stamp, names)
            found += kept[1]
        return found

    def _years(self) -> list[Path]:
        if not self.entries.is_dir():
            return []
        return [
            Path(item.path)
            for item in os.scandir(self.entries)
            if item.is_dir() and re.fullmatch(r"\d{4}", item.name)
        ]

    def path(self, name: str) -> Path:
        """Where the entry file of that name lies."""
        return self.entries / name[:4] / name

    def read(self, name: str) -> bytes:
        """The bytes of one entry file."""
        with open(f"{self._root}/{name[:4]}/{name}", "rb", buffering=0) as file:
            return file.read()

    def write(self, entry: str, trig: bytes) -> str:
        """Put an entry on the shelf: a temporary file, fsync, a link that never replaces, fsync of the folder.

        Writing the same entry twice is one writing. Returns the file's name.
        """
        name = f"{entry}-{content_hash(trig)}.trig"
        final = self.path(name)
        final.parent.mkdir(parents=True, exist_ok=True)
        temporary = final.parent / f".{name}.{os.getpid()}.{time.monotonic_ns()}"
        try:
            with open(temporary, "xb") as file:
                file.write(trig)
                file.flush()
                os.fsync(file.fileno())
            try:
                os.link(temporary, final)
            except FileExistsError:
                return name
        finally:
            temporary.unlink(missing_ok=True)
        for folder in (final.parent, self.entries):
            _fsync(folder)
        return name

    def verify(self) -> Iterator[Damage]:
        """Every changed, truncated or foreign file under ``entries/``, each named."""
        for path in sorted(p for p in self.entries.rglob("*") if not p.is_dir()):
            relative = path.relative_to(self.folder).as_posix()
            what = self._fault(path)
            if what:
                yield Damage(relative, what)

    def faults_of(self, entries: Iterable[str]) -> Iterator[Damage]:
        """What is wrong with the files of some entries."""
        wanted = frozenset(entries)
        for name in self.names():
            if entry_of(name) in wanted and (what := self._fault(self.path(name))):
                yield Damage(self.path(name).relative_to(self.folder).as_posix(), what)

    def _fault(self, path: Path) -> str | None:
        match = _NAME.fullmatch(path.name)
        if path.is_symlink() or match is None or path.parent.name != match["year"]:
            return "foreign: no entry file has this name here; move it out of entries/"
        try:
            trig = path.read_bytes()
            if content_hash(trig) != match["hash"]:
                return "changed: its content is not what its name vouches for; restore it from a copy"
            if [entry.name for entry in read_entries(trig)] != [match["entry"]]:
                return "foreign: it holds another entry than its name says; move it out of entries/"
        except DamagedEntry as error:
            return f"damaged: {error}; restore it from a copy"
        except OSError as error:
            return f"unreadable: {error.strerror}; see to the file's permissions"
        return None


def entry_of(name: str) -> str:
    """The entry that an entry file's name stands for."""
    match = _NAME.fullmatch(name)
    if match is None:
        raise ValueError(f"{name!r} is no name of an entry file")
    return match["entry"]


def _fsync(folder: Path) -> None:
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
