"""A bibliography file: its bytes, its text, its format, and the reader for that."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from pathlib import Path

from kg.intake.bibliography.bibtex import read_bibtex
from kg.intake.bibliography.csl_json import read_csl_json
from kg.intake.bibliography.record import BadBibliography, Bibliography, Fault, Record
from kg.intake.bibliography.ris import read_ris

#: Bytes and records of one file. A larger one is taken in by parts.
MOST_BYTES = 50_000_000
MOST_RECORDS = 50_000
#: Characters of one record, as it is kept; a claim holds no more.
LONGEST_RECORD = 100_000
#: Encodings that may be declared; UTF-8 with or without a byte order mark needs no declaring.
ENCODINGS = ("utf-8", "latin-1", "cp1252", "utf-16")
_ALIASES = {
    "utf8": "utf-8", "ascii": "utf-8", "latin1": "latin-1", "iso-8859-1": "latin-1", "iso8859-1": "latin-1",
    "windows-1252": "cp1252", "cp-1252": "cp1252", "utf16": "utf-16",
}  # fmt: skip

Reader = Callable[[str, list[Fault]], list[Record]]
READERS: dict[str, Reader] = {"BibTeX": read_bibtex, "RIS": read_ris, "CSL-JSON": read_csl_json}
#: The usual endings of each format, for a file whose content does not tell.
ENDINGS = {".bib": "BibTeX", ".bibtex": "BibTeX", ".ris": "RIS", ".json": "CSL-JSON", ".csljson": "CSL-JSON"}
_SIGNS = (
    ("RIS", re.compile(r"^[ \t]*TY  ?- ?\w", re.MULTILINE)),
    ("BibTeX", re.compile(r"@[ \t]*[A-Za-z]+[ \t\r\n]*[{(]")),
)
_DECLARED = re.compile(rb"^%+\s*(?:!.*)?encoding\s*[:=]\s*([\w-]+)\s*$", re.IGNORECASE | re.MULTILINE)


def read_bibliography(path: Path, encoding: str | None = None) -> Bibliography:
    """The records of a file, with every fault of what could not be read.

    :raises BadBibliography: if the file is absent, empty, too large, no text, of no format that is read here, or
        holds no record at all.
    """
    raw = _bytes(path)
    text = _text(path.name, raw, encoding)
    format_ = _format(path, text)
    _check_count(path.name, format_, text)
    faults: list[Fault] = []
    records = []
    for record in READERS[format_](text, faults):
        if len(record.raw) > LONGEST_RECORD:
            wanted = f"at most {LONGEST_RECORD:,} characters"
            faults.append(
                Fault(record.line, f"a record of {len(record.raw):,} characters", wanted, "Shorten it.")
            )
        else:
            records.append(record)
    if len(records) > MOST_RECORDS:
        raise _too_many(path.name, len(records))
    if not records and not faults:
        raise BadBibliography(
            f"{path.name} holds no record, though it looks like {format_}. Export it again."
        )
    digest = hashlib.sha256(raw).hexdigest()
    return Bibliography(path.name, format_, digest, tuple(records), tuple(sorted(faults, key=_by_line)))


def _check_count(name: str, format_: str, text: str) -> None:
    """Refuse a file with far too many records before any of them is read."""
    sign = dict(_SIGNS).get(format_)
    count = sum(1 for _ in sign.finditer(text)) if sign else 0
    if count > 2 * MOST_RECORDS:
        raise _too_many(name, count)


def _too_many(name: str, count: int) -> BadBibliography:
    return BadBibliography(
        f"{name} has {count:,} records; at most {MOST_RECORDS:,} are taken in at once. "
        "Cut it into parts and take in each."
    )


def _by_line(fault: Fault) -> int:
    return fault.line


def _bytes(path: Path) -> bytes:
    if path.is_dir():
        raise BadBibliography(f"{path} is a folder. Name a bibliography file in it.")
    if path.exists() and not path.is_file():
        raise BadBibliography(
            f"{path} is no file but a device or a pipe. Save the bibliography as a file first."
        )
    if not path.exists():
        raise BadBibliography(f"There is no bibliography file {path}. Check the name.")
    size = path.stat().st_size
    if size > MOST_BYTES:
        raise BadBibliography(
            f"{path.name} has {size:,} bytes; at most {MOST_BYTES:,} are taken in at once. Cut it into parts."
        )
    raw = path.read_bytes()
    if not raw.strip():
        raise BadBibliography(f"{path.name} is empty. Export it again.")
    return raw


def _text(name: str, raw: bytes, encoding: str | None) -> str:
    declared = _DECLARED.search(raw[:2_000])
    wanted = (encoding or (declared[1].decode("ascii", "replace") if declared else "utf-8")).lower()
    wanted = _ALIASES.get(wanted, wanted)
    if wanted not in ENCODINGS:
        raise BadBibliography(
            f"{name}: the encoding {wanted!r} found; expected one of {', '.join(ENCODINGS)}. Save the file as UTF-8."
        )
    if wanted == "utf-8" and raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise BadBibliography(f"{name} is in UTF-16. Save it as UTF-8, or give --encoding utf-16.")
    try:
        text = raw.decode("utf-8-sig" if wanted == "utf-8" else wanted)
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise BadBibliography(
            f"{name}, line {line}: the byte {raw[error.start]:#04x} is not {wanted.upper()}. "
            "Save the file as UTF-8, or give --encoding latin-1 (or cp1252) if that is what it is."
        ) from error
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise BadBibliography(
            f"{name}, line {line}: a NUL byte found; expected text. The file is damaged or no text."
        )
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _format(path: Path, text: str) -> str:
    """The format by the content; the ending of the file's name decides only where the content does not."""
    start = text.lstrip()
    hint = ENDINGS.get(path.suffix.lower())
    if start[:1] == "[" or (start[:1] == "{" and hint in (None, "CSL-JSON")):
        return "CSL-JSON"
    signs = [name for name, sign in _SIGNS if sign.search(text)]
    if signs:
        return hint if hint in signs else signs[0]
    if hint == "CSL-JSON":
        return hint  # its reader says what is wrong with it
    wanted = "records of BibTeX (@book{…}), RIS (TY  - BOOK) or CSL-JSON ([{…}])"
    raise BadBibliography(
        f"{path.name} is no bibliography: {start[:40]!r} found at its begin; expected {wanted}. "
        "Export the bibliography in one of these."
    )
