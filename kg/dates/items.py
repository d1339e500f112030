"""A phrase taken apart into its dates, each with the act that it dates: "designed 1902, made 1910"."""

from __future__ import annotations

from dataclasses import dataclass

from kg.dates.conventions import Convention
from kg.dates.cursor import Cursor
from kg.dates.edtf import Edtf
from kg.dates.expressions import read_expression
from kg.dates.tokens import Token


@dataclass(slots=True)
class Item:
    """One date of a phrase, with the word and kind of its stage, or a stage without a date."""

    at: int
    edtf: Edtf | None
    kind: str = ""
    word: str = ""
    is_period: bool = False
    in_brackets: bool = False


_PAIRS = {")": "(", "]": "["}


def read_items(cursor: Cursor, means: Convention) -> list[Item]:
    """Every date of the phrase, in its order.

    :raises DateNotUnderstood: if something in the phrase is neither a date nor a known word of one.
    """
    _check_brackets(cursor)
    named = any(token.has("periodnoun") for token in cursor.tokens)
    items: list[Item] = []
    depth = 0
    while (token := cursor.peek()) is not None:
        if token.kind == "sign" and token.text in ",;:.\"'|" and (cursor.index or token.text in "\"'"):
            cursor.index += 1
        elif token.kind == "sign" and token.text in "([" and not cursor.is_sign(")]", 1):
            depth, cursor.index = depth + 1, cursor.index + 1
        elif token.kind == "sign" and token.text in ")]":
            depth, cursor.index = depth - 1, cursor.index + 1
        elif (token.has("nodate") and not items) or (token.has("and") and cursor.has("stage", 1) and items):
            cursor.index += 1
        elif named and _skip_unknown_period(cursor):
            continue
        else:
            _read_item(cursor, means, items, token, depth > 0)
    return items


def _check_brackets(cursor: Cursor) -> None:
    opened: list[Token] = []
    for token in cursor.tokens:
        if token.kind != "sign":
            continue
        if token.text in "([":
            opened.append(token)
        elif token.text in ")]" and (not opened or opened.pop().text != _PAIRS[token.text]):
            raise cursor.refuse(f"a {_PAIRS[token.text]!r} before this bracket", token.start)
    if opened:
        raise cursor.refuse("a closing bracket for this one", opened[-1].start)


def _read_item(cursor: Cursor, means: Convention, items: list[Item], token: Token, in_brackets: bool) -> None:
    while (token.has("perhaps") or token.has("circa")) and cursor.has("stage", 1):
        # "probably made 1880" says of the date what "made probably 1880" says.
        here = cursor.index
        cursor.tokens[here : here + 2] = cursor.tokens[here + 1], token
        token = cursor.tokens[here]
    if token.has("with") and items:
        items.append(_with(cursor, means))
    elif (token.has("stage") and not _is_bare_period(cursor)) or _undated_then_stage(cursor):
        _stage(cursor, means, items)
    else:
        edtf, is_period = read_expression(cursor, means)
        _check_apart(cursor, items, token, in_brackets)
        items.append(Item(token.start, edtf, is_period=is_period, in_brackets=in_brackets))


def _is_bare_period(cursor: Cursor) -> bool:
    """Whether a word that names a period as well as an act stands without a date of its own."""
    following = cursor.peek(1)
    return cursor.has("period") and (following is None or following.kind == "sign")


def _check_apart(cursor: Cursor, items: list[Item], token: Token, in_brackets: bool) -> None:
    """Two dates side by side with nothing between them were not meant as two dates."""
    if not items or items[-1].is_period or in_brackets or items[-1].kind or items[-1].in_brackets:
        return
    before = cursor.text[: token.start].rstrip()[-1:]
    if before not in {",", ";", ":", ".", ")", "]", "|", "(", "["}:
        raise cursor.refuse("a comma, dash or word between two dates", token.start)


def _with(cursor: Cursor, means: Convention) -> Item:
    """ "with later 18th-century mounts": a date of something added."""
    at = cursor.here()
    cursor.index += 1
    if (
        cursor.has("part")
        and cursor.is_sign("-", 1) is False
        and (cursor.peek() or Token("", "", 0, 0)).text == "later"
    ):
        cursor.index += 1
    named = cursor.peek()
    undated = cursor.has("stage") or (named is not None and named.kind == "word")
    edtf = None if undated else read_expression(cursor, means)[0]
    noun = cursor.peek()
    if noun is None or noun.kind not in {"word", "known"}:
        raise cursor.refuse("the name of what was added")
    cursor.index += 1
    return Item(at, edtf, "altered", cursor.text[at : noun.end])


