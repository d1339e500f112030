"""The network picture: things and claims with their places, ready to be drawn, and the same as a sorted list."""

from kg.picture.picture import DARK, LIGHT, MOST_NODES, Ink, Line, Node, Picture, Row, picture

__all__ = ["DARK", "LIGHT", "MOST_NODES", "Ink", "Line", "Node", "Picture", "Row", "picture"]
