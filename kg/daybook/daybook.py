"""The face of the daybook: open it, read it as it stands now or as of a day, add to it."""

from __future__ import annotations

import gc
import hashlib
import tomllib
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from kg.daybook.record import Draft, Entry, Judgement, Thing, compose, vouches_for
from kg.daybook.shelf import MARKER, Damage, Shelf, entry_of
from kg.daybook.trig import DamagedEntry, read_entries, read_files, to_trig
from kg.daybook.view import Sense, WorkingView
from kg.errors import KilnmarkError
from kg.vocabulary import Vocabulary, load_vocabulary

#: Entry files read as one TriG document; a fault in one sends only its batch back to one-by-one reading.
BATCH = 2_000


class BadDaybook(KilnmarkError):
    """The daybook's own settings cannot be read."""


class CannotMerge(KilnmarkError):
    """Another daybook holds damaged files; nothing of it was taken in."""

    def __init__(self, folder: Path, damages: Iterable[Damage]) -> None:
        self.damages = tuple(damages)
        lines = "\n".join(f"  - {damage.file}: {damage.what}" for damage in self.damages)
        super().__init__(
            f"Nothing was taken in from {folder}: {len(self.damages)} of its files are damaged. "
            f"Mend it there first.\n{lines}"
        )


@dataclass(frozen=True, slots=True)
class Note:
    """What is offered for recording: things, claims and judgements, with the researcher and a remark."""

    researcher: str
    remark: str = ""
    things: tuple[Thing, ...] = ()
    drafts: tuple[Draft, ...] = ()
    judgements: tuple[Judgement, ...] = ()
    recorded: datetime | None = None
    """When it was noted; None is now."""


def now() -> datetime:
    """The present moment, in UTC."""
    return datetime.now(UTC)


