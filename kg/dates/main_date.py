"""Which of a phrase's dates is the date of the piece, and how several of them combine."""

from __future__ import annotations

from itertools import pairwise

from kg.dates.conventions import Convention
from kg.dates.cursor import Cursor
from kg.dates.edtf import Edtf, as_edtf, parse_edtf
from kg.dates.items import Item
from kg.dates.window import Window, day_of, iso, month_length, year_of


def limit_of(items: list[Item]) -> Window | None:
    """The period or wider date, plainly given, that a narrower vague date beside it must lie within."""
    plain = [item for item in items if item.edtf is not None and not item.kind]
    for item in plain[:-1]:
        if edtf_of(item).qualifier is None and edtf_of(item).window.contains(edtf_of(plain[-1]).window):
            return edtf_of(item).window
    return None


def main_date(cursor: Cursor, items: list[Item], means: Convention) -> Edtf:
    """The date of making that a phrase gives.

    A making that is named counts before a date without a word, and that before a later printing,
    casting or record. A design, or the begin of the work, opens the making; museums print and index
    it so. A later making without a date leaves the end unknown.

    :raises DateNotUnderstood: if dates without a word contradict each other.
    """
    dated = [item for item in items if item.edtf is not None]
    if not dated:
        raise cursor.refuse(f"a date before or after {items[0].word!r}", items[0].at)
    plain = [item for item in dated if not item.kind]
    made = [item for item in dated if item.kind == "making"]
    opening = [item for item in dated if item.kind in {"design", "begun"}]
    if made or plain:
        base = edtf_of(made[0]) if made else combined(cursor, plain, means)
    else:
        base = _without_making(cursor, dated, opening)
    if made or plain:
        _check_order(cursor, opening, base)
        _check_second_date(cursor, items)
    ends = [edtf_of(item) for item in dated if item.kind == "finishing"]
    if len(items) > 1 and any(item.kind for item in items):
        cursor.notes.append(_told(items))
    return _with_unknown_end(
        spanning([edtf_of(i) for i in opening], base, ends), items, opening, made or plain or ends
    )


def _check_order(cursor: Cursor, opening: list[Item], base: Edtf) -> None:
    """Nothing is made before its design."""
    for item in opening:
        if item.kind != "design" or edtf_of(item).qualifier or base.qualifier:
            continue
        first, last = edtf_of(item).window.first, base.window.last
        if first is not None and last is not None and last < first:
            raise cursor.refuse(f"a making that is not before the design, {item.edtf}", item.at)


def _check_second_date(cursor: Cursor, items: list[Item]) -> None:
    """A bare year after that of a patent may be a second patent or the making: "patented 1873, 1875"."""
    if len(items) != 2 or items[0].kind != "legal" or items[1].kind or items[1].in_brackets:
        return
    legal, bare = items
    after_comma = cursor.text[: bare.at].rstrip().endswith(",")
    if after_comma and legal.edtf and edtf_of(bare).kind == "date" and not edtf_of(bare).qualifier:
        raise cursor.refuse(f"a word that says what this date is of, as {legal.word!r} does", bare.at)


def edtf_of(item: Item) -> Edtf:
    """The date of an item that has one."""
    assert item.edtf is not None
    return item.edtf


def _told(items: list[Item]) -> str:
    stages = [f"{item.word or 'a date without a word'} {item.edtf or 'without a date'}" for item in items]
    return "stages: " + ", ".join(stages)


def _first_of(items: list[Item], kinds: tuple[str, ...]) -> Edtf | None:
    return next((edtf_of(item) for kind in kinds for item in items if item.kind == kind), None)


def _without_making(cursor: Cursor, dated: list[Item], opening: list[Item]) -> Edtf:
    """The date of a piece of which neither a making nor a date without a word is given."""
    base = _first_of(dated, ("finishing", "later", "altered"))
    if base or all(item.kind in {"design", "begun"} for item in dated):
        return base or edtf_of(opening[0])
    record = _first_of(dated, ("record",))
    if opening:
        return record or edtf_of(next(item for item in dated if item.kind == "legal"))
    legal = [item for item in dated if item.kind == "legal"]
    if record and legal:
        return up_to(not_before(legal), record)
    return record or _protected(cursor, legal)


