"""A bibliography into the daybook."""

from __future__ import annotations

import pytest

from kg.daybook.csl import csl_items
from kg.daybook.daybook import Note
from kg.daybook.record import Judgement
from kg.daybook.shelf import Shelf
from kg.intake.bibliography import (
    BadBibliography,
    FaultyRecords,
    Standing,
    plan_bibliography,
    record_bibliography,
)
from kg.intake.undo import plan_undo
from tests.intake.bibliography.conftest import SHELF, Reading

TARN = "book-tarn-1892-koepfe-aus-ton-ein"
PLUM = "article-plumtree-1903-on-shoulder-heads"


def test_each_record_is_a_source_with_claims_cited_to_the_file_and_the_line(reading: Reading) -> None:
    plan, entry = reading.take_in()
    assert entry is not None
    assert [(taken.record, taken.source, taken.standing) for taken in plan.taken] == [
        ("tarn1892", TARN, Standing.NEW),
        ("plum", PLUM, Standing.NEW),
        ("coll", "book-ottery-1903-essays-on-heads", Standing.NEW),
    ]
    view = reading.daybook.view()
    assert view.kinds("bibliography-shelf-bib") == ("Dataset",)
    assert view.kinds(PLUM) == ("Article",)
    assert view.label(TARN) == "O. van Tarn and others, Köpfe aus Ton: Ein Verzeichnis (Coburg, c. 1892)"
    (title,) = reading.live(TARN, "title")
    assert (title.value, title.citation.source, title.citation.locator) == (
        "Köpfe aus Ton: Ein Verzeichnis", "bibliography-shelf-bib", "line 3, tarn1892",
    )  # fmt: skip
    (date,) = reading.live(TARN, "publishedOn")
    assert (date.value, date.written) == ("1892~", "c. 1892")
    (raw,) = reading.values(PLUM, "bibliographicRecord")
    assert raw in SHELF
    assert reading.values(PLUM, "publicationType") == ["chapter"]
    assert entry.note.startswith("Bibliography bibliography-shelf-bib: shelf.bib, 3 records, SHA-256 ")


def test_what_was_taken_in_is_cited_as_it_was_written(reading: Reading) -> None:
    reading.take_in()
    item = csl_items(reading.daybook.view(), [TARN])[0]
    assert item["author"] == [
        {"family": "Tarn", "given": "Ottmar", "non-dropping-particle": "van"},
        {"literal": "Brumelow & Ottery"},
        {"literal": "others"},
    ]
    assert (item["publisher"], item["publisher-place"], item["issued"]) == (
        "Ottery Press", "Coburg", {"literal": "c. 1892"},
    )  # fmt: skip


def test_a_dry_run_writes_nothing(reading: Reading) -> None:
    before = reading.files()
    assert len(reading.plan().drafts) > 20
    assert reading.files() == before


def test_the_same_file_again_adds_nothing_also_with_its_records_moved(reading: Reading) -> None:
    first, _ = reading.take_in()
    again, entry = reading.take_in()
    assert (entry, again.is_empty, again.kept) == (None, True, len(first.drafts))
    head, record, rest = SHELF.partition("@book{tarn1892")
    reading.write(
        head + "\n\n" + rest[rest.index("@incollection") :] + record + rest[: rest.index("@incollection")]
    )
    assert reading.plan().is_empty


def test_a_record_without_a_key_is_known_again(reading: Reading) -> None:
    reading.write(
        "TY  - BOOK\nPB  - Ottery\nER  - \n\nTY  - BOOK\nTI  - Heads\nPY  - 1932\nER  - \n", "list.ris"
    )
    reading.take_in()
    assert reading.plan().is_empty


