"""Wording that is surer than its claims: makers, dates, what is original, and superlatives without a comparison."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache

from kg.attribution.observations import same_things
from kg.daybook.record import Claim
from kg.essays.auditing.dates import holds
from kg.essays.auditing.evidence import Evidence
from kg.essays.auditing.facts import Fact, known_names, masked
from kg.essays.auditing.finding import Finding, Kind
from kg.essays.auditing.passages import Passage
from kg.essays.auditing.reported import certainty_told
from kg.essays.auditing.sayings import CONDITION, is_surer
from kg.essays.auditing.words import bare, pattern, words
from kg.essays.hedges import hedge, least_sure
from kg.sources_weighed.standing import Step

MADE_BY, ATTRIBUTED, ORIGINAL = "madeBy", "attributedTo", "hasOriginalPart"
MAKERS = (MADE_BY, ATTRIBUTED, "designedBy", "modelDesignedBy", "assembledBy", "dressedBy")
_WORD = re.compile(r"[^\W\d_][\w’']*")
_FALLEN = (Step.SET_ASIDE, Step.WITHDRAWN)


def too_sure(evidence: Evidence, passage: Passage, facts: tuple[Fact, ...]) -> Iterator[Finding]:
    """Every wording of a sentence that its claims do not carry."""
    if not passage.is_sentence:
        return
    claims = evidence.open_claims(passage.claims)
    yield from _superlatives(evidence, passage, claims)
    if not claims:
        return
    live = [claim for claim in claims if evidence.step(claim) not in _FALLEN]
    yield from _makers(evidence, passage, live)
    yield from _datings(evidence, passage, live, facts)
    yield from _originals(evidence, passage, claims)


# ------------------------------------------------------------ makers


def _makers(evidence: Evidence, passage: Passage, claims: Iterable[Claim]) -> Iterator[Finding]:
    named: dict[tuple[str, str], list[Claim]] = {}
    for claim in claims:
        if claim.property in MAKERS:
            thing = min(same_things(evidence.view, claim.subject))
            named.setdefault((thing, claim.value), []).append(claim)
    for (subject, maker), saying in named.items():
        at = _asserted(passage.text, evidence.whole.label(maker))
        if at is None:
            continue
        allowed = _carried(evidence, subject, saying)
        said = certainty_told(evidence, passage, at)
        if is_surer(said, allowed):
            label = evidence.whole.label(maker).partition(", ")[0]
            words = hedge(evidence.bench.style.hedges, allowed, "by").text(label)
            yield Finding(
                Kind.TOO_SURE,
                passage.place(at),
                passage.text,
                f"This says more than the record: {_why(evidence, subject, saying)}",
                f"Write “{words}”, or cite what makes it sure.",
                tuple(claim.id for claim in saying),
            )


def _carried(evidence: Evidence, subject: str, saying: list[Claim]) -> str:
    """The most that may be said of a maker: by the best claim, never sure where it is by likeness or contested."""
    best = min((evidence.certainty(c) for c in saying), key=_CERTAINTY_ORDER.index)
    if all(claim.property == ATTRIBUTED for claim in saying):
        best = least_sure(best, "probably")
    if _rivals(evidence, subject, saying):
        best = least_sure(best, "possibly")
    return best


_CERTAINTY_ORDER = ("held", "probably", "possibly", "formerly", "unidentified")


def _rivals(evidence: Evidence, subject: str, saying: list[Claim]) -> list[Claim]:
    """Claims that name another maker of the same thing."""
    values = {claim.value for claim in saying}
    if saying[0].property != MADE_BY:
        return []
    same = {c.value for v in values for c in evidence.view.by_subject.get(v, ()) if c.property == "sameAs"}
    same |= {c.subject for v in values for c in evidence.view.by_value.get(v, ()) if c.property == "sameAs"}
    return [c for c in evidence.bench.said(subject, MADE_BY) if c.value not in values | same]


def _why(evidence: Evidence, subject: str, saying: list[Claim]) -> str:
    rivals = _rivals(evidence, subject, saying)
    if rivals:
        view = evidence.whole
        return f"another maker is named too: {view.label(rivals[0].value)} ({view.cite(rivals[0].citation)})."
    if all(claim.property == ATTRIBUTED for claim in saying):
        return f"{evidence.whole.cite(saying[0].citation)} only attributes it."
    return f"the claim stands as {evidence.step(saying[0]).value}."


def _asserted(text: str, label: str) -> int | None:
    """Where a sentence gives something to a maker: "by X", "X made"; None where it names X, or says "if X made"."""
    wanted = {
        bare(word) for word in _WORD.findall(label.partition(", ")[0]) if word[:1].isupper() and len(word) > 2
    }
    lead, tail = _constructs()
    for found in _WORD.finditer(text):
        plain = bare(found[0])
        if plain not in wanted and plain.removesuffix("s") not in wanted:
            continue
        if CONDITION.search(text, 0, found.start()):
            continue
        if lead.search(text[: found.start()]) or tail.match(text, found.end()):
            return found.start()
        if re.search(r"[’']s$", found[0]) and re.match(r" (?:own )?work\b", text[found.end() :]):
            return found.start()
    return None


@lru_cache(maxsize=1)
def _constructs() -> tuple[re.Pattern[str], re.Pattern[str]]:
    leads = "|".join(sorted(map(re.escape, words("maker_lead")), key=len, reverse=True))
    tails = "|".join(sorted(map(re.escape, words("maker_tail")), key=len, reverse=True))
    names = r"(?:(?:the|house|of|firm|Mr|Mrs|Mme|Herr|[A-ZÀ-Þ][\w.’'-]*|&)\s+){0,4}"
    return (
        re.compile(rf"(?<!\w)(?:{leads})\s+{names}$", re.IGNORECASE),
        re.compile(rf"\s+(?:(?:&\s+)?[A-ZÀ-Þ][\w.’'-]*\s+){{0,3}}(?:{tails})(?!\w)"),
    )


# ------------------------------------------------------------ dates


def _datings(
    evidence: Evidence, passage: Passage, claims: Iterable[Claim], facts: tuple[Fact, ...]
) -> Iterator[Finding]:
    """A date of making, told as sure, whose claim is not."""
    properties = evidence.whole.vocabulary.properties
    opinions = [c for c in claims if c.property in properties and properties[c.property].is_opinion]
    for claim in opinions:
        prop = properties[claim.property]
        alone = evidence.held((claim,)).dates if prop.is_date else ()
        fact = next((f for f in facts if f.date is not None and holds(f.date, alone, ())), None)
        if fact is None or evidence.cannot_fit(claim):
            continue  # what cannot stand at all is told by a rule of its own
        allowed = evidence.certainty(claim)
        said = certainty_told(evidence, passage, fact.first)
        if pattern("dated_as").search(passage.text):
            said = least_sure(said, "possibly")
        others = [c for c in opinions if c.subject == claim.subject and c is not claim]
        if is_surer(said, allowed) and not any(evidence.certainty(c) == "held" for c in others):
            yield Finding(
                Kind.TOO_SURE,
                passage.place(fact.first),
                passage.text,
                f"This says more than the record: the date stands as {evidence.step(claim).value}.",
                f"Write “{allowed} made {evidence.bench.date(claim).phrase}”, or cite what makes it sure.",
                (claim.id,),
            )


# ------------------------------------------------------------ original, only, rare


def _originals(evidence: Evidence, passage: Passage, claims: tuple[Claim, ...]) -> Iterator[Finding]:
    plain = _plain(evidence, passage, claims)
    plain = pattern("original_not").sub(lambda m: "\x00" * len(m[0]), plain)
    found = pattern("original").search(plain)
    if found is None or any(_says(evidence, claim, found[0]) for claim in claims):
        return
    part = re.match(r"\s+([^\W\d_]+)", passage.text[found.end() :])
    saying = [c for c in claims if c.property == ORIGINAL and _is_of(evidence, c, part[1] if part else "")]
    allowed = min((evidence.certainty(c) for c in saying), key=_CERTAINTY_ORDER.index, default="")
    if not is_surer(certainty_told(evidence, passage, found.start()), allowed or "possibly"):
        return
    why = (
        f"the claim stands as {allowed}"
        if allowed
        else f"no claim of the sentence says that {_which(part)} is original"
    )
    yield Finding(
        Kind.TOO_SURE,
        passage.place(found.start()),
        found[0],
        f"“{found[0]}”: {why}.",
        "Say which parts are original and cite the claim, or say “belongs to her today”.",
        passage.claims,
    )


def _is_of(evidence: Evidence, claim: Claim, word: str) -> bool:
    """Whether a claim of originality speaks of the part that a word names; of any part where it names none."""
    noun = word.casefold()
    if noun not in words("part"):
        return True
    kinds = evidence.whole.vocabulary.kinds
    names = [evidence.whole.label(claim.value), claim.citation.quotation or ""]
    names += [kinds[kind].label for kind in evidence.whole.kinds(claim.value) if kind in kinds]
    held = {held for name in names for held in re.findall(r"[^\W\d_]+", name.casefold())}
    return noun in held or (noun in words("part", "costume") and "costume" in held)


def _which(part: re.Match[str] | None) -> str:
    return f"the {part[1]}" if part and part[1].casefold() in words("part") else "a part"


_ARTICLE = re.compile(r"\b(?:the|an?|his|its|our|der|die|das)\s*$", re.IGNORECASE)


def _superlatives(evidence: Evidence, passage: Passage, claims: tuple[Claim, ...]) -> Iterator[Finding]:
    plain = _plain(evidence, passage, claims)
    plain = pattern("superlative_not").sub(lambda m: "\x00" * len(m[0]), plain)
    compared = {c.subject for c in claims if evidence.is_kind(c.subject, "Piece")}
    for found in pattern("superlative").finditer(plain):
        if len(compared) > 1 or any(_says(evidence, claim, found[0]) for claim in claims):
            return
        if found[0].casefold() in words("after_article") and not _ARTICLE.search(plain[: found.start()]):
            continue
        yield Finding(
            Kind.TOO_SURE,
            passage.place(found.start()),
            found[0],
            f"“{found[0]}” is said without a comparison.",
            "Cite the other pieces that it is measured against (“three others are recorded”), or leave it out.",
            passage.claims,
        )


def _plain(evidence: Evidence, passage: Passage, claims: tuple[Claim, ...]) -> str:
    """The sentence without what stands in quotation marks and without the names of its claims."""
    quoted = [(m.start(), m.end()) for m in re.finditer(r"“[^”]*”|\"[^\"]*\"", passage.text)]
    text = masked(passage.text, quoted)
    return masked(text, known_names(text, evidence.held(claims).labels))


def _says(evidence: Evidence, claim: Claim, word: str) -> bool:
    """Whether a claim's own words hold a word."""
    prop = evidence.whole.vocabulary.properties.get(claim.property)
    texts = [claim.citation.quotation or "", claim.value if prop is not None and prop.is_text else ""]
    return any(re.search(rf"(?<!\w){re.escape(word)}(?!\w)", text, re.IGNORECASE) for text in texts)
