"""`runout group trace|contain|find`: the questions of one plant, across all plants of a group."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import click

from runout import PlantGroup
from tracelink.cli.common.options import format_option
from tracelink.cli.common.progress import seconds_used
from tracelink.cli.common.query_options import query_options, read_query
from tracelink.cli.common.say import print_report
from tracelink.cli.trace import trace_text
from tracelink.ledger.time_words import moment
from tracelink.report.format.render import Column, Kind, render
from tracelink.report.pictures.tree_text import TREE_COLUMNS, tree_rows
from tracelink.report.scope.screen_tables import CONTAINER_COLUMNS, container_rows
from tracelink.report.scope.text import scope_tables

if TYPE_CHECKING:
    from collections.abc import Sequence

    from runout import GroupScope, GroupTrace, PlantHead

_FOUND = [
    Column("plant", "plant"),
    Column("code", "code"),
    Column("what", "what"),
    Column("state", "state"),
    Column("units", "units", Kind.COUNT),
    Column("place", "where", Kind.TEXT),
    Column("kept_for", "kept for"),
    Column("hold", "on hold"),
]


@click.command(epilog="Example: runout group trace north:T000004H --forward")
@click.argument("code", metavar="[PLANT:]CODE")
@click.option("--back", is_flag=True, help="Only what it was made of.")
@click.option("--forward", is_flag=True, help="Only where it went.")
@format_option
@click.pass_obj
def trace(place: str, code: str, back: bool, forward: bool, fmt: str) -> None:
    """Show the genealogy of CODE across plants.

    CODE is any that `runout trace` takes. Plants count from one, so that several may have another thing of the same code: then
    say which plant's is meant, such as north:T000004H.
    """
    both = back == forward
    found = PlantGroup(place).trace(code, back=both or back, forward=both or forward)
    print_report(_traced(found, fmt), fmt)


def _traced(found: GroupTrace, fmt: str) -> str:
    if fmt == "json":
        return json.dumps(found.to_dict(), ensure_ascii=True, indent=2) + "\n"
    if fmt == "csv":
        rows = [
            {"direction": name, **row} for name, tree in found.trace.trees.items() for row in tree_rows(tree)
        ]
        return render(rows, [Column("direction", "direction"), *TREE_COLUMNS], fmt)
    doubtful = "".join(f"{sentence}\n" for sentence in found.doubtful)
    return f"{trace_text(found.trace)}\n{doubtful}{_records(found.plants)}\n"


@click.command(epilog="Example: runout group contain north:T000004H --shape from-onset")
@query_options
@format_option
@click.pass_context
def contain(ctx: click.Context, /, fmt: str, **words: Any) -> None:
    """Scope one cause in every plant: every disc it may have touched, how sure, and where each is now.

    As `runout contain`, with codes as for `group trace`; --evidence names a lot without its plant. Holds are placed at each
    plant, by its own people: nothing is written here.

    Exit codes: 0 no link found, 1 affected discs proven or possible.
    """
    query = read_query(words)
    with seconds_used(query.seconds, "Seconds used at most") as watch:
        found = PlantGroup(ctx.obj).contain(query, progress=watch)
    print_report(_contained(found, fmt), fmt)
    ctx.exit(1 if found.affected else 0)


def _contained(found: GroupScope, fmt: str) -> str:
    if fmt == "json":
        return json.dumps(found.to_dict(), ensure_ascii=True, indent=2) + "\n"
    if fmt == "csv":
        return render(container_rows(found.scope), CONTAINER_COLUMNS, fmt)
    return scope_tables(found.scope, _records(found.plants))


@click.command(epilog="Example: runout group find 195200000000000018")
@click.argument("code", metavar="[PLANT:]CODE")
@format_option
@click.pass_obj
def find(place: str, code: str, fmt: str) -> None:
    """Tell where a pallet or carton is, by the records of each plant that knows it.

    CODE is an SSCC, a location or a shipment.
    """
    click.echo(render(PlantGroup(place).find(code).to_dict(), _FOUND, fmt), nl=False)


def _records(plants: Sequence[PlantHead]) -> str:
    """Say up to where each plant was looked at: a question across plants is only as new as the oldest of them."""
    told = ", ".join(
        f"{one.plant} up to entry {one.head.seq}"
        + ("" if one.recorded_at is None else f" of {moment(one.recorded_at)}")
        for one in plants
    )
    return f"Records of {told}."
