"""The example mappings: each takes in the small table beside it, as a dry run, for real, and once."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from kg.chronology.audit import Audit
from kg.chronology.chronology import Chronology
from kg.cli import app
from kg.daybook.daybook import Daybook
from kg.intake.faults import BadMapping
from kg.intake.take_in import plan_take_in, take_in_table, try_plan
from kg.resources import resource

FOLDER = resource("sources/mappings/examples")
#: For each kind of thing, a claim that its example must make.
SAYS = {
    "maker": ("maker-hirsekorn-tochter", "succeeded", "maker-ottilie-hirsekorn"),
    "retailer": ("retailer-au-cerf-volant", "openedOn", "1871-04-01"),
    "piece": ("piece-K-101", "hasOriginalPart", "piece-K-101-costume"),
    "model": ("model-apfelblute", "producedIn", "1886/1897"),
    "mould": ("mould-hirsekorn-tochter-60-4", "mouldFor", "model-apfelblute"),
    "mark": ("mark-R-2", "transcribed", "V. M. / [---]"),
    "registration": ("patent-brevets-extracts-91204", "registeredOn", "1871-08-03"),
    "source": ("quendel-1934", "sourceFollows", "quendel-1931"),
    "sale": ("piece-the-thistlewood-dolls-14", "offeredAt", "sale-the-thistlewood-dolls"),
    "material": ("material-cellulose-nitrate", "usualUntil", "1950~"),
}


def test_there_is_an_example_for_each_kind_of_thing() -> None:
    assert sorted(path.stem for path in FOLDER.glob("*.toml")) == sorted(SAYS)
    assert sorted(path.stem for path in FOLDER.glob("*.csv")) == sorted(SAYS)


@pytest.mark.parametrize("kind", SAYS)
def test_an_example_is_taken_in_whole_and_once(kind: str, tmp_path: Path) -> None:
    book = Daybook.begin(tmp_path / "daybook")
    table, mapping = FOLDER / f"{kind}.csv", FOLDER / f"{kind}.toml"
    plan = plan_take_in(book.view(), table, mapping, otherwise="A. Tester")
    assert plan.faults == ()
    assert book.entries() == ()
    tried = try_plan(book, plan)
    assert tried is not None
    assert tried[1].is_quiet
    take_in_table(book, table, mapping, researcher="A. Tester")
    view = book.view()
    subject, says, value = SAYS[kind]
    assert value in {claim.value for claim in view.by_subject[subject] if claim.property == says}
    assert plan_take_in(view, table, mapping, otherwise="A. Tester").is_empty


def test_every_column_of_an_example_is_used(tmp_path: Path) -> None:
    from kg.intake.mapping_reader import read_mapping
    from kg.intake.tables import open_table

    vocabulary = Daybook.begin(tmp_path / "daybook").vocabulary
    for kind in SAYS:
        columns = read_mapping(FOLDER / f"{kind}.toml", vocabulary).columns
        assert columns == set(open_table(FOLDER / f"{kind}.csv").headings), kind


def test_all_examples_together_contradict_nothing(tmp_path: Path) -> None:
    book = Daybook.begin(tmp_path / "daybook")
    for kind in SAYS:
        take_in_table(book, FOLDER / f"{kind}.csv", FOLDER / f"{kind}.toml", researcher="A. Tester")
    audit = Audit(Chronology(book.view()))
    assert (audit.impossible, audit.conflicts) == ((), ())


def test_the_owner_of_a_private_sale_is_confidential(tmp_path: Path) -> None:
    book = Daybook.begin(tmp_path / "daybook")
    take_in_table(book, FOLDER / "sale.csv", FOLDER / "sale.toml", researcher="A. Tester")
    things = book.view().things
    assert things["owner-m-ostrander"].is_confidential
    assert not things["owner-edith-thistlewood"].is_confidential


def test_a_mark_is_joined_to_its_piece_and_an_owner_is_kept_in_confidence(tmp_path: Path) -> None:
    book = Daybook.begin(tmp_path / "daybook")
    for kind in ("piece", "mark"):
        take_in_table(book, FOLDER / f"{kind}.csv", FOLDER / f"{kind}.toml", researcher="A. Tester")
    view = book.view()
    said = {claim.property: claim for claim in view.by_subject["piece-K-102"]}
    assert said["bears"].value == "mark-R-2"
    assert (said["ownedBy"].value, said["ownedBy"].is_confidential) == ("owner-m-ostrander", True)
    assert (said["heightMm"].value, said["heightMm"].citation.quotation) == ("355", "35,5")
    assert view.things["piece-K-102"].label == "Girl with a hoop"


def test_an_example_is_printed_with_its_table() -> None:
    out = CliRunner().invoke(app, ["take-in", "--example", "mould"]).stdout
    assert 'name = "example-moulds"' in out
    assert "# The table beside it:" in out
    assert "entry,number,maker,first_used,used_from,used_to,model\n" in out


def test_an_example_that_is_not_there_is_refused_with_those_that_are() -> None:
    result = CliRunner().invoke(app, ["take-in", "--example", "teapot"])
    assert isinstance(result.exception, BadMapping)
    assert str(result.exception) == (
        "There is no example of 'teapot'; there are: maker, mark, material, model, mould, piece, registration, "
        "retailer, sale, source."
    )
