"""What the W3C's own examples say is read as they say, and our exports are read by another parser as by ours.

Sources, quoted briefly under the W3C Document License (https://www.w3.org/copyright/document-license/, © W3C): RDF 1.1
Turtle, TriG and N-Quads (Recommendations, 25 February 2014; section numbers), whose examples were read in the
editors' drafts of RDF 1.2, and JSON-LD 1.1 (Recommendation, 16 July 2020; titles of examples, from the specification's
own folder of examples). Cases marked "by the grammar" are ours: a short text that a named production allows or forbids.
The second parser is that of rdflib.
"""

from __future__ import annotations

import io

import pyoxigraph as ox
import pytest
import rdflib

from kg.intake.export import export_daybook
from kg.intake.forms import Form
from kg.intake.rdf_in_parse import BadRdf, parse_bytes
from tests.conftest import Scene

TURTLE, TRIG, NQUADS, JSONLD = (
    ox.RdfFormat.TURTLE, ox.RdfFormat.TRIG, ox.RdfFormat.N_QUADS, ox.RdfFormat.JSON_LD,
)  # fmt: skip
FOAF = "PREFIX foaf: <http://xmlns.com/foaf/0.1/>\n"
SHOW = "PREFIX show: <http://example.org/vocab/show/>\n"
ENEMY = "<http://www.perceive.net/schemas/relationship/enemyOf>"

