"""The mapping to CIDOC CRM: paths with their events, time-spans from windows, and nothing silently lost."""

from __future__ import annotations

import io
from dataclasses import replace
from datetime import date
from pathlib import Path

import pyoxigraph as ox
import pytest

from kg.daybook.daybook import Daybook, Note
from kg.daybook.record import Citation, Claim, Draft, Judgement, Thing
from kg.intake import crm
from kg.intake.crm import BadCrmTable, crm_table, is_nearest_only, path_of, shipped_paths
from kg.intake.crm_names import PREFIXES
from kg.intake.export import export_daybook
from kg.intake.forms import Form
from kg.vocabulary import load_vocabulary
from tests.conftest import Scene

VOCABULARY = load_vocabulary()
EXTENSION = """
@prefix k: <https://kilnmark.example/vocabulary#> .
@prefix rdf: <http://www.w3.org/1999/02/22-rdf-syntax-ns#> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
@prefix xsd: <http://www.w3.org/2001/XMLSchema#> .
@prefix crm: <http://www.cidoc-crm.org/cidoc-crm/> .
k:smellsOf a rdf:Property ; rdfs:label "smells of" ; rdfs:domain k:Artefact ; rdfs:range xsd:string ;
    k:group "making" ; k:order 900 ; k:mapsTo crm:P3_has_note .
"""


def store(scene: Scene, form: Form = Form.CRM, daybook: Daybook | None = None) -> ox.Store:
    file = io.BytesIO()
    export_daybook(daybook or scene.daybook, form, file)
    found = ox.Store()
    found.load(file.getvalue(), format=ox.RdfFormat.TURTLE if form is Form.CRM else ox.RdfFormat.N_TRIPLES)
    return found


def holds(found: ox.Store, pattern: str) -> bool:
    prefixes = "".join(f"PREFIX {name}: <{iri}>\n" for name, iri in PREFIXES.items())
    return bool(found.query(f"{prefixes}ASK {{ {pattern} }}"))


SAID = {
    "made by": (
        "lady", "madeBy", "brumelow",
        "t:lady crm:P108i_was_produced_by ?p . "
        "?p a crm:E12_Production ; crm:P14_carried_out_by t:brumelow",
    ),
    "born": (
        "brumelow", "bornOn", "1839",
        "t:brumelow crm:P98i_was_born ?b . "
        "?b a crm:E67_Birth ; crm:P4_has_time-span ?s . "
        "?s a crm:E52_Time-Span",
    ),
    "sold by": (
        "lady", "soldBy", "shop",
        "t:lady crm:P24i_changed_ownership_through ?e . "
        "?e a crm:E8_Acquisition ; crm:P23_transferred_title_from t:shop",
    ),
    "height": (
        "lady", "heightMm", "320",
        "t:lady crm:P43_has_dimension ?d . "
        "?d a crm:E54_Dimension ; crm:P90_has_value 320 ; crm:P91_has_unit ?u",
    ),
    "condition": (
        "lady", "condition", "good",
        't:lady crm:P44_has_condition ?s . '
        '?s a crm:E3_Condition_State ; crm:P3_has_note "good"',
    ),
    "name": (
        "lady", "named", "Lady",
        't:lady crm:P1_is_identified_by ?n . '
        '?n a crm:E41_Appellation ; crm:P190_has_symbolic_content "Lady"',
    ),
    "note": ("lady", "markPlace", "back", 't:lady crm:P3_has_note "placed: back"'),
    "kept": ("lady", "lacks", "head", "t:lady k:lacks t:head"),
    "attributed": (
        "lady", "attributedTo", "tarn",
        "t:lady crm:P140i_was_attributed_by ?a . "
        "?a crm:P141_assigned t:tarn",
    ),
    "elsewhere": ("plates", "sourceFollows", "book", "t:plates prov:wasDerivedFrom t:book"),
}  # fmt: skip


@pytest.mark.parametrize(("subject", "says", "value", "pattern"), SAID.values(), ids=SAID)
def test_a_claim_is_stated_by_the_path_of_its_property(
    scene: Scene, subject: str, says: str, value: str, pattern: str
) -> None:
    scene.say(subject, says, value)
    assert holds(store(scene), pattern)
    assert holds(store(scene, Form.CRM_NTRIPLES), pattern)


def test_what_a_piece_lacks_is_never_said_to_be_its_type(scene: Scene) -> None:
    scene.say("lady", "lacks", "head")
    assert not holds(store(scene), "t:lady crm:P2_has_type t:head")


