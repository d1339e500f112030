"""The daybook as the screens ask it: one module for what each screen asks, and the desk that answers them all."""

from kg.asking.desk import Desk, desk_of
from kg.asking.fit import Answer, Asking, Bound, Link, SaysNoDate, date_conventions
from kg.asking.standpoint import Standpoint
from kg.asking.stock import Choice, Stock

__all__ = [
    "Answer",
    "Asking",
    "Bound",
    "Choice",
    "Desk",
    "Link",
    "SaysNoDate",
    "Standpoint",
    "Stock",
    "date_conventions",
    "desk_of",
]
