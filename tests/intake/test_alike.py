"""New things of a table that are probably on record under another name."""

from __future__ import annotations

from kg.daybook.record import Thing
from kg.intake.alike import alike
from tests.conftest import Scene


def test_a_new_maker_whose_name_is_one_on_record_otherwise_written_is_told(scene: Scene) -> None:
    new = [
        Thing("maker-brumelow-a", ("Person",), "Brumelow, Adela"),
        Thing("maker-quendel", ("Person",), "Ottilie Quendel"),
        Thing("brumelow", ("Person",), "Adela Brumelow"),
    ]
    (found,) = alike(scene.daybook.view(), new)
    assert (found.thing.slug, found.proposal.other) == ("maker-brumelow-a", "brumelow")
    assert found.proposal.weight > 0


def test_a_successor_is_not_told_as_the_same(scene: Scene) -> None:
    assert alike(scene.daybook.view(), [Thing("widow", ("Firm",), "Widow Brumelow")]) == ()
