"""The network picture: things and claims with their places, ready to be drawn, and the same as a sorted list.

The picture of surroundings (`kg.picture.around`) weighs claims, and is imported by who needs it.
"""

from kg.picture.looks import FAMILIES, Family, Manner, family_of, kinds_of
from kg.picture.picture import MOST_NODES, Line, Node, Picture, Row, drawing_script, picture

__all__ = [
    "FAMILIES",
    "MOST_NODES",
    "Family",
    "Line",
    "Manner",
    "Node",
    "Picture",
    "Row",
    "drawing_script",
    "family_of",
    "kinds_of",
    "picture",
]
