"""Facts without a claim, and facts that the claims of their sentence do not hold."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from kg.daybook.record import Claim
from kg.essays.auditing.dates import holds
from kg.essays.auditing.evidence import Evidence, Held, for_quotation
from kg.essays.auditing.facts import Fact
from kg.essays.auditing.finding import Finding, Kind
from kg.essays.auditing.hygiene import in_latin
from kg.essays.auditing.passages import Passage
from kg.essays.auditing.words import bare, pattern
from kg.essays.hedges import hedges

#: What is not advised of what is confidential.
RECORD_FIRST = "record the claim first, "
#: So many facts of a sentence are named; the rest are as plain.
MOST_NAMED = 4
#: So many claims on record are offered.
MOST_OFFERED = 2
#: Counts up to this may be the writer's own, where the sentence cites what was counted.
MOST_COUNTED = 200


def without_a_claim(
    evidence: Evidence, passage: Passage, facts: tuple[Fact, ...], own: frozenset[str]
) -> Iterator[Finding]:
    """A factual sentence that no note to a claim supports; an own judgement supports no hard fact."""
    if passage.claims or not passage.is_sentence:
        return
    told = [fact for fact in facts if fact.is_hard or not passage.is_own]
    if not told:
        return
    named = list(dict.fromkeys(f"“{fact.words}”" for fact in told))
    shown = ", ".join(named[:MOST_NAMED])
    why = "it is marked as your own judgement, and no judgement" if passage.is_own else "no claim"
    on_record = _on_record(evidence, passage, told, own)
    yield Finding(
        Kind.NO_CLAIM,
        passage.place(told[0].first),
        passage.text,
        f"{shown}: {why} carries that.",
        f"Put [^claim] behind the sentence, {RECORD_FIRST}or leave the fact out.{on_record}",
    )


def _on_record(evidence: Evidence, passage: Passage, facts: list[Fact], own: frozenset[str]) -> str:
    """A sentence with the claims about the essay's things, or things tied to them, that hold most of some facts."""
    near = {claim.value for thing in own for claim in evidence.view.by_subject.get(thing, ())}
    counted = []
    for thing in sorted(own) + sorted(near - own):
        for claim in evidence.view.by_subject.get(thing, ()):
            if evidence.is_confidential(claim):
                continue
            case = _Case(evidence, passage, evidence.held((claim,)), own)
            held = sum(_says(case, fact) for fact in facts)
            if held:
                counted.append((held, claim))
    best = max((held for held, _ in counted), default=0)
    shown = [f"[^{c.id}] {evidence.whole.sentence(c)}" for held, c in counted if held == best][:MOST_OFFERED]
    return f" On record: {'; '.join(shown)}." if shown else ""


def _says(case: _Case, fact: Fact) -> bool:
    """Whether a claim says a fact by itself; names alone are told by too many claims, so its value must hold them."""
    if fact.sort == "name":
        claim = case.held.claims[0]
        words = {bare(word) for word in re.findall(r"[\w’']+", case.evidence.whole.value_text(claim))}
        return bare(fact.words) in words
    if fact.sort == "date":
        return fact.date is not None and holds(fact.date, case.held.dates, ())
    return fact.sort in ("measure", "quotation") and _TESTS[fact.sort](case, fact)


@dataclass(frozen=True, slots=True)
class _Case:
    """A sentence against what its claims hold; ``own`` are the things that the essay is about."""

    evidence: Evidence
    passage: Passage
    held: Held
    own: frozenset[str]


def not_held(
    evidence: Evidence, passage: Passage, facts: tuple[Fact, ...], own: frozenset[str]
) -> Iterator[Finding]:
    """Each hard fact of a sentence that its claims do not hold.

    ``own`` are the things that the essay is about: "two others" are counted without them.
    """
    claims = evidence.open_claims(passage.claims)
    if not claims or len(claims) < len(passage.claims):
        return  # an unknown or confidential claim is told first; until it is mended nothing can be compared
    case = _Case(evidence, passage, evidence.held(claims), own)
    for fact in facts:
        test = _TESTS.get(fact.sort)
        if test is not None and not test(case, fact):
            instead = _instead(evidence, fact, case.held)
            yield Finding(
                Kind.NOT_HELD,
                passage.place(fact.first),
                fact.words,
                f"The claims of this sentence do not hold {_ARTICLE[fact.sort]} “{fact.words}”.{instead}",
                "Correct the words, or cite the claim that says so.",
                passage.claims,
            )


_ARTICLE = {
    "date": "the date",
    "measure": "the measure",
    "number": "the number",
    "name": "the name",
    "quotation": "the words",
    "material": "what is seen,",
}


def _instead(evidence: Evidence, fact: Fact, held: Held) -> str:
    """What the claims hold of the same sort."""
    if fact.sort == "date":
        said = [_date_words(evidence, c) for c in held.claims if _is_date(evidence, c)]
    elif fact.sort == "measure":
        said = [f"{size / 10:g} cm" for size in held.millimetres]
    elif fact.sort == "quotation":
        said = [c.citation.quotation for c in held.claims if c.citation.quotation]
    else:
        return ""
    once = list(dict.fromkeys(said))[:MOST_NAMED]
    return f" They hold {', '.join(once)}." if once else ""


def _is_date(evidence: Evidence, claim: Claim) -> bool:
    prop = evidence.whole.vocabulary.properties.get(claim.property)
    return prop is not None and prop.is_date


def _date_words(evidence: Evidence, claim: Claim) -> str:
    return evidence.bench.date(claim).phrase


# ------------------------------------------------------------ one test for each sort of fact


