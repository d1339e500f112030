"""What the audit says of masked names, of a part that another claim is about, and of an empty text."""

from __future__ import annotations

import pytest

from kg.essays.audit import Evidence, Finding, Kind, audit_text
from kg.essays.plan import Bench


@pytest.fixture(scope="module")
def evidence(demo_bench: Bench) -> Evidence:
    """The demo ready for audits."""
    return Evidence(demo_bench.whole)


def found(evidence: Evidence, words: str) -> tuple[Finding, ...]:
    """The faults of one paragraph."""
    return audit_text(evidence, f"# Lady\n\n{words}\n")


@pytest.fixture(scope="module")
def owner(evidence: Evidence) -> str:
    """The name of a private owner."""
    things = evidence.whole.things.values()
    return next(t.label for t in things if t.is_confidential and "Person" in t.kinds and len(t.label) > 8)


def test_a_private_name_is_found_however_it_is_masked(evidence: Evidence, owner: str) -> None:
    masks = [f"{owner[:-3]}\u00ad{owner[-3:]}", owner.replace("e", "\u0435").replace("a", "\u0430")]
    for name in masks:
        assert name != owner
        assert Kind.CONFIDENTIAL in [one.kind for one in found(evidence, f"She belonged to {name}.[^own]")]


def test_nobody_is_asked_to_record_what_is_confidential(evidence: Evidence, owner: str) -> None:
    told = found(evidence, f"In 1903 she belonged to {owner}.")
    assert {Kind.CONFIDENTIAL, Kind.NO_CLAIM} <= {one.kind for one in told}
    assert not any("record the claim first" in one.remedy for one in told)
    assert any("record the claim first" in one.remedy for one in found(evidence, "She was sold in 1903."))


def test_a_claim_that_one_part_is_original_carries_no_other_part(evidence: Evidence) -> None:
    claims = evidence.view.claims.values()
    body = next(
        c
        for c in claims
        if c.property == "hasOriginalPart"
        and evidence.is_kind(c.value, "Body")
        and evidence.certainty(c) == "held"
    )
    told = found(evidence, f"She has the original hat.[^{body.id}]")
    assert [(one.kind, one.message) for one in told] == [
        (Kind.TOO_SURE, "“original”: no claim of the sentence says that the hat is original.")
    ]
    assert found(evidence, f"She has the original body.[^{body.id}]") == ()


def test_nobody_else_wants_a_comparison(evidence: Evidence) -> None:
    claim = next(c for c in evidence.view.claims.values() if c.property == "hasFeature")
    told = found(evidence, f"This was done there and by nobody else.[^{claim.id}]")
    assert Kind.TOO_SURE in [one.kind for one in told]


@pytest.mark.parametrize("text", ["", "  \n\n"])
def test_an_empty_text_is_told_to_be_no_essay(evidence: Evidence, text: str) -> None:
    assert [(one.kind, one.message) for one in audit_text(evidence, text)] == [
        (Kind.HYGIENE, "There is no text, so this is no essay.")
    ]
