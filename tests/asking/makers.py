"""A small trade whose makers can be told apart, with one piece of an unknown maker."""

from __future__ import annotations

from kg.daybook.record import Citation, Draft, Thing
from tests.conftest import Scene

#: What each maker's pieces mostly show: neck, eyes.
HABITS = {
    "aster": ("feature-shoulder-head", "feature-eyes-painted-plain"),
    "birch": ("feature-swivel-neck", "feature-eyes-glass-fixed"),
    "clary": ("feature-socket-head", "feature-eyes-sleeping"),
}


def trade(scene: Scene) -> Scene:
    """Three makers with twelve pieces each, and `lady`, whose neck was seen and whose maker nobody knows."""
    features = {feature for pair in HABITS.values() for feature in pair}
    things = [Thing(maker, ("Firm",), maker.capitalize()) for maker in HABITS]
    things += [Thing(feature, ("Feature",), feature.removeprefix("feature-")) for feature in features]
    drafts = []
    for maker, shown in HABITS.items():
        for number in range(12):
            piece = f"{maker}-{number:02}"
            things.append(Thing(piece, ("ObjectExamined", "Piece"), f"{maker.capitalize()} piece {number}"))
            drafts.append(Draft(piece, "madeBy", maker, Citation("book", f"p. {number}")))
            odd = HABITS["aster" if maker != "aster" else "birch"] if number == 11 else shown
            drafts += [Draft(piece, "hasFeature", value, Citation(piece, "neck or eyes")) for value in odd]
    drafts.append(Draft("lady", "hasFeature", "feature-swivel-neck", Citation("book", "p. 99")))
    scene.add(things=things, drafts=drafts)
    return scene
