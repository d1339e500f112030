"""Sources as CSL-JSON items."""

from __future__ import annotations

from datetime import timedelta

import pytest

from kg.daybook.csl import ConfidentialSource, NotASource, cited_source, csl_items
from kg.daybook.daybook import Note
from kg.daybook.record import Citation, Draft, Judgement, Thing
from kg.daybook.view import NotInDaybook
from tests.conftest import Scene

SELF = Citation("book", "title page")
TARN = Thing("author-tarn", ("Person",), "Ottmar van Tarn")


def say(
    scene: Scene, says: str, value: str, *, confidential: bool = False, written: str | None = None
) -> None:
    scene.add(drafts=[Draft("book", says, value, SELF, written, is_confidential=confidential)])


def test_claims_fill_the_item(scene: Scene) -> None:
    scene.add(things=[TARN, Thing("press", ("Firm",), "Ottery & Sons")])
    for says, value in (
        ("title", "A Book of Heads: With Plates"),
        ("writtenBy", "author-tarn"),
        ("editedBy", "press"),
        ("publisher", "Ottery"),
        ("publicationPlace", "Bath"),
        ("volume", "2"),
        ("isbn", "0-000-00000-0"),
    ):
        say(scene, says, value)
    say(scene, "publishedOn", "1903/1905", written="1903–1905")
    assert csl_items(scene.daybook.view(), ["book", "book"]) == [
        {
            "id": "book",
            "type": "book",
            "title": "A Book of Heads: With Plates",
            "volume": "2",
            "publisher": "Ottery",
            "publisher-place": "Bath",
            "ISBN": "0-000-00000-0",
            "issued": {"date-parts": [[1903], [1905]]},
            "author": [{"family": "Tarn", "given": "Ottmar", "non-dropping-particle": "van"}],
            "editor": [{"literal": "Ottery & Sons"}],
        }
    ]


def test_a_family_name_that_is_claimed_is_not_read(scene: Scene) -> None:
    scene.add(things=[Thing("author", ("Person",), "Adela Brumelow Tarn")])
    say(scene, "title", "Heads")
    say(scene, "writtenBy", "author")
    assert cited_source(scene.daybook.view(), "book").told == (
        "Tarn is taken to be the family name of Adela Brumelow Tarn; a claim familyName would say so.",
    )
    scene.add(drafts=[Draft("author", "familyName", "Brumelow Tarn", SELF)])
    found = cited_source(scene.daybook.view(), "book")
    assert found.item["author"] == [{"family": "Brumelow Tarn", "given": "Adela"}]
    assert found.told == ()


def test_a_source_without_a_title_is_cited_by_its_name_and_that_is_told(scene: Scene) -> None:
    found = cited_source(scene.daybook.view(), "register")
    assert found.item == {"id": "register", "type": "document", "title": "Register of Deposits"}
    assert found.told == (
        "No claim says this of register; its name 'Register of Deposits' does: title 'Register of Deposits'.",
    )


def test_a_name_is_taken_apart_only_where_claims_confirm_it(scene: Scene) -> None:
    label = "O. van Tarn, 'On moulds', The Collector 12, no. 3 (Bath, 1932)"
    scene.add(things=[TARN, Thing("essay", ("Article",), label)])
    assert csl_items(scene.daybook.view(), ["essay"]) == [
        {"id": "essay", "type": "article-journal", "title": label}
    ]
    scene.say("essay", "writtenBy", "author-tarn")
    scene.say("essay", "publishedOn", "1932")
    assert csl_items(scene.daybook.view(), ["essay"])[0] == {
        "id": "essay",
        "type": "article-journal",
        "title": "On moulds",
        "container-title": "The Collector",
        "volume": "12",
        "issue": "3",
        "publisher-place": "Bath",
        "issued": {"date-parts": [[1932]]},
        "author": [{"family": "Tarn", "given": "Ottmar", "non-dropping-particle": "van"}],
    }


