"""The mapping to CIDOC CRM uses names that the standard has, between classes that it allows.

Sources. CIDOC CRM: ``cidoc_crm_names.csv`` lists classes with their superclasses and properties with domain and range,
taken from a published table of the RDFS of CIDOC CRM 7.1 (FORTH-ICS and CRM-SIG, CC BY 4.0,
https://creativecommons.org/licenses/by/4.0/). Superclasses that the table replaces by classes of its own (of E8, E9,
E10, E74, E85, E86) are from memory. From the head of the RDFS of 7.1.3 (13 February 2024) come the names of P132 and
P133 and which ranges are literals (policies A, B and D); the rest of 7.1.3 was not compared.
CRMinf: names, domains and ranges of CRMinf 1.0 from memory. PROV-O (W3C Recommendation, 30 April 2013): section 4.
"""

from __future__ import annotations

import csv
import io
from functools import cache
from pathlib import Path

import pyoxigraph as ox
import pytest

from kg.intake.crm import Path as CrmPath
from kg.intake.crm import classes_of, shipped_paths
from kg.intake.crm_names import CRM, CRMINF, PROV
from kg.intake.export import export_daybook
from kg.intake.forms import Form
from kg.vocabulary import RDF, load_vocabulary
from tests.conftest import Scene

TABLE = Path(__file__).with_name("cidoc_crm_names.csv")
VOCABULARY = load_vocabulary()
#: CRMinf 1.0, from memory: class -> superclasses; property -> domain and range.
INF_CLASSES = {
    "I1_Argumentation": "E7_Activity",
    "I2_Belief": "E2_Temporal_Entity",
    "I4_Proposition_Set": "E73_Information_Object",
    "I7_Belief_Adoption": "I1_Argumentation",
}
INF_PROPERTIES = {
    "J4_that": ("I2_Belief", "I4_Proposition_Set"),
    "J5_holds_to_be": ("I2_Belief", "literal"),
    "J6_adopted": ("I7_Belief_Adoption", "I2_Belief"),
    "J7_is_based_on_evidence_from": ("I7_Belief_Adoption", "E73_Information_Object"),
}
PROV_NAMES = {
    "Activity", "Agent", "wasGeneratedBy", "hadPrimarySource", "wasAssociatedWith", "endedAtTime", "wasDerivedFrom",
    "wasQuotedFrom", "wasRevisionOf",
}  # fmt: skip
#: What each form of value ends in.
ENDS = {"time": "E52_Time-Span", "name": "E41_Appellation", "identifier": "E42_Identifier", "note": "literal",
        "dimension": "E54_Dimension", "condition": "E3_Condition_State", "text": "literal"}  # fmt: skip


@cache
def superclasses() -> dict[str, set[str]]:
    with TABLE.open(encoding="utf-8") as file:
        own = {
            row["name"]: set(row["superclasses"].split())
            for row in csv.DictReader(file)
            if row["sort"] == "class"
        }
    own |= {name: {above} for name, above in INF_CLASSES.items()}
    return own


@cache
def properties() -> dict[str, tuple[str, str]]:
    with TABLE.open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["sort"] == "property"]
    return {row["name"]: (row["domain"], row["range"]) for row in rows} | INF_PROPERTIES


def line(name: str) -> set[str]:
    """A class with all classes above it."""
    found, waiting = set(), [name]
    while waiting:
        step = waiting.pop()
        if step not in found:
            found.add(step)
            waiting += superclasses().get(step, ())
    return found


def crm_class(kind: str) -> str:
    if kind == "Claim":
        return "I4_Proposition_Set"
    return classes_of(VOCABULARY.kinds[kind], VOCABULARY)[0].partition(":")[2]


def local(name: str) -> str:
    return name.partition(":")[2]


PATHS = [path for path in shipped_paths().values() if not path.is_kept and path.step.startswith("crm:")]
ids = [path.of for path in PATHS]


def test_the_table_of_names_is_whole() -> None:
    assert len(superclasses()) > 75
    assert len(properties()) > 280
    assert all(above in superclasses() for name in superclasses() for above in superclasses()[name])


@pytest.mark.parametrize("path", PATHS, ids=ids)
def test_every_name_of_a_path_is_one_of_the_standard(path: CrmPath) -> None:
    assert local(path.step) in properties()
    if path.link:
        assert local(path.link) in properties()
        assert local(path.event) in superclasses()


@pytest.mark.parametrize("path", PATHS, ids=ids)
def test_a_path_goes_between_classes_that_the_standard_allows(path: CrmPath) -> None:
    prop = VOCABULARY.properties[path.of]
    start, steps = crm_class(prop.domain), []
    if path.link:
        steps.append((path.link, start, local(path.event)))
        start = local(path.event)
    end = ENDS.get(path.value) or crm_class(prop.range)
    steps.append((path.step, start, end))
    misfits = []
    for name, subject, value in steps:
        domain, reach = properties()[local(name)]
        if domain not in line(subject):
            misfits.append((subject, domain))
        if reach not in line(value):
            misfits.append((value, reach))
    # A path marked as narrower holds for those things only that are of the narrower class; it must lie below.
    if path.kind == "narrows":
        assert misfits
        assert path.note
        assert all(ours in line(theirs) for ours, theirs in misfits), misfits
    else:
        assert misfits == []


@pytest.mark.parametrize("kind", sorted(VOCABULARY.kinds))
def test_every_kind_of_thing_has_a_class_that_the_standard_knows(kind: str) -> None:
    if kind == "Entry":
        assert classes_of(VOCABULARY.kinds[kind], VOCABULARY) == ("prov:Activity",)
    else:
        assert crm_class(kind) in {"Belief", *superclasses()}


def test_an_export_uses_no_name_that_the_standards_lack(scene: Scene) -> None:
    for says, value in (("madeBy", "brumelow"), ("madeOn", "1878~"), ("heightMm", "320"), ("condition", "good"),
                        ("soldBy", "shop"), ("noted", "fine"), ("named", "Lady"), ("ownedBy", "tarn")):  # fmt: skip
        scene.say("lady", says, value)
    scene.say("brumelow", "bornOn", "1839")
    file = io.BytesIO()
    export_daybook(scene.daybook, Form.CRM, file)
    seen = set()
    for quad in ox.parse(file.getvalue(), format=ox.RdfFormat.TURTLE):
        seen.add(quad.predicate.value)
        if quad.predicate.value == RDF + "type" and isinstance(quad.object, ox.NamedNode):
            seen.add(quad.object.value)
    known = {*superclasses(), *properties()}
    used = {iri.removeprefix(base) for base in (CRM, CRMINF) for iri in seen if iri.startswith(base)}
    assert len(used) > 30
    assert used - known == set()
    assert {iri.removeprefix(PROV) for iri in seen if iri.startswith(PROV)} <= PROV_NAMES
