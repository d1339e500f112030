"""The daybook from one day's standpoint, with all that is worked out of it, each once."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from threading import RLock
from typing import TYPE_CHECKING, TypeVar

from kg.asking.stock import Stock, stock_of
from kg.chronology.chronology import Chronology
from kg.daybook.view import WorkingView

if TYPE_CHECKING:
    from kg.chronology.audit import Audit
    from kg.sources_weighed.dependence import Weighed
    from kg.threads.threads import Threads

T = TypeVar("T")

#: Answers of screens that are kept beside the standing ones; the one asked for longest ago goes first.
MOST_KEPT = 64


class Standpoint:
    """What stood at the end of a day, at one revision of the daybook: the view and what follows from it.

    Everything is worked out when it is first asked for, and then kept, under the lock of the desk. What it gives
    is never changed: a later entry makes another standpoint.
    """

    def __init__(self, view: WorkingView, title: str, damaged: Mapping[str, str], lock: RLock) -> None:
        self.view = view
        self.title = title
        self.damaged = tuple(sorted(damaged))
        self.lock = lock
        self._kept: OrderedDict[Hashable, object] = OrderedDict()

    def kept(self, name: Hashable, make: Callable[[], T]) -> T:
        """What ``make`` gives, worked out once for this standpoint; ``name`` tells it from all else that is kept."""
        with self.lock:
            if name not in self._kept:
                self._kept[name] = make()
                while len(self._kept) > MOST_KEPT:
                    self._kept.popitem(last=False)
            self._kept.move_to_end(name)
            return self._kept[name]  # type: ignore[return-value]  # a name stands for one maker of one type

    @property
    def stock(self) -> Stock:
        """What can be asked about."""
        return self.kept("stock", lambda: stock_of(self.view, self.title, self.damaged))

    @property
    def chronology(self) -> Chronology:
        """The three networks of the dates; hold `lock` while asking it, since it remembers what it was asked."""
        return self.kept("chronology", lambda: Chronology(self.view))

    @property
    def audit(self) -> Audit:
        """Every dating tested, every conflict, the least repair."""
        from kg.chronology.audit import Audit

        return self.kept("audit", lambda: Audit(self.chronology))

    @property
    def weighed(self) -> Weighed:
        """The sources weighed; hold `lock` while asking it, since it remembers what it was asked."""
        from kg.sources_weighed.dependence import Weighed

        return self.kept("weighed", lambda: Weighed(self.view))

    @property
    def threads(self) -> Threads:
        """The things joined by weighed claims; hold `lock` while asking it."""
        from kg.threads.threads import Threads

        return self.kept("threads", lambda: Threads(self.weighed, self.chronology))
