"""Where the files that travel with the package lie: vocabulary, register tables, conventions, pages."""

from functools import lru_cache
from pathlib import Path

from kg.errors import KilnmarkError

_PACKAGE = Path(__file__).resolve().parent


class ResourceMissing(KilnmarkError):
    """A file that belongs to the program is not where the program looks for it."""


@lru_cache(maxsize=256)
def resource(relative: str) -> Path:
    """The path of a file or folder such as ``sources/periods.csv``.

    In an installed copy it lies inside the package, in a checkout beside it.

    :raises ResourceMissing: if it is in neither place.

    >>> resource("sources/periods.csv").name
    'periods.csv'
    """
    places = (_PACKAGE / "_data" / relative, _PACKAGE.parent / relative)
    for place in places:
        if place.exists():
            return place
    looked = " nor ".join(str(place) for place in places)
    raise ResourceMissing(f"{relative!r} is neither at {looked}; reinstall the program")
