"""The audit of essays, rule by rule, on a small invented daybook."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from kg.daybook.record import Citation, Draft, Judgement, Thing, compose
from kg.daybook.view import WorkingView
from kg.essays.audit import LONGEST_SENTENCE, Evidence, Finding, Kind, audit, audit_edition, audit_text
from kg.essays.auditing.dates import said_dates
from kg.essays.auditing.passages import sentence_ends
from kg.essays.compose import draft
from kg.essays.editions import Edition
from kg.essays.plan import Bench
from kg.essays.syntax import read_essay
from kg.sources_weighed.dependence import Weighed
from tests.essays.planted.gold import world

Ask = Callable[..., tuple[Finding, ...]]


@pytest.fixture(scope="module")
def evidence() -> Evidence:
    """The planted world, ready for audits."""
    return Evidence(world()[1])


@pytest.fixture
def ask(evidence: Evidence) -> Ask:
    """Audits one sentence under the title of the lady; {key} stands for the note to a claim."""

    def asked(text: str, **options: object) -> tuple[Finding, ...]:
        ids = {key: f"[^{claim.id}]" for key, claim in world()[0].items()} | {"own": "[^own]"}
        return audit(evidence, read_essay(f"# Lady with coral beads\n\n{text.format_map(ids)}\n"), **options)  # type: ignore[arg-type]  # options are those of audit

    return asked


def kinds(findings: tuple[Finding, ...]) -> list[Kind]:
    return [finding.kind for finding in findings]


def test_a_fact_without_a_claim_is_told_with_its_place_and_words(ask: Ask) -> None:
    (found,) = ask("A gentle face. Pasquette made her.")
    assert (str(found.place), found.words) == ("3:16", "Pasquette made her.")
    assert found.message == "“Pasquette”, “made”: no claim carries that."
    assert found.remedy == (
        "Put [^claim] behind the sentence, record the claim first, or leave the fact out. On record: "
        f"[^{world()[0]['made'].id}] Lady with coral beads made by Oriel Pasquette; "
        f"[^{world()[0]['filedby'].id}] Deposit at Paris, no. 318 of 1872 registered by Oriel Pasquette."
    )


def test_no_confidential_claim_is_offered_for_a_fact(evidence: Evidence) -> None:
    essay = read_essay("# Bride with orange blossom\n\nKetteringham bought her.\n")
    (found,) = (f for f in audit(evidence, essay) if f.kind is Kind.NO_CLAIM)
    assert "On record" not in found.remedy


def test_an_own_judgement_excuses_an_act_but_no_name_and_no_year(ask: Ask) -> None:
    assert ask("She was made with care, we think.{own}") == ()
    (found,) = ask("She was made with care in 1878, we think.{own}")
    assert found.message == "“1878”: it is marked as your own judgement, and no judgement carries that."


def test_an_unknown_claim_is_told_with_the_nearest(ask: Ask) -> None:
    claim = world()[0]["made"].id
    slip = f"{claim[:-1]}{'a' if claim[-1] != 'a' else 'b'}"
    (found,) = ask(f"She is by Pasquette.[^{slip}]")
    assert found.kind is Kind.UNKNOWN_CLAIM
    assert found.message == (
        f"{slip} is no claim of this daybook. The nearest is {claim}: Lady with coral beads made by Oriel Pasquette."
    )


def test_the_nearest_of_an_unknown_claim_is_never_a_confidential_one(ask: Ask) -> None:
    claim = world()[0]["secretclaim"].id
    slip = f"{claim[:-1]}{'a' if claim[-1] != 'a' else 'b'}"
    assert [f.message for f in ask(f"So it is.[^{slip}]")] == [f"{slip} is no claim of this daybook."]


def test_a_claim_that_is_younger_than_the_day_asked_for_is_unknown_on_that_day() -> None:
    claims, then, _ = world()
    early = WorkingView.of(then.vocabulary, then.entries.values(), as_of=date(2025, 1, 1))
    (found,) = audit_text(early, f"# Lady\n\nA face.[^{claims['made'].id}]\n")
    assert found.message.startswith(
        f"{claims['made'].id} is no claim of this daybook as it stood on 2025-01-01."
    )


def test_a_withdrawn_claim_is_told_with_the_reason(ask: Ask) -> None:
    (found,) = ask("The boy was made in 1860.{boygone}")
    assert (found.kind, found.message) == (
        Kind.UNKNOWN_CLAIM,
        f"{world()[0]['boygone'].id} was withdrawn: planted",
    )


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        pytest.param("She was made about 1878.{madeon}", None, id="the very date"),
        pytest.param("She was made in 1878.{madeon}", "1878", id="about left out"),
        pytest.param("She was made between 1870 and 1890.{madeon}", None, id="a window around the claim"),
        pytest.param("She was made between 1877 and 1890.{madeon}", "between 1877 and 1890", id="too narrow"),
        pytest.param("The house closed before 1885.{ceased}", None, id="before the next year"),
        pytest.param("The house closed before 1884.{ceased}", None, id="before, loosely"),
        pytest.param("The house closed after 1884.{ceased}", None, id="the year itself as a limit"),
        pytest.param("The house closed after 1890.{ceased}", "1890", id="after a later year"),
        pytest.param("She was sold in the 1880s.{soldon}", None, id="the decade"),
        pytest.param("She was sold in the last quarter of the 19th century.{soldon}", None, id="the quarter"),
        pytest.param("She was sold in the 18th century.{soldon}", "18th century", id="another century"),
        pytest.param("She cannot be earlier than 17 May 1872.{deposit}{filed}{own}", None, id="a limit that follows"),
        pytest.param("She cannot be earlier than 1874.{deposit}{filed}{own}", "1874", id="no limit follows"),
    ],
)  # fmt: skip
def test_a_date_is_held_exactly_when_the_claims_allow_it(ask: Ask, text: str, wrong: str | None) -> None:
    assert [f.words for f in ask(text) if f.kind is Kind.NOT_HELD] == ([wrong] if wrong else [])


def test_a_rough_date_is_not_made_sharp_by_the_words_that_it_was_read_from() -> None:
    _, then, _ = world()
    rough = Draft("lady", "madeOn", "1878~", Citation("letter", "f. 9", quotation="made about 1878"))
    entry = compose(datetime(2026, 3, 1, tzinfo=UTC), "A. Tester", drafts=(rough,))
    view = WorkingView.of(then.vocabulary, [*then.entries.values(), entry])
    note = f"[^{entry.claims[0].id}]"
    assert [f.words for f in audit_text(view, f"# Lady\n\nShe was made in 1878.{note}\n")] == ["1878"]
    assert audit_text(view, f"# Lady\n\nShe was made about 1878.{note}\n") == ()


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        pytest.param("The wig is of mohair.{hair}", [], id="as the claim has it"),
        pytest.param("The head is of tinted bisque.{hair}", ["tinted bisque"], id="another material"),
        pytest.param("Tinted bisque it is, with a mohair wig.{bisque}", ["mohair"], id="one of two"),
        pytest.param("It is mohair, not tinted bisque.{hair}", [], id="denied"),
    ],
)
def test_a_material_on_record_is_held_only_by_a_claim_that_names_it(
    ask: Ask, text: str, wrong: list[str]
) -> None:
    assert [f.words for f in ask(text)] == wrong


def test_what_the_claims_hold_instead_is_told(ask: Ask) -> None:
    (found,) = ask("The deposit was filed on 27 May 1872.{filed}")
    assert found.message == (
        "The claims of this sentence do not hold the date “27 May 1872”. They hold on 17 May 1872."
    )


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        pytest.param("She is 18 in. (46 cm) high.{height}", [], id="both rounded"),
        pytest.param("She is 18 in. (45.7 cm) high.{height}", [], id="to the millimetre"),
        pytest.param("She is 18 in. (45.5 cm) high.{height}", ["45.5 cm"], id="two millimetres off"),
        pytest.param("She is 17½ in. high.{height}", ["17½ in."], id="half an inch off"),
        pytest.param("She is 457 mm high.{height}", [], id="millimetres"),
        pytest.param("She is 45.7 centimetres high.{height}", [], id="centimetres in full"),
        pytest.param("She is 46.7 centimeters high.{height}", ["46.7 centimeters"], id="a centimetre off"),
    ],
)
def test_a_measure_is_held_within_the_rounding_that_it_is_printed_with(
    ask: Ask, text: str, wrong: list[str]
) -> None:
    assert [f.words for f in ask(text)] == wrong


def test_names_are_held_in_the_genitives_of_three_languages_and_without_accents(ask: Ask) -> None:
    assert ask("In Pasquettes Haus in Paris ist und war es so, aus dem Jahr 1884.{worked}{ceased}") == ()
    assert ask("The lady is from the house of Pasquette’s own choosing.{made}") == ()
    assert ask("C’est une dame d’Oriel Pasquette.{made}") == ()
    assert [f.words for f in ask("Possibly the head is by Brandolin Freres.{headmade}")] == []


def test_a_wrong_name_is_told_whole(ask: Ask) -> None:
    (found,) = ask("Theodora Plimsoll of Great Wimple owned her.{owned}")
    assert found.words == "Great Wimple"


def test_words_in_quotation_marks_must_be_those_of_the_claim_or_the_mark(ask: Ask) -> None:
    assert ask("She is marked “O. P. … 142”.{bears}") == ()
    assert [f.words for f in ask("She is marked “O. P. 14”.{bears}")] == ["O. P. 14"]


def test_a_maker_by_likeness_is_no_maker_for_sure(ask: Ask) -> None:
    (found,) = ask("The girl is by Ottokar Weidenbusch.{girlattr}")
    assert (found.kind, found.message, found.remedy) == (
        Kind.TOO_SURE,
        "This says more than the record: Letters of Oriel Pasquette, f. 3 only attributes it.",
        "Write “probably by Ottokar Weidenbusch”, or cite what makes it sure.",
    )


def test_a_hedge_in_one_clause_does_not_excuse_the_next(ask: Ask) -> None:
    assert kinds(ask("The wig is possibly old; the girl is by Weidenbusch.{girlattr}{hair}")) == [
        Kind.TOO_SURE
    ]


def test_a_superlative_wants_a_comparison_also_as_an_own_judgement(ask: Ask) -> None:
    (found,) = ask("She is unique.{own}")
    assert found.message == "“unique” is said without a comparison."
    assert ask("She is rarer than the two others.{ladymodel}{bridemodel}{girlmodel}") == ()


def test_what_a_source_says_may_be_told_as_its_word(ask: Ask) -> None:
    assert ask("A Survey of Beaded Ladies gives the head to Brandolin Frères.{headmade}") == ()


def test_a_dating_that_cannot_stand_is_told_unless_the_sentence_says_so(ask: Ask) -> None:
    (found,) = ask("The girl was made in 1850.{earlydate}")
    assert found.kind is Kind.SHAKEN
    assert "the rest of the record excludes it" in found.message
    assert ask("One source says that the girl was made in 1850.{earlydate}") == ()


def test_a_judgement_younger_than_the_essay_is_told_as_such() -> None:
    claims, _, now = world()
    text = f"# Lady with coral beads\n\nPasquette began in November 1869.[^{claims['founded'].id}]\n"
    (found,) = audit_text(now, text, day=date(2026, 2, 1))
    assert found.message == (
        f"{claims['founded'].id} is set aside: the register has another house "
        "(judged on 2026-06-05; the essay is of 2026-02-01)"
    )


def test_a_contradiction_is_told_unless_both_sides_are_cited() -> None:
    view, ids = _contradicted()
    (found,) = audit_text(view, f"# Lady\n\nTarn worked in Bath.[^{ids[0]}]\n")
    assert found.kind is Kind.SHAKEN
    assert found.message == f"{ids[0]} is contradicted: Tarn & Ottery worked at York (A Book, p. 2)"
    assert audit_text(view, f"# Lady\n\nTarn worked in Bath or in York.[^{ids[0]}][^{ids[1]}]\n") == ()


def _contradicted() -> tuple[WorkingView, list[str]]:
    when = datetime(2026, 1, 1, 9, tzinfo=UTC)
    things = (
        Thing("tarn", ("Firm",), "Tarn & Ottery"), Thing("bath", ("Place",), "Bath"), Thing("york", ("Place",), "York"),
        Thing("book", ("Book",), "A Book"), Thing("letter", ("Letter",), "A Letter"),
    )  # fmt: skip
    drafts = (
        Draft("tarn", "workedAt", "bath", Citation("letter", "p. 1")),
        Draft("tarn", "workedAt", "york", Citation("book", "p. 2")),
        Draft("book", "sourceContradicts", "letter", Citation("book", "p. 3")),
    )
    entry = compose(when, "A. Tester", things=things, drafts=drafts)
    return WorkingView.of(world()[1].vocabulary, [entry]), [claim.id for claim in entry.claims]


def test_a_source_that_is_only_followed_is_not_cited_as_seen(ask: Ask) -> None:
    (found,) = ask(
        "The Deposit Register of the Seine records that Hesper & Quill succeeded Pasquette.{succeeded}"
    )
    assert found.message == (
        f"Deposit Register of the Seine speaks here, but {world()[0]['succeeded'].id} has it from "
        "Digest of Paris Deposits, which follows it."
    )


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("## The house of Ambrose Ketteringham", id="heading"),
        pytest.param("![Before Ambrose Ketteringham](photo)", id="caption"),
        pytest.param("A face.[^note]\n\n[^note]: Ambrose Ketteringham told us.", id="remark"),
        pytest.param("A face.{hair}".replace("{hair}", "{place}"), id="place in a note"),
        pytest.param("[A face](https://example.org/ambrose-ketteringham)", id="link"),
        pytest.param("![A face](ketteringham)", id="picture"),
        pytest.param("Of AMBROSE   KÉTTERINGHAM", id="other letters"),
        pytest.param("Mr Ketteringham's lady.", id="surname"),
        pytest.param("[A face](https://example.org/face) of Ketteringham, A.", id="surname first"),
    ],
)
def test_a_confidential_name_is_found_wherever_it_stands(evidence: Evidence, text: str) -> None:
    note = f"[^{world()[0]['hair'].id}, shown by Ambrose Ketteringham]"
    essay = read_essay(f"# Lady with coral beads\n\n{text.replace('{place}', note)}\n")
    assert Kind.CONFIDENTIAL in kinds(audit(evidence, essay))


def test_an_essay_on_a_confidential_thing_is_told(evidence: Evidence) -> None:
    (found,) = audit(evidence, read_essay("# A face\n"), about=["ketteringham"])
    assert found.message == "The essay is about Ambrose Ketteringham, which is confidential."


def test_what_became_confidential_later_counts_for_every_day() -> None:
    _, then, _ = world()
    plimsoll = Thing("plimsoll", ("Person",), "Theodora Plimsoll", True)
    marked = compose(datetime(2027, 1, 1, tzinfo=UTC), "A. Tester", things=(plimsoll,))
    today = WorkingView.of(then.vocabulary, [*then.entries.values(), marked])
    findings = audit_text(Evidence(then, today), "# Lady\n\nTheodora Plimsoll smiles.\n")
    assert Kind.CONFIDENTIAL in kinds(findings)


def test_a_text_that_cannot_be_read_has_the_one_fault_that_says_why(evidence: Evidence) -> None:
    (found,) = audit_text(evidence, "# Lady\n\nShe \u202eis.\n")
    assert (found.kind, str(found.place)) == (Kind.HYGIENE, "3:5")
    assert found.message.startswith("Not an essay: the character U+202E")


def test_a_look_alike_letter_is_told_with_its_number(ask: Ask) -> None:
    (found,) = ask("She is by Pаsquette.{made}")
    assert found.message == "“Pаsquette” holds letters that only look Latin (U+0430); no search finds it."


def test_print_is_stale_only_by_what_came_after_it() -> None:
    claims, then, now = world()
    text = (
        "# Lady with coral beads\n\n"
        f"Pasquette began in November 1869.[^{claims['founded'].id}] She is 20 in. high.[^{claims['height'].id}]\n"
    )
    edition = Edition("edition-lady", "Lady", "essay-lady", "2026-02-01", text, ())
    (found,) = audit_edition(now, then, edition)
    assert (found.kind, found.words) == (Kind.STALE, "Pasquette began in November 1869.")
    assert found.message.startswith("Printed 2026-02-01; since then rests on what is doubted")
    assert audit_edition(then, then, edition) == ()


def test_views_weighed_sources_and_evidence_give_the_same_audit(evidence: Evidence) -> None:
    essay = read_essay("# Lady with coral beads\n\nPasquette made her in 1878.\n")
    assert audit(evidence, essay) == audit(evidence.whole, essay) == audit(Weighed(evidence.whole), essay)


def test_a_sentence_that_nobody_reads_is_told_as_too_long(evidence: Evidence) -> None:
    (found,) = audit_text(evidence, f"# Lady\n\n{'made 1 ' * LONGEST_SENTENCE}\n")
    assert "sentences of up to 4,000 are audited" in found.message


def test_every_draft_of_the_demo_passes_the_audit(demo_bench: Bench) -> None:
    evidence = Evidence(demo_bench.whole)
    things = demo_bench.whole.things.values()
    pieces = [t.slug for t in things if demo_bench.is_kind(t.slug, "Piece") and not t.is_confidential]
    faults = {
        piece: found
        for piece in pieces
        if (found := audit(evidence, read_essay(draft(demo_bench, piece)), about=[piece]))
    }
    assert len(pieces) > 100
    assert faults == {}


def test_sentences_end_where_a_reader_ends_them() -> None:
    text = (
        "She is 18 in. (46 cm) high. J.-P. Tarn & Co. made no. 4; see Figs. 8 and 9. It cost 12s. 6d. in Bath. "
        "“Mine. Yours.” stands on it. He sold to Tarn & Co. The rest went to M. Vane, Mme. Orr etc. 1884 was the end."
    )
    starts = [0, *sentence_ends(text)]
    assert [text[at:].split()[0] for at in starts] == ["She", "J.-P.", "It", "“Mine.", "He", "The"]


def test_dates_are_found_with_what_leads_them() -> None:
    text = "made about 1878, not before 30 June 1880, in 1908–11, mould no. 1900, between 1870 and the end of 1874"
    assert [(d.words, d.direction, len(d.ends)) for d in said_dates(text)] == [
        ("about 1878", None, 0),
        ("30 June 1880", "from", 0),
        ("1908–11", None, 2),
        ("between 1870 and the end of 1874", None, 2),
    ]


def test_a_set_aside_claim_that_another_still_says_stands() -> None:
    claims, then, _ = world()
    again = replace(claims["filed"].as_draft(), citation=Citation("letter", "f. 20"))
    entry = compose(
        datetime(2026, 3, 1, tzinfo=UTC),
        "A. Tester",
        drafts=(again,),
        judgements=(Judgement(claims["filed"].id, "setAside", "a slip"),),
    )
    view = WorkingView.of(then.vocabulary, [*then.entries.values(), entry])
    text = f"# Lady with coral beads\n\nThe deposit was filed on 17 May 1872.[^{claims['filed'].id}]\n"
    assert audit_text(view, text) == ()
