"""The derivations of the PROV Primer, recorded as claims about sources.

W3C, "PROV Model Primer", Working Group Note of 30 April 2013, sections on derivation, revision and alternates: a
newspaper's data set is corrected, charts are made from it, an article is written from it and a blog quotes the article.
W3C, "PROV-O: The PROV Ontology", Recommendation of 30 April 2013: revision, quotation and primary source are kinds of
derivation.
"""

from __future__ import annotations

import pytest

from kg.daybook.record import Citation, Draft, Thing, compose
from kg.daybook.view import WorkingView
from kg.sources_weighed.derivation import Derivation
from kg.sources_weighed.flow import most_routes
from kg.vocabulary import load_vocabulary
from tests.sources_weighed.scenes import WHEN

PROV = "http://www.w3.org/ns/prov#"
#: The derivations that the Primer states: the later entity, the relation, the earlier one.
PRIMER = (
    ("dataset2", "wasRevisionOf", "dataset1"),
    ("chart2", "wasDerivedFrom", "dataset2"),
    ("chart2", "wasRevisionOf", "chart1"),
    ("quoteInBlogEntry-20130326", "wasQuotedFrom", "article"),
    ("articleV1", "wasDerivedFrom", "dataset1"),
)
#: Relations that PROV-O puts under derivation, and derivation itself.
DERIVATIONS = {"wasDerivedFrom", "wasRevisionOf", "wasQuotedFrom", "hadPrimarySource"}
VOCABULARY = load_vocabulary()


def our_property(relation: str) -> str:
    """The first of our properties between sources that stands for a relation of PROV."""
    return next(
        prop.name
        for prop in VOCABULARY.properties.values()
        if prop.is_derivation and prop.domain == "Source" and prop.maps_to == PROV + relation
    )


@pytest.fixture
def derivation() -> Derivation:
    names = sorted({name for one, _, other in PRIMER for name in (one, other)})
    things = tuple(Thing(name, ("Dataset",), name) for name in names)
    drafts = tuple(Draft(a, our_property(r), b, Citation(a, "PROV")) for a, r, b in PRIMER)
    entry = compose(WHEN, "A. Tester", things=things, drafts=drafts)
    return Derivation.of(WorkingView.of(VOCABULARY, [entry]))


def test_every_derivation_of_ours_is_one_in_prov() -> None:
    relations = {p.maps_to.removeprefix(PROV) for p in VOCABULARY.properties.values() if p.is_derivation}
    assert relations <= DERIVATIONS
    assert {relation for _, relation, _ in PRIMER} <= relations


def test_the_links_of_the_primer_are_read_as_they_are_stated(derivation: Derivation) -> None:
    names = derivation.sources
    found = {(names[low], names[high]) for low, high in derivation.links}
    assert found == {(one, other) for one, _, other in PRIMER}


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("chart2", {"chart2", "chart1", "dataset2", "dataset1"}),
        ("dataset2", {"dataset2", "dataset1"}),
        ("articleV1", {"articleV1", "dataset1"}),
        ("quoteInBlogEntry-20130326", {"quoteInBlogEntry-20130326", "article"}),
        ("chart1", {"chart1"}),
    ],
)
def test_what_stands_behind_each_entity_of_the_primer(
    derivation: Derivation, name: str, expected: set[str]
) -> None:
    assert {derivation.sources[n] for n in derivation.above([derivation.number[name]])} == expected


def test_the_corrected_chart_and_the_article_share_the_first_data_set(derivation: Derivation) -> None:
    starts = [derivation.number[name] for name in ("chart2", "articleV1")]
    end = derivation.number["dataset1"]
    found = most_routes(starts, lambda n: derivation.parents.get(n, ()), lambda n: n == end)
    assert len(found.routes) == 1
    assert found.cut == (end,)
