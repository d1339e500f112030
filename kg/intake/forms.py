"""The formats of an export; apart, so that the command line can name them without loading an RDF engine."""

from enum import StrEnum


class Form(StrEnum):
    """The formats of an export."""

    TRIG = "trig"
    NQUADS = "nquads"
    JSONLD = "jsonld"
    TURTLE = "turtle"
    CRM = "crm"
    CRM_NTRIPLES = "crm-nt"
    CSV = "csv"
    XLSX = "xlsx"

    @property
    def is_text(self) -> bool:
        """Whether it can be shown at a terminal."""
        return self is not Form.XLSX
