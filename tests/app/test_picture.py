"""The network picture: the same at each look, within its limit, and inert."""

from __future__ import annotations

import json
import re

from kg.daybook.record import Citation, Draft, Thing
from kg.picture import DARK, LIGHT, MOST_NODES, Picture, picture
from tests.conftest import Scene


def pictured(scene: Scene, centre: str = "head") -> Picture:
    view = scene.daybook.view()
    return picture(view, view.claims.values(), centre, {claim: n for n, claim in enumerate(view.claims, 1)})


def sent(page: str, name: str) -> list[dict[str, object]]:
    """The nodes or lines that a page hands to its script."""
    found = re.search(rf"\b{name} = (\[.*?\])(?:, edges|;)", page)
    assert found
    read: list[dict[str, object]] = json.loads(found[1])
    return read


def test_two_looks_at_the_same_claims_are_the_same_page(told: Scene) -> None:
    assert pictured(told).to_html() == pictured(told).to_html()


def test_light_and_dark_are_two_pages_with_two_nonces(told: Scene) -> None:
    nonces = {re.findall(r'nonce="(\w+)"', pictured(told).to_html(ink))[0] for ink in (LIGHT, DARK)}
    assert len(nonces) == 2


def test_no_two_things_share_a_place(told: Scene) -> None:
    nodes = pictured(told).nodes
    assert len({(node.x, node.y) for node in nodes}) == len(nodes)


def test_every_claim_is_a_line_and_a_row(told: Scene) -> None:
    drawn, view = pictured(told), told.daybook.view()
    assert len(drawn.lines) == len(drawn.rows) == len(view.claims)
    assert {row.claim for row in drawn.rows} == set(view.claims)
    assert [row.number for row in drawn.rows] == sorted(row.number or 0 for row in drawn.rows)
    assert len(sent(drawn.to_html(), "edges")) == len(view.claims)


def test_two_claims_between_the_same_things_are_two_lines(scene: Scene) -> None:
    scene.say("head", "madeBy", "brumelow")
    scene.say("head", "madeBy", "brumelow", "plates")
    assert len(sent(pictured(scene).to_html(), "edges")) == 2


def test_the_things_nearest_the_subject_are_kept_when_there_are_too_many(scene: Scene) -> None:
    heads = [Thing(f"head-{n}", ("Head",), f"Head {n}") for n in range(200)]
    drafts = [
        Draft(thing.slug, "madeBy", "brumelow", Citation("book", f"p. {n}")) for n, thing in enumerate(heads)
    ]
    far = Draft("brumelow", "supplied", "tarn", Citation("book", "p. 1"))
    end = Draft("shop", "succeeded", "tarn", Citation("book", "p. 2"))
    scene.add(things=heads, drafts=[*drafts, far, end])
    drawn = pictured(scene, "head-0")
    assert len(drawn.nodes) == MOST_NODES
    assert drawn.left_out == 203 - MOST_NODES
    assert {"head-0", "brumelow"} <= {node.key for node in drawn.nodes}
    assert "shop" not in {node.key for node in drawn.nodes}
    assert len(drawn.rows) == 202
    kept = {node.key for node in drawn.nodes}
    assert all({line.tail, line.head} <= kept for line in drawn.lines)


def test_the_page_reaches_for_nothing_outside(told: Scene) -> None:
    page = pictured(told).to_html()
    ours = re.sub(r"<script nonce=\"\w+\">/\*\*.*?</script>", "", page, flags=re.DOTALL)
    assert len(ours) < 10_000
    assert not re.search(r"(?:https?:)?//|\bsrc=|\bhref=|@import|url\(", ours)
    assert "default-src 'none'" in page


def test_a_hostile_name_reaches_the_script_as_plain_text(scene: Scene) -> None:
    name = "</script><script>canary()</script> <!-- href='x' onerror=\"y\" {{ 7*7 }}"
    scene.add(things=[Thing("evil", ("Person",), name)])
    scene.say("head", "madeBy", "evil")
    page = pictured(scene).to_html()
    assert page.count("</script") == 2
    assert "<!--" not in page.split("const nodes")[1]
    label = next(node["label"] for node in sent(page, "nodes") if "canary" in str(node["label"]))
    assert str(label).startswith("</script><script>canary()</script> <!-- href=")
    assert all("title" not in node for node in sent(page, "nodes"))


def test_a_confidential_thing_bears_the_word(scene: Scene) -> None:
    scene.add(things=[Thing("lender", ("Person",), "A Lender", is_confidential=True)])
    scene.say("head", "ownedInLifetimeBy", "lender")
    drawn = pictured(scene)
    assert "A Lender (confidential)" in [node["label"] for node in sent(drawn.to_html(), "nodes")]
    assert drawn.rows[0].is_confidential
