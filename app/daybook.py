"""The daybook that the desk was opened with, one for all readers of the process."""

from __future__ import annotations

import os
from pathlib import Path

from kg.asking import Desk, desk_of

#: Names the daybook's folder; the command `kilnmark desk` sets it.
VARIABLE = "KILNMARK_DAYBOOK"


def desk() -> Desk:
    """The daybook to ask."""
    return desk_of(Path(os.environ.get(VARIABLE, "")))