def up_to(low: Edtf | None, record: Edtf) -> Edtf:
    """At some time from a bound to a date by which the piece was there, as a sale shows."""
    if low is None or record.window.last is None or low.window.overlap(record.window) is None:
        return record
    high = _shortest(record.window.last, False) + _mark(record.end_qualifier)
    return parse_edtf(f"{low.text.removesuffix(']')}{high}]")


def _protected(cursor: Cursor, items: list[Item]) -> Edtf:
    """The date of a making of which only a patent or registration is known: not before it, and open after."""
    bound = not_before(items)
    if bound is None:
        raise cursor.refuse(f"a date that {items[0].word!r} is not before, or a date of making", items[0].at)
    words = ", ".join(dict.fromkeys(item.word for item in items))
    cursor.notes.append(
        f"'{words}' dates a protection in law: the making is taken as not before it, and open after"
    )
    return bound


def not_before(items: list[Item]) -> Edtf | None:
    """At some time from the last of the begins that are known, the end open; None if no begin is known."""
    bounds = [bound for item in items if (bound := from_below(edtf_of(item))) is not None]
    return max(bounds, key=lambda bound: bound.window.first or 0, default=None)


def spanning(opening: list[Edtf], base: Edtf, ends: list[Edtf]) -> Edtf:
    """From the first of the designs to the last of the making."""
    parts = [*opening, base, *ends]
    if all(part is base for part in parts):
        return base
    # What was made by 1900 after a design of 1880 was not begun before the design.
    known = [part for part in parts if part.window.first is not None] if opening else parts
    first = min(known or parts, key=lambda e: (e.window.first is not None, e.window.first or 0))
    last = max(parts, key=lambda e: (e.window.last is None, e.window.last or 0))
    return joined(first, last)


def joined(first: Edtf, last: Edtf) -> Edtf:
    """The EDTF of what begins in one date and ends in another."""
    if first is last or first.text == last.text:
        return first
    if {first.kind, last.kind} <= {"date", "season"}:
        return parse_edtf(f"{first.text}/{last.text}")
    low = first.window.first
    high = last.window.last
    marks = _mark(first.begin_qualifier), _mark(last.end_qualifier)
    left = _shortest(low, True) + marks[0] if low is not None else ""
    right = _shortest(high, False) + marks[1] if high is not None else ""
    if not left and not right:
        return last
    if not left or not right or len(first.alternatives) > 1 or len(last.alternatives) > 1:
        return parse_edtf(f"[{left}..{right}]")
    return parse_edtf(f"{left}/{right}")


def from_below(edtf: Edtf) -> Edtf | None:
    """At some time from a date on, the end open; None if the date has no begin.

    >>> str(from_below(parse_edtf("1873")))
    '[1873..]'
    """
    if edtf.kind == "all-of":  # what bears two dates of registration is not older than the second
        edtf = parse_edtf(f"[{edtf.text[1:-1].rpartition(',')[2]}]")
    if edtf.window.first is None:
        return None
    return parse_edtf(f"[{_shortest(edtf.window.first, True)}{_mark(edtf.begin_qualifier)}..]")


def _mark(qualifier: str | None) -> str:
    return {"approximate": "~", "uncertain": "?", "both": "%"}.get(qualifier or "", "")


def _shortest(day: int, at_start: bool) -> str:
    """The shortest EDTF date that begins, or ends, on a day."""
    text = iso(day)
    year = year_of(day)
    if text.endswith("-01-01" if at_start else "-12-31"):
        return text[:-6]
    month = int(text[-5:-3])
    if day == day_of(year, month, 1 if at_start else month_length(year, month)):
        return text[:-3]
    return text


