"""Laws of the audit that hold for every text."""

from __future__ import annotations

from functools import lru_cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kg.essays.audit import Evidence, Kind, audit, audit_text
from kg.essays.auditing.passages import passages
from kg.essays.syntax import read_essay
from tests.essays.planted.gold import planted, world


@lru_cache(maxsize=1)
def evidence() -> Evidence:
    """The planted world, ready for audits."""
    return Evidence(world()[1])


def sentences() -> st.SearchStrategy[str]:
    """Sentences of the gold set, faulty and clean."""
    return st.sampled_from(
        [one.text for name in ("held_out.txt", "tuned.txt", "longer.txt") for one in planted(name)]
    )


def notes() -> st.SearchStrategy[str]:
    """Notes to claims, known or not, or to the writer's own judgement."""
    return st.sampled_from([*(f"[^{c.id}]" for c in world()[0].values()), "[^own]", "[^czzzzz]"])


@settings(max_examples=150, deadline=None)
@given(st.lists(sentences(), min_size=1, max_size=4), notes(), st.integers(0, 3))
def test_adding_a_note_to_a_sentence_never_adds_a_fact_without_a_claim(
    every: list[str], note: str, number: int
) -> None:
    before = audit(evidence(), read_essay(f"# Lady\n\n{' '.join(every)}\n"))
    number %= len(every)
    more = [*every[:number], every[number] + note, *every[number + 1 :]]
    after = audit(evidence(), read_essay(f"# Lady\n\n{' '.join(more)}\n"))
    assert {f.words for f in after if f.kind is Kind.NO_CLAIM} <= {
        f.words for f in before if f.kind is Kind.NO_CLAIM
    }


@settings(max_examples=60, deadline=None)
@given(st.lists(sentences(), min_size=1, max_size=5))
def test_an_audit_is_the_same_each_time_and_in_the_order_of_the_text(every: list[str]) -> None:
    essay = read_essay(f"# Lady\n\n{' '.join(every)}\n")
    found = audit(evidence(), essay)
    assert found == audit(Evidence(world()[1]), essay)
    assert [(f.place.line, f.place.column) for f in found] == sorted(
        (f.place.line, f.place.column) for f in found
    )


@settings(max_examples=60, deadline=None)
@given(st.lists(sentences(), min_size=1, max_size=5))
def test_every_word_of_a_paragraph_stands_in_one_sentence_at_its_place(every: list[str]) -> None:
    text = f"# Lady\n\n{' '.join(every)}\n"
    found = [p for p in passages(read_essay(text)) if p.is_sentence]
    lines = text.split("\n")
    for passage in found:
        for offset in range(0, len(passage.text), 7):
            place = passage.place(offset)
            shown = lines[place.line - 1][place.column - 1]
            assert passage.text[offset] in (shown, " ") or shown == "\\"


@settings(max_examples=120, deadline=None)
@given(st.text(alphabet="[]()*_^!“”\"'.…– 18m79incm½&AbаéT\n#>-", max_size=300))
def test_no_text_breaks_the_audit(text: str) -> None:
    for finding in audit_text(evidence(), text):
        assert finding.message
        assert finding.remedy


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("[" * 20_000, id="brackets"),
        pytest.param("“" * 20_000, id="opening marks"),
        pytest.param("Tarn & " * 20_000, id="names"),
        pytest.param("1878 " * 20_000, id="years"),
        pytest.param("by by made probably about before " * 5_000, id="words of the tables"),
        pytest.param("A. B. " * 20_000, id="initials"),
        pytest.param("She is by Pasquette. " * 5_000, id="sentences"),
        pytest.param("¼ 18 in. (" * 10_000, id="measures"),
    ],
)
def test_a_hostile_text_is_audited_to_its_end(text: str) -> None:
    assert audit_text(evidence(), f"# Lady\n\n{text}\n")
