"""The folder of entries: written once, atomically and durably, never changed."""

from __future__ import annotations

import os
import re
import stat
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from kg.daybook.record import BadRecord, recomposed
from kg.daybook.trig import DamagedEntry, content_hash, read_in_order
from kg.errors import KilnmarkError

_NAME = re.compile(r"(?P<entry>(?P<year>\d{4})\d{4}T\d{12}Z-[a-z2-7]{10})-(?P<hash>[0-9a-f]{64})\.trig")
MARKER = "daybook.toml"

#: Folder times are trusted only when older than this, since a file system's clock ticks in steps.
SETTLED_SECONDS = 2.0


#: An entry file larger than this is not opened: a table of 300,000 rows makes one of some 200 MB.
LARGEST_ENTRY = 256 * 2**20
#: A temporary file older than this was left over: no writing of one entry takes so long.
LEFT_OVER_SECONDS = 60.0
_UNSAFE_TO_OPEN = "foreign: no regular file lies here; move it out of entries/"


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
        check_is_free(folder)
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
                names = tuple(sorted(_entry_files(year)))
                kept = self._listed[year.name] = (stamp, names)
            found += kept[1]
        return found

    def _years(self) -> list[Path]:
        if not self.entries.is_dir():
            return []
        return [
            Path(item.path)
            for item in os.scandir(self.entries)
            if item.is_dir(follow_symlinks=False) and re.fullmatch(r"\d{4}", item.name)
        ]

    def path(self, name: str) -> Path:
        """Where the entry file of that name lies."""
        return self.entries / name[:4] / name

    def read(self, name: str) -> bytes:
        """The bytes of one entry file.

        :raises DamagedEntry: if it is no regular file, or too large.
        """
        return _bytes_of(f"{self._root}/{name[:4]}/{name}")

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
        for path in sorted(_files_below(self.entries)):
            relative = path.relative_to(self.folder).as_posix()
            what = self._fault(path)
            if what:
                yield Damage(relative, what)

    def fault_of(self, name: str) -> str | None:
        """What is wrong with one entry file; None if it is whole."""
        return self._fault(self.path(name))

    def faults_of(self, entries: Iterable[str]) -> Iterator[Damage]:
        """What is wrong with the files of some entries."""
        wanted = frozenset(entries)
        for name in self.names():
            if entry_of(name) in wanted and (what := self._fault(self.path(name))):
                yield Damage(self.path(name).relative_to(self.folder).as_posix(), what)

    def _fault(self, path: Path) -> str | None:
        match = _NAME.fullmatch(path.name)
        try:
            found = path.lstat()
            if not stat.S_ISREG(found.st_mode):
                return _UNSAFE_TO_OPEN
            if _TEMPORARY.fullmatch(path.name):
                is_old = time.time() - found.st_mtime > LEFT_OVER_SECONDS
                return "left over by an interrupted writing; delete it" if is_old else None
            if match is None or path.parent.name != match["year"]:
                return "foreign: no entry file has this name here; move it out of entries/"
            trig = _bytes_of(str(path))
            if content_hash(trig) != match["hash"]:
                return "changed: its content is not what its name vouches for; restore it from a copy"
            entries = read_in_order(trig)
            if [entry.name for entry in entries] != [match["entry"]]:
                return "foreign: it holds another entry than its name says; move it out of entries/"
            made = recomposed(entries[0])
            if (made.name, made.claims) != (entries[0].name, entries[0].claims):
                return (
                    "changed: its name and claim ids do not follow from what it says; restore it from a copy"
                )
        except FileNotFoundError:
            return None  # a temporary file that its writer has put in place meanwhile
        except BadRecord as error:
            return f"damaged: {error}; restore it from a copy"
        except OSError as error:
            return f"unreadable: {error.strerror}; see to the file's permissions"
        return None


def check_is_free(folder: Path) -> None:
    """Nothing, if a daybook can be begun in a folder.

    :raises DaybookExists: if the folder holds anything.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise DaybookExists(
            f"{folder} is not empty. Choose another folder, or open the daybook that is there."
        )


def entry_of(name: str) -> str:
    """The entry that an entry file's name stands for."""
    match = _NAME.fullmatch(name)
    if match is None:
        raise ValueError(f"{name!r} is no name of an entry file")
    return match["entry"]


_TEMPORARY = re.compile(rf"\.{_NAME.pattern}\.\d+\.\d+")


def _entry_files(year: Path) -> Iterator[str]:
    """The names of the regular files in a folder that are named as entries are."""
    with os.scandir(year) as items:
        for item in items:
            if _NAME.fullmatch(item.name) and item.is_file(follow_symlinks=False):
                yield item.name


def _files_below(folder: Path) -> Iterator[Path]:
    """All that lies below a folder and is no folder; a link to a folder is named, never followed."""
    for place, folders, files in os.walk(folder):
        yield from (Path(place) / name for name in files)
        yield from (Path(place) / name for name in folders if (Path(place) / name).is_symlink())


def _bytes_of(path: str) -> bytes:
    """The bytes of a regular file that is not too large; a pipe or device is never waited for."""
    flags = (
        os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    )
    handle = os.open(path, flags)
    try:
        found = os.fstat(handle)
        if not stat.S_ISREG(found.st_mode):
            raise DamagedEntry("it is no regular file")
        if found.st_size > LARGEST_ENTRY:
            raise DamagedEntry(f"it has {found.st_size:,} bytes; no entry has more than {LARGEST_ENTRY:,}")
        parts = []
        while part := os.read(handle, found.st_size + 1):
            parts.append(part)
        return b"".join(parts)
    finally:
        os.close(handle)


def _fsync(folder: Path) -> None:
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