#: Format, text, and how many statements it makes.
READ = {
    "Turtle 2.1 simple triples": (
        TURTLE,
        f"<http://example.org/#spiderman> {ENEMY} <http://example.org/#green-goblin> .",
        1,
    ),
    "Turtle 2.2 predicate lists": (
        TURTLE,
        f"<http://example.org/#spiderman> {ENEMY} <http://example.org/#green-goblin> ;\n"
        '  <http://xmlns.com/foaf/0.1/name> "Spiderman" .',
        2,
    ),
    "Turtle 2.3 object lists": (
        TURTLE,
        FOAF + '<http://example.org/#spiderman> foaf:name "Spiderman", "Человек-паук"@ru .',
        2,
    ),
    "Turtle 2.4 prefixes as in SPARQL": (
        TURTLE,
        "PREFIX somePrefix: <http://www.perceive.net/schemas/relationship/>\n"
        "<http://example.org/#green-goblin> somePrefix:enemyOf <http://example.org/#spiderman> .",
        1,
    ),
    "Turtle 2.4 all ways of writing IRIs": (
        TURTLE,
        "<http://one.example/subject1> <http://one.example/predicate1> <http://one.example/object1> "
        ".\n"
        "@base <http://one.example/> .\n"
        "<subject2> <predicate2> <object2> .\n"
        "BASE <http://one.example/>\n"
        "<subject2> <predicate2> <object2> .\n"
        "@prefix p: <http://two.example/> .\n"
        "p:subject3 p:predicate3 p:object3 .\n"
        "@prefix p: <path/> .\n"
        "p:subject4 p:predicate4 p:object4 .\n"
        "PrEfIx : <http://another.example/>\n"
        ":subject5 :predicate5 :object5 .\n"
        ":subject6 a :subject7 .\n"
        "<http://伝言.example/?user=أ&channel=R%26D> a :subject8 .",
        8,
    ),
    "Turtle 2.5.1 quoted literals": (
        TURTLE,
        SHOW + "show:218 show:localName 'Cette Série des Années Soixante-dix'@fr , \"Cette Série des Années "
        'Septante"@fr-be .\n'
        "show:218 show:blurb '''This is a multi-line\n"
        'literal with many quotes (""""")\n'
        "and up to two sequential apostrophes ('').''' .",
        3,
    ),
    "Turtle 2.5.2 numbers": (
        TURTLE,
        "PREFIX : <http://example.org/elements>\n"
        "<http://en.wikipedia.org/wiki/Helium>\n"
        "  :atomicNumber 2 ;\n"
        "  :atomicMass 4.002602 ;\n"
        "  :specificGravity 1.663E-4 .",
        3,
    ),
    "Turtle 2.5.3 booleans": (
        TURTLE,
        "PREFIX : <http://example.org/stats>\n"
        "<http://somecountry.example/census2007> :isLandlocked false .",
        1,
    ),
    "Turtle 2.6 blank nodes": (TURTLE, FOAF + "_:alice foaf:knows _:bob .\n_:bob foaf:knows _:alice .", 2),
    "Turtle 2.7 nested blank nodes": (TURTLE, FOAF + '[] foaf:knows [ foaf:name "Bob" ] .', 2),
    "Turtle 2.8 collections": (
        TURTLE,
        "PREFIX : <http://example.org/foo>\n"
        ":subject :predicate ( :a :b :c ) .\n"
        ":subject :predicate2 () .",
        8,
    ),
    "Turtle 1.2 reifying triples": (
        TURTLE,
        "PREFIX : <http://www.example.org/>\n"
        ':employee38 :familyName "Smith" .\n'
        '<< :employee38 :jobTitle "Assistant Designer" >> :accordingTo :employee22 .',
        3,
    ),
    "Turtle 1.2 triple terms": (
        TURTLE,
        "PREFIX : <http://example.com/>\n"
        "PREFIX rdf: <http://www.w3.org/1999/02/22-rdf-syntax-ns#>\n"
        ':a :name "Alice" .\n'
        ':t rdf:reifies <<( :a :name "Alice" )>> .\n'
        ":t :statedBy :bob .",
        3,
    ),
    "TriG 2.2 one graph": (
        TRIG,
        "PREFIX ex: <http://www.example.org/vocabulary#>\n"
        "PREFIX : <http://www.example.org/exampleDocument#>\n"
        ":G1 { :Monica a ex:Person ;\n"
        '  ex:name "Monica Murphy" ;\n'
        "  ex:homepage <http://www.monicamurphy.org> ;\n"
        "  ex:email <mailto:monica@monicamurphy.org> ;\n"
        "  ex:hasSkill ex:Management ,\n"
        "    ex:Programming .\n"
        "}",
        6,
    ),
    "TriG 2.2 default and named graphs": (
        TRIG,
        "PREFIX dc: <http://purl.org/dc/terms/>\n" + FOAF + '{ <http://example.org/bob> dc:publisher "Bob" . '
        '<http://example.org/alice> dc:publisher '
        '"Alice" . }\n'
        '<http://example.org/bob> { _:a foaf:name "Bob" . _:a foaf:mbox '
        "<mailto:bob@oldcorp.example.org> . _:a foaf:knows _:b . }\n"
        '<http://example.org/alice> { _:b foaf:name "Alice" . _:b foaf:mbox '
        "<mailto:alice@work.example.org> . }",
        7,
    ),
    "TriG 2.2 the keyword GRAPH": (
        TRIG,
        FOAF + 'GRAPH <http://example.org/alice> { _:b foaf:name "Alice" ; foaf:mbox '
        "<mailto:alice@work.example.org> }",
        2,
    ),
    "N-Quads 1 comments": (
        NQUADS,
        "<http://one.example/subject1> <http://one.example/predicate1> <http://one.example/object1> "
        "<http://example.org/graph3> . # comments here\n"
        "# or on a line by themselves\n"
        '_:subject1 <http://an.example/predicate1> "object1" <http://example.org/graph1> .\n'
        '_:subject2 <http://an.example/predicate2> "object2" <http://example.org/graph5> .',
        3,
    ),
    "N-Quads 2.1 simple statements": (
        NQUADS,
        f"<http://example.org/#spiderman> {ENEMY} <http://example.org/#green-goblin> "
        "<http://example.org/graphs/spiderman> .",
        1,
    ),
    "N-Quads 2.4 blank nodes": (
        NQUADS,
        "_:alice <http://xmlns.com/foaf/0.1/knows> _:bob .\n"
        "_:bob   <http://xmlns.com/foaf/0.1/knows> _:alice .",
        2,
    ),
    "JSON-LD, identifying a node": (
        JSONLD,
        '{"@context": {"name": "http://schema.org/name"}, "@id": "http://example.org/", "name": "A. '
        'Reader"}',
        1,
    ),
    "JSON-LD, identifying a node, expanded": (
        JSONLD,
        '[{"@id": "http://example.org/", "http://schema.org/name": [{"@value": "A. Reader"}]}]',
        1,
    ),
    "JSON-LD, embedding a node": (
        JSONLD,
        '{"@context": {"@vocab": "http://xmlns.com/foaf/0.1/"}, "@type": "Person", "name": "A", '
        '"knows": {"@id": "https://example.net/foaf#me", "@type": "Person", "name": "B"}}',
        5,
    ),
    "JSON-LD, expanded term definition with types": (
        JSONLD,
        '{"@context": {"xsd": "http://www.w3.org/2001/XMLSchema#", "name": '
        '"http://xmlns.com/foaf/0.1/name", "age": {"@id": "http://xmlns.com/foaf/0.1/age", "@type": '
        '"xsd:integer"}, "homepage": {"@id": "http://xmlns.com/foaf/0.1/homepage", "@type": "@id"}}, '
        '"@id": "http://example.com/people#john", "name": "John Smith", "age": "41", "homepage": '
        '["http://personal.example.org/", "http://work.example.com/jsmith/"]}',
        4,
    ),
    "JSON-LD, embedded and scoped contexts": (
        JSONLD,
        '{"@context": {"@version": 1.1, "@vocab": "http://example.com/vocab/", "property": {"@id": '
        '"http://example.com/vocab/property", "@context": {"term1": '
        '"http://example.com/vocab/term1"}}}, "property": {"@context": {"term2": '
        '"http://example.com/vocab/term2"}, "term1": "a", "term2": "b"}}',
        3,
    ),
    "JSON-LD, a protected context with an exception": (
        JSONLD,
        '{"@context": [{"@version": 1.1, "@protected": true, "name": "http://schema.org/name", '
        '"member": "http://schema.org/member", "Person": {"@id": "http://schema.org/Person", '
        '"@protected": false}}], "name": "A", "member": {"@context": {"Person": '
        '"http://xmlns.com/foaf/0.1/Person"}, "@type": "Person", "name": "B"}}',
        4,
    ),
    "JSON-LD, included nodes": (
        JSONLD,
        '{"@context": {"Person": "http://xmlns.com/foaf/0.1/Person", "name": '
        '"http://xmlns.com/foaf/0.1/name", "knows": {"@id": "http://xmlns.com/foaf/0.1/knows", '
        '"@type": "@id"}}, "@included": [{"@id": "http://a.example/#a", "@type": "Person", "name": '
        '"A", "knows": "http://b.example/#b"}, {"@id": "http://b.example/#b", "@type": "Person", '
        '"name": "B"}]}',
        5,
    ),
    "JSON-LD 1.1 API 5.1: a key without an IRI is no statement": (
        JSONLD,
        '{"about this export": ["x"], "@graph": [{"@id": "http://a/", "http://p/": "x"}]}',
        1,
    ),
}  # fmt: skip

