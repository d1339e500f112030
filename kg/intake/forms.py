"""The formats of an export; apart, so that the command line can name them without loading an RDF engine."""

from enum import StrEnum


class Form(StrEnum):
    """The formats of an export."""

    TRIG = "trig"
    NQUADS = "nquads"
    JSONLD = "jsonld"
    CSV = "csv"
