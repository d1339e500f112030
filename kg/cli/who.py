"""The command ``who``: whose is it? Makers ranked for a piece, with reasons, exclusions and what to look at next."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from kg.attribution.shown import percent
from kg.cli.common import (
    AsOfOption,
    DaybookOption,
    JsonOption,
    open_daybook,
    past_day,
    print_json,
    put,
    shown,
    signer,
)

if TYPE_CHECKING:
    from rich.console import Console

    from kg.attribution.candidates import Ranking
    from kg.attribution.questions import Changes
    from kg.daybook.daybook import Daybook
    from kg.daybook.view import WorkingView

#: Reasons shown for each candidate, from the strongest on either side.
REASONS = 6


def who_command(
    piece: Annotated[str, typer.Argument(help="A piece or part: its id, or its name in quotes.")],
    without: Annotated[
        list[str] | None, typer.Option("--without", help="A claim to leave out; may be given again.")
    ] = None,
    top: Annotated[int, typer.Option("--top", min=1, help="How many candidates to show.")] = 5,
    keep: Annotated[
        bool, typer.Option("--keep", help="Keep the ranking as an open question with its answers.")
    ] = False,
    source: Annotated[
        str | None,
        typer.Option("--source", help="What the kept answers cite, if the piece is no source itself."),
    ] = None,
    researcher: Annotated[str | None, typer.Option("--researcher", help="Who signs what is kept.")] = None,
    daybook: DaybookOption = None,
    as_of: AsOfOption = None,
    as_json: JsonOption = False,
) -> None:
    """Rank who a piece may be by: who piece-unidentified-lady."""
    from kg.attribution.candidates import rank
    from kg.attribution.telling import told_ranking

    book = open_daybook(daybook)
    full = book.view(past_day(as_of))
    slug = full.thing(piece).slug
    left_out = frozenset(full.claim(name).id for name in without or ())
    view = full.without(left_out) if left_out else full
    ranking = rank(view, slug)
    told = told_ranking(ranking, top=0 if as_json else top, changes=_changes(full, ranking, left_out))
    told["as_of"] = as_of
    told["without"] = sorted(left_out)
    if keep:
        told["kept"] = _keep(book, ranking, researcher, source, is_supposition=bool(left_out or as_of))
    if as_json:
        print_json(told)
    else:
        from kg.cli.common import console

        show_ranking(console(), told)


def _changes(full: WorkingView, ranking: Ranking, left_out: frozenset[str]) -> Changes | None:
    """What leaving claims out changes; or else what changed since the question was kept."""
    from kg.attribution.candidates import rank
    from kg.attribution.questions import changes, compared

    if left_out:
        return compared(rank(full, ranking.piece), ranking)
    return changes(ranking)


def _keep(
    book: Daybook, ranking: Ranking, researcher: str | None, source: str | None, *, is_supposition: bool
) -> str:
    from kg.attribution.questions import kept, news, note_of
    from kg.cli.common import BadOption

    if is_supposition:
        raise BadOption(
            "--keep keeps what stands now; leave out --without and --as-of, or set the claim aside first."
        )
    cited = ranking.view.thing(source).slug if source else None
    note = news(ranking.view, note_of(ranking, signer(researcher) or "unnamed", cited))
    before = kept(ranking.view, ranking.piece)
    if note is None and before is not None:
        return before
    return book.record(book.compose(note or note_of(ranking, signer(researcher) or "unnamed", cited))).name


def show_ranking(console: Console, told: dict[str, Any]) -> None:
    """Print an answer as a page for reading."""
    from rich.text import Text

    words = told["attribution"]
    put(console, Text.assemble((told["label"], "bold"), f": {words['words']}"))
    console.print(
        Text(f"  certainty: {words['certainty']}; relation: {words['relation']} ({words['basis']})", "dim")
    )
    if told["too_few"]:
        console.print(Text(f"\n  {told['too_few']}", style="bold"))
    else:
        _table(console, told)
        for candidate in [c for c in told["candidates"] if not c["is_excluded"]][:2]:
            _reasons(console, candidate)
    for candidate in [c for c in told["candidates"] if c["is_excluded"]]:
        _exclusion(console, candidate)
    if told["dates_not_asked"]:
        _line(
            console, f"The dates of {told['dates_not_asked']} unlikely makers were not asked about.", 4, "dim"
        )
    _looks(console, told)
    if told["changes"]:
        _show_changes(console, told)
    if told["calibration"]:
        _calibration(console, told["calibration"])
    if told.get("kept"):
        console.print(f"\n  Kept as {told['kept']}; the next `kilnmark who` tells what changed since.")


def _table(console: Console, told: dict[str, Any]) -> None:
    from rich import box
    from rich.table import Table
    from rich.text import Text

    table = Table(box=box.SIMPLE, pad_edge=False)
    for title, side in (
        ("maker", "left"),
        ("probability", "right"),
        ("decibans", "right"),
        ("calibrated", "right"),
        ("recorded", "right"),
    ):
        table.add_column(title, justify=side)  # type: ignore[arg-type]  # rich wants a literal
    open_ = [c for c in told["candidates"] if not c["is_excluded"]]
    for c in open_:
        table.add_row(
            Text(shown(c["label"])),
            percent(c["probability"]),
            f"{c['decibans']:+.1f}",
            "–" if c["decibans_calibrated"] is None else f"{c['decibans_calibrated']:+.1f}",
            f"{c['recorded_pieces']:g}",
        )
    table.add_row("a maker not in the daybook", percent(told["unrecorded_maker"]), "+0.0", "", "–")
    rest = 1 - sum(c["probability"] for c in open_) - told["unrecorded_maker"]
    if rest > 5e-4:
        table.add_row("all others together", percent(rest), "", "", "")
    for c in [c for c in told["candidates"] if c["is_excluded"]]:
        table.add_row(
            Text(shown(c["label"]), style="strike"),
            "excluded",
            f"{c['decibans']:+.1f}",
            "",
            f"{c['recorded_pieces']:g}",
        )
    console.print(table)
    _line(
        console,
        "Decibans: the evidence as weighed. Calibrated: the odds shown, against those by recorded output alone.",
        2,
        "dim",
    )


def _reasons(console: Console, candidate: dict[str, Any]) -> None:
    weighty = [r for r in candidate["reasons"] if abs(r["decibans"]) >= 0.5]
    _heading(console, f"For and against {candidate['label']}")
    speaking = [r for r in weighty if r["decibans"] > 0][:REASONS] + [
        r for r in weighty if r["decibans"] < 0
    ][-REASONS:]
    for reason in speaking:
        counted = ""
        if "shown" in reason:
            counted = (
                f"; {reason['shown']:g} of {reason['of']:g} recorded pieces, "
                f"{reason['trade_shown']:g} of {reason['trade_of']:g} in the trade"
            )
        if "cap" in reason:
            counted = f"; at most {reason['cap']:.1f} by the marks on record"
        shared = f"; counts {reason['share']:g}, as it repeats another" if reason["share"] < 1 else ""
        _line(
            console, f"{reason['decibans']:+6.1f}  {reason['feature']}: {reason['found']}{counted}{shared}", 4
        )
        for claim in reason["claims"][:2]:
            _line(console, f"{claim['citation']}  [{claim['claim']}]{_standing(claim)}", 12, "dim")
        for example in reason["examples"][:1]:
            _line(
                console, f"as on {example['label']} ({example['citation']})  [{example['claim']}]", 12, "dim"
            )


def _exclusion(console: Console, candidate: dict[str, Any]) -> None:
    tempting = candidate["if_not_excluded"]
    held = f"; but for this {percent(tempting)}" if tempting is not None and tempting >= 0.01 else ""
    _heading(console, f"Excluded: {candidate['label']}{held}. With this maker these cannot all be true")
    for claim in candidate["excluded_by"]:
        _line(
            console, f"• {claim['sentence']} — {claim['citation']}  [{claim['claim']}]{_standing(claim)}", 4
        )


def _standing(claim: dict[str, Any]) -> str:
    notes = [claim["standing"]] if claim["standing"] != "held" else []
    notes += ["confidential"] if claim["confidential"] else []
    return f" ({', '.join(notes)})" if notes else ""


def _looks(console: Console, told: dict[str, Any]) -> None:
    if told["next_looks"]:
        _heading(console, "What to look at next, by what it is expected to tell")
    for look in told["next_looks"]:
        tried = "; noted as not examined" if look["was_tried"] else ""
        _line(
            console,
            f"{look['bits']:.3f} bits  {look['feature']} ({look['cost']}{tried}): {look['look_for']}",
            4,
        )
        for o in look["outcomes"][:2]:
            _line(
                console,
                f"{o['value']} ({percent(o['chance'])}) → {o['leader']} {percent(o['probability'])}",
                12,
                "dim",
            )
        if look["caution"]:
            _line(console, f"Caution: {look['caution']}", 12, "italic")
    if told["never_recorded"]:
        _line(
            console,
            f"On no recorded piece, so nothing can be told: {', '.join(told['never_recorded'])}.",
            4,
            "dim",
        )


def _show_changes(console: Console, told: dict[str, Any]) -> None:
    changes = told["changes"]
    since = (
        "Without the claims left out"
        if told["without"]
        else "What changed since the question was kept, and why"
    )
    _heading(console, since)
    for moved in changes["moved"]:
        before = "excluded" if moved["excluded_before"] else _or_none(moved["probability_before"])
        after = "excluded" if moved["excluded_after"] else _or_none(moved["probability_after"])
        weights = [moved[f"decibans_{when}"] for when in ("before", "after")]
        both = "" if None in weights else f"; weight {weights[0]:+.1f} → {weights[1]:+.1f} decibans"
        _line(console, f"• {moved['label']}: {before} → {after}{both}", 4)
        for reason in moved["because"]:
            _line(
                console,
                f"{reason['feature']}: {reason['decibans_before']:+.1f} → {reason['decibans_after']:+.1f}",
                8,
                "dim",
            )
    for word, claims in (("new", changes["added"]), ("gone", changes["dropped"])):
        for claim in claims[:REASONS]:
            _line(console, f"{word}: {claim['sentence']} — {claim['citation']}  [{claim['claim']}]", 4, "dim")
        if len(claims) > REASONS:
            _line(console, f"{word}: {len(claims) - REASONS} more claims about recorded pieces", 4, "dim")
    if not changes["moved"] and not changes["added"] and not changes["dropped"]:
        _line(console, "Nothing.", 4)


def _or_none(probability: float | None) -> str:
    return "not in the daybook" if probability is None else percent(probability)


def _calibration(console: Console, figures: dict[str, Any]) -> None:
    _heading(console, "How far to trust this")
    _line(console, figures["says"], 4)
    _line(
        console,
        f"{figures['pieces']} pieces left out in turn: first {figures['top_1']:.1%}, "
        f"in the first three {figures['top_3']:.1%}; "
        f"log loss {figures['log_loss']:.3f}, Brier {figures['brier']:.3f}; remedy: {figures['remedy']}.",
        4,
    )
    for bar in figures["reliability"]:
        drawn = "█" * round(20 * bar["true"])
        _line(
            console,
            f"said {bar['said']:5.1%}  true {bar['true']:6.1%}  {drawn:<20} {bar['pieces']} pieces",
            4,
            "dim",
        )


def _line(console: Console, text: str, indent: int, style: str = "") -> None:
    put(console, text, indent, style)


def _heading(console: Console, text: str) -> None:
    console.print()
    _line(console, text, 2, "bold")
