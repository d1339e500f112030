"""RDF comes in by what it says: entries, claims with their sources, plain statements; the rest is listed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from kg.daybook.daybook import Daybook, Note
from kg.daybook.record import Citation, Draft, Judgement, Thing
from kg.intake.export import export_daybook
from kg.intake.forms import Form
from kg.intake.rdf_in import FaultyRdf, RdfPlan, check_plan, plan_rdf, record_rdf
from kg.intake.rdf_in_parse import BadRdf
from tests.conftest import Scene

HEAD = """\
@prefix k: <https://kilnmark.example/vocabulary#> .
@prefix t: <https://kilnmark.example/thing/> .
@prefix c: <https://kilnmark.example/claim/> .
@prefix rdf: <http://www.w3.org/1999/02/22-rdf-syntax-ns#> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
@prefix foaf: <http://xmlns.com/foaf/0.1/> .
"""
ENDINGS = {
    Form.TRIG: ".trig", Form.NQUADS: ".nq", Form.JSONLD: ".jsonld", Form.TURTLE: ".ttl", Form.CRM: ".ttl",
    Form.CRM_NTRIPLES: ".nt",
}  # fmt: skip
WHOLE = [Form.TRIG, Form.NQUADS, Form.JSONLD]


@pytest.fixture
def write(tmp_path: Path) -> Callable[..., Path]:
    """A file of Turtle, with the prefixes before it."""

    def written(text: str, name: str = "finds.ttl") -> Path:
        path = tmp_path / name
        path.write_text(HEAD + text, encoding="utf-8")
        return path

    return written


def take(book: Daybook, path: Path) -> RdfPlan:
    plan = plan_rdf(book.view(), path, "A. Taker")
    record_rdf(book, plan)
    return plan


def exported(scene: Scene, form: Form, folder: Path, *, full: bool = True) -> Path:
    path = folder / f"export{ENDINGS[form]}"
    with path.open("wb") as file:
        export_daybook(scene.daybook, form, file, with_confidential=full)
    return path


def empty(folder: Path) -> Daybook:
    return Daybook.begin(folder / "other", "Other")


def fill(scene: Scene) -> None:
    """Claims of every sort of value, a judgement, a quotation, hostile text."""
    scene.say("lady", "heightMm", "320")
    scene.say("lady", "noted", 'quote " back \\ tab \t line \r\n \u2028 \U0001f38e <> # = ^^ @en')
    scene.say("lady", "madeOn", "1878~", strength="usual")
    doubted = scene.say("brumelow", "bornOn", "1839")
    aside = scene.say("brumelow", "diedOn", "1900")
    cited = Citation("book", "p. 9", "made by A. B.")
    (made,) = scene.add(drafts=[Draft("lady", "madeBy", "brumelow", cited, is_confidential=True)])
    scene.add(drafts=[Draft(made.id, "claimFollows", doubted.id, Citation("book", "p. 9"))])
    judged = (
        Judgement(doubted.id, "doubted", "the register differs"),
        Judgement(aside.id, "setAside", "misread"),
    )
    scene.daybook.record(
        scene.daybook.compose(Note("B. Reader", "a remark", judgements=judged, recorded=scene.clock))
    )
    many = [Thing("z", ("Piece", "ObjectExamined"), "Z"), Thing("a", ("Person",), "A")]
    note = Note("A. Tester", things=tuple(many), recorded=scene.clock)
    scene.daybook.record(
        scene.daybook.compose(
            replace(note, drafts=(Draft("z", "madeBy", "a", cited), Draft("a", "noted", "n", cited)))
        )
    )


@pytest.mark.parametrize("form", WHOLE)
def test_an_export_of_whole_entries_reads_back_to_the_same_entries(
    scene: Scene, tmp_path: Path, form: Form
) -> None:
    fill(scene)
    book = empty(tmp_path)
    plan = take(book, exported(scene, form, tmp_path))
    assert book.entries() == scene.daybook.entries()
    assert (plan.note, dict(plan.not_understood), list(book.verify())) == (None, {}, [])


@pytest.mark.parametrize("form", [Form.TURTLE, Form.CRM, Form.CRM_NTRIPLES])
def test_an_export_by_claims_reads_back_to_the_same_claims_with_ids_and_hands(
    scene: Scene, tmp_path: Path, form: Form
) -> None:
    fill(scene)
    book = empty(tmp_path)
    take(book, exported(scene, form, tmp_path))
    ours, back = scene.daybook.view(), book.view()
    wanted = {c.id: c for c in (ours.live if form is Form.TURTLE else ours.claims.values())}
    assert {i: c.as_draft() for i, c in back.claims.items()} == {i: c.as_draft() for i, c in wanted.items()}
    assert {i: back.standing(i) for i in wanted} == {i: ours.standing(i) for i in wanted}
    for claim in wanted.values():
        here, there = ours.entries[claim.entry], back.entries[back.claims[claim.id].entry]
        assert (here.recorded, here.researcher) == (there.recorded, there.researcher)
    assert {s: (set(t.kinds), t.label, t.is_confidential) for s, t in back.things.items()} == {
        s: (set(t.kinds), t.label, t.is_confidential) for s, t in ours.things.items()
    }
    assert list(book.verify()) == []


@pytest.mark.parametrize("form", list(ENDINGS))
def test_the_same_export_again_changes_nothing(scene: Scene, tmp_path: Path, form: Form) -> None:
    fill(scene)
    book = empty(tmp_path)
    path = exported(scene, form, tmp_path)
    take(book, path)
    before = book.entries()
    assert plan_rdf(book.view(), path, "Another").is_empty
    assert take(book, path).is_empty
    assert book.entries() == before


@pytest.mark.parametrize("form", list(ENDINGS))
def test_an_export_taken_into_its_own_daybook_changes_nothing(
    scene: Scene, tmp_path: Path, form: Form
) -> None:
    fill(scene)
    assert plan_rdf(scene.daybook.view(), exported(scene, form, tmp_path, full=False), "A. Taker").is_empty


@pytest.mark.parametrize("form", WHOLE)
def test_an_entry_without_its_confidential_part_keeps_its_claim_ids(
    scene: Scene, tmp_path: Path, form: Form
) -> None:
    drafts = [
        Draft("lady", "noted", "open", Citation("book", "p. 1")),
        Draft("lady", "noted", "secret", Citation("book", "p. 2"), is_confidential=True),
    ]
    shown, hidden = scene.add(drafts=drafts)
    book = empty(tmp_path)
    take(book, exported(scene, form, tmp_path, full=False))
    assert set(book.view().claims) == {shown.id}
    book.merge(scene.daybook.shelf.folder)
    assert set(book.view().claims) == {shown.id, hidden.id}
    assert list(book.verify()) == []


def test_a_plain_statement_becomes_a_claim_that_cites_the_file(
    scene: Scene, write: Callable[..., Path]
) -> None:
    take(scene.daybook, write('t:lady k:madeBy t:brumelow ; k:madeOn "about 1878" .'))
    view = scene.daybook.view()
    claims = {claim.property: claim for claim in view.live}
    assert claims["madeBy"].citation == Citation("file-finds", "statement t:lady k:madeBy t:brumelow")
    assert (claims["madeOn"].value, claims["madeOn"].written) == ("1878~", "about 1878")
    assert (view.things["file-finds"].kinds, view.label("file-finds")) == (("Dataset",), "finds.ttl")


CITED = {
    "annotation": 't:lady k:madeBy t:brumelow {| k:source t:book ; k:locator "p. 2" ; k:quotation "by her" |} .',
    "reified statement": """[] a rdf:Statement ; rdf:subject t:lady ; rdf:predicate k:madeBy ; rdf:object t:brumelow ;
        k:source t:book ; k:locator "p. 2" ; k:quotation "by her" .""",
    "triple in angles": '<< t:lady k:madeBy t:brumelow >> k:source t:book ; k:locator "p. 2" ; k:quotation "by her" .',
    "reifier": """<urn:x> rdf:reifies <<( t:lady k:madeBy t:brumelow )>> ;
        k:source t:book ; k:locator "p. 2" ; k:quotation "by her" .""",
    "reified and stated": """t:lady k:madeBy t:brumelow . <urn:y> rdf:subject t:lady ; rdf:predicate k:madeBy ;
        rdf:object t:brumelow ; k:source t:book ; k:locator "p. 2" ; k:quotation "by her" .""",
}


@pytest.mark.parametrize("text", CITED.values(), ids=CITED)
def test_a_statement_about_a_statement_becomes_a_claim_with_its_source(
    scene: Scene, write: Callable[..., Path], text: str
) -> None:
    take(scene.daybook, write(text))
    (claim,) = scene.daybook.view().live
    assert claim.as_draft() == Draft("lady", "madeBy", "brumelow", Citation("book", "p. 2", "by her"))


def test_the_same_file_of_claims_again_changes_nothing(scene: Scene, write: Callable[..., Path]) -> None:
    path = write('t:lady k:madeBy [ a k:Firm ; rdfs:label "Ottery" ] , t:tarn ; k:noted "fine" .')
    assert take(scene.daybook, path).note is not None
    before = scene.daybook.entries()
    again = take(scene.daybook, path)
    assert (again.is_empty, again.known_claims) == (True, 3)
    assert scene.daybook.entries() == before


def test_what_was_set_aside_here_is_not_brought_back(scene: Scene, write: Callable[..., Path]) -> None:
    path = write('t:lady k:noted "fine" .')
    take(scene.daybook, path)
    (claim,) = scene.daybook.view().live
    gone = Note("B. Reader", judgements=(Judgement(claim.id, "withdrawn", "misread"),))
    scene.daybook.record(scene.daybook.compose(gone))
    again = take(scene.daybook, path)
    assert (again.is_empty, again.set_aside) == (True, 1)
    assert scene.daybook.view().live == ()


def test_things_without_a_name_get_the_same_slugs_each_time(scene: Scene, write: Callable[..., Path]) -> None:
    text = '[] a k:Piece ; rdfs:label "Girl in gauze" . [] a k:Piece ; rdfs:label "Girl in gauze" .'
    first = plan_rdf(scene.daybook.view(), write(text), "A").note
    second = plan_rdf(scene.daybook.view(), write(text, "other.ttl"), "A").note
    assert first is not None
    assert second is not None
    assert first.things == second.things
    assert len({thing.slug for thing in first.things}) == 2
    assert all(thing.slug.startswith("girl-in-gauze-") for thing in first.things)


def test_a_thing_with_an_address_elsewhere_is_named_by_it(scene: Scene, write: Callable[..., Path]) -> None:
    firm = "<http://example.org/firms/Ottery%20Co>"
    text = f'{firm} a k:Firm ; rdfs:label "Ottery" . t:lady k:madeBy {firm} .'
    take(scene.daybook, write(text))
    (claim,) = scene.daybook.view().live
    assert claim.value.startswith("ottery-20co-")
    assert scene.daybook.view().label(claim.value) == "Ottery"


def test_what_is_not_understood_is_listed_and_never_guessed(scene: Scene, write: Callable[..., Path]) -> None:
    text = """t:lady k:noted "fine" ; foaf:age 12 ; k:madeUpWord "x" . <http://example.org/p> a foaf:Person ;
        rdfs:label "Somebody" ; foaf:name "Somebody" ."""
    plan = take(scene.daybook, write(text))
    assert plan.not_understood == {
        "<http://xmlns.com/foaf/0.1/Person>": 1,
        "<http://xmlns.com/foaf/0.1/age>": 1,
        "<http://xmlns.com/foaf/0.1/name>": 1,
        "k:madeUpWord": 1,
        "rdfs:label": 1,
    }
    assert [claim.value for claim in scene.daybook.view().live] == ["fine"]


def test_a_file_with_nothing_of_a_daybook_is_refused(scene: Scene, write: Callable[..., Path]) -> None:
    with pytest.raises(BadRdf, match="holds no entry, claim or thing in the daybook's vocabulary"):
        plan_rdf(scene.daybook.view(), write("foaf:a foaf:knows foaf:b ."), "A")


FAULTS = {
    "a date that cannot be read": ('t:lady k:madeOn "abot 1878" .', "Date not understood"),
    "a source that is not known": (
        't:lady k:noted "x" {| k:source t:nobook ; k:locator "p" |} .',
        "'nobook' is neither",
    ),
    "a source without a place": ('t:lady k:noted "x" {| k:source t:book |} .', "no locator"),
    "two sources at once": (
        't:lady k:noted "x" {| k:source t:book , t:plates ; k:locator "p" |} .',
        "gives source 2 times",
    ),
    "the wrong kind of subject": ("t:brumelow k:madeBy t:tarn .", "said of a piece"),
    "a text where a thing belongs": ('t:lady k:madeBy "Adela Brumelow" .', "'Adela Brumelow' is neither"),
    "a number in words": ('t:lady k:heightMm "tall" .', "is a whole number"),
    "a class that is unknown": ('t:new a k:Dolly ; rdfs:label "New" .', "is no class of the vocabulary"),
    "a thing without a label": ("t:new a k:Piece .", "'label' is missing"),
    "a thing with two labels": ('t:new a k:Piece ; rdfs:label "A" , "B" .', "it has 2 names"),
    "an unreadable mark of discretion": (
        't:new a k:Piece ; rdfs:label "A" ; k:confidential "perhaps" .',
        "expected true or false",
    ),
    "a thing named by a letter box": ('<mailto:a@b.example> a k:Piece ; rdfs:label "A" .', "names no thing"),
    "an unusable name": ('<https://kilnmark.example/thing/a/b> a k:Piece ; rdfs:label "A" .', "is no usable name"),
}  # fmt: skip


@pytest.mark.parametrize(("text", "told"), FAULTS.values(), ids=FAULTS)
def test_one_ill_formed_claim_refuses_the_file(
    scene: Scene, write: Callable[..., Path], text: str, told: str
) -> None:
    before = scene.daybook.entries()
    with pytest.raises(FaultyRdf, match=told) as caught:
        take(scene.daybook, write(f't:lady k:noted "fine" . {text}'))
    assert len(caught.value.faults) == 1
    assert scene.daybook.entries() == before


def test_control_characters_of_a_file_are_kept_as_tables_keep_them(
    scene: Scene, write: Callable[..., Path]
) -> None:
    take(scene.daybook, write('t:lady k:noted "bell \\u0007 and \\u0092" .'))
    assert [c.value for c in scene.daybook.view().by_subject["lady"]] == ["bell \x07 and \x92"]


def test_an_entry_whose_claim_was_changed_is_refused(scene: Scene, tmp_path: Path) -> None:
    said = scene.say("lady", "noted", "fine")
    path = exported(scene, Form.TRIG, tmp_path)
    path.write_bytes(path.read_bytes().replace(b'"fine"', b'"poor"'))
    book = empty(tmp_path)
    with pytest.raises(FaultyRdf, match=f"{said.id} say something else than their ids vouch for"):
        take(book, path)
    assert book.entries() == ()


def test_an_entry_from_the_future_is_refused(scene: Scene, tmp_path: Path) -> None:
    scene.clock = scene.clock.replace(year=2999)
    scene.say("lady", "noted", "fine")
    with pytest.raises(FaultyRdf, match="lies in the future"):
        plan_rdf(empty(tmp_path).view(), exported(scene, Form.TRIG, tmp_path), "A")


def test_an_entry_with_a_property_that_is_unknown_here_is_refused(scene: Scene, tmp_path: Path) -> None:
    draft = Draft("lady", "madeUp", "x", Citation("book", "p. 1"))
    entry = scene.daybook.compose(Note("A", drafts=(draft,), recorded=scene.clock))
    scene.daybook.record(entry)
    with pytest.raises(FaultyRdf, match="the property 'madeUp' is not in the vocabulary"):
        plan_rdf(empty(tmp_path).view(), exported(scene, Form.NQUADS, tmp_path), "A")


def test_the_checks_tell_what_a_file_would_contradict(scene: Scene, write: Callable[..., Path]) -> None:
    scene.say("brumelow", "bornOn", "1839")
    path = write('t:brumelow k:diedOn "1820" {| k:source t:register ; k:locator "no. 2" |} .')
    plan = plan_rdf(scene.daybook.view(), path, "A")
    before = scene.daybook.entries()
    found = check_plan(scene.daybook, plan)
    (conflict,) = found.conflicts
    assert [claim.value for claim in conflict.claims] == ["1839", "1820"]
    assert len(found.after.live) == 2
    assert scene.daybook.entries() == before


def test_what_is_shown_and_what_is_recorded_are_the_same_entry(
    scene: Scene, write: Callable[..., Path]
) -> None:
    plan = plan_rdf(scene.daybook.view(), write('t:lady k:noted "fine" .'), "A")
    shown = plan.all_entries(scene.daybook)
    assert record_rdf(scene.daybook, plan) == shown


def test_an_interrupted_taking_in_leaves_whole_entries_and_can_be_taken_up(
    scene: Scene, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(scene)
    path = exported(scene, Form.TRIG, tmp_path)
    book = empty(tmp_path)
    plan = plan_rdf(book.view(), path, "A")
    real = book.shelf.write
    done: list[str] = []

    def stop(entry: str, trig: bytes) -> str:
        if len(done) == 3:
            raise KeyboardInterrupt
        done.append(entry)
        return real(entry, trig)

    monkeypatch.setattr(book.shelf, "write", stop)
    with pytest.raises(KeyboardInterrupt):
        record_rdf(book, plan)
    monkeypatch.undo()
    assert (len(book.entries()), list(book.verify())) == (3, [])
    take(book, path)
    assert book.entries() == scene.daybook.entries()


def test_the_order_of_lines_in_a_file_changes_no_claim(scene: Scene, tmp_path: Path) -> None:
    fill(scene)
    path = exported(scene, Form.NQUADS, tmp_path)
    path.write_text("\n".join(sorted(path.read_bytes().decode().split("\n"))), encoding="utf-8")
    book = empty(tmp_path)
    take(book, path)
    assert {c.id: c.as_draft() for c in book.view().claims.values()} == {
        c.id: c.as_draft() for c in scene.daybook.view().claims.values()
    }
    assert list(book.verify()) == []