#: Format, text, and a part of what is told.
REFUSED = {
    "Turtle 6.3 a relative IRI without a base": (TURTLE, "<a> <http://p/> <http://o/> .", "absolute IRI"),
    "Turtle, by the grammar: a literal as subject": (TURTLE, '"a" <http://p/> <http://o/> .', "no Turtle"),
    "Turtle, by the grammar: a prefix that is not defined": (TURTLE, "x:a x:b x:c .", "no Turtle"),
    "Turtle, by the grammar: a line break in a short string": (
        TURTLE,
        '<http://a/> <http://p/> "a\n'
        'b" .',
        "no Turtle",
    ),
    "Turtle, by the grammar: no full stop": (TURTLE, "<http://a/> <http://p/> <http://o/>", "no Turtle"),
    "TriG, by the grammar: a graph that is not closed": (
        TRIG,
        "<http://g/> { <http://a/> <http://p/> 1 .",
        "no TriG",
    ),
    "TriG, by the grammar: a graph within a graph": (TRIG, "<http://g/> { <http://h/> { } }", "no TriG"),
    "N-Quads 2.2 a relative IRI": (NQUADS, "<a> <http://p/> <http://o/> .", "no N-Quads"),
    "N-Quads, by the grammar: a literal as graph": (
        NQUADS,
        '<http://a/> <http://p/> <http://o/> "g" .',
        "no N-Quads",
    ),
    "N-Quads, by the grammar: a prefix": (NQUADS, "@prefix x: <http://x/> .", "no N-Quads"),
    "JSON-LD, external and local contexts": (
        JSONLD,
        '{"@context": ["https://json-ld.org/contexts/person.jsonld", {"pic": {"@id": '
        '"http://xmlns.com/foaf/0.1/depiction", "@type": "@id"}}], "name": "A"}',
        "Nothing is fetched",
    ),
    "JSON-LD 4.1.11 a protected term defined anew": (
        JSONLD,
        '{"@context": [{"@version": 1.1, "@protected": true, "name": "http://schema.org/name"}, '
        '{"name": "http://other.example/"}], "name": "A"}',
        "no JSON-LD",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("form", "text", "number"), READ.values(), ids=READ)
def test_an_example_of_the_standard_makes_the_statements_that_it_says(
    form: ox.RdfFormat, text: str, number: int
) -> None:
    assert len(parse_bytes(text.encode(), form, "example").quads) == number


@pytest.mark.parametrize(("form", "text", "told"), REFUSED.values(), ids=REFUSED)
def test_what_the_standard_forbids_is_refused(form: ox.RdfFormat, text: str, told: str) -> None:
    with pytest.raises(BadRdf, match=told):
        parse_bytes(text.encode(), form, "example")


PARSERS = {
    Form.TRIG: ("trig", TRIG),
    Form.NQUADS: ("nquads", NQUADS),
    Form.JSONLD: ("json-ld", JSONLD),
    Form.TURTLE: ("turtle", TURTLE),
    Form.CRM: ("turtle", TURTLE),
    Form.CRM_NTRIPLES: ("nt", ox.RdfFormat.N_TRIPLES),
}


@pytest.mark.parametrize("form", list(PARSERS))
def test_another_parser_reads_an_export_as_ours_does(
    scene: Scene, form: Form, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Texts are compared as they are written; rdflib would turn 09:00:00Z into 09:00:00+00:00.
    monkeypatch.setattr(rdflib, "NORMALIZE_LITERALS", False)
    scene.say("lady", "madeOn", "1878~")
    scene.say(
        "lady", "noted", 'quote " back \\ tab \t line \r\n \u2028 \U0001f38e {} <> # ='.replace("\r\n", " ")
    )
    scene.say("lady", "madeBy", "brumelow")
    file = io.BytesIO()
    export_daybook(scene.daybook, form, file)
    name, ours = PARSERS[form]
    theirs = rdflib.Dataset(default_union=True)
    theirs.parse(data=file.getvalue(), format=name)
    default = "urn:x-rdflib:default"
    read = {
        (str(s), str(p), str(o), "" if g is None or str(g) == default else str(g))
        for s, p, o, g in theirs.quads()
    }
    parsed = parse_bytes(file.getvalue(), ours, "export").quads
    wanted = {
        (q.subject.value, q.predicate.value, q.object.value,  # type: ignore[union-attr]  # no triple terms
         "" if isinstance(q.graph_name, ox.DefaultGraph) else q.graph_name.value)
        for q in parsed
    }  # fmt: skip
    assert len(wanted) > 20
    assert read == wanted
