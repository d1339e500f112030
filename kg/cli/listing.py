"""The commands that list what there is: ``list`` and ``vocabulary``."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated, Any

import typer

from kg.cli.common import (
    AsOfOption,
    DaybookNotFound,
    DaybookOption,
    JsonOption,
    echo,
    open_daybook,
    open_view,
    print_json,
)

if TYPE_CHECKING:
    from kg.daybook.record import Claim
    from kg.daybook.view import WorkingView
    from kg.vocabulary import Property, Vocabulary


def list_command(
    words: Annotated[list[str] | None, typer.Argument(help="Words that the name or id holds.")] = None,
    kind: Annotated[
        str | None, typer.Option("--kind", help="Only things of this class, such as Piece or Person.")
    ] = None,
    claims_of: Annotated[
        str | None, typer.Option("--claims", help="List the claims about one thing instead.")
    ] = None,
    daybook: DaybookOption = None,
    as_of: AsOfOption = None,
    as_json: JsonOption = False,
) -> None:
    """List things by name, or the claims about one thing (and what is recorded as the same) with their sources."""
    view = open_view(daybook, as_of)
    if claims_of is not None:
        from kg.daybook.as_one import as_one

        named = as_one(view)
        one = named.slug(view.thing(claims_of).slug)
        claims = [
            _listed(view, c)
            for c in view.claims.values()
            if one in (named.slug(c.subject), named.slug(c.value))
        ]
        _print_rows(claims, as_json, _claim_line)
        return
    wanted = view.vocabulary.kind(kind).name if kind else None
    found = [
        {"id": thing.slug, "name": thing.label, "kind": ", ".join(thing.kinds)}
        for thing in sorted(view.things.values(), key=lambda t: t.slug)
        if (wanted is None or view.vocabulary.is_a(thing.kinds, wanted))
        and all(word.casefold() in f"{thing.slug} {thing.label}".casefold() for word in words or ())
    ]
    _print_rows(found, as_json, lambda r: f"{r['id']}  {r['name']} ({r['kind']})")


def _listed(view: WorkingView, claim: Claim) -> dict[str, Any]:
    judged, entry = view.judgements.get(claim.id), view.entries.get(claim.entry)
    return {
        "claim": claim.id,
        "sentence": view.sentence(claim),
        "citation": view.cite(claim.citation),
        "standing": view.vocabulary.standings[view.standing(claim.id)],
        "why": judged.why if judged else None,
        "confidential": view.is_confidential(claim),
        "recorded": entry.recorded.date().isoformat() if entry else None,
        "researcher": entry.researcher if entry else None,
    }


def _claim_line(row: dict[str, Any]) -> str:
    notes = [f"{row['standing']}: {row['why']}"] if row["standing"] != "held" else []
    notes += ["confidential"] if row["confidential"] else []
    return f"{row['claim']}  {row['sentence']} — {row['citation']}" + (
        f" ({'; '.join(notes)})" if notes else ""
    )


def _print_rows(rows: list[dict[str, Any]], as_json: bool, write: Callable[[dict[str, Any]], str]) -> None:
    if as_json:
        print_json(rows)
        return
    for row in rows:
        echo(write(row))
    echo(f"{len(rows)} found." if rows else "Nothing answers to that.")


def vocabulary_command(daybook: DaybookOption = None, as_json: JsonOption = False) -> None:
    """List the properties that a claim can use, what each says about time, and the conventions behind it."""
    from kg.vocabulary import load_vocabulary

    try:
        vocabulary = open_daybook(daybook).vocabulary
    except DaybookNotFound:
        vocabulary = load_vocabulary()
    properties = [_property(prop) for prop in vocabulary.properties.values()]
    conventions = _conventions(vocabulary)
    if as_json:
        print_json({"properties": properties, "conventions": conventions})
        return
    for row in properties:
        echo(f"{row['property']}  ({row['label']}): {row['of']} → {row['value']}")
        for line in row["time"]:
            echo(f"    {line}")
    echo("\nConventions, each of which --no-convention switches off:")
    for row in conventions:
        echo(
            f"{row['convention']}  {row['years']} years ({row['family']}): {row['says']}\n    {row['basis']}"
        )


def _property(prop: Property) -> dict[str, Any]:
    return {
        "property": prop.name,
        "label": prop.label,
        "of": prop.domain,
        "value": prop.range,
        "group": prop.group,
        "time": [f"{rule.label} ({rule.strength})" for rule in prop.rules],
    }


def _conventions(vocabulary: Vocabulary) -> list[dict[str, Any]]:
    return [
        {"convention": c.name, "family": c.family, "years": c.years, "says": c.comment, "basis": c.basis}
        for c in vocabulary.conventions.values()
    ]
