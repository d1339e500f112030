"""The network picture: the same at each look, within its limit, and inert."""

from __future__ import annotations

from typing import Any

from kg.chronology.chronology import Chronology
from kg.daybook.record import Citation, Draft, Thing
from kg.picture import FAMILIES, MOST_NODES, Picture, family_of, kinds_of, picture
from kg.picture.around import picture_around, picture_of_threads
from kg.sources_weighed.dependence import Weighed
from kg.threads.threads import LIKENESS, Allowed, Threads
from kg.vocabulary import load_vocabulary
from tests.conftest import Scene


def pictured(scene: Scene, centre: str = "head") -> Picture:
    view = scene.daybook.view()
    return picture(view, view.claims.values(), centre, {claim: n for n, claim in enumerate(view.claims, 1)})


def threads_of(scene: Scene) -> Threads:
    view = scene.daybook.view()
    return Threads(Weighed(view), Chronology(view))


def many_heads(scene: Scene) -> None:
    """200 heads by Brumelow, who supplied Tarn, whom the shop succeeded."""
    heads = [Thing(f"head-{n}", ("Head",), f"Head {n}") for n in range(200)]
    drafts = [
        Draft(thing.slug, "madeBy", "brumelow", Citation("book", f"p. {n}")) for n, thing in enumerate(heads)
    ]
    far = Draft("brumelow", "supplied", "tarn", Citation("book", "p. 1"))
    end = Draft("shop", "succeeded", "tarn", Citation("book", "p. 2"))
    scene.add(things=heads, drafts=[*drafts, far, end])


def keys(drawn: Picture) -> set[str]:
    return {node.key for node in drawn.nodes}


def labels(drawn: Picture) -> list[str]:
    nodes: list[dict[str, Any]] = drawn.drawn()["nodes"]
    return [str(node["label"]) for node in nodes]


def test_two_looks_at_the_same_claims_are_the_same(told: Scene) -> None:
    assert pictured(told).drawn() == pictured(told).drawn()


def test_no_two_things_share_a_place(told: Scene) -> None:
    many_heads(told)
    for nodes in (pictured(told).nodes, pictured(told, "brumelow").nodes):
        assert len({(node.x, node.y) for node in nodes}) == len(nodes)


def test_every_claim_is_a_line_and_a_row(told: Scene) -> None:
    drawn, view = pictured(told), told.daybook.view()
    assert len(drawn.lines) == len(drawn.rows) == len(drawn.drawn()["lines"]) == len(view.claims)
    assert {row.claim for row in drawn.rows} == set(view.claims)
    assert [row.number for row in drawn.rows] == sorted(row.number or 0 for row in drawn.rows)


def test_two_claims_between_the_same_things_are_two_lines_apart(scene: Scene) -> None:
    scene.say("head", "madeBy", "brumelow")
    scene.say("head", "madeBy", "brumelow", "plates")
    lines = pictured(scene).drawn()["lines"]
    assert [line["bend"] for line in lines] == [0, 0.22]


def test_the_things_nearest_the_subject_are_kept_when_there_are_too_many(scene: Scene) -> None:
    many_heads(scene)
    drawn = pictured(scene, "head-0")
    assert len(drawn.nodes) == MOST_NODES
    assert drawn.left_out == 203 - MOST_NODES
    assert {"head-0", "brumelow"} <= keys(drawn)
    assert "shop" not in keys(drawn)
    assert len(drawn.rows) == 202
    assert all({line.tail, line.head} <= keys(drawn) for line in drawn.lines)


def test_a_full_picture_is_no_wider_than_twice_its_height(scene: Scene) -> None:
    many_heads(scene)
    nodes = pictured(scene, "brumelow").nodes
    wide, high = (max(p) - min(p) for p in zip(*((node.x, node.y) for node in nodes), strict=True))
    assert high < wide < 2 * high


def test_a_thing_or_line_carries_nothing_that_the_script_would_read_as_markup(scene: Scene) -> None:
    name = "</script><script>canary()</script> <!-- href='x' onerror=\"y\" {{ 7*7 }}"
    scene.add(things=[Thing("evil", ("Person",), name)])
    scene.say("head", "madeBy", "evil")
    drawn = pictured(scene).drawn()
    assert any("canary" in label for label in labels(pictured(scene)))
    for one in (*drawn["nodes"], *drawn["lines"]):
        assert not {"title", "image", "icon", "shapeProperties"} & one.keys()
    assert {node["shape"] for node in drawn["nodes"]} == {"box"}


