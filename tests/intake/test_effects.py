"""What a take-in would bring to the rest of the daybook, told before and after it is recorded."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from kg.daybook.daybook import Note
from kg.daybook.record import Citation, Draft, Thing
from kg.intake import effects
from kg.intake.effects import Effects
from kg.intake.faults import IllFormed
from kg.intake.take_in import record_plan, try_plan
from tests.intake.conftest import ROWS, Bench
from tests.intake.test_commands import taking

MAKER = "maker-adele-brumelow-1839"


def effects_now(bench: Bench) -> Effects:
    tried = try_plan(bench.daybook, bench.plan())
    assert tried is not None
    return tried[1]


def death(bench: Bench, year: str) -> None:
    """Another source says when the maker died."""
    book = Thing("a-letter", ("Letter",), "A letter")
    maker = Thing(MAKER, ("Person",), "Adèle Brumelow")
    said = Draft(MAKER, "diedOn", year, Citation("a-letter", "sheet 1"), year)
    bench.daybook.record(bench.daybook.compose(Note("B. Reader", things=(book, maker), drafts=(said,))))


def test_a_table_that_contradicts_nothing_is_quiet(bench: Bench) -> None:
    found = effects_now(bench)
    assert found.is_quiet
    assert found.untold == ()


def test_a_dating_of_the_table_that_cannot_fit_is_told_before_it_is_recorded(bench: Bench) -> None:
    death(bench, "1870")
    before = bench.files()
    found = effects_now(bench)
    # Both pieces are dated after the longest time that stock of a dead maker is allowed.
    assert sorted(dating.claim.subject for dating in found.impossible) == ["piece-02"]
    assert bench.files() == before
    code, out, _ = taking(bench)
    assert code == 0
    assert (
        "Datings that do not fit: 1\n  ✕ Boy with a hoop made 1885 — An invented stock list, row 3\n" in out
    )
    assert bench.values("piece-02", "madeOn") == ["1885"]


def test_a_dating_on_record_that_the_table_makes_impossible_is_told(bench: Bench) -> None:
    bench.remap(('says = "bornOn"', 'says = "diedOn"'))
    notes = Note(
        "B. Reader",
        things=(Thing("a-letter", ("Letter",), "A letter"), Thing("piece-02", ("Piece",), "Boy with a hoop")),
        drafts=(Draft("piece-02", "madeOn", "1885", Citation("a-letter", "sheet 1"), "1885"),),
    )
    bench.daybook.record(bench.daybook.compose(notes))
    bench.write(ROWS[1].replace("1885", ""))
    (dating,) = effects_now(bench).impossible
    assert (dating.claim.citation.source, dating.claim.value) == ("a-letter", "1885")


def test_what_could_not_fit_before_is_not_told_again(bench: Bench) -> None:
    death(bench, "1870")
    bench.take_in()
    bench.write(ROWS[0].replace("320", "330"), *ROWS[1:])
    assert effects_now(bench).is_quiet


def test_claims_that_cannot_all_be_true_are_told_with_their_places(bench: Bench) -> None:
    death(bench, "1830")
    found = effects_now(bench)
    pairs = [{claim.property for claim in conflict.claims} for conflict in found.conflicts]
    assert {"bornOn", "diedOn"} in pairs


def test_json_tells_the_same_as_the_page(bench: Bench) -> None:
    death(bench, "1870")
    told = json.loads(taking(bench, "--dry-run", "--json")[1])["effects"]
    assert [dating["subject"] for dating in told["cannot_fit"]] == ["piece-02"]
    assert told["not_looked_for"] == []
    recorded = json.loads(taking(bench, "--json")[1])["effects"]
    assert [dating["because"] for dating in recorded["cannot_fit"]] == [
        dating["because"] for dating in told["cannot_fit"]
    ]


def test_a_large_table_is_checked_in_parts_and_says_how_far(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(effects, "PART", 4)
    whole = "The shapes were run on each claim by itself; `kilnmark audit` runs them on all together."
    apart = "Of contradictions that share a claim one is told; `kilnmark audit` seeks them all."
    assert effects_now(bench).untold == (whole, apart)
    monkeypatch.setattr(effects, "PATIENCE", 0.0)
    told = effects_now(bench).untold
    assert told[0].startswith("The shapes were run on the first 0 of 11 claims; ")


def test_a_large_table_tells_contradictions_that_share_no_claim(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    death(bench, "1830")
    bench.write(ROWS[0].replace("c. 1878", ""), ROWS[2])
    monkeypatch.setattr(effects, "PART", 2)
    (conflict,) = effects_now(bench).conflicts
    assert {(claim.property, claim.value) for claim in conflict.claims} == {
        ("bornOn", "1839"),
        ("diedOn", "1830"),
    }


def test_with_very_many_contradictions_the_datings_are_not_tested_and_that_is_said(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    death(bench, "1830")
    assert effects_now(bench).impossible
    monkeypatch.setattr(effects, "PART", 4)
    monkeypatch.setattr(effects, "MANY", 0)
    found = effects_now(bench)
    assert found.impossible == ()
    assert found.conflicts
    assert found.untold[-1].startswith("With so many, the datings were not tested one by one")


def test_parts_find_the_faults_of_single_claims_that_the_whole_finds(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    undescribed = replace(bench.plan(), things=())
    whole = try_plan(bench.daybook, undescribed)
    monkeypatch.setattr(effects, "PART", 3)
    parts = try_plan(bench.daybook, undescribed)
    assert whole is not None
    assert parts is not None
    ids = {claim.id for claim in whole[0].claims}
    alone = sorted((f.shape, f.message) for f in whole[1].refusing if f.focus in ids)
    assert alone
    assert sorted((f.shape, f.message) for f in parts[1].refusing) == alone


def test_a_claim_that_is_ill_formed_by_the_shapes_refuses_the_table(bench: Bench) -> None:
    before = bench.files()
    told = r"Nothing was recorded: \d+ claims or things of stock\.csv are ill-formed\."
    with pytest.raises(IllFormed, match=told) as caught:
        record_plan(bench.daybook, replace(bench.plan(), things=()))
    assert "what the claim cites is not described as a source" in str(caught.value)
    assert bench.files() == before


def test_a_warning_of_the_shapes_is_told_and_refuses_nothing(bench: Bench) -> None:
    bench.remap(
        ('says = "bornOn"\ncolumn = "born"\nform = "year"', 'says = "differentFrom"\ncolumn = "born"'),
        ('id = "maker-{maker}-{born?}"', 'id = "{born}"'),
    )
    bench.write(ROWS[0].replace("1839", "tarn"))
    code, out, _ = taking(bench, "--dry-run")
    assert code == 0
    assert "the claim relates a thing to itself" in " ".join(out.split())