def test_an_edited_file_adds_what_changed_and_withdraws_what_it_no_longer_says(reading: Reading) -> None:
    reading.take_in()
    reading.write(SHELF.replace("{Coburg}", "{Gotha}").replace("  keywords = {heads},\n", ""))
    plan, entry = reading.take_in()
    assert entry is not None
    assert sorted(draft.property for draft in plan.drafts) == ["bibliographicRecord", "publicationPlace"]
    assert reading.values(TARN, "publicationPlace") == ["Gotha"]
    assert reading.values(TARN, "noted") == []
    assert sorted(judgement.why for judgement in plan.judgements) == [
        "line 3 of shelf.bib no longer says so",
        "line 3, tarn1892 of shelf.bib now says: published at Gotha",
        "line 3, tarn1892 of shelf.bib: the record was written anew",
    ]
    reading.write(SHELF)
    back, _ = reading.take_in()
    assert back.drafts == ()
    assert {judgement.standing for judgement in back.judgements} == {"held", "withdrawn"}
    assert reading.values(TARN, "publicationPlace") == ["Coburg"]
    assert reading.values(TARN, "noted") == ["keywords: heads"]


def test_a_changed_list_of_authors_is_recorded_in_its_new_order(reading: Reading) -> None:
    reading.take_in()
    reading.write(SHELF.replace("van Tarn, Ottmar and", "Ottery, Simon and van Tarn, Ottmar and"))
    reading.take_in()
    names = csl_items(reading.daybook.view(), [TARN])[0]["author"]
    assert [name.get("family") or name["literal"] for name in names] == [
        "Ottery", "Tarn", "Brumelow & Ottery", "others",
    ]  # fmt: skip


def test_records_that_are_gone_are_counted_and_left(reading: Reading) -> None:
    reading.take_in()
    reading.write(SHELF[: SHELF.index("@incollection")])
    plan = reading.plan()
    assert (plan.drafts, plan.judgements) == ((), ())
    assert plan.gone > 10


def test_what_a_researcher_withdrew_is_not_said_again(reading: Reading) -> None:
    reading.take_in()
    (place,) = reading.live(TARN, "publicationPlace")
    judged = Note("A. Tester", judgements=(Judgement(place.id, "withdrawn", "the title page says Gotha"),))
    reading.daybook.record(reading.daybook.compose(judged))
    assert reading.plan().is_empty


def test_a_take_in_that_was_undone_can_be_taken_in_again(reading: Reading) -> None:
    first, entry = reading.take_in()
    assert entry is not None
    undoing = plan_undo(reading.daybook.view(), entry.name, "A. Tester", "the wrong file")
    reading.daybook.record(reading.daybook.compose(undoing.note))
    assert reading.values(TARN, "title") == []
    again, _ = reading.take_in()
    assert (again.things, again.drafts, len(again.judgements)) == ((), (), len(first.drafts))
    assert reading.values(TARN, "title") == ["Köpfe aus Ton: Ein Verzeichnis"]


def test_a_source_on_record_is_used_and_only_what_is_new_of_it_is_added(reading: Reading) -> None:
    label = "O. Tarn, Heads of the Valley (Bath, 1932)"
    reading.source(
        "book-tarn", "Book", label, writtenBy="ottmar-tarn", publishedOn="1932", publisher="Ottery"
    )
    reading.write(
        "@book{t, author={Tarn, O.}, title={Heads of the Valley}, year=1932, publisher={Ottery}, edition=2, volume=1}\n"
        "@book{u, author={Tarn, Ottmar}, title={Heads of the valley: a list}, year=1932, edition=2, volume=1}"
    )
    plan, _ = reading.take_in()
    assert [(taken.source, taken.standing) for taken in plan.taken] == [("book-tarn", Standing.KNOWN)] * 2
    assert plan.taken[0].reasons == ("the same title", "the same author", "the same year 1932")
    assert reading.values("book-tarn", "publishedOn") == ["1932"]
    assert len(reading.live("book-tarn", "writtenBy")) == 1
    assert reading.values("book-tarn", "publisher") == ["Ottery"]
    assert reading.values("book-tarn", "edition") == ["2"]
    assert reading.values("book-tarn", "title") == ["Heads of the Valley"]
    assert reading.daybook.view().label("book-tarn") == label
    assert reading.plan().is_empty


