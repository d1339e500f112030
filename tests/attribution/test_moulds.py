"""A mould recorded as a maker's: it speaks for that maker, against nobody, and only once."""

from __future__ import annotations

import math

import pytest

from kg.attribution.candidates import Ranking, rank
from kg.daybook.record import Thing
from tests.attribution.trade import SWIVEL, says, trade


def moulded(owner: str | None) -> Ranking:
    """The lady from a mould of ``owner``, or of nobody's on record, first used in 1890.

    Five other moulds are Ottery's, and two are Brumelow's.
    """
    book = trade()
    book.lady(SWIVEL)
    moulds = [f"mould-{n}" for n in range(8)]
    owners = [owner, *["ottery"] * 5, *["brumelow"] * 2]
    drafts = [says(mould, "mouldOf", by) for mould, by in zip(moulds, owners, strict=True) if by]
    drafts += [says("mould-0", "firstUsedOn", "1890"), says("lady", "fromMould", "mould-0", "lady")]
    drafts += [says(f"piece-ottery-{n}", "fromMould", f"mould-{n + 1}") for n in range(5)]
    book.add(things=[Thing(mould, ("Mould",), mould) for mould in moulds], drafts=drafts)
    return rank(book.view(), "lady")


def test_a_mould_speaks_for_its_recorded_owner_by_the_smoothed_share_and_against_nobody() -> None:
    ranking = moulded("tarn")
    (found,) = [each for each in ranking.evidence if each.kind == "mould"]
    at = ranking.inquiry.recorded.makers.index("tarn")
    share = 6 / 7
    assert found.logs[at] == pytest.approx(math.log(share * 3 + 1 - share))
    assert found.logs.min() == 0
    assert {c.property for c in found.claims} == {"fromMould", "mouldOf"}


def test_an_owned_mould_is_not_counted_again_as_a_feature_or_a_date() -> None:
    owned, nobodys = moulded("tarn"), moulded(None)
    assert "seen-mould" not in {each.name for each in owned.evidence}
    assert [c.property for c in nobodys.limits[0].claims if c.subject == "mould-0"] == ["firstUsedOn"]
    assert nobodys.limits[0].day is not None
    assert owned.limits[0].day is None
