"""LaTeX in fields."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kg.intake.bibliography.latex import decode


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        (r"K{\"o}pfe", "Köpfe"),
        (r"\c{c}a {\v s}e \v{S}e \'{e} \'e \`{\i}", "ça še Še é é ì"),
        (r"Stra\ss e, Fran{\c c}ois, \O re, \aa{} \l{}\'od\'z", "Straße, François, Øre, å łódź"),
        (r"{\emph{Heads}} of \textit{wax}", "Heads of wax"),
        (r"10\% \& \$5 \{x\} \_ \#", "10% & $5 {x} _ #"),
        ("pp.~12--19 --- ``so''", "pp. 12–19 — “so”"),
        (r"no~tie\textasciitilde but a tilde", "no tie~but a tilde"),
        ("A Book OF {DOLLS} and iT", "A Book OF DOLLS and iT"),
        ("naïve – as typed", "naïve – as typed"),
    ],
)
def test_accents_and_symbols_are_read_and_case_is_kept(typed: str, read: str) -> None:
    assert decode(typed) == (read, ())


def test_an_unknown_macro_stays_and_is_told() -> None:
    assert decode(r"\jolly{Heads} and \jolly more") == (r"\jolly Heads and \jolly more", ("\\jolly",))


@given(st.text(alphabet="\\{}\"'`~^=abcuvi s-$%&", max_size=80))
def test_no_text_is_refused_and_none_comes_back_with_bare_braces_or_longer_than_symbols_make_it(
    text: str,
) -> None:
    read, _ = decode(text)
    assert len(read) <= 2 * len(text)
    if "\\" not in text:
        assert not set(read) & set("{}")


@given(
    st.text(
        alphabet=st.characters(blacklist_categories=["Cs", "Co", "Cc"], blacklist_characters="\\{}~-`'"),
        max_size=60,
    )
)
def test_a_text_without_latex_comes_back_as_it_is_but_for_blanks(text: str) -> None:
    import unicodedata

    assert decode(text)[0] == " ".join(unicodedata.normalize("NFC", text).split())


@pytest.mark.parametrize("text", ["{" * 1_000_000, "\\" * 1_000_000, '\\"{' * 300_000, "\\u " * 300_000])
def test_no_nesting_holds_it_up(text: str) -> None:
    read, _ = decode(text)
    assert "{" not in read
