"""The command ``weigh``: how many witnesses a claim has, and what falls if a source falls."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from kg.cli.common import (
    AsOfOption,
    BadOption,
    DaybookOption,
    JsonOption,
    console,
    open_daybook,
    past_day,
    print_json,
    put,
)

if TYPE_CHECKING:
    from rich.console import Console

    from kg.daybook.daybook import Daybook
    from kg.daybook.record import Claim
    from kg.daybook.view import WorkingView
    from kg.sources_weighed.dependence import Weighed
    from kg.sources_weighed.printed import Printed

#: How many of each kind are printed; JSON has them all.
SHOWN = 12


def weigh_command(
    name: Annotated[str, typer.Argument(help="A claim's id, or a source: its id, or its name in quotes.")],
    every: Annotated[
        bool, typer.Option("--all", help="Print every line, not the first of each kind.")
    ] = False,
    ranking: Annotated[
        list[str] | None,
        typer.Option(
            "--ranking", help="Also tell how the ranking of this piece's makers changes; may be given again."
        ),
    ] = None,
    questions: Annotated[
        bool,
        typer.Option("--questions", help="The same for every piece whose ranking is kept as a question."),
    ] = False,
    daybook: DaybookOption = None,
    as_of: AsOfOption = None,
    as_json: JsonOption = False,
) -> None:
    """Count the independent witnesses of a claim, or see what rests on a source."""
    book = open_daybook(daybook)
    told = told_weighing(book, name, as_of, tuple(ranking or ()), with_questions=questions)
    if as_json:
        print_json(told)
        return
    show = show_claim if "witnesses" in told else show_source
    show(console(), told, None if every else SHOWN)


def told_weighing(
    book: Daybook, name: str, as_of: str | None, pieces: tuple[str, ...] = (), *, with_questions: bool = False
) -> dict[str, Any]:
    """The weighing of a claim or a source, as of a day where one is named, and then beside today's.

    With pieces, or with the questions that are kept, it tells too how their rankings change if it is set aside.
    """
    from kg.sources_weighed.dependence import Weighed

    view = book.view(past_day(as_of))
    weighed = Weighed(view)
    what = claim_or_source(view, name)
    ranked = [view.thing(piece).slug for piece in pieces] + (_in_question(view) if with_questions else [])
    told = _told(weighed, what, list(dict.fromkeys(ranked)))
    told["as_of"] = as_of
    told["today"] = _today(weighed, Weighed(book.view()), what) if as_of else None
    return told


def claim_or_source(view: WorkingView, name: str) -> Claim | str:
    """The claim of that id, or the slug of the source of that name.

    :raises BadOption: if it is a thing that is no source.
    :raises kg.daybook.view.NotInDaybook: if it is neither.
    """
    from kg.daybook.view import NotInDaybook

    if name in view.claims:
        return view.claims[name]
    try:
        thing = view.thing(name)
    except NotInDaybook:
        try:
            return view.claim(name)
        except NotInDaybook as error:
            raise NotInDaybook(f"{name!r} is neither a source nor a claim of the daybook. {error}") from error
    if not view.vocabulary.is_a(thing.kinds, "Source"):
        raise BadOption(
            f"{thing.label} is no source. Weigh one of its claims; their ids are listed by "
            f"`kilnmark list --claims {thing.slug}`."
        )
    return thing.slug


def _told(weighed: Weighed, what: Claim | str, ranked: list[str]) -> dict[str, Any]:
    from kg.sources_weighed.impact import Fall, Impact
    from kg.sources_weighed.telling import told_fall, told_printed, told_weighed_source, told_witnesses

    def told_with_rankings(fall: Fall) -> dict[str, Any]:
        rankings = [told_ranking_change(weighed.view, fall.fallen, piece) for piece in ranked]
        return {**told_fall(fall), "rankings": rankings}

    impact = Impact(weighed)
    if isinstance(what, str):
        told = told_weighed_source(weighed, what)
        return {**told, "fall": told_with_rankings(impact.of(sources=[what]))}
    told = told_witnesses(weighed, what)
    told["in_print"] = [told_printed(impact.printed, sentence) for sentence in impact.printed.on(what)]
    fall, narrow = impact.of(claims=[what.id]), impact.of_bottleneck(what)
    told["fall"] = told_with_rankings(fall)
    told["fall"]["direct"] = [row for row in told["fall"]["direct"] if row["claim"] != what.id]
    told["fall_of_bottleneck"] = None
    if narrow is not None:
        is_same = narrow.fallen == fall.fallen
        told["fall_of_bottleneck"] = {
            "set_aside": told["overturned_by"], "is_same": is_same, **told_with_rankings(narrow)
        }  # fmt: skip
    return told


def _in_question(view: WorkingView) -> list[str]:
    """The pieces whose ranking is kept as an open question."""
    from kg.attribution.questions import question_slug

    asked = [claim for claim in view.live if claim.property == "askedOf"]
    return [claim.value for claim in asked if claim.subject == question_slug(claim.value)]


def told_ranking_change(view: WorkingView, fallen: frozenset[str], piece: str) -> dict[str, Any]:
    """How the ranking of who made a piece changes without some claims."""
    from kg.attribution.candidates import rank
    from kg.attribution.questions import compared
    from kg.attribution.telling import told_ranking

    before, after = rank(view, piece), rank(view.without(fallen), piece)
    leads = [None if r.leader is None else view.label(r.leader.maker) for r in (before, after)]
    changes = told_ranking(after, changes=compared(before, after))["changes"]
    moved = changes["moved"]
    is_changed = leads[0] != leads[1] or any(_chance(m, "before") != _chance(m, "after") for m in moved)
    told = {"piece": piece, "label": view.label(piece), "confidential": view.things[piece].is_confidential}
    return {
        **told,
        "leads_before": leads[0],
        "leads_after": leads[1],
        "is_changed": is_changed,
        "moved": moved,
    }


def _today(then: Weighed, now: Weighed, what: Claim | str) -> dict[str, Any]:
    """What has changed since for a claim or source."""
    from kg.sources_weighed.telling import headline, told, told_weighed_source

    if isinstance(what, str):
        before, after = (told_weighed_source(w, what) for w in (then, now))
        keys = ("origin", "claims", "all_that_follow")
        return {key: after[key] for key in keys if before[key] != after[key]}
    from kg.sources_weighed.printed import Printed
    from kg.sources_weighed.standing import step_of

    answer = now.witnesses(what)
    around = [*(claim for claim, _ in answer.statement.agreeing), *answer.statement.contrary]
    return {
        "headline": headline(now.view, answer),
        "step": step_of(now, what).value,
        "added": [told(now.view, claim) for claim in around if claim.id not in then.view.claims],
        "in_print": _footings_changed(Printed(then), Printed(now), what),
    }


def _footings_changed(then: Printed, now: Printed, claim: Claim) -> list[dict[str, Any]]:
    """The printed sentences resting on a claim whose footing was another, or that were not yet on record."""
    before = {sentence.thing: then.footing(sentence).value for sentence in then.on(claim)}
    after = {sentence.thing: now.footing(sentence).value for sentence in now.on(claim)}
    return [
        {"thing": thing, "label": now.weighed.view.label(thing), "then": before.get(thing), "now": footing}
        for thing, footing in after.items()
        if before.get(thing) != footing
    ]


def show_claim(console: Console, told: dict[str, Any], most: int | None) -> None:
    """Print the weighing of a claim as a page for reading."""
    heading(console, told["sentence"])
    line(console, told["headline"], 2)
    if told["fewest_sentence"]:
        line(console, told["fewest_sentence"], 2)
    line(console, f"Standing: {told['step']}", 2)
    for reason in told["reasons"]:
        line(console, f"• {reason}", 4)
    section(console, "Said by", [_said(row) for row in told["agreeing"]], most)
    section(console, "Against it", [claim_line(row) for row in told["contrary"]], most)
    routes = told["possible_routes"]
    section(console, "Routes that share no source", [_route(route) for route in routes], most)
    unknown = [source_name(row) for row in told["origins"] if row["origin"] == "not known"]
    section(console, "Nothing is recorded of what these follow (not known, not independent)", unknown, most)
    section(console, "Circular citation", [" → ".join(map(source_name, c)) for c in told["circles"]], most)
    section(
        console,
        "Fewest sources whose fall overturns it",
        [source_name(s) for s in told["overturned_by"]],
        most,
    )
    printed = [f"{printed_line(row)}: {row['footing']}" for row in told["in_print"]]
    section(console, "In print, resting on it", printed, most)
    show_falls_of_claim(console, told, most)
    show_today(console, told)


def show_falls_of_claim(console: Console, told: dict[str, Any], most: int | None) -> None:
    """Print what falls with a claim, and apart from it what falls with its bottleneck, by name."""
    from kg.sources_weighed.telling import counted

    with_it = counted(len(told["fall"]["following"]), "other claim falls", "other claims fall")
    show_fall(console, told["fall"], f"If this claim alone is set aside: {with_it} with it", most)
    narrow = told["fall_of_bottleneck"]
    if narrow is None:
        return
    names = " and ".join(map(source_name, narrow["set_aside"]))
    what = "its bottleneck falls" if told["bottleneck"] else "all that carry it fall"
    if narrow["is_same"]:
        section(console, f"If {what} as witness to it: {names}; the same falls", [], most)
        return
    show_fall(console, narrow, f"If {what} as witness to it: {names}; {_fallen(narrow)}", most)


def show_source(console: Console, told: dict[str, Any], most: int | None) -> None:
    """Print what rests on a source as a page for reading."""
    heading(console, source_name(told))
    line(console, f"Origin: {told['origin']}. {told['claims']} claims cite it.", 2)
    section(console, "It follows", [_followed(row) for row in told["follows"]], most)
    section(console, "Followed by", [_followed(row) for row in told["followed_by"]], most)
    if told["all_that_follow"] > len(told["followed_by"]):
        line(console, f"{told['all_that_follow']} sources in all, directly or through others.", 4)
    section(console, "Contradicts", [claim_line(row) for row in told["contradicts"]], most)
    independent = [f"{source_name(row)} ({row['citation']})" for row in told["independent"]]
    section(console, "Stated independent of", independent, most)
    section(console, "Circular citation", [" → ".join(map(source_name, c)) for c in told["circles"]], most)
    show_fall(console, told["fall"], f"If set aside, these fall: {_fallen(told['fall'])}", most)
    if told["fall"]["following"]:
        line(console, "Where a whole source follows another, all that it says is taken to. Where only one claim does, "
             "record that: claimTakenFrom, claimFollows.", 2)  # fmt: skip
    show_today(console, told)


def _fallen(fall: dict[str, Any]) -> str:
    from kg.sources_weighed.telling import counted

    return (
        f"{counted(len(fall['direct']), 'claim')}, and {len(fall['following'])} that had it by no other line"
    )


def show_fall(console: Console, fall: dict[str, Any], title: str, most: int | None) -> None:
    """Print what falls if what the title names is set aside."""
    section(console, title, [claim_line(row) for row in fall["following"]], most)
    section(console, "These lose their anchor", [claim_line(row) for row in fall["unanchored"]], most)
    changed = [f"{claim_line(row)}: {row['before']} → {row['after']}" for row in fall["verdicts"]]
    section(console, "Verdicts that change", changed, most)
    section(
        console,
        "Printed sentences that lose their footing",
        [printed_line(s) for s in fall["sentences"]],
        most,
    )
    wider = [
        f"{source_name(w)}, {w['span']}: {w['before']['text']} → {w['after']['text']}" for w in fall["wider"]
    ]
    section(console, "Known less closely", wider, most)
    for ranking in fall["rankings"]:
        section(console, f"Who made it: {source_name(ranking)}", _ranking_lines(ranking), most)


def _ranking_lines(ranking: dict[str, Any]) -> list[str]:
    """Who leads before and after, and each maker whose chance is another as it is shown; or that nothing changes."""
    before, after = (ranking[f"leads_{when}"] or "nobody" for when in ("before", "after"))
    if not ranking["is_changed"]:
        return [f"Nothing changes in the ranking as it is shown. First: {before}."]
    chances = [(m["label"], _chance(m, "before"), _chance(m, "after")) for m in ranking["moved"]]
    return [
        f"first as before: {before}" if before == after else f"first: {before} → {after}",
        *(f"{label}: {old} → {new}" for label, old, new in chances if old != new),
    ]


def _chance(moved: dict[str, Any], when: str) -> str:
    from kg.cli.who import percent

    probability = moved[f"probability_{when}"]
    if moved[f"excluded_{when}"]:
        return "excluded"
    return "not among them" if probability is None else percent(probability)


def printed_line(row: dict[str, Any]) -> str:
    """A printed sentence as one line: its place and its words."""
    mark = " (confidential)" if row["confidential"] else ""
    return f"{row['citation']}: “{row['text']}”{mark}"


def show_today(console: Console, told: dict[str, Any]) -> None:
    """Print what has changed since the day that was asked about."""
    today = told["today"]
    if today is None:
        return
    heading(console, f"Since {told['as_of']}")
    if not today:
        line(console, "Nothing has changed.", 4)
    for key in ("headline", "step", "origin", "claims", "all_that_follow"):
        if key in today:
            line(console, f"{key.replace('_', ' ')} today: {today[key]}", 4)
    for row in today.get("added", ()):
        line(console, f"added: {claim_line(row)}", 4)
    for row in today.get("in_print", ()):
        line(console, f"in print, {row['label']}: {row['then'] or 'not yet on record'} → {row['now']}", 4)


def claim_line(row: dict[str, Any]) -> str:
    """A claim as one line: sentence, citation, id, and what must be known of it."""
    marks = [row["standing"]] if row["standing"] != "held" else []
    marks += ["confidential"] if row["confidential"] else []
    behind = f" ({', '.join(marks)})" if marks else ""
    return f"{row['sentence']} — {row['citation']}  [{row['claim']}]{behind}"


def source_name(row: dict[str, Any]) -> str:
    """A source's name, with a word where it is confidential."""
    return f"{row['label']} (confidential)" if row["confidential"] else str(row["label"])


def _said(row: dict[str, Any]) -> str:
    how = "" if row["agreement"] == "the same value" else f"; {row['agreement']}"
    return claim_line(row) + how


def _route(route: list[dict[str, Any]]) -> str:
    return f"({route[0]['origin']}) " + " → ".join(map(source_name, route))


def _followed(row: dict[str, Any]) -> str:
    return f"{source_name(row)}  [{', '.join(claim['claim'] for claim in row['because'])}]"


def heading(console: Console, text: str) -> None:
    """Print a heading, indented by the blanks that it begins with."""
    words = text.lstrip()
    console.print()
    put(console, words, len(text) - len(words), "bold")


def line(console: Console, text: str, indent: int) -> None:
    """Print one line, indented."""
    put(console, text, indent)


def section(console: Console, title: str, rows: list[str], most: int | None) -> None:
    """Print a titled list, or nothing where it is empty; a title with a count in it stands alone too."""
    if not rows and ":" not in title:
        return
    heading(console, f"  {title}")
    for row in rows[:most]:
        line(console, f"• {row}", 4)
    if most is not None and len(rows) > most:
        line(console, f"… and {len(rows) - most} more; --all prints them, --json holds them.", 4)