class Daybook:
    """A notebook of immutable entries; any number of processes may read and add at once."""

    def __init__(
        self, shelf: Shelf, title: str, vocabulary: Vocabulary, clock: Callable[[], datetime] = now
    ) -> None:
        self.shelf = shelf
        self.title = title
        self.vocabulary = vocabulary
        self.clock = clock
        self.damaged: dict[str, str] = {}
        self._entries: dict[str, Entry] = {}
        self._holders: dict[str, str] = {}
        self._views: dict[tuple[date | None, str | None], WorkingView] = {}

    @classmethod
    def begin(cls, folder: Path, title: str = "Daybook") -> Daybook:
        """A new, empty daybook.

        :raises kg.daybook.shelf.DaybookExists: if the folder holds anything.
        """
        return cls._on(Shelf.begin(folder, title))

    @classmethod
    def open(cls, folder: Path) -> Daybook:
        """The daybook in a folder, with the vocabulary extensions in its ``vocabulary/`` folder.

        :raises kg.daybook.shelf.NoDaybook: if there is none.
        """
        return cls._on(Shelf.open(folder))

    @classmethod
    def _on(cls, shelf: Shelf) -> Daybook:
        try:
            settings = tomllib.loads((shelf.folder / MARKER).read_text(encoding="utf-8"))
        except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
            raise BadDaybook(
                f"{shelf.folder / MARKER} cannot be read as TOML: {error}. Mend or restore it."
            ) from error
        extensions = sorted((shelf.folder / "vocabulary").glob("*.ttl"))
        return cls(shelf, str(settings.get("title", "Daybook")), load_vocabulary(*extensions))

    @property
    def revision(self) -> str:
        """A short text that changes whenever an entry is added, here or by another process."""
        self._catch_up()
        return self._revision

    def view(self, as_of: date | None = None, convention: str | None = None) -> WorkingView:
        """What stands now, or stood at the end of a past day, caught up with other processes.

        ``convention`` names the date convention for sources that carry none.
        """
        self._catch_up()
        key = (as_of, convention)
        found = self._views.get(key)
        if found is None or found.revision != self._revision:
            found = self._views[key] = WorkingView.of(
                self.vocabulary,
                self._entries.values(),
                revision=self._revision,
                as_of=as_of,
                convention=convention,
            )
        return found

    def entries(self) -> tuple[Entry, ...]:
        """Every readable entry, in order of time."""
        self._catch_up()
        return tuple(self._entries[name] for name in sorted(self._entries))

    def compose(self, note: Note) -> Entry:
        """The entry that a note would become; nothing is written."""
        return compose(
            note.recorded or self.clock(),
            note.researcher,
            note.remark,
            things=note.things,
            drafts=note.drafts,
            judgements=note.judgements,
        )

    def record(self, entry: Entry) -> Entry:
        """Write an entry on the shelf, once and for good.

        :raises kg.daybook.trig.DamagedEntry: if it would not read back as it is; nothing is written then.
        """
        trig = to_trig(entry, self.vocabulary)
        back = read_entries(trig)
        if [e.name for e in back] != [entry.name] or set(back[0].claims) != set(entry.claims):
            raise DamagedEntry(f"entry {entry.name} would not read back as it was written")
        self.shelf.write(entry.name, trig)
        return entry

    def verify(self) -> Iterator[Damage]:
        """Every changed, truncated or foreign file, and all that takes no part here, each named with what to do."""
        yield from self.shelf.verify()
        self._catch_up()
        sense = Sense(self.vocabulary)
        for name, entry in sorted(self._entries.items()):
            for fault in sense.faults_of(entry):
                yield Damage(f"entries/{name[:4]}/{name}", f"ill-formed: {fault}")

    def merge(self, other: Path) -> int:
        """Take in the entries of another daybook by copying its files; returns how many were new.

        :raises CannotMerge: naming every damaged file; nothing is written then.
        """
        theirs = Shelf.open(other)
        new = [name for name in theirs.names() if not self.shelf.path(name).exists()]
        faults = ((name, theirs.fault_of(name)) for name in new)
        damages = [Damage(f"entries/{name[:4]}/{name}", what) for name, what in faults if what]
        if damages:
            raise CannotMerge(other, damages)
        for name in new:
            self.shelf.write(entry_of(name), theirs.read(name))
        return len(new)

    def _catch_up(self) -> None:
        names = self.shelf.names()
        known = self._entries.keys() | self.damaged.keys()
        gone = known - set(names)
        if gone:
            # What was damaged may have been so beside a file that is gone now.
            for name in gone:
                self._entries.pop(name, None)
            self.damaged.clear()
            known = self._entries.keys() - gone
        fresh = [name for name in names if name not in known]
        with _collector_at_rest():
            for start in range(0, len(fresh), BATCH):
                self._read(fresh[start : start + BATCH])
            self._hold(fresh, anew=bool(gone))
        if fresh or gone or not hasattr(self, "_revision"):
            self._revision = _revision(names)

    def _read(self, names: list[str]) -> None:
        try:
            entries = read_files([self.shelf.read(name) for name in names]) or []
        except (DamagedEntry, OSError):
            entries = []
        if [entry.name for entry in entries] == [entry_of(name) for name in names]:
            self._entries.update(zip(names, entries, strict=True))
            return
        for name in names:
            self._read_one(name)

    def _read_one(self, name: str) -> None:
        try:
            entries = read_entries(self.shelf.read(name))
            if [entry.name for entry in entries] != [entry_of(name)]:
                raise DamagedEntry("it holds another entry than its name says, or more than one, or none")
            self._entries[name] = entries[0]
        except (DamagedEntry, OSError) as error:
            # One damaged entry is named by `damaged` and `verify`; it never takes the rest down.
            self.damaged[name] = str(error)

    def _hold(self, fresh: Iterable[str], *, anew: bool) -> None:
        """Keep each claim id for one entry: of two that say different things by it, one is damaged.

        The one whose id does not follow from what it says; if both ids do, the one recorded later.
        """
        if anew:
            self._holders.clear()
        for name in sorted(self._entries if anew else fresh):
            for claim in self._entries[name].claims if name in self._entries else ():
                holder = self._holders.setdefault(claim.id, name)
                if holder != name and not self._agree(holder, name, claim.id):
                    self._hold((), anew=True)
                    return

    def _agree(self, holder: str, name: str, claim_id: str) -> bool:
        first, second = sorted((holder, name))
        one, two = ({c.id: c for c in self._entries[n].claims}[claim_id] for n in (first, second))
        if one.as_draft() == two.as_draft():
            return True
        is_forged = not vouches_for(self._entries[first], one) and vouches_for(self._entries[second], two)
        worse, better = (first, second) if is_forged else (second, first)
        self.damaged[worse] = (
            f"it says something else by the id {claim_id} than entry {entry_of(better)} does"
        )
        del self._entries[worse]
        return False


@contextmanager
def _collector_at_rest() -> Iterator[None]:
    """Python's cycle collector paused: reading makes many small values and no cycles, and it looks at each again."""
    was_enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_enabled:
            gc.enable()


def _revision(names: Iterable[str]) -> str:
    return hashlib.sha256("\n".join(names).encode()).hexdigest()[:16]
