"""The command ``same-as``: which things are probably one, and the notes that say so or take it back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any

import typer

from kg.cli.common import (
    AsOfOption,
    BadOption,
    DaybookOption,
    JsonOption,
    console,
    counted,
    open_daybook,
    past_day,
    print_json,
    put,
    signer,
)

if TYPE_CHECKING:
    from rich.console import Console

    from kg.chronology.chronology import Conflict
    from kg.daybook.daybook import Daybook
    from kg.daybook.record import Claim, Entry
    from kg.daybook.view import WorkingView
    from kg.intake.reconcile.joining import Basis
    from kg.intake.reconcile.proposals import Found, Proposal
    from kg.intake.reconcile.scoring import Reason

#: How many pairs are printed unless --most says otherwise; JSON has all.
SHOWN = 20
#: How many conflicts are printed, those of the fewest claims first; JSON has all.
CONFLICTS_SHOWN = 5


def same_as_command(
    one: Annotated[str | None, typer.Argument(help="A thing: its id, or its name in quotes.")] = None,
    other: Annotated[str | None, typer.Argument(help="Another thing.")] = None,
    why: Annotated[
        str | None, typer.Option("--why", help="Record it, with this reason; without, nothing is written.")
    ] = None,
    split: Annotated[bool, typer.Option("--split", help="Take back that the two are one.")] = False,
    differ: Annotated[
        bool, typer.Option("--not", help="Say that the two are known to be two; lists leave them out.")
    ] = False,
    source: Annotated[
        str | None, typer.Option("--source", help="The source that says so; else it is your own judgement.")
    ] = None,
    locator: Annotated[str | None, typer.Option("--locator", help="Where in the source.")] = None,
    kind: Annotated[
        str, typer.Option("--kind", help="For the list: Actor, or Maker, Source, Place, Mould, Piece …")
    ] = "Actor",
    least: Annotated[
        float, typer.Option("--least", help="For the list: the least weight in decibans.")
    ] = 20.0,
    most: Annotated[
        int, typer.Option("--most", min=1, help="For the list: how many pairs of each sort.")
    ] = SHOWN,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Tell what would be recorded and contradicted; write nothing.")
    ] = False,
    researcher: Annotated[str | None, typer.Option("--researcher", help="Who signs.")] = None,
    daybook: DaybookOption = None,
    as_of: AsOfOption = None,
    as_json: JsonOption = False,
) -> None:
    """List the things that are probably one, with reasons; or, with two things and --why, say so.

    Nothing is rewritten: joining and parting are further entries, and every claim keeps the name as printed.
    """
    book = open_daybook(daybook)
    if other is None:
        if split or differ or why is not None or source is not None or locator is not None:
            raise BadOption("--split, --not, --why, --source and --locator speak of two things. Name both.")
        _list(book.view(past_day(as_of)), one, kind, least, most, as_json)
        return
    assert one is not None  # the parser fills the first argument first
    if split and differ:
        raise BadOption(
            "--split and --not exclude each other. --not parts the two as well, if they are joined."
        )
    if as_of is not None:
        raise BadOption("--as-of speaks of the past; two things are joined or parted now. Leave it out.")
    _note_on_two(book, (one, other), _Wish(split, differ, why, source, locator, dry_run, researcher), as_json)


@dataclass(frozen=True)
class _Wish:
    """What is to be said of two things."""

    split: bool
    differ: bool
    why: str | None
    source: str | None
    locator: str | None
    dry_run: bool
    researcher: str | None

    def basis(self, view: WorkingView) -> Basis:
        """Why, who and where.

        :raises BadOption: if a source is named without a place in it, or a place without a source.
        """
        from kg.intake.reconcile.joining import Basis

        if (self.source is None) != (self.locator is None):
            raise BadOption("--source and --locator go together: name the source and the place in it.")
        who = signer(self.researcher)
        if not who:
            raise BadOption("Nobody signs. Give --researcher NAME.")
        named = view.thing(self.source).slug if self.source is not None else None
        return Basis(self.why if self.why is not None else "no reason given yet", who, named, self.locator)


def _note_on_two(book: Daybook, names: tuple[str, str], wish: _Wish, as_json: bool) -> None:
    from kg.intake.reconcile.joining import conflicts_of, different_note, merge_note, split_note, view_with

    view = book.view()
    make = split_note if wish.split else different_note if wish.differ else merge_note
    entry = book.compose(make(view, *names, wish.basis(view)))
    after = view_with(view, entry)
    is_recorded = not wish.dry_run and wish.why is not None
    done = _Done(
        entry,
        view,
        after,
        conflicts_of(after, entry),
        None if wish.split else _compared(view, names),
        is_recorded,
    )
    if is_recorded:
        book.record(entry)
    if as_json:
        print_json(done.told())
    else:
        _show_note(console(), done, wish)


@dataclass(frozen=True)
class _Done:
    """What came of a note on two things, or would come of it."""

    entry: Entry
    before: WorkingView
    after: WorkingView
    conflicts: tuple[Conflict, ...]
    compared: Proposal | None
    is_recorded: bool

    def told(self) -> dict[str, Any]:
        """The note as plain values for JSON."""
        return {
            "recorded": self.entry.name if self.is_recorded else None,
            "claims": [told_claim(self.after, claim) for claim in self.entry.claims],
            "judgements": [
                {"claim": j.claim, "finds": j.standing, "why": j.why} for j in self.entry.judgements
            ],
            "conflicts": [
                {
                    "claims": [told_claim(self.after, claim) for claim in self.others_in(conflict)],
                    "conventions": list(conflict.conventions),
                }
                for conflict in self.conflicts
            ],
            "compared": told_proposal(self.before, self.compared) if self.compared else None,
        }

    def others_in(self, conflict: Conflict) -> tuple[Claim, ...]:
        """The claims of a conflict that are not of this note."""
        new = {claim.id for claim in self.entry.claims}
        return tuple(claim for claim in conflict.claims if claim.id not in new)


def _compared(view: WorkingView, names: tuple[str, str]) -> Proposal | None:
    """The two compared; None if they are one on record, and so go by the same names."""
    from kg.intake.reconcile.joining import chain
    from kg.intake.reconcile.proposals import ACTOR, Reconciler

    slugs = [view.thing(name).slug for name in names]
    if chain(view, *slugs):
        return None
    are_actors = all(view.vocabulary.is_a(view.kinds(slug), ACTOR) for slug in slugs)
    return Reconciler(view, ACTOR if are_actors else "Thing").compare(*slugs)


def _list(view: WorkingView, one: str | None, kind: str, least: float, most: int, as_json: bool) -> None:
    from kg.intake.reconcile.proposals import Reconciler

    reconciler = Reconciler(view, kind)
    found = reconciler.found(least)
    slug = view.thing(one).slug if one is not None else None
    proposals = [p for p in found.proposals if slug in (None, p.one, p.other)]
    label = view.vocabulary.kinds[reconciler.kind].label
    if as_json:
        print_json(
            {"kind": reconciler.kind, **_counts(found), "pairs": [told_proposal(view, p) for p in proposals]}
        )
    else:
        _show_list(console(), view, found, proposals, label, most)


def _counts(found: Found) -> dict[str, int]:
    return {
        "things": found.things,
        "compared": found.compared,
        "already_one": found.already_one,
        "known_different": found.known_different,
        "known_to_follow": found.known_to_follow,
        "too_common": found.too_common,
    }


def told_proposal(view: WorkingView, proposal: Proposal) -> dict[str, Any]:
    """A pair as plain values for JSON."""
    from kg.intake.reconcile.records import EXCLUDES

    return {
        "one": proposal.one,
        "other": proposal.other,
        "names": list(proposal.names),
        "relation": proposal.relation.name.lower(),
        "decibans": round(proposal.weight, 1),
        "reasons": [
            {
                "field": r.field,
                "says": r.says,
                "decibans": None if r.weight == EXCLUDES else round(r.weight, 1),
                "excludes": r.weight == EXCLUDES,
                "claims": [told_claim(view, claim) for claim in r.claims],
            }
            for r in proposal.reasons
        ],
        "follows": list(proposal.follows),
    }


def told_claim(view: WorkingView, claim: Claim) -> dict[str, str]:
    """A claim as plain values: its id, its sentence, where it is printed."""
    return {"claim": claim.id, "sentence": view.sentence(claim), "citation": view.cite(claim.citation)}


_HEADS = (
    ("same", "Probably one"),
    ("other", "Perhaps one"),
    ("follows", "One follows the other: two firms, not one"),
    ("excluded", "Alike by name, yet two"),
)


def _show_list(
    page: Console, view: WorkingView, found: Found, proposals: list[Proposal], label: str, most: int
) -> None:
    from kg.intake.reconcile.scoring import Relation

    sorts: dict[str, list[Proposal]] = {name: [] for name, _ in _HEADS}
    for proposal in proposals:
        relation = Relation.FOLLOWS if proposal.relation is Relation.FOLLOWED else proposal.relation
        sorts[relation.name.lower()].append(proposal)
    for name, head in _HEADS:
        if sorts[name]:
            put(page, f"{head} ({len(sorts[name])})", style="bold")
        for proposal in sorts[name][:most]:
            _show_pair(page, view, proposal)
        if len(sorts[name]) > most:
            put(page, f"… and {len(sorts[name]) - most} more; --most {len(sorts[name])} shows them.", 2)
    if not proposals:
        put(page, "No two are probably one.")
    put(
        page,
        f"{counted(found.compared, 'pair')} with names near to each other compared; "
        f"{counted(found.things, 'thing')} of the class “{label}” looked at.",
    )
    left_out = (
        (found.already_one, "on record as one"),
        (found.known_different, "on record as two"),
        (found.known_to_follow, "of which it is on record that one follows the other"),
    )
    for count, what in left_out:
        if count:
            put(page, f"Left out: {counted(count, 'pair')} {what}.")
    if found.too_common:
        put(page, f"Not compared: {found.too_common} whose names hold only words that very many share.")


def _show_pair(page: Console, view: WorkingView, proposal: Proposal) -> None:
    from kg.intake.reconcile.scoring import Relation

    one, other = proposal.one, proposal.other
    if proposal.relation is Relation.FOLLOWED:
        one, other = other, one
    put(page, f"{view.label(one)} ({one})  and  {view.label(other)} ({other})", 2)
    printed = [n for n in proposal.names if n not in (view.label(one), view.label(other))]
    if printed:
        put(page, f"by the names {' and '.join(proposal.names)}", 4)
    if proposal.follows:
        put(page, f"The first is called {', '.join(proposal.follows)}: it follows the second.", 4)
        put(page, f"To say so, note that {one} succeeded {other}, with the source.", 4)
        return
    _show_reasons(page, view, proposal)
    if proposal.relation is not Relation.EXCLUDED:
        put(page, f'Record it: kilnmark same-as {one} {other} --why "…"', 4)
        put(page, f'Or part them for good: kilnmark same-as --not {one} {other} --why "…"', 4)


def _show_reasons(page: Console, view: WorkingView, proposal: Proposal) -> None:
    for reason in proposal.reasons:
        put(page, f"{_weight(reason)}  {reason.says}", 4)
        for claim in reason.claims if reason.field != "tie" or len(reason.claims) > 1 else ():
            put(page, f"{view.sentence(claim)} — {view.cite(claim.citation)}  [{claim.id}]", 12)
    but = " for one thing, were it not excluded" if _excludes(proposal) else ""
    put(page, f"{proposal.weight:+6.1f}  decibans in all{but}", 4)


def _excludes(proposal: Proposal) -> bool:
    from kg.intake.reconcile.records import EXCLUDES

    return any(reason.weight == EXCLUDES for reason in proposal.reasons)


def _weight(reason: Reason) -> str:
    from kg.intake.reconcile.records import EXCLUDES

    return "  never" if reason.weight == EXCLUDES else f"{reason.weight:+6.1f}"


def _show_note(page: Console, done: _Done, wish: _Wish) -> None:
    after = done.after
    if done.compared is not None:
        put(page, f"{' and '.join(done.compared.names)}: {done.compared.relation.value}", style="bold")
        if done.compared.follows:
            put(
                page,
                f"One of the names says {', '.join(done.compared.follows)}: that is a firm which follows.",
                2,
            )
        _show_reasons(page, done.before, done.compared)
    verb = "Recorded" if done.is_recorded else "Would record"
    for claim in done.entry.claims:
        name = f"  [{claim.id}]" if done.is_recorded else ""
        put(page, f"{verb}: {after.sentence(claim)} — {after.cite(claim.citation)}{name}")
    for judgement in done.entry.judgements:
        standing = after.vocabulary.standings[judgement.standing]
        put(
            page, f"{verb} as {standing}: {after.sentence(after.claim(judgement.claim))}  [{judgement.claim}]"
        )
    _show_conflicts(page, done)
    if done.entry.claims and not done.conflicts and not wish.differ:
        put(page, "It contradicts nothing that is on record.")
    if wish.why is None:
        put(page, 'Nothing was written. Add --why "…" to record it.')
    elif wish.dry_run:
        put(page, "Nothing was written: this was a dry run.")


def _show_conflicts(page: Console, done: _Done) -> None:
    after = done.after
    ordered = sorted(done.conflicts, key=lambda conflict: len(conflict.claims))
    for conflict in ordered[:CONFLICTS_SHOWN]:
        when = "Now these" if done.is_recorded else "If they are one, these"
        put(page, f"{when} cannot all be true:")
        for claim in done.others_in(conflict):
            put(page, f"{after.sentence(claim)} — {after.cite(claim.citation)}  [{claim.id}]", 4)
        if conflict.conventions:
            put(page, f"without the conventions {', '.join(conflict.conventions)} they might be", 4)
    if len(ordered) > CONFLICTS_SHOWN:
        put(page, f"… and {counted(len(ordered) - CONFLICTS_SHOWN, 'more conflict')}; --json has all.")
