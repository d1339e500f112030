"""Time drawn: answers, things and what binds them, as bars along the years."""

from kg.timeline.answer import timeline
from kg.timeline.drawing import Bar, Chain, Clash, Mark, Reason, Timeline
from kg.timeline.things import (
    MOST_THINGS,
    timeline_of_thing,
    timeline_of_things,
    timeline_with_reasons,
    years_of_things,
)

__all__ = [
    "MOST_THINGS",
    "Bar",
    "Chain",
    "Clash",
    "Mark",
    "Reason",
    "Timeline",
    "timeline",
    "timeline_of_thing",
    "timeline_of_things",
    "timeline_with_reasons",
    "years_of_things",
]
