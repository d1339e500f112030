"""Files of text: their bytes as UTF-8, and where they are something else."""

from __future__ import annotations

from kg.errors import KilnmarkError


class NoUtf8(KilnmarkError):
    """A file of text holds a byte that is no UTF-8."""

    def __init__(self, name: str, line: int, byte: int) -> None:
        super().__init__(f"{name}: line {line} holds a byte that is no UTF-8 (0x{byte:02x}).")
        self.line = line


def utf8_text(raw: bytes, name: str) -> str:
    """The text that some bytes are, without a byte order mark.

    :raises NoUtf8: naming the line.

    >>> utf8_text("Müller".encode("latin-1"), "list.txt")
    Traceback (most recent call last):
        ...
    kg.intake.plain_text.NoUtf8: list.txt: line 1 holds a byte that is no UTF-8 (0xfc).
    """
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        whole = bytes(error.object)
        line = whole[: error.start].count(b"\n") + 1
        raise NoUtf8(name, line, whole[error.start]) from error
