"""The desk: one daybook for several readers at once, as it stands now or stood at the end of a past day."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from threading import RLock

from kg.asking.fit import Answer, Asking, answer_of
from kg.asking.standpoint import Standpoint
from kg.asking.stock import Stock
from kg.daybook.daybook import Daybook

#: Past days that are kept worked out beside today.
MOST_DAYS = 3


def desk_of(folder: Path) -> Desk:
    """The desk of a daybook, one for all readers of this process."""
    with _OPENING:
        return _DESKS.setdefault(folder, Desk(folder))


class Desk:
    """One daybook for several readers at once: it catches up before each question, and answers them in turn."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._lock = RLock()
        self._daybook: Daybook | None = None
        self._standpoints: OrderedDict[date | None, Standpoint] = OrderedDict()

    @contextmanager
    def daybook(self) -> Iterator[Daybook]:
        """The daybook itself, for who records: no other reader is answered meanwhile.

        :raises kg.daybook.shelf.NoDaybook: if there is no daybook in the folder.
        """
        with self._lock:
            if self._daybook is None:
                self._daybook = Daybook.open(self.folder)
            yield self._daybook

    def standpoint(self, as_of: date | None = None) -> Standpoint:
        """The daybook as it stands, or stood at the end of a past day, caught up with other processes.

        :raises kg.daybook.shelf.NoDaybook: if there is no daybook in the folder.
        """
        with self.daybook() as daybook:
            view = daybook.view(as_of)
            found = self._standpoints.get(as_of)
            if found is None or found.view.revision != view.revision:
                found = Standpoint(view, daybook.title, daybook.damaged, self._lock)
                self._standpoints[as_of] = found
            self._forget_all_but(as_of)
            return found

    def _forget_all_but(self, as_of: date | None) -> None:
        """Keep today and the past days last asked for."""
        self._standpoints.move_to_end(as_of)
        past = [day for day in self._standpoints if day is not None]
        for day in past[:-MOST_DAYS]:
            del self._standpoints[day]

    def stock(self, as_of: date | None = None) -> Stock:
        """What can be asked about, caught up with other processes.

        :raises kg.daybook.shelf.NoDaybook: if there is no daybook in the folder.
        """
        return self.standpoint(as_of).stock

    def ask(self, asking: Asking, as_of: date | None = None) -> Answer:
        """The answer to a question.

        :raises kg.dates.errors.DateNotUnderstood: if the phrase cannot be read.
        :raises kg.asking.fit.SaysNoDate: if the phrase says that there is no date.
        """
        with self._lock:
            return answer_of(self.standpoint(as_of).chronology, asking)


_OPENING = RLock()
_DESKS: dict[Path, Desk] = {}