def test_what_differs_from_the_record_is_told_and_not_recorded(reading: Reading) -> None:
    reading.source("book-tarn", "Book", "x", title="Heads", publishedOn="1932", publisher="Ottery")
    reading.write("@book{t, title={Heads}, year=1932, publisher={Longacre}}")
    plan, _ = reading.take_in()
    assert "book-tarn published by 'Ottery' already; 'Longacre' was not recorded beside it" in [
        told.why for told in plan.report
    ]
    assert reading.values("book-tarn", "publisher") == ["Ottery"]


def test_a_doubtful_one_is_told_and_not_joined_unless_it_is_named(reading: Reading) -> None:
    reading.source("book-tarn", "Book", "x", title="Heads of the Valley", writtenBy="ottmar-tarn")
    reading.write("@book{t, author={Tarn, Ottmar}, title={Heads of the Valley}, year=1932}")
    (taken,) = reading.plan().taken
    assert taken.source == "book-tarn-1932-heads-of-the-valley"
    assert [(doubt.slug, doubt.against) for doubt in taken.doubts] == [
        ("book-tarn", ("only one of them names a year",))
    ]
    (named,) = reading.plan(same={"t": "book-tarn"}).taken
    assert (named.source, named.reasons) == ("book-tarn", ("the researcher says so",))
    (by_line,) = reading.plan(same={"1": "book-tarn"}).taken
    assert by_line.source == "book-tarn"


def test_a_sure_one_is_kept_apart_if_the_researcher_says_so(reading: Reading) -> None:
    reading.source("book-tarn", "Book", "x", title="Heads", publishedOn="1932")
    reading.write("@book{t, title={Heads}, year=1932}")
    assert reading.plan().taken[0].source == "book-tarn"
    assert reading.plan(new={"t"}).taken[0].source == "book-1932-heads"


@pytest.mark.parametrize(
    ("wishes", "told"),
    [
        ({"same": {"x": "book-tarn"}}, "shelf.bib has no record 'x'"),
        ({"new": {"x"}}, "shelf.bib has no record 'x'"),
        ({"same": {"plum": "book-tran"}}, "'book-tran' is no source of the daybook"),
    ],
)
def test_a_wish_that_names_nothing_is_refused(reading: Reading, wishes: dict[str, object], told: str) -> None:
    with pytest.raises(BadBibliography, match=told):
        reading.plan(**wishes)


def test_a_record_that_repeats_another_of_the_file_is_one_source(reading: Reading) -> None:
    reading.write(
        "@book{a, title={Heads}, year=1932, isbn={0-306-40615-2}}\n"
        "@book{b, title={Heads}, year=1932, isbn={9780306406157}, publisher={Ottery}}"
    )
    plan, _ = reading.take_in()
    assert [taken.standing for taken in plan.taken] == [Standing.NEW, Standing.TWICE]
    assert reading.values("book-1932-heads", "publisher") == ["Ottery"]
    assert reading.values("book-1932-heads", "citationKey") == ["a", "b"]
    assert reading.values("book-1932-heads", "isbn") == ["0-306-40615-2"]
    assert reading.plan().is_empty


def test_a_key_that_is_given_to_another_work_is_a_new_source(reading: Reading) -> None:
    reading.write("@book{k, author={Tarn, Ottmar}, title={Heads of the Valley}, year=1932}")
    reading.take_in()
    reading.write("@book{k, author={Plumtree, Ada}, title={Wax}, year=1951}")
    plan, _ = reading.take_in()
    assert plan.taken[0].source == "book-plumtree-1951-wax"
    assert reading.values("book-tarn-1932-heads-of-the-valley", "title") == ["Heads of the Valley"]