def test_a_letter_named_by_its_writer_is_not_signed_twice(scene: Scene) -> None:
    scene.add(things=[TARN, Thing("letter", ("Letter",), "Ottmar van Tarn to his sister, about 1880")])
    scene.say("letter", "writtenBy", "author-tarn")
    scene.add(drafts=[Draft("letter", "publishedOn", "1880~", SELF, "about 1880")])
    assert csl_items(scene.daybook.view(), ["letter"])[0] == {
        "id": "letter",
        "type": "manuscript",
        "title": "Ottmar van Tarn to his sister",
        "issued": {"literal": "about 1880"},
    }


def test_authors_stand_in_the_order_of_their_places(scene: Scene) -> None:
    names = [f"Author {letter} Tarn" for letter in "CABFEDGHIJK"]
    people = [Thing(f"author-{name[7].lower()}", ("Person",), name) for name in names]
    scene.add(things=people)
    scene.add(
        drafts=[
            Draft("book", "writtenBy", person.slug, Citation("book", f"title page, author {number}"))
            for number, person in enumerate(people, start=1)
        ]
    )
    item = csl_items(scene.daybook.view(), ["book"])[0]
    assert [f"{name['given']} {name['family']}" for name in item["author"]] == names


def test_authors_of_one_place_stand_as_they_are_quoted(scene: Scene) -> None:
    people = [Thing(f"author-{number}", ("Person",), f"{name} Tarn") for number, name in enumerate("ZAMQ")]
    scene.add(things=people)
    words = Citation("book", "title page", "; ".join(person.label for person in people))
    scene.add(drafts=[Draft("book", "writtenBy", person.slug, words) for person in people])
    item = csl_items(scene.daybook.view(), ["book"])[0]
    assert [name["given"] for name in item["author"]] == ["Z", "A", "M", "Q"]


def test_a_list_that_is_not_whole_ends_with_others(scene: Scene) -> None:
    scene.add(things=[TARN])
    for says, value in (("title", "Heads"), ("writtenBy", "author-tarn"), ("furtherNames", "authors")):
        say(scene, says, value)
    assert csl_items(scene.daybook.view(), ["book"])[0]["author"][1] == {"literal": "others"}


def test_a_held_claim_is_printed_before_a_doubted_one_and_the_other_is_told(scene: Scene) -> None:
    say(scene, "title", "Heads")
    doubted = scene.daybook.entries()[-1].claims[0].id
    say(scene, "title", "A Book of Heads")
    judged = Note(
        "A. Tester",
        judgements=(Judgement(doubted, "doubted", "the title page has more"),),
        recorded=scene.clock + timedelta(minutes=1),
    )
    scene.daybook.record(scene.daybook.compose(judged))
    found = cited_source(scene.daybook.view(), "book")
    assert found.item["title"] == "A Book of Heads"
    assert found.told == ("book has the title 'A Book of Heads'; other claims give 'Heads'.",)


def test_what_is_confidential_is_not_cited(scene: Scene) -> None:
    scene.add(things=[Thing("secret", ("Letter",), "A letter", is_confidential=True)])
    say(scene, "shelfmark", "box 12", confidential=True)
    say(scene, "writtenBy", "secret-author")
    scene.add(things=[Thing("secret-author", ("Person",), "A. Lender", is_confidential=True)])
    assert csl_items(scene.daybook.view(), ["book"]) == [
        {"id": "book", "type": "book", "title": "A Book of Heads"}
    ]
    with pytest.raises(ConfidentialSource, match="secret is confidential; it cannot be cited in print"):
        csl_items(scene.daybook.view(), ["secret"])


def test_what_is_no_source_is_refused(scene: Scene) -> None:
    with pytest.raises(NotASource, match="tarn is no source but a Firm"):
        csl_items(scene.daybook.view(), ["tarn"])
    with pytest.raises(NotInDaybook, match="'bok' is not in the daybook"):
        csl_items(scene.daybook.view(), ["bok"])


def test_an_address_that_is_no_web_page_is_not_printed(scene: Scene) -> None:
    say(scene, "title", "Heads")
    say(scene, "webAddress", "javascript:alert(1)")
    found = cited_source(scene.daybook.view(), "book")
    assert "URL" not in found.item
    assert found.told == ("book: 'javascript:alert(1)' is no address of a web page; it is not printed.",)