def _date_is_held(case: _Case, fact: Fact) -> bool:
    said = fact.date
    if said is None or holds(said, case.held.dates, ()):
        return True
    # A year that stands in the words of a claim is held, unless the claim dates by it no more than roughly.
    is_rough = any(one.is_rough and said.core.contains(one.core) for one in case.held.dates)
    if re.fullmatch(r"\d{4}", said.words) and said.words in case.held.numbers and not is_rough:
        return True
    return holds(said, case.held.dates, case.evidence.edges(case.held.claims))


def _measure_is_held(case: _Case, fact: Fact) -> bool:
    if any(abs(size - fact.millimetres) <= fact.tolerance for size in case.held.millimetres):
        return True
    plain = for_quotation(fact.words)
    return any(plain in text for text in case.held.quotable)


def _number_is_held(case: _Case, fact: Fact) -> bool:
    number = fact.number
    if number is None or str(number) in case.held.numbers or fact.words in case.held.numbers:
        return True
    behind = case.passage.text[fact.last : fact.last + 30]
    if re.match(r" years\b", behind) and number in case.evidence.years_allowed:
        return True
    if number == 1 or number in _counts(case, fact):
        return True
    return case.passage.is_own and number <= MOST_COUNTED and _is_count(case, fact)


def _counts(case: _Case, fact: Fact) -> set[int]:
    subjects = {claim.subject for claim in case.held.claims}
    behind = case.passage.text[fact.last : fact.last + 12]
    if pattern("other").match(behind.lstrip()):
        here = len(subjects & case.own) if case.own else 1
        return {len(subjects) - here}
    every = [subjects, {c.value for c in case.held.claims}, {c.citation.source for c in case.held.claims}]
    witnesses = {
        case.evidence.bench.weighed.counts(c).witnesses for c in case.held.claims if case.evidence.is_live(c)
    }
    return {len(each) for each in every} | witnesses


_COUNTED = re.compile(
    r" (?:of|recorded|other|others|pieces?|sources?|makers?|witness(?:es)?|independent|times)\b"
)


def _is_count(case: _Case, fact: Fact) -> bool:
    """Whether a number counts pieces, sources or the like: the writer's own reckoning of what is cited."""
    return _COUNTED.match(case.passage.text, fact.last) is not None


def _name_is_held(case: _Case, fact: Fact) -> bool:
    words = [bare(in_latin(word)) for word in re.split(r"[-&]| ", fact.words) if word]
    known = case.held.words
    if case.passage.is_own and _is_own_opinion(case.passage.text[: fact.first]):
        known |= case.evidence.name_words
    return all(_is_known(word, known, case.evidence.kind_words) for word in words if word)


def _is_own_opinion(before: str) -> bool:
    """Whether a name follows that the writer, by a hedge of the house, thinks of as the maker, or speaks against."""
    return _opinion().search(before[-80:]) is not None


@lru_cache(maxsize=1)
def _opinion() -> re.Pattern[str]:
    leads = {
        text.partition("{maker}")[0].strip()
        for row in hedges()
        if row.certainty in ("probably", "possibly")
        for _, text in row.words
    }
    ordered = "|".join(re.escape(lead) for lead in sorted(leads, key=len, reverse=True) if lead)
    names = r"(?:(?:[A-ZÀ-Þ][\w.’'-]*|&|de|von|of|des|du)\s+){0,5}"
    return re.compile(rf"(?:(?<!\w)(?:{ordered})|^[Aa]gainst)\s+{names}$")


def _is_known(word: str, held: frozenset[str], kinds: frozenset[str]) -> bool:
    """Whether a word stands in the claims, as it is or as a genitive without apostrophe ("Tarns")."""
    return word in held or word in kinds or (len(word) > 3 and word.removesuffix("s") in held)


def _quotation_is_held(case: _Case, fact: Fact) -> bool:
    """Each stretch between marks of omission stands in one text of the claims, in words that are whole."""
    stretches = [s for s in re.split(r"\[?(?:…|\.\.\.)\]?", fact.words) if for_quotation(s).strip()]
    return all(any(for_quotation(s) in text for text in case.held.quotable) for s in stretches)


def _seen_is_held(case: _Case, fact: Fact) -> bool:
    """A material or feature on record, by its name, stands in the claims; single words of it are not tested."""
    if fact.first != fact.last:
        return True
    return fact.words in case.held.folded or _DENIED.search(case.passage.text[: fact.first]) is not None


_DENIED = re.compile(
    r"\b(?:not?|nor|never|without|instead of|rather than|unlike)\b[^.;:]{0,40}$", re.IGNORECASE
)

_Test = Callable[[_Case, Fact], bool]
_TESTS: Mapping[str, _Test] = {
    "date": _date_is_held,
    "measure": _measure_is_held,
    "number": _number_is_held,
    "name": _name_is_held,
    "quotation": _quotation_is_held,
    "material": _seen_is_held,
}


def joined(findings: Iterable[Finding], passage: Passage) -> Iterator[Finding]:
    """Findings on neighbouring words of one name told as one."""
    waiting: Finding | None = None
    for finding in findings:
        if waiting is not None and _follows(waiting, finding, passage):
            words = f"{waiting.words} {finding.words}"
            told = waiting.message.replace(f"“{waiting.words}”", f"“{words}”")
            waiting = replace(waiting, words=words, message=told)
            continue
        if waiting is not None:
            yield waiting
        waiting = finding
    if waiting is not None:
        yield waiting


def _follows(one: Finding, other: Finding, passage: Passage) -> bool:
    return (
        "the name" in one.message
        and "the name" in other.message
        and f"{one.words} {other.words}" in passage.text
    )