def test_the_claims_about_one_making_share_one_production(scene: Scene) -> None:
    scene.say("lady", "madeBy", "brumelow")
    scene.say("lady", "madeOn", "1878")
    assert holds(
        store(scene), "?p a crm:E12_Production ; crm:P14_carried_out_by t:brumelow ; crm:P4_has_time-span ?s"
    )


WINDOWS = [
    pytest.param("madeOn", "1878", "1878-01-01T00:00:00", "1878-12-31T23:59:59", None, None, id="some time in a year"),
    pytest.param("madeOn", "1878~", "1873-01-01T00:00:00", "1883-12-31T23:59:59", None, None, id="circa"),
    pytest.param("madeOn", "1870/1880", "1870-01-01T00:00:00", "1880-12-31T23:59:59", None, None,
                 id="some time within a stretch"),
    pytest.param("producedIn", "1870/1880", "1870-01-01T00:00:00", "1880-12-31T23:59:59", "1870-12-31T23:59:59",
                 "1880-01-01T00:00:00", id="a stretch that lasts"),
    pytest.param("madeOn", "../1880", None, "1880-12-31T23:59:59", None, None, id="open before"),
    pytest.param("madeOn", "-0099", "-0099-01-01T00:00:00", "-0099-12-31T23:59:59", None, None, id="before our era"),
]  # fmt: skip


@pytest.mark.parametrize(("says", "value", "p82a", "p82b", "p81a", "p81b"), WINDOWS)
def test_a_time_span_holds_the_bounds_of_the_window(
    scene: Scene,
    says: str,
    value: str,
    p82a: str | None,
    p82b: str | None,
    p81a: str | None,
    p81b: str | None,
) -> None:
    scene.add(things=[Thing("aurore", ("Model",), "Aurore")])
    claim = scene.say("aurore" if says == "producedIn" else "lady", says, value)
    found = store(scene)
    names = {"P82a_begin_of_the_begin": p82a, "P82b_end_of_the_end": p82b, "P81a_end_of_the_begin": p81a,
             "P81b_begin_of_the_end": p81b}  # fmt: skip
    span = ox.NamedNode(f"https://kilnmark.example/time/{claim.id}")
    for name, wanted in names.items():
        terms = [q.object for q in found.quads_for_pattern(span, ox.NamedNode(PREFIXES["crm"] + name), None)]
        got = [term.value for term in terms if isinstance(term, ox.Literal)]
        assert got == ([wanted] if wanted else []), name


def test_a_claim_is_a_proposition_set_of_its_source_and_a_belief_of_its_entry(scene: Scene) -> None:
    claim = scene.say("lady", "madeBy", "brumelow")
    assert holds(
        store(scene),
        f"""c:{claim.id} a crminf:I4_Proposition_Set , k:Claim ; rdf:subject t:lady ; rdf:object t:brumelow ;
        crm:P148i_is_component_of t:book ; prov:hadPrimarySource t:book ; prov:wasGeneratedBy e:{claim.entry} .
        ?b a crminf:I2_Belief ; crminf:J4_that c:{claim.id} ; crminf:J5_holds_to_be "held" .
        e:{claim.entry} a crminf:I7_Belief_Adoption , prov:Activity ; crminf:J6_adopted ?b .
        e:{claim.entry} crm:P14_carried_out_by ?who .
        ?who rdfs:label "A. Tester" """,
    )


def test_a_piece_examined_carries_what_is_read_from_it(scene: Scene) -> None:
    scene.add(things=[Thing("z", ("Piece", "ObjectExamined"), "Z")])
    claim = scene.say("lady", "madeBy", "brumelow", source="z")
    assert holds(store(scene), f"c:{claim.id} crm:P128i_is_carried_by t:z")


def judged(scene: Scene, claim: Claim, standing: str) -> None:
    note = Note("B. Reader", judgements=(Judgement(claim.id, standing, "it is misread"),))
    scene.daybook.record(scene.daybook.compose(note))


def test_what_is_set_aside_stands_as_a_proposition_and_is_not_stated(scene: Scene) -> None:
    claim = scene.say("lady", "madeBy", "brumelow")
    judged(scene, claim, "setAside")
    found = store(scene)
    assert holds(
        found,
        f'?b crminf:J4_that c:{claim.id} ; crminf:J5_holds_to_be "set aside" ; k:because "it is misread"',
    )
    assert not holds(found, "t:lady crm:P108i_was_produced_by ?p")


