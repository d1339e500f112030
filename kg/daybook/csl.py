"""Sources as items of the Citation Style Language (CSL-JSON), for citations and bibliographies in print.

What claims say of a source is taken from them. A source that never came from a bibliography has its whole
reference in its name; ``kg.daybook.csl_label`` reads that, as far as claims confirm it. Whatever was read or
chosen rather than claimed is told beside the item.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from kg.daybook.csl_dates import csl_date
from kg.daybook.csl_label import Author, person_name, read_label
from kg.daybook.record import Claim
from kg.daybook.view import NotInDaybook, WorkingView
from kg.errors import KilnmarkError
from kg.vocabulary import Vocabulary

_TYPES = (
    "article article-journal article-magazine article-newspaper bill book broadcast chapter classic collection "
    "dataset document entry entry-dictionary entry-encyclopedia event figure graphic hearing interview legal_case "
    "legislation manuscript map motion_picture musical_score pamphlet paper-conference patent performance "
    "periodical personal_communication post post-weblog regulation report review review-book software song speech "
    "standard thesis treaty webpage"
)
#: Types of items that the Citation Style Language 1.0.2 knows (its specification, appendix III).
TYPES = frozenset(_TYPES.split())

#: Each text property of a source, and the CSL variable that it fills.
VARIABLES: Mapping[str, str] = {
    "title": "title",
    "containerTitle": "container-title",
    "seriesTitle": "collection-title",
    "seriesNumber": "collection-number",
    "volume": "volume",
    "issueNumber": "issue",
    "pageRange": "page",
    "numberOfPages": "number-of-pages",
    "numberOfVolumes": "number-of-volumes",
    "edition": "edition",
    "publisher": "publisher",
    "publicationPlace": "publisher-place",
    "documentNumber": "number",
    "genre": "genre",
    "eventTitle": "event",
    "archive": "archive",
    "shelfmark": "call-number",
    "isbn": "ISBN",
    "issn": "ISSN",
    "doi": "DOI",
    "webAddress": "URL",
    "textLanguage": "language",
}
#: Each property that links a source with people and firms, and the CSL variable that it fills.
NAMES: Mapping[str, str] = {"writtenBy": "author", "editedBy": "editor", "translatedBy": "translator"}
#: What a claim ``furtherNames`` says where the list of these people is not whole.
FURTHER: Mapping[str, str] = {"writtenBy": "authors", "editedBy": "editors", "translatedBy": "translators"}
#: Each date of a source, and the CSL variable that it fills.
DATES: Mapping[str, str] = {"publishedOn": "issued", "consultedOn": "accessed"}

#: The CSL type that stands for a class of the bibliographic ontology, to which the classes of sources map.
_TYPE_OF = {
    "Book": "book",
    "Article": "article-journal",
    "Issue": "periodical",
    "Patent": "patent",
    # A letter on record is a document that can be seen again; CSL's personal communications have no bibliography.
    "Letter": "manuscript",
    "PersonalCommunication": "interview",
    "Image": "graphic",
    "Thesis": "thesis",
    "Manuscript": "manuscript",
    "Webpage": "webpage",
    "ReferenceSource": "book",
    "Collection": "dataset",
}


class NotASource(KilnmarkError):
    """A thing was to be cited that is no source."""


class ConfidentialSource(KilnmarkError):
    """A source was to be cited in print that must stay out of it."""

    def __init__(self, slug: str) -> None:
        super().__init__(f"{slug} is confidential; it cannot be cited in print. Cite another source.")
        #: The source that was asked for.
        self.source = slug


@dataclass(frozen=True, slots=True)
class CitedSource:
    """A source as it is cited: its CSL-JSON item, and what of it no claim says."""

    item: dict[str, Any]
    told: tuple[str, ...]
    """Sentences on what was read from a name, or chosen among claims that differ."""


def csl_items(view: WorkingView, sources: Iterable[str]) -> list[dict[str, Any]]:
    """The CSL-JSON items of some sources, each once, in the order in which they are first named.

    :raises kg.daybook.view.NotInDaybook: if the daybook holds no such source.
    :raises NotASource: if one is no source.
    :raises ConfidentialSource: if one must stay out of print.
    """
    return [cited_source(view, slug).item for slug in dict.fromkeys(sources)]


def cited_source(view: WorkingView, slug: str) -> CitedSource:
    """One source as it is cited; confidential claims say nothing of it.

    :raises kg.daybook.view.NotInDaybook: if the daybook holds no such source.
    :raises NotASource: if it is no source.
    :raises ConfidentialSource: if it must stay out of print.
    """
    thing = view.things.get(slug)
    if thing is None:
        raise NotInDaybook(f"The source {slug!r} is not in the daybook.{view.near(slug.casefold())}")
    if not view.vocabulary.is_a(thing.kinds, "Source"):
        raise NotASource(f"{slug} is no source but a {', '.join(thing.kinds)}; cite where it is printed.")
    if thing.is_confidential:
        raise ConfidentialSource(slug)
    return _Citing(view, slug).cited()


class _Citing:
    """Builds the item of one source."""

    def __init__(self, view: WorkingView, slug: str) -> None:
        self.view, self.slug = view, slug
        self.told: list[str] = []
        self.claims: dict[str, list[Claim]] = {}
        for claim in view.by_subject.get(slug, ()):
            if not view.is_confidential(claim):
                self.claims.setdefault(claim.property, []).append(claim)
        for found in self.claims.values():
            found.sort(key=lambda claim: view.standing(claim.id) != "held")

    def cited(self) -> CitedSource:
        item: dict[str, Any] = {"id": self.slug, "type": "document"}
        for says, variable in VARIABLES.items():
            if (claim := self.chosen(says)) is not None:
                item[variable] = claim.value
        if not item.get("URL", "https:").lower().startswith(("http:", "https:")):
            self.told.append(
                f"{self.slug}: {item.pop('URL')!r} is no address of a web page; it is not printed."
            )
        for says, variable in DATES.items():
            if (claim := self.chosen(says)) is not None:
                item[variable] = csl_date(claim.value, claim.written)
        people = {variable: self.people(says) for says, variable in NAMES.items()}
        self.from_label(item, people)
        for says, variable in NAMES.items():
            if people[variable]:
                item[variable] = [self.name(author) for author in people[variable]]
                if any(claim.value == FURTHER[says] for claim in self.claims.get("furtherNames", ())):
                    # By this name a CSL processor prints "et al."
                    item[variable].append({"literal": "others"})
        item["type"] = self.type_of(item)
        return CitedSource(item, tuple(self.told))

    def chosen(self, says: str) -> Claim | None:
        """The claim that is printed: the first that is held; that others differ is told."""
        found = self.claims.get(says, [])
        said = list(dict.fromkeys(self.view.value_text(claim) for claim in found))
        if len(said) > 1:
            label = self.view.vocabulary.properties[says].label
            others = ", ".join(repr(text) for text in said[1:])
            self.told.append(f"{self.slug} {label} {said[0]!r}; other claims give {others}.")
        return found[0] if found else None

    def people(self, says: str) -> list[Author]:
        """Who wrote it (or edited, or translated it), in the order in which the source names them."""
        view = self.view
        slugs = dict.fromkeys(
            claim.value
            for claim in sorted(self.claims.get(says, []), key=self.place)
            if not (claim.value in view.things and view.things[claim.value].is_confidential)
        )
        return [self.author(slug) for slug in slugs]

    def place(self, claim: Claim) -> tuple[str, list[tuple[int, str]], int, str]:
        """Where a claim stands among others of its entry: by its locator, numbers as numbers, then by its quotation."""
        parts = re.findall(r"(\d{1,18})|(\D+)", claim.citation.locator)
        quoted = (claim.citation.quotation or "").find(self.view.label(claim.value))
        return claim.entry, [(int(number or 0), text) for number, text in parts], quoted, claim.value

    def author(self, slug: str) -> Author:
        family = [
            claim.value
            for claim in self.view.by_subject.get(slug, ())
            if claim.property == "familyName" and not self.view.is_confidential(claim)
        ]
        is_firm = self.view.vocabulary.is_a(self.view.kinds(slug), "Firm")
        return Author(slug, self.view.label(slug), family[0] if family else None, is_firm)

    def name(self, author: Author) -> dict[str, str]:
        name, told = person_name(author)
        if told:
            self.told.append(told)
        return name

    def from_label(self, item: dict[str, Any], people: dict[str, list[Author]]) -> None:
        """Take the title from the source's name, and the rest of it as far as claims confirm it.

        Where claims give that same title, only what they leave out is taken from the name.
        """
        label = self.view.label(self.slug)
        dates = [claim.written or claim.value for claim in self.claims.get("publishedOn", [])]
        reading = read_label(label, people["author"], dates)
        has_title = "title" in item
        if has_title and reading.variables["title"] != item["title"]:
            return
        missing = {name: text for name, text in reading.variables.items() if name not in item}
        item.update(missing)
        if not has_title:
            people["author"] = [author for author in people["author"] if author.slug not in reading.named]
            if reading.has_date and "issued" in item:
                del item["issued"]
        if missing:
            read = ", ".join(f"{name} {text!r}" for name, text in missing.items())
            self.told.append(f"No claim says this of {self.slug}; its name {label!r} does: {read}.")

    def type_of(self, item: Mapping[str, Any]) -> str:
        """The type that a claim gives, else the one that its classes map to."""
        said = self.claims.get("publicationType", [])
        if said and said[0].value in TYPES:
            return said[0].value
        has_imprint = bool({"publisher", "publisher-place"} & item.keys())
        return type_of_kinds(self.view.vocabulary, self.view.kinds(self.slug), has_imprint=has_imprint)


def type_of_kinds(vocabulary: Vocabulary, kinds: Iterable[str], *, has_imprint: bool) -> str:
    """The CSL type that classes of sources map to; an imprint is a publisher or a place of publication."""
    for kind in kinds:
        known = vocabulary.kinds.get(kind)
        if known and (found := _TYPE_OF.get(known.maps_to.rsplit("/", 1)[-1])):
            return found
    # A printed document of no other class, such as a catalogue, is cited as a book is.
    return "book" if has_imprint else "document"