def _with_unknown_end(edtf: Edtf, items: list[Item], opening: list[Item], closing: object) -> Edtf:
    """A date whose making went on to an end that the phrase does not give."""
    undated = any(item.edtf is None and item.kind in {"later", "making", "finishing"} for item in items)
    only_begun = bool(opening) and not closing and opening[0].kind == "begun" and len(items) == 1
    if not (undated or only_begun) or edtf.window.first is None or edtf.kind == "all-of":
        return edtf
    if edtf.kind in {"date", "season"}:
        return parse_edtf(f"{edtf.text}/")
    if len(edtf.alternatives) > 1:
        return from_below(edtf) or edtf
    return parse_edtf(f"{_shortest(edtf.window.first, True)}{_mark(edtf.begin_qualifier)}/")


def combined(cursor: Cursor, items: list[Item], means: Convention) -> Edtf:
    """One date from several without a word: the narrower, what they share, or all of them in a list."""
    current, rest = items[0], items[1:]
    date = edtf_of(current)
    if rest and _is_list(cursor, items):
        cursor.notes.append("all of these dates")
        return parse_edtf("{" + ",".join(_member(edtf_of(item)) for item in items) + "}")
    is_period = current.is_period
    for item in rest:
        date = _narrower(cursor, date, item, is_period, means)
        is_period = False
    return date


def _member(date: Edtf) -> str:
    """A date or range as it stands in a set."""
    return date.text.replace("/", "..") if date.kind == "interval" else date.text.strip("[]")


def _is_list(cursor: Cursor, items: list[Item]) -> bool:
    """Whether dates follow each other, single ones parted by commas, parts of centuries by semicolons."""
    kinds = {edtf_of(item).kind for item in items}
    parted = all(cursor.text[: item.at].rstrip().endswith(";") for item in items[1:])
    if any(item.in_brackets or item.is_period for item in items) or kinds - {"date", "one-of", "interval"}:
        return False
    if "one-of" in kinds and not parted:
        return False
    spans = [edtf_of(item).window.span for item in items]
    return all(a and b and a.last < b.first for a, b in pairwise(spans))


def _narrower(cursor: Cursor, date: Edtf, item: Item, is_period: bool, means: Convention) -> Edtf:
    other = edtf_of(item)
    shared = date.window.overlap(other.window)
    if shared is None:
        return _near_enough(cursor, date, item, means)
    whole_century = other.kind == "date" and other.text.endswith("XX")
    if is_period and whole_century and not date.window.contains(other.window):
        cursor.notes.append(f"what {date.text} and {other.text} share is taken")
        return date if other.window.contains(date.window) else parse_edtf(as_edtf(shared))
    if is_period or date.window.contains(other.window):
        if date.window != other.window:
            cursor.notes.append(f"the narrower date {other.text} is taken")
        return other
    if other.window.contains(date.window):
        if item.is_period or not item.in_brackets or date.qualifier:
            cursor.notes.append(f"the narrower date {date.text} is taken")
        return date
    for lower, upper in ((date, other), (other, date)):
        if lower.window.last is None and upper.window.first is None:
            cursor.notes.append(f"what {date.text} and {other.text} share is taken")
            return up_to(from_below(lower), upper)
    if date.qualifier or other.qualifier:
        return other
    cursor.notes.append(f"what {date.text} and {other.text} share is taken")
    return parse_edtf(as_edtf(shared))


def _near_enough(cursor: Cursor, date: Edtf, item: Item, means: Convention) -> Edtf:
    """A vague date may lie beside a period that it belongs to; plain dates that differ are refused."""
    other = edtf_of(item)
    wide, _ = means.widened(date.window, date.begin_qualifier, date.end_qualifier)
    other_wide, _ = means.widened(other.window, other.begin_qualifier, other.end_qualifier)
    if (date.qualifier or other.qualifier) and wide.overlap(other_wide) is not None:
        return other if other.qualifier and not date.qualifier else date
    raise cursor.refuse(
        f"a date that agrees with {date.text}, or a word that says what each date is of", item.at
    )