def test_confidential_matter_is_in_no_path(scene: Scene) -> None:
    scene.add(things=[Thing("owner", ("Owner",), "Mrs. Vane", is_confidential=True)])
    scene.add(drafts=[Draft("lady", "ownedBy", "owner", Citation("book", "p. 1"))])
    for form in (Form.TURTLE, Form.CRM, Form.CRM_NTRIPLES):
        file = io.BytesIO()
        export_daybook(scene.daybook, form, file)
        assert b"Vane" not in file.getvalue()
        assert b"thing/owner" not in file.getvalue()
        assert b"t:owner" not in file.getvalue()


def test_an_export_as_of_a_day_states_what_stood_then(scene: Scene) -> None:
    claim = scene.say("lady", "madeBy", "brumelow")
    judged(scene, claim, "withdrawn")
    file = io.BytesIO()
    export_daybook(scene.daybook, Form.CRM, file, as_of=date(2026, 1, 1))
    assert b"P108i_was_produced_by" in file.getvalue()


def test_every_property_has_a_path_or_a_nearest_word_or_is_kept_with_its_reason() -> None:
    for prop in VOCABULARY.properties.values():
        path = path_of(prop)
        assert path.step or (path.is_kept and path.note), prop.name


def test_every_row_of_the_table_of_paths_is_a_property_of_the_vocabulary() -> None:
    assert shipped_paths().keys() <= VOCABULARY.properties.keys()


def test_the_properties_that_ship_need_no_nearest_word_of_the_standard() -> None:
    assert [p.name for p in VOCABULARY.properties.values() if is_nearest_only(path_of(p))] == []


def test_a_new_property_goes_by_its_nearest_word_and_the_export_says_so(scene: Scene) -> None:
    folder = scene.daybook.shelf.folder / "vocabulary"
    folder.mkdir()
    (folder / "own.ttl").write_text(EXTENSION, encoding="utf-8")
    scene.daybook.record(
        scene.daybook.compose(
            Note("A", drafts=(Draft("lady", "smellsOf", "camphor", Citation("book", "p. 1")),))
        )
    )
    book = Daybook.open(scene.daybook.shelf.folder)
    file = io.BytesIO()
    done = export_daybook(book, Form.CRM, file)
    assert done.remarks == ("Put by their nearest word alone: smellsOf.",)
    assert b"# Put by their nearest word alone: smellsOf." in file.getvalue()
    assert holds(store(scene, daybook=book), 't:lady crm:P3_has_note "camphor"')


def test_claims_that_are_not_understood_here_are_counted(scene: Scene) -> None:
    scene.add(drafts=[Draft("lady", "madeUp", "x", Citation("book", "p. 1"))])
    file = io.BytesIO()
    done = export_daybook(scene.daybook, Form.CRM, file)
    assert done.remarks == ("Claims left out, since this vocabulary does not understand them: 1.",)


def test_the_page_on_the_mapping_is_what_the_tables_say() -> None:
    page = Path(__file__).parents[2] / "sources/crm.md"
    told = "Make it anew: python -m kg.intake.crm > sources/crm.md"
    assert page.read_text(encoding="utf-8") == crm_table(VOCABULARY), told


BAD_ROWS = {
    "two paths": ("noted,,,,,crm:P3_has_note,note,,\nnoted,,,,,crm:P3_has_note,note,,", "has a path already"),
    "kept without a reason": ("noted,,,,,,,kept,", "kept with its reason"),
    "no step": ("noted,,,,,,note,,", "expected both"),
    "an unknown form": ("noted,,,,,crm:P3_has_note,poem,,", "expected both"),
    "half an event": ("noted,crm:P14i_performed,,,,crm:P3_has_note,note,,", "stand together"),
}


@pytest.mark.parametrize(("rows", "told"), BAD_ROWS.values(), ids=BAD_ROWS)
def test_a_bad_row_of_the_table_is_refused_by_its_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, rows: str, told: str
) -> None:
    table = tmp_path / "crm_paths.csv"
    table.write_text(f"property,link,node,class,keyed,step,value,kind,note\n{rows}\n", encoding="utf-8")
    monkeypatch.setattr(crm, "resource", lambda _: table)
    with pytest.raises(BadCrmTable, match=told):
        shipped_paths.__wrapped__()


def test_a_property_without_any_word_elsewhere_is_kept() -> None:
    bare = replace(VOCABULARY.properties["noted"], name="unheardOf", maps_to="")
    assert path_of(bare).is_kept