def _undated_then_stage(cursor: Cursor) -> bool:
    """ "later cast", "posthumously printed"."""
    token = cursor.peek()
    is_undated = token is not None and (token.has("undated") or token.text in {"later", "spater"})
    if is_undated and cursor.has("stage", 1):
        cursor.index += 1
        return True
    return False


def _stage(cursor: Cursor, means: Convention, items: list[Item]) -> None:
    first = cursor.peek()
    assert first is not None
    kind, last = _stage_words(cursor)
    word = cursor.text[first.start : last.end]
    _skip_number(cursor, kind)
    while cursor.is_sign(":"):
        cursor.index += 1
    token = cursor.peek()
    was_undated = cursor.tokens[cursor.tokens.index(first) - 1] if cursor.tokens.index(first) else None
    undated_before = was_undated is not None and (
        was_undated.has("undated") or was_undated.text in {"later", "spater"}
    )
    if token is not None and _says_undated(cursor, token):
        cursor.index += 1
        items.append(Item(first.start, None, kind, word))
    elif token is None or (token.kind == "sign" and token.text in ",;)].") or token.has("stage"):
        if undated_before:
            items.append(Item(first.start, None, kind, word))
        else:
            _label(cursor, items, first, kind, word)
    else:
        edtf, is_period = read_expression(cursor, means)
        items.append(Item(first.start, edtf, kind, word, is_period))


def _stage_words(cursor: Cursor) -> tuple[str, Token]:
    """Read "designed" or "designed and made"; making is the kind that counts where several stand."""
    kinds: list[str] = []
    while True:
        token = cursor.tokens[cursor.index]
        kinds.append((token.roles or {})["stage"])
        cursor.index += 1
        if not (cursor.has("and") and cursor.has("stage", 1)):
            return ("making" if "making" in kinds else kinds[0]), token
        cursor.index += 1


def _says_undated(cursor: Cursor, token: Token) -> bool:
    if token.has("undated"):
        return not cursor.has("stage", 1)
    following = cursor.peek(1)
    ends = (
        following is None
        or (following.kind == "sign" and following.text in ",;)].")
        or following.has("stage")
    )
    return token.text in {"later", "spater"} and ends


def _label(cursor: Cursor, items: list[Item], token: Token, kind: str, word: str) -> None:
    """Give the word of a stage to the date that stands before it: "1958 (designed)"."""
    if not items or items[-1].kind:
        raise cursor.refuse(f"a date before or after {word!r}", token.start)
    items[-1].kind, items[-1].word = kind, word


def _skip_number(cursor: Cursor, kind: str) -> None:
    """Step over the number of a patent or registration, such as "No. 155,354"."""
    if kind not in {"record", "legal"}:
        return
    ahead = 0
    while (token := cursor.peek(ahead)) is not None and (token.text in {"no", "nr", "number", "#", "n", "."}):
        ahead += 1
    number = cursor.peek(ahead)
    if number is None or number.kind != "number":
        return
    groups = 0
    while _is_group(cursor, ahead + 1 + 2 * groups):
        groups += 1
    if groups or len(number.text) > 4:
        cursor.index += ahead + 1 + 2 * groups
        cursor.index += cursor.is_sign(",")


def _is_group(cursor: Cursor, ahead: int) -> bool:
    """Whether a comma and exactly three figures follow closely, as in "155,354"."""
    before, sign, group = cursor.peek(ahead - 1), cursor.peek(ahead), cursor.peek(ahead + 1)
    if before is None or sign is None or group is None or sign.text not in {",", "."}:
        return False
    return group.kind == "number" and len(group.text) == 3 and group.start == before.end + 1


_NOT_IN_A_LABEL = (
    "before",
    "after",
    "until",
    "onward",
    "since",
    "circa",
    "stage",
    "century",
    "period",
    "between",
)


def _skip_unknown_period(cursor: Cursor) -> bool:
    """Step over "18th Dynasty" or "Qianlong period", names not in the list, if their years are printed."""
    stop = last = cursor.index
    while (token := cursor.peek(stop - cursor.index)) is not None and _may_be_in_a_name(token):
        stop += 1
        last = stop if token.has("periodnoun") else last
    label = cursor.tokens[cursor.index : last]
    if not any(token.kind in {"word", "ordinal"} for token in label):
        return False
    if last == len(cursor.tokens):
        raise cursor.refuse("a period of the list, or the years of this one beside it", label[0].start)
    name = cursor.text[label[0].start : label[-1].end]
    cursor.notes.append(f"{name!r} is not in the list of periods; the years printed with it are used")
    cursor.index = last
    return True


def _may_be_in_a_name(token: Token) -> bool:
    if token.kind == "sign":
        return token.text in ",-'"
    if token.kind == "known":
        return not any(token.has(role) for role in _NOT_IN_A_LABEL)
    return token.kind in {"word", "ordinal"}
