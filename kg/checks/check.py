"""The face of the checks: the whole working view, or one entry before it is recorded."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import pyoxigraph as ox

from kg.checks.compiled import CompiledShape, compile_shapes
from kg.checks.entry import Change, change_of
from kg.checks.expressions import NotCompiled
from kg.checks.findings import Finding, Report, Severity
from kg.checks.running import Progress, Runner
from kg.checks.shapes import ShapeFault, ShapeGraph, shapes_turtle, shipped_shapes, users_shapes
from kg.daybook.graph import view_store
from kg.daybook.record import Entry
from kg.daybook.view import WorkingView
from kg.vocabulary import Vocabulary

#: With more new entries than this the store is built anew, which then takes less time.
MOST_NEW_ENTRIES = 200

__all__ = [
    "EntryChecker", "Finding", "NotCompiled", "Report", "Severity", "ShapeFault", "check_all", "check_entry",
    "compiled_for", "load_users_shapes", "shapes_turtle",
]  # fmt: skip


def check_all(
    view: WorkingView,
    store: ox.Store | None = None,
    progress: Progress | None = None,
    users: ShapeGraph | None = None,
) -> Report:
    """Every finding of every shape on the whole working view.

    ``store`` may hold the view already (``view_store``). ``users`` are shapes of the daybook's own; those that cannot
    be compiled are run by pySHACL.
    """
    live = store if store is not None else view_store(view)
    report = Runner(live, compiled_for(view.vocabulary), view).whole(progress)
    if users is None:
        return report
    try:
        more = Runner(live, compile_shapes(users), view).whole(progress)
    except NotCompiled:
        from kg.checks.judge import check_with_pyshacl

        more = check_with_pyshacl(view, users, store=live)
    return Report.of((*report.findings, *more.findings), {**report.matched, **more.matched})


def check_entry(view: WorkingView, entry: Entry, store: ox.Store) -> Report:
    """What the checks would find on the nodes that an entry touches, were it recorded.

    The store, which holds the view, is as it was when this returns or raises.
    """
    return EntryChecker(view, store).check(entry)


class EntryChecker:
    """Checks entries one by one against a live store that holds the working view."""

    def __init__(self, view: WorkingView, store: ox.Store | None = None) -> None:
        self.view = view
        self.store = store if store is not None else view_store(view)
        self.shapes = compiled_for(view.vocabulary)

    def check(self, entry: Entry) -> Report:
        """What would be found on the nodes that the entry touches, were it recorded; nothing is kept.

        The findings on those nodes are the same as those of a whole run with the entry recorded.
        """
        change = change_of(self.view, self.store, entry)
        try:
            change.make(self.store)
            return Runner(self.store, self.shapes, change.after).some(change.touched(self.store))
        finally:
            change.undo(self.store)

    def catch_up(self, view: WorkingView) -> None:
        """Bring the store to a later view of the same daybook: by its new entries if they are few, else anew."""
        new = sorted(view.entries.keys() - self.view.entries.keys())
        gone = self.view.entries.keys() - view.entries.keys()
        if gone or len(new) > MOST_NEW_ENTRIES or view.convention != self.view.convention:
            self.store = view_store(view)
        else:
            step = self.view
            for name in new:
                change = change_of(step, self.store, view.entries[name])
                change.make(self.store)
                step = change.after
        self.view = view

    def change(self, entry: Entry) -> Change:
        """What recording the entry would add to the store and take from it."""
        return change_of(self.view, self.store, entry)


_COMPILED: dict[int, tuple[Vocabulary, tuple[CompiledShape, ...]]] = {}


def compiled_for(vocabulary: Vocabulary) -> tuple[CompiledShape, ...]:
    """The shapes that ship and those of a vocabulary, compiled; kept for the vocabularies last used."""
    found = _COMPILED.get(id(vocabulary))
    if found is None or found[0] is not vocabulary:
        while len(_COMPILED) >= 4:
            _COMPILED.pop(next(iter(_COMPILED)))
        found = _COMPILED[id(vocabulary)] = (vocabulary, compile_shapes(shipped_shapes(vocabulary)))
    return found[1]


@lru_cache(maxsize=8)
def _users(files: tuple[tuple[Path, int], ...]) -> ShapeGraph | None:
    return users_shapes(path for path, _ in files) if files else None


def load_users_shapes(folder: Path) -> ShapeGraph | None:
    """The shapes in a daybook's ``shapes/`` folder; None if there are none.

    :raises ShapeFault: naming the file and the shape at fault.
    """
    return _users(
        tuple((path, path.stat().st_mtime_ns) for path in sorted((folder / "shapes").glob("*.ttl")))
    )