def test_a_confidential_thing_bears_the_word(scene: Scene) -> None:
    scene.add(things=[Thing("lender", ("Person",), "A Lender", is_confidential=True)])
    scene.say("head", "ownedInLifetimeBy", "lender")
    drawn = pictured(scene)
    assert "● A Lender (confidential)" in labels(drawn)
    assert drawn.rows[0].is_confidential


def test_what_is_faded_takes_its_lines_along_and_keeps_its_place(told: Scene) -> None:
    drawn = pictured(told)
    number = next(n for n, node in enumerate(drawn.nodes) if node.key == "brumelow")
    faded = drawn.drawn({"brumelow"})
    assert [node["id"] for node in faded["nodes"] if node["faded"]] == [number]
    assert all(line["faded"] == (number in (line["from"], line["to"])) for line in faded["lines"])
    same = [{**node, "faded": False} for node in faded["nodes"]]
    assert same == drawn.drawn()["nodes"]


def test_every_class_of_the_vocabulary_belongs_to_one_family() -> None:
    vocabulary = load_vocabulary()
    for kind in vocabulary.kinds:
        if kind == "Thing":
            continue
        family = family_of(vocabulary, (kind,))
        holding = [
            other.name
            for other in FAMILIES
            if any(vocabulary.is_a((kind,), wanted) for wanted in kinds_of(vocabulary, other))
        ]
        assert holding == [family.name], kind


def test_each_family_has_a_sign_of_its_own() -> None:
    assert len({family.sign for family in FAMILIES}) == len(FAMILIES)


def test_the_surroundings_are_as_far_as_was_asked(told: Scene) -> None:
    told.say("brumelow", "supplied", "tarn")
    told.say("shop", "succeeded", "tarn")
    threads = threads_of(told)
    assert keys(picture_around(threads, "head", 1, Allowed())) == {"head", "brumelow", "deposit"}
    assert keys(picture_around(threads, "head", 2, Allowed())) == {"head", "brumelow", "deposit", "tarn"}
    assert "shop" in keys(picture_around(threads, "head", 3, Allowed()))


def test_what_many_things_share_is_met_and_not_gone_through(scene: Scene) -> None:
    scene.add(things=[Thing("bisque", ("Material",), "Bisque"), Thing("other", ("Head",), "Another head")])
    scene.say("head", "usesMaterial", "bisque")
    scene.say("other", "usesMaterial", "bisque")
    assert keys(picture_around(threads_of(scene), "head", 3, Allowed())) == {"head", "bisque"}
    assert "other" in keys(picture_around(threads_of(scene), "bisque", 1, Allowed()))
    without = Allowed(not_kinds=frozenset(LIKENESS))
    assert keys(picture_around(threads_of(scene), "head", 3, without)) == {"head"}


def test_all_claims_that_join_two_things_are_one_line_in_the_surroundings(scene: Scene) -> None:
    first = scene.say("head", "madeBy", "brumelow", "register")
    second = scene.say("head", "madeBy", "brumelow", "plates")
    (line,) = picture_around(threads_of(scene), "head", 1, Allowed()).lines
    assert set(line.claims) == {first.id, second.id}
    assert (line.tail, line.head) == ("head", "brumelow")


def test_the_surroundings_hold_no_more_than_can_be_drawn(scene: Scene) -> None:
    many_heads(scene)
    drawn = picture_around(threads_of(scene), "brumelow", 1, Allowed())
    assert len(drawn.nodes) == MOST_NODES
    assert drawn.left_out == 202 - MOST_NODES


def test_the_picture_of_threads_holds_each_link_once(told: Scene) -> None:
    told.say("head", "madeBy", "brumelow", "plates")
    told.say("deposit", "registeredBy", "brumelow", "register")
    threads = threads_of(told)
    found = threads.between("head", "brumelow", 3)
    drawn = picture_of_threads(threads, found)
    assert keys(drawn) == {"head", "brumelow", "deposit"}
    assert len(drawn.lines) == 3
    assert next(node for node in drawn.nodes if node.is_centre).key == "head"
