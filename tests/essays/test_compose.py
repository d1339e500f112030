"""Drafts of the demo's pieces say what the daybook holds, as surely as it holds it, and nothing else."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest

from kg.chronology.verdict import Verdict
from kg.daybook.daybook import Daybook
from kg.essays.compose import compose, draft, draft_sale, pieces_of
from kg.essays.draft_date import dated
from kg.essays.draft_text import Sentence
from kg.essays.editions import passages
from kg.essays.hedges import HedgeUnknown
from kg.essays.house import HouseStyle, height_in_house, noun_of
from kg.essays.plan import Bench, NothingToDraft
from tests.essays.held import unheld

SNOOD = "piece-lady-with-blue-snood"


def text_of(bench: Bench, piece: str, section: str | None = None) -> str:
    drawn = compose(bench, piece)
    return " ".join(
        s.text for one in drawn.sections if section in (None, one.title) for p in one.paragraphs for s in p
    )


def pieces(bench: Bench) -> list[str]:
    return sorted(s for s, t in bench.view.things.items() if bench.view.vocabulary.is_a(t.kinds, "Piece"))


@pytest.fixture(scope="module")
def sentences(demo_bench: Bench) -> list[Sentence]:
    """Every sentence of the drafts of all pieces."""
    return [s for piece in pieces(demo_bench) for s in compose(demo_bench, piece).sentences]


def test_every_sentence_of_every_draft_carries_its_notes(sentences: list[Sentence]) -> None:
    assert len(sentences) > 2_000
    assert [s.text for s in sentences if not re.search(r"(\[\^(own|c[a-z2-7]{10})\])+$", s.markdown)] == []


def test_every_year_figure_and_name_is_held_by_its_claims_or_marked_as_worked_out(
    demo_bench: Bench, sentences: list[Sentence]
) -> None:
    wrong = {s.text: missing for s in sentences if (missing := unheld(demo_bench, s))}
    assert wrong == {}


def test_a_year_or_a_name_that_no_claim_holds_is_found_out(demo_bench: Bench) -> None:
    first = compose(demo_bench, SNOOD).sentences[0]
    wrong = Sentence("The lady is by Quarrington, in 1866 (41.5 cm).", first.claims, computed=("41.5 cm",))
    assert unheld(demo_bench, wrong) == ["1866", "Quarrington"]


def test_an_essay_reader_finds_the_sentences_of_every_draft_with_their_claims(demo_bench: Bench) -> None:
    for piece in pieces(demo_bench):
        drawn = compose(demo_bench, piece)
        written = [tuple(c.id for c in s.claims) for s in drawn.sentences]
        assert [passage.claims for passage in passages(drawn.markdown)] == written


def test_nothing_confidential_is_named_or_cited(demo_bench: Bench, sentences: list[Sentence]) -> None:
    whole = demo_bench.whole
    hidden = [t for t in whole.things.values() if t.is_confidential]
    assert len(hidden) > 5
    for sentence in sentences:
        assert not any(thing.label in sentence.text for thing in hidden)
        assert not any(whole.is_confidential(claim) for claim in sentence.claims)


def test_a_dating_that_cannot_fit_is_never_the_date(demo_bench: Bench) -> None:
    impossible = [t for t in demo_bench.datings.values() if t.verdict is Verdict.CANNOT]
    assert len(impossible) >= 2
    for tested in impossible:
        found = dated(demo_bench, tested.claim.subject)
        assert found is None or found.dating != tested.claim


@pytest.mark.parametrize("piece", ["piece-aurore-in-plaid", "piece-vauquelard-lady-with-parasol"])
def test_a_dating_that_cannot_fit_is_told_with_why_it_cannot_stand(demo_bench: Bench, piece: str) -> None:
    told = text_of(demo_bench, piece, "Maker and date")
    assert re.search(r"One source says that \w+ was made about 186\d\. That cannot stand", told)


def test_a_date_that_strains_a_usual_rule_is_not_said_to_be_undisputed(demo_bench: Bench) -> None:
    told = text_of(demo_bench, "piece-bride-of-1887", "Maker and date")
    assert "The bride was probably made in 1887. That is later than one would expect, since" in told


def test_of_two_dates_only_the_one_that_fits_is_left(demo_bench: Bench) -> None:
    told = text_of(demo_bench, "piece-baroness-in-mourning", "Maker and date")
    assert "One source says that she was made in 1867 or 1876. Of that only 1876 is possible." in told


def test_no_sentence_holds_a_superlative_or_names_a_source(
    demo_bench: Bench, sentences: list[Sentence]
) -> None:
    view = demo_bench.view
    sources = {
        t.label
        for t in view.things.values()
        if view.vocabulary.is_a(t.kinds, "Source") and not view.vocabulary.is_a(t.kinds, "Artefact")
    }
    for sentence in sentences:
        assert not re.search(r"\b(finest|rarest|best|most beautiful|unique|very rare)\b", sentence.text)
        assert not any(label in sentence.text for label in sources)


def test_the_date_of_the_lady_with_the_snood_follows_from_her_maker_and_her_shop(demo_bench: Bench) -> None:
    told = text_of(demo_bench, SNOOD, "Maker and date")
    assert "The lady was made between 30 June 1880 and 1 April 1884, if the record is right." in told
    assert "Two sources say that she was made about 1878." in told
    assert "and that only by the width of “about”" in told


def test_an_attribution_that_was_set_aside_is_told_as_former(demo_bench: Bench) -> None:
    told = text_of(demo_bench, SNOOD, "Maker and date")
    assert told.startswith(
        "The lady is by Teichgräber & Sohn. She is marked “T. & S. / COBURG”. "
        "She was formerly given to Haubensack & Teichgräber."
    )


def test_before_the_mark_was_read_the_draft_gave_the_lady_as_the_book_did(demo_folder: Path) -> None:
    then = Bench(Daybook.open(demo_folder).view(date(2026, 6, 15)))
    told = text_of(then, SNOOD, "Maker and date")
    assert told.startswith("The lady is probably by Haubensack & Teichgräber. All who say so go back to one")
    assert "The lady was probably made about 1878." in told


def test_kind_and_size_come_first_in_inches_with_centimetres(demo_bench: Bench) -> None:
    first = compose(demo_bench, SNOOD).sentences[0]
    assert first.text == (
        "The lady stands 16¼ in. (41.5 cm) high and has a shoulder head of untinted bisque (parian type) "
        "on a gusseted kid body."
    )
    assert first.computed == ("16¼ in. (41.5 cm)",)


@pytest.mark.parametrize(
    ("height", "words"),
    [
        pytest.param(415, "16¼ in. (41.5 cm)", id="a quarter"),
        pytest.param(457, "18 in. (45.7 cm)", id="whole inches"),
        pytest.param(13, "½ in. (1.3 cm)", id="less than an inch"),
        pytest.param(1, "0 in. (0.1 cm)", id="next to nothing"),
    ],
)
def test_a_height_is_given_to_the_nearest_quarter_inch(height: int, words: str) -> None:
    assert height_in_house(height) == words


def test_an_unidentified_piece_gets_a_hedged_name_its_reasons_and_the_one_who_is_excluded(
    demo_bench: Bench,
) -> None:
    told = text_of(demo_bench, "piece-unidentified-lady", "Maker and date")
    assert "On what is seen she is possibly by Courtépée." in told
    assert "The strongest reason is the mark “C\\[---\\]T\\[---\\] / PARIS”." in told
    assert "Castagnet is excluded, though she is like the pieces of that maker" in told


def test_a_silence_about_the_owners_is_stated(demo_bench: Bench) -> None:
    assert "Between 1884 and 1958 nothing is recorded." in text_of(demo_bench, SNOOD, "Provenance")


def test_a_private_owner_is_a_private_collection(demo_bench: Bench) -> None:
    assert text_of(demo_bench, SNOOD, "Provenance").endswith("The lady is in a private collection.")


def test_a_head_that_cannot_be_original_is_told_as_contested(demo_bench: Bench) -> None:
    told = text_of(demo_bench, "piece-governess-in-grey", "Materials, costume and condition")
    assert "The body is original to the governess. Whether the head is original is contested." in told
    assert "these four claims cannot all be true" in told


def test_both_answers_to_an_open_question_are_told_in_the_same_way(demo_bench: Bench) -> None:
    told = text_of(demo_bench, "piece-aurore-in-plaid", "Open questions")
    assert told.startswith("A question is open: who modelled Aurore?")
    assert told.count("For it stands") == told.count("Against it stands") == 2


def test_a_rarity_is_told_with_its_basis(demo_bench: Bench) -> None:
    told = compose(demo_bench, "piece-aurore-in-plaid")
    found = next(s for s in told.sentences if "of this model" in s.text)
    assert found.text == (
        "Two other pieces of this model are recorded: "
        "*Paris lady with beaded purse* and *Paris lady in figured silk*."
    )
    assert {c.subject for c in found.claims} >= {
        "piece-paris-lady-with-beaded-purse",
        "piece-paris-lady-in-figured-silk",
    }


def test_cellulose_nitrate_brings_its_caution_and_whom_to_ask(demo_bench: Bench) -> None:
    told = text_of(demo_bench, "piece-celluloid-child-in-lilac-silk", "Cautions")
    assert "highly flammable" in told
    assert told.endswith("ask a conservator, and follow local rules.")


def test_many_books_that_follow_one_are_told_as_one_witness(demo_bench: Bench) -> None:
    told = text_of(demo_bench, "piece-vauquelard-lady-with-parasol", "Open questions")
    assert "Six sources have it, which come to one independent witness." in told


def test_the_house_table_changes_the_words_and_not_the_degree(demo_bench: Bench) -> None:
    other = Bench(demo_bench.whole, HouseStyle("saleroom"))
    piece = "piece-aurore-in-plaid"
    assert text_of(demo_bench, piece, "Maker and date").startswith("The doll is probably by Veuve Ysambert.")
    assert text_of(other, piece, "Maker and date").startswith("The doll is attributed to Veuve Ysambert.")


def test_a_draft_is_the_same_every_time(demo_bench: Bench) -> None:
    assert draft(Bench(demo_bench.whole), SNOOD) == draft(demo_bench.whole, SNOOD)


def test_a_sale_is_drafted_in_the_order_of_its_lots(demo_bench: Bench) -> None:
    found = pieces_of(demo_bench.view, "sale-summer-2026")
    assert found == (SNOOD, "piece-bride-of-1887", "piece-lady-of-the-lyon-exhibition")
    assert [d.piece for d in draft_sale(demo_bench, "sale-summer-2026")] == list(found)


def test_what_is_no_piece_is_refused_with_what_to_name(demo_bench: Bench) -> None:
    with pytest.raises(NothingToDraft, match=r"Vauquelard \(.*\) is no piece. Name a piece"):
        compose(demo_bench, "maker-vauquelard")


def test_a_sale_without_pieces_is_refused(demo_bench: Bench) -> None:
    with pytest.raises(NothingToDraft, match="No piece is recorded as offered at"):
        pieces_of(demo_bench.view, "period-second-empire")


def test_a_language_without_templates_is_refused() -> None:
    with pytest.raises(HedgeUnknown, match=r"'fr' found\. Give 'en'"):
        HouseStyle(language="fr")


def test_a_piece_whose_name_holds_no_known_noun_is_a_doll() -> None:
    assert noun_of("Aurore in plaid").noun == "doll"
    assert noun_of("Swivel-necked lady").object == "her"
