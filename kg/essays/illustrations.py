"""The illustrations of essays: photographs that the daybook names, and the files that hold them.

A file is found in one folder that the user names, by the photograph's own name; its content tells what it is. Nothing
in the text of an essay can name a file.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from kg.errors import KilnmarkError

#: Bytes of one picture and of all pictures of a print.
LARGEST, LARGEST_IN_ALL = 20_000_000, 200_000_000
_ENDINGS = (".jpg", ".jpeg", ".png")
_KINDS = {b"\x89PNG\r\n\x1a\n": ("png", "image/png"), b"\xff\xd8\xff": ("jpg", "image/jpeg")}


class PictureRefused(KilnmarkError):
    """The file of a photograph cannot be printed."""


@dataclass(frozen=True, slots=True)
class PictureFile:
    """The bytes of a picture, and what kind of picture they are."""

    kind: str
    media_type: str
    content: bytes


def picture_file(folder: Path, name: str) -> PictureFile | None:
    """The picture of a photograph in a folder; None if there is none.

    :raises PictureRefused: if a file of that name is no JPEG or PNG, leads out of the folder, or is too large.
    """
    for ending in _ENDINGS:
        path = folder / f"{name}{ending}"
        if not path.is_file():
            continue
        if not path.resolve().is_relative_to(folder.resolve()):
            raise PictureRefused(f"{path} leads out of its folder. Put the picture itself there.")
        if path.stat().st_size > LARGEST:
            raise PictureRefused(f"{path} is larger than {LARGEST // 1_000_000} MB. Save it smaller.")
        content = path.read_bytes()
        for start, (kind, media_type) in _KINDS.items():
            if content.startswith(start):
                return PictureFile(kind, media_type, content)
        raise PictureRefused(
            f"{path} is neither JPEG nor PNG, whatever its name says. Save it as one of them."
        )
    return None
