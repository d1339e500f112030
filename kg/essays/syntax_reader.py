"""The parser behind the text of essays: markdown-it-py with a few of its rules, rules of our own, and places kept.

markdown-it-py tells lines of blocks only. The state below notes at which character each inline token begins.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any

from markdown_it import MarkdownIt
from markdown_it.parser_inline import ParserInline
from markdown_it.rules_block import StateBlock
from markdown_it.rules_inline import StateInline
from markdown_it.token import Token

#: Deeper lists, quotes and emphasis than this no page of print has.
DEEPEST = 12
NOTE = re.compile(r"\[\^((?:[^\]\\\n]|\\.){1,300})\]")
REMARK = re.compile(r"\[\^([A-Za-z0-9_-]{1,60})\]:[ \t]*")
_HTML = re.compile(r"<(?:!--|[A-Za-z/!?][^>\n]{0,200}>)")
_NOT_READ = (
    (re.compile(r"(?:`{3}|~{3})"), "a block of code. Essays print none; leave its marks out."),
    (re.compile(r"(?:([-*_])(?:[ \t]*\1){2,}|={3,})[ \t]*$"),
     "a line across the page. Divide the text by headings (## …) instead."),
    (re.compile(r"\|"),
     "a table. Essays hold none; write sentences or a list, and \\| for the sign alone."),
)  # fmt: skip


class _PlacedState(StateInline):
    """Notes in ``meta['at']`` where in its text each token begins."""

    _pending_at = 0

    def append_pending(self, text: str) -> None:
        if not self._pending and not self._pending_buffer:
            self._pending_at = self.pos
        super().append_pending(text)

    def pushPending(self) -> Token:  # noqa: N802  # the name is the parser's
        token = super().pushPending()
        token.meta["at"] = self._pending_at
        return token

    def push(self, ttype: str, tag: str, nesting: Any) -> Token:
        token = super().push(ttype, tag, nesting)
        token.meta["at"] = self.pos
        return token


class _PlacedInline(ParserInline):
    def parse(self, src: str, md: MarkdownIt, env: Any, tokens: list[Token]) -> list[Token]:
        state = _PlacedState(src, md, env, tokens)
        self.tokenize(state)
        for rule in self.ruler2.getRules(""):
            rule(state)
        return state.tokens


def _note(state: StateInline, silent: bool) -> bool:
    if not state.src.startswith("[^", state.pos):
        return False
    found = NOTE.match(state.src, state.pos, state.posMax)
    if not silent:
        token = state.push("note" if found else "refused", "", 0)
        token.content = found[1] if found else ""
        if not found:
            token.info = (
                "a note that is empty or does not end. Write [^claim], [^claim, p. 12] or [^own]; "
                "write \\[ for the bracket alone."
            )
    state.pos = found.end() if found else state.pos + 2
    return True


def _html(state: StateInline, silent: bool) -> bool:
    found = _HTML.match(state.src, state.pos, state.posMax)
    if found is None:
        return False
    if not silent:
        token = state.push("refused", "", 0)
        token.info = (
            f"{found[0][:40]!r} reads as HTML, of which essays hold none. Write \\< for the sign alone, "
            "and [words](address) for a link."
        )
    state.pos = found.end()
    return True


def _line(state: StateBlock, number: int) -> str:
    return state.src[state.bMarks[number] + state.tShift[number] : state.eMarks[number]]


def _not_read(state: StateBlock, start: int, _end: int, silent: bool) -> bool:
    text = _line(state, start)
    for pattern, what in _NOT_READ:
        if pattern.match(text):
            if not silent:
                token = state.push("refused_block", "", 0)
                token.map, token.info = [start, start + 1], what
            state.line = start + 1
            return True
    return False


def _remark(state: StateBlock, start: int, end: int, silent: bool) -> bool:
    found = REMARK.match(_line(state, start))
    if found is None or state.level:
        return False
    if silent:
        return True
    after = start + 1
    while after < end and not state.isEmpty(after) and not REMARK.match(_line(state, after)):
        after += 1
    token = state.push("remark_open", "", 1)
    token.info, token.map = found[1], [start, after]
    inline = state.push("inline", "", 0)
    inline.content = state.getLines(start, after, state.blkIndent, False).strip()[found.end() :].strip()
    inline.map, inline.children = [start, after], []
    state.push("remark_close", "", -1)
    state.line = after
    return True


@lru_cache(maxsize=1)
def parser() -> MarkdownIt:
    """The parser, made once."""
    made = MarkdownIt("zero", {"maxNesting": 100})
    made.inline = _PlacedInline()
    made.enable(["heading", "blockquote", "list", "emphasis", "link", "image", "escape", "newline", "entity"])
    made.inline.ruler.enableOnly(["text", "newline", "escape", "emphasis", "link", "image", "entity"])
    made.inline.ruler2.enableOnly(["balance_pairs", "emphasis"])
    made.core.ruler.disable(["text_join"])
    made.inline.ruler.before("link", "note", _note)
    made.inline.ruler.before("note", "html", _html)
    made.block.ruler.before("blockquote", "not_read", _not_read, {"alt": ["paragraph", "blockquote", "list"]})
    made.block.ruler.before("not_read", "remark", _remark, {"alt": ["paragraph"]})
    # Every address is let through here, so that the tree can refuse it with its place.
    made.validateLink = lambda url: True  # type: ignore[method-assign]
    made.normalizeLink = lambda url: url  # type: ignore[method-assign]
    return made