def test_names_of_sources_are_readable_and_two_of_one_name_are_told_apart(reading: Reading) -> None:
    reading.write(
        "@book{a, author={{Tarn \\& S{\\\"o}hne}}, title={L'art des poup{\\'e}es}, year=1932}\n"
        "@article{b, author={Tarn, O.}, title={Heads}, journal={A}, volume=1, year=1932}\n"
        "@article{c, author={Tarn, O.}, title={Heads}, journal={B}, volume=2, year=1932}\n"
        "@misc{d, title={人形}}"
    )
    sources = [taken.source for taken in reading.plan().taken]
    assert sources[:3] == [
        "book-tarn-soehne-1932-lart-des-poupees", "article-tarn-1932-heads", "article-tarn-1932-heads-2",
    ]  # fmt: skip
    assert sources[3].startswith("source-")


def test_people_on_record_are_found_by_their_whole_name_and_initials_join_nobody(reading: Reading) -> None:
    reading.source("book", "Book", "x", title="Wax", writtenBy="ada-plumtree")
    reading.write(
        "@book{a, author={Plumtree, Ada}, title={One}, year=1932}\n"
        "@book{b, author={Plumtree, A.}, title={Two}, year=1932}"
    )
    plan, _ = reading.take_in()
    assert reading.values("book-plumtree-1932-one", "writtenBy") == ["ada-plumtree"]
    assert reading.values("book-plumtree-1932-two", "writtenBy") == ["author-plumtree"]
    assert plan.told == (
        "A. Plumtree may be ada-plumtree; they were not joined. `kilnmark same-as` compares and joins them.",
    )


def test_a_date_that_cannot_be_read_is_a_note_and_told(reading: Reading) -> None:
    reading.write("@book{a, title={Heads}, year={when the fair was on}}")
    plan, _ = reading.take_in()
    assert reading.values("book-heads", "noted") == ["year: when the fair was on"]
    assert "'when the fair was on' is no date that is read here; kept as a note" in [
        told.why for told in plan.report
    ]


def test_faults_refuse_the_file_unless_they_are_left_out(reading: Reading) -> None:
    reading.write("@book{a, title={Heads}}\n@book{b, title={Wax")
    before = reading.files()
    with pytest.raises(FaultyRecords) as refused:
        reading.take_in()
    assert str(refused.value) == (
        "Nothing was recorded: 1 fault in shelf.bib. Mend the file, or take in the rest with --leave-out.\n"
        "  - line 2: '@book{b, title={Wax' found; expected a whole record, @book{key, title = {…}, …}. "
        "Close its braces and put = after each field's name."
    )
    assert reading.files() == before
    plan = reading.plan()
    assert record_bibliography(reading.daybook, plan, leave_out=True) is not None
    assert reading.values("book-heads", "title") == ["Heads"]


def test_the_class_of_a_source_follows_what_the_record_calls_itself(reading: Reading) -> None:
    reading.write(
        "@misc{a, title={Heads}, type={Trade catalogue}, address={Coburg}}\n"
        "@misc{b, title={Wax}, type={sale catalogue}}\n"
        "@patent{c, title={A head}}\n@letter{d, title={To a sister}}\n@thesis{e, title={On wax}}"
    )
    reading.take_in()
    view = reading.daybook.view()
    kinds = [view.kinds(taken.source)[0] for taken in reading.plan().taken]
    assert kinds == ["TradeCatalogue", "Catalogue", "PatentText", "Letter", "Book"]
    assert reading.values("book-on-wax", "publicationType") == ["thesis"]


def test_an_interruption_leaves_nothing(reading: Reading, monkeypatch: pytest.MonkeyPatch) -> None:
    before = reading.files()

    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    plan = reading.plan()
    with pytest.raises(KeyboardInterrupt):
        plan_bibliography(reading.daybook.view(), reading.file, researcher="A", progress=interrupt)
    monkeypatch.setattr(Shelf, "write", interrupt)
    with pytest.raises(KeyboardInterrupt):
        record_bibliography(reading.daybook, plan)
    assert reading.files() == before


def test_nobody_signs_is_refused(reading: Reading) -> None:
    with pytest.raises(BadBibliography, match=r"No researcher is named\. Give --researcher\."):
        plan_bibliography(reading.daybook.view(), reading.file, researcher=" ")
