"""Dates joined to each other: ranges, alternatives and lists, written out as one EDTF text."""

from __future__ import annotations

from dataclasses import dataclass, replace

from kg.dates.conventions import Convention
from kg.dates.cursor import WANTED, Cursor, Operand
from kg.dates.edtf import Edtf, parse_edtf
from kg.dates.operands import read_operand
from kg.dates.terms import Stamp, Term, complete, stamp_text, term_of


@dataclass(frozen=True, slots=True)
class Piece:
    """A date or range: its EDTF text when it stands alone, and as a member of a set."""

    alone: str
    member: str
    term: Term


def read_expression(cursor: Cursor, convention: Convention) -> tuple[Edtf, bool]:
    """The date, range or list at the cursor, and whether it is nothing but a named period.

    :raises DateNotUnderstood: if there is none, or its parts do not agree.
    """
    start = cursor.index
    operands, joins = _operands(cursor)
    complete(operands, [join for join in joins if join != "open"], cursor.text)
    _spread_qualifiers(operands, joins, convention.circa_spreads)
    edtf = parse_edtf(_text(cursor, operands, joins, convention))
    only_period = len(operands) == 1 and operands[0].kind == "period" and not operands[0].bound
    assert cursor.index > start
    return edtf, only_period


def _operands(cursor: Cursor) -> tuple[list[Operand], list[str]]:
    between = _skip_between(cursor)
    operands = [read_operand(cursor)]
    joins: list[str] = []
    while join := _join(cursor):
        if join == "to" and _ends_open(cursor):
            joins.append("open")
            break
        if between and join in {"and", "to"} and not joins:
            join = "between"
        joins.append(join)
        operands.append(read_operand(cursor, operands[-1]))
    if between and joins[:1] != ["between"]:
        raise cursor.refuse("'and' with a second date after 'between'")
    return operands, joins


def _skip_between(cursor: Cursor) -> bool:
    ahead = 0
    while cursor.has("circa", ahead) or cursor.has("perhaps", ahead) or cursor.has("filler", ahead):
        ahead += 1
    if not cursor.has("between", ahead):
        return False
    # A qualifier before "between" belongs to what it bounds; it is read again with the first date.
    token = cursor.tokens.pop(cursor.index + ahead)
    cursor.notes.append(f"'{cursor.text[token.start : token.end]}' gives one date within the two")
    return True


def _join(cursor: Cursor) -> str:
    """Read a word or sign that joins two dates."""
    if listed := _list_join(cursor):
        return listed
    ahead = 1 if cursor.is_sign(",") and (cursor.has("or", 1) or cursor.has("and", 1)) else 0
    token = cursor.peek(ahead)
    if token is None:
        return ""
    join = ""
    if token.kind == "sign":
        join = {"-": "to", "/": "slash", "+": "and"}.get(token.text, "")
    elif token.roles is not None:
        join = next((role for role in ("to", "or", "and") if role in token.roles), "")
    if join == "and" and cursor.has("stage", ahead + 1):
        return ""
    if join:
        cursor.index += ahead + 1
    while join == "to" and cursor.is_sign("-"):
        cursor.index += 1
    return join


def _list_join(cursor: Cursor) -> str:
    """The join that the last comma stands for in "1899, 1902 or 1905"."""
    ahead = 0
    while (
        cursor.is_sign(",", ahead) and (year := cursor.peek(ahead + 1)) is not None and year.kind == "number"
    ):
        ahead += 2
    join = next((role for role in ("or", "and") if cursor.has(role, ahead)), "")
    following = cursor.peek(ahead + 1)
    if not ahead or not join or following is None or following.kind != "number":
        return ""
    cursor.index += 1
    return join


def _ends_open(cursor: Cursor) -> bool:
    """Whether a dash is the last thing of its clause, as in "1989-"."""
    token = cursor.peek()
    return (cursor.peek(-1) is None or cursor.is_sign("-", -1)) and (
        token is None or (token.kind == "sign" and token.text in ",;)]")
    )


def _spread_qualifiers(operands: list[Operand], joins: list[str], circa_spreads: bool) -> None:
    """ "c. 1910-15" is vague at both ends; so is "1910-15?"."""
    first, last = operands[0], operands[-1]
    if len(operands) == 1 or "and" in joins:
        return
    if last.width is not None and first.width is None and not first.about:
        for operand in operands[:-1]:
            operand.width = last.width
    lead_about, lead_perhaps = first.about and not first.marked, first.perhaps and not first.marked
    lead_about = lead_about and circa_spreads
    own = any(operand.about for operand in operands[1:])
    for operand in operands[1:]:
        operand.about |= lead_about and not own and not operand.bound
        operand.perhaps |= lead_perhaps
    if last.marked and last.perhaps and not first.marked:
        for operand in operands:
            operand.perhaps = True


def _text(cursor: Cursor, operands: list[Operand], joins: list[str], convention: Convention) -> str:
    if "open" in joins and len(joins) > 1:
        raise cursor.refuse("one date before a dash that leaves the end open", operands[-1].at)
    if joins == ["open"]:
        return _open(cursor, operands[0], convention)
    if "slash" in joins:
        return _slash(cursor, operands, joins, convention)
    if "and" in joins and "or" in joins:
        raise cursor.refuse("either 'and' or 'or' between the dates, not both", operands[-1].at)
    pieces, places, group = [], [], [operands[0]]
    for join, operand in zip([*joins, "end"], [*operands[1:], None], strict=True):
        if join in {"to", "between"} and operand is not None:
            group.append(operand)
            continue
        pieces.append(_piece(cursor, group, convention, "between" in joins))
        places.append(group[0].at)
        group = [operand] if operand is not None else []
    if len(pieces) == 1:
        return pieces[0].alone
    if "or" not in joins:
        for operand in operands:
            _check_order_of_figures(cursor, operand)
    opening, closing = ("[", "]") if "or" in joins else ("{", "}")
    cursor.notes.append("one of these dates" if "or" in joins else "all of these dates")
    return opening + ",".join(piece.member for piece in pieces) + closing


