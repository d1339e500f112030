"""Faults of structure are found, each by the shape that is about it, and told with what to do."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from kg.checks.check import EntryChecker, check_all, check_entry
from kg.checks.findings import Severity
from kg.checks.running import Runner
from kg.daybook.graph import view_store
from kg.daybook.record import Citation, Draft, Judgement, Thing, compose
from tests.checks.daybooks import START, view_of, view_saying
from tests.conftest import Scene

GOOD = Citation("book", "p. 1")


@pytest.mark.parametrize(
    ("draft", "expected"),
    [
        pytest.param(Draft("lady", "madeOn", "1878", Citation("book", "")), {"claim-has-a-locator"}, id="no locator"),
        pytest.param(Draft("lady", "madeOn", "1878", Citation("book", " ")), {"claim-has-a-locator"}, id="a blank"),
        pytest.param(Draft("lady", "madeOn", "1878", Citation("", "p. 1")), {"claim-names-its-source"}, id="no source"),
        pytest.param(
            Draft("lady", "madeOn", "1878", Citation("shop", "p. 1")), {"claim-names-its-source"}, id="a shop as source"
        ),
        pytest.param(
            Draft("lady", "madeOn", "1878", Citation("letter-9", "p. 1")),
            {"claim-names-its-source", "cited-source-has-a-name"}, id="a source never described",
        ),
        pytest.param(Draft("lady", "madeOn", "19o5", GOOD), {"claim-value-is-well-formed"}, id="no date"),
        pytest.param(Draft("lady", "heightMm", "tall", GOOD), {"heightMm-kinds"}, id="no number"),
        pytest.param(Draft("lady", "heightMm", "400", GOOD), set(), id="a number"),
        pytest.param(Draft("shop", "madeOn", "1878", GOOD), {"madeOn-kinds"}, id="a shop is not made"),
        pytest.param(Draft("lady", "madeBy", "plates", GOOD), {"madeBy-kinds"}, id="a book makes no dolls"),
        pytest.param(
            Draft("nobody", "named", "Nobody", GOOD), {"claim-is-about-a-described-thing", "named-kinds"},
            id="never described",
        ),
        pytest.param(Draft("lady", "owned", "x", GOOD), {"claim-uses-known-words"}, id="an unknown property"),
        pytest.param(
            Draft("lady", "madeOn", "1878", GOOD, strength="firm"), {"claim-uses-known-words"}, id="an unknown strength"
        ),
        pytest.param(Draft("lady", "sameAs", "lady", GOOD), {"claim-is-not-about-itself"}, id="the same as itself"),
    ],
)  # fmt: skip
def test_a_faulty_claim_is_found_by_the_shape_about_its_fault(draft: Draft, expected: set[str]) -> None:
    assert {f.shape for f in check_all(view_saying(draft)).findings} == expected


@pytest.mark.parametrize(
    ("thing", "expected"),
    [
        pytest.param(
            Thing("odd", ("Automaton",), "Odd"),
            {"thing-has-known-classes", "named-thing-has-a-class"},
            id="class",
        ),
        pytest.param(Thing("odd", ("Piece",), ""), {"thing-has-a-name"}, id="empty name"),
        pytest.param(Thing("odd", ("Piece",), "Odd"), set(), id="sound"),
    ],
)
def test_a_faulty_thing_is_found_by_the_shape_about_its_fault(thing: Thing, expected: set[str]) -> None:
    assert {f.shape for f in check_all(view_saying(described=[thing])).findings} == expected


def test_a_value_of_the_wrong_kind_is_told_with_its_claim() -> None:
    view = view_saying(Draft("lady", "madeBy", "plates", GOOD))
    (finding,) = check_all(view).findings
    assert finding.message == (
        "Lady with a blue snood: the value of “made by” is a maker, firm or person (found Plates of Heads)"
    )
    assert finding.hint == (
        "“made by” joins a piece or part to a maker, firm or person. "
        "Correct the thing's class, or choose another property."
    )
    assert (finding.claims, finding.path, finding.value) == (tuple(view.claims), "madeBy", "plates")


def test_a_claim_without_a_locator_is_told_as_a_sentence() -> None:
    (finding,) = check_all(view_saying(Draft("lady", "madeOn", "1878", Citation("book", "")))).findings
    assert str(finding) == (
        f"Fault: {finding.focus}: Lady with a blue snood made 1878 (A Book of Heads, ): the claim gives no place "
        "in its source\n    Add the page, plate, number or place in the source, such as 'p. 12' or 'head, back'."
    )


def test_a_report_on_nothing_says_that_nothing_was_checked() -> None:
    report = check_all(view_of([]))
    assert not report.has_matched
    assert report.summary == "Nothing was checked: no shape matched any thing or claim."


def test_a_report_counts_the_nodes_that_each_shape_matched(scene: Scene) -> None:
    scene.say("lady", "madeOn", "1878")
    scene.say("head", "madeOn", "1878")
    report = check_all(scene.daybook.view())
    assert report.matched["madeOn-kinds"] == 2
    assert report.matched["claim-has-a-locator"] == 2
    assert report.matched["soldBy-kinds"] == 0
    assert report.summary.startswith("Nothing found wrong; ")


def test_a_report_sums_up_by_gravity() -> None:
    said = [Draft("lady", "madeOn", year, GOOD) for year in ("1866", "1878", "19o5")]
    summary = check_all(view_saying(*said)).summary
    assert summary.startswith("Found 1 fault, 1 doubt; ")


def test_progress_is_told_to_the_end(scene: Scene) -> None:
    told: list[tuple[str, int, int]] = []
    report = check_all(scene.daybook.view(), progress=lambda *step: told.append(step))
    assert told[-1] == ("checks", len(report.matched), len(report.matched))


def test_an_entry_is_checked_before_it_is_recorded_and_leaves_no_trace(scene: Scene) -> None:
    scene.say("deposit", "filedOn", "1872", source="register")
    scene.say("lady", "bearsRegistration", "deposit", source="register")
    view = scene.daybook.view()
    store = view_store(view)
    before = set(store)
    entry = compose(START, "A. Tester", drafts=(Draft("lady", "madeOn", "1866", GOOD, "1866"),))
    (finding,) = check_entry(view, entry, store).findings
    assert finding.focus == "lady"
    assert set(store) == before
    assert check_all(view, store).findings == ()


def test_a_new_date_of_a_maker_reaches_the_pieces_made_by_her(scene: Scene) -> None:
    scene.say("lady", "madeBy", "brumelow")
    scene.say("lady", "madeOn", "1860")
    entry = compose(START, "A. Tester", drafts=(Draft("brumelow", "founded", "1870", GOOD, "1870"),))
    report = EntryChecker(scene.daybook.view()).check(entry)
    assert [f.focus for f in report.findings] == ["lady"]
    assert report.nodes is not None
    assert "lady" in report.nodes


def test_what_rests_on_a_claim_that_falls_is_told_when_it_falls(scene: Scene) -> None:
    scene.add(things=[Thing("answer", ("Answer",), "It is by Tarn")])
    fallen = scene.say("lady", "madeBy", "tarn")
    supports = scene.say("answer", "supportedBy", fallen.id)
    follows = scene.say(fallen.id, "claimTakenFrom", "plates")
    checker = EntryChecker(scene.daybook.view())
    assert check_all(checker.view, checker.store).findings == ()
    judgement = Judgement(fallen.id, "setAside", "the mark was misread")
    report = checker.check(compose(START + timedelta(days=9), "A. Tester", judgements=(judgement,)))
    assert [(f.shape, f.severity, f.focus, f.claims) for f in report.findings] == [
        ("claimTakenFrom-kinds", Severity.WARNING, fallen.id, (fallen.id,)),
        ("supportedBy-kinds", Severity.WARNING, "answer", (supports.id,)),
    ]
    assert report.findings[1].message == (
        "It is by Tarn: “supported by” speaks of a claim that does not stand (set aside, withdrawn, or not on record) "
        "(found Lady with a blue snood made by Tarn & Ottery (A Book of Heads, p. 1))"
    )
    assert follows.subject == fallen.id


def test_a_source_described_anew_reaches_the_claims_that_cite_it(scene: Scene) -> None:
    cites = scene.say("lady", "madeOn", "1860", source="plates")
    view = scene.daybook.view()
    view = replace(view, entries={}, things={**view.things, "plates": Thing("plates", ("Place",), "Plates")})
    checker = EntryChecker(view)
    assert [f.focus for f in check_all(view, checker.store).findings] == [cites.id]
    entry = compose(START, "A. Tester", things=(Thing("plates", ("Book",), "Plates of Heads"),))
    report = checker.check(entry)
    assert report.findings == ()
    assert report.nodes is not None
    assert cites.id in report.nodes


def test_a_source_whose_dates_are_read_otherwise_dates_its_claims_anew(scene: Scene) -> None:
    scene.say("tarn", "founded", "1880~", source="plates")
    scene.say("tarn", "ceased", "1870")
    checker = EntryChecker(scene.daybook.view())
    assert len(check_all(checker.view).findings) == 1
    anew = Thing("plates", ("Book",), "Plates of Heads", convention="twelve-years")
    report = checker.check(compose(START + timedelta(days=9), "A. Tester", things=(anew,)))
    assert report.findings == ()
    assert report.nodes is not None
    assert "tarn" in report.nodes


def test_the_store_is_as_it_was_even_when_a_check_fails(
    scene: Scene, monkeypatch: pytest.MonkeyPatch
) -> None:
    scene.say("lady", "madeOn", "1860")
    checker = EntryChecker(scene.daybook.view())
    before = set(checker.store)

    def fail(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Runner, "some", fail)
    with pytest.raises(KeyboardInterrupt):
        checker.check(compose(START, "A. Tester", things=(Thing("lady", ("Head",), "Renamed"),)))
    assert set(checker.store) == before
