"""How surely a sentence speaks as a whole: by its words, as a source's word, or under a reserve made before."""

from __future__ import annotations

import re

from kg.essays.auditing.evidence import Evidence
from kg.essays.auditing.passages import Passage
from kg.essays.auditing.sayings import certainty_said
from kg.essays.auditing.words import pattern, words
from kg.essays.hedges import least_sure

_ARTICLE = re.compile(
    rf"^(?:{'|'.join(re.escape(w) for w in words('article'))})\s*(?<=[\s’'])", re.IGNORECASE
)


def certainty_told(evidence: Evidence, passage: Passage, at: int | None = None) -> str:
    """How surely a sentence, or its clause at a place, tells what its claims say.

    What a source is said to say is told as possible, and so is a conclusion of the writer's under an earlier reserve.
    """
    said = certainty_said(passage.text, at)
    is_open = (passage.is_reserved and passage.is_own) or is_reported(evidence, passage)
    return least_sure(said, "possibly") if is_open else said


def is_reported(evidence: Evidence, passage: Passage) -> bool:
    """Whether a sentence tells what a source of its claims says, as that source's word: "A book of 1968 dates her …".

    The source is named at the head of the sentence, by its name or its class, before the verb by which it speaks.
    """
    for source in dict.fromkeys(claim.citation.source for claim in evidence.open_claims(passage.claims)):
        for name in (*names_of(evidence, source), *_class_labels(evidence, source)):
            found = re.match(rf"\W*(?:\w+[’']?\w* ){{0,2}}{re.escape(name)}\b", passage.text, re.IGNORECASE)
            if found is None:
                continue
            verb = pattern("reports").search(passage.text, found.end())
            if verb is not None and not re.search(r"[;:]", passage.text[found.end() : verb.start()]):
                return True
    return False


def _class_labels(evidence: Evidence, source: str) -> tuple[str, ...]:
    kinds = evidence.whole.vocabulary.kinds
    return tuple(kinds[kind].label for kind in evidence.whole.kinds(source) if kind in kinds)


def names_of(evidence: Evidence, source: str) -> tuple[str, ...]:
    """The name of a source, whole and up to the first comma, without its article; and its author's."""
    label = _ARTICLE.sub("", evidence.whole.label(source))
    authors = [
        evidence.whole.label(claim.value)
        for claim in evidence.view.by_subject.get(source, ())
        if claim.property == "writtenBy"
    ]
    return tuple(dict.fromkeys(name for name in (label, label.partition(", ")[0], *authors) if len(name) > 3))