def _open(cursor: Cursor, operand: Operand, convention: Convention) -> str:
    _check_order_of_figures(cursor, operand)
    term = term_of(operand, convention, cursor.text, cursor.notes)
    if operand.bound or term.low is None:
        raise cursor.refuse("a second date after the dash")
    cursor.notes.append("the dash at the end leaves the end open")
    return f"{stamp_text(term.low)}{term.mark(True)}/.."


def _slash(cursor: Cursor, operands: list[Operand], joins: list[str], convention: Convention) -> str:
    """ "1880/90" is a date within the two; a slash between more than two dates says too little."""
    if joins != ["slash"] or any(operand.bound for operand in operands):
        raise cursor.refuse(
            "'or', 'and' or a dash instead of '/', which can mean any of them", operands[-1].at
        )
    cursor.notes.append("the slash is read as a date within the two")
    return _piece(cursor, operands, convention, True).alone


def _piece(cursor: Cursor, group: list[Operand], convention: Convention, within: bool) -> Piece:
    if len(group) > 2:
        raise cursor.refuse("one dash, between two dates", group[2].at)
    if len(group) == 1:
        if group[0].either_way:
            return _either_way(cursor, group[0], convention)
        return _single(term_of(group[0], convention, cursor.text, cursor.notes))
    for operand in group:
        _check_order_of_figures(cursor, operand)
    left, right = group
    _check_bounds(cursor, left, right)
    if left.bound == "since":
        left.bound = ""
    begin = term_of(left, convention, cursor.text, cursor.notes)
    end = term_of(right, convention, cursor.text, cursor.notes)
    if begin.low is None or end.high is None:
        raise cursor.refuse(WANTED, right.at)
    piece = _range(begin, end, within)
    if _day_order(begin.low, False) > _day_order(end.high, True):
        raise cursor.refuse("an end that is not before the begin", right.at)
    return piece


def _check_order_of_figures(cursor: Cursor, operand: Operand) -> None:
    if operand.either_way:
        raise cursor.refuse("the month in letters, or the language, which says what is the day", operand.at)


def _either_way(cursor: Cursor, operand: Operand, convention: Convention) -> Piece:
    """ "3/12/1877" is one of two days; before or after it is before the later or after the earlier."""
    days = sorted([(operand.month, operand.day), (operand.day, operand.month)])
    cursor.notes.append("the figures could be taken either way round, so it is one of two days")
    if operand.bound:
        days = days[-1:] if operand.bound in {"before", "until"} else days[:1]
        operand.bound = operand.bound.replace("since", "onward")  # the day of the begin is not known
    terms = [
        term_of(replace(operand, month=month, day=day), convention, cursor.text, cursor.notes)
        for month, day in days
    ]
    if len(terms) == 1:
        return _single(terms[0])
    member = ",".join(_member(term) for term in terms)
    return Piece(f"[{member}]", member, terms[0])


def _check_bounds(cursor: Cursor, left: Operand, right: Operand) -> None:
    if left.bound not in {"", "since", "after", "onward"}:
        raise cursor.refuse(f"a single date after {left.bound!r}, not a range", right.at)
    if right.bound not in {"", "before", "until"}:
        raise cursor.refuse("a plain date, or one with 'before', at the end of a range", right.at)


def _day_order(stamp: Stamp, at_end: bool) -> tuple[int, ...]:
    filler = (99, 99) if at_end else (0, 0)
    return (*stamp, *filler[len(stamp) - 1 :])


def _single(term: Term) -> Piece:
    member = _member(term)
    if term.atom is not None and term.high is not None:
        return Piece(member, member, term)
    if term.since and term.low is not None:
        return Piece(f"{stamp_text(term.low)}{term.mark(True)}/..", member, term)
    return Piece(f"[{member}]", member, term)


def _member(term: Term) -> str:
    if term.atom is not None and term.high is not None:
        return term.atom + term.mark(True)
    low = "" if term.low is None else stamp_text(term.low) + term.mark(True)
    high = "" if term.high is None else stamp_text(term.high) + term.mark(False)
    return f"{low}..{high}"


def _range(begin: Term, end: Term, within: bool) -> Piece:
    about_high = end.about_high
    whole = Term(None, begin.low, end.high, begin.about_low, about_high, begin.perhaps and end.perhaps)
    marks = begin.mark(True), end.mark(False)
    if begin.perhaps != end.perhaps:
        whole = replace(whole, perhaps=False)
    assert begin.low is not None
    assert end.high is not None
    member = f"{stamp_text(begin.low)}{marks[0]}..{stamp_text(end.high)}{marks[1]}"
    bounded = begin.high is None or end.low is None
    if begin.atom is None or end.atom is None or within or bounded:
        return Piece(f"[{member}]", member, whole)
    return Piece(f"{begin.atom}{marks[0]}/{end.atom}{marks[1]}", member, whole)
