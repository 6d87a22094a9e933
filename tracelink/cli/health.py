"""`runout health`: the measures of a ledger, for a monitor."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import click

from runout import HealthLimits, LedgerHealth, open_ledger
from tracelink.cli.common.say import print_report, say
from tracelink.report.format.openmetrics import openmetrics
from tracelink.report.format.render import Column, Kind, render

if TYPE_CHECKING:
    from collections.abc import Mapping

    from tracelink.report.format.render import Cell

URGENT = 7
"""Exit code: somebody must see to a measure now."""

_CODES = {"within": 0, "look": 1, "urgent": URGENT}
_LIMITS = HealthLimits()
_COLUMNS = [
    Column("subject", "station or gauge"),
    Column("measure", "measure", Kind.TEXT),
    Column("value", "value", Kind.COUNT),
    Column("unit", "unit"),
    Column("severity", "severity"),
]


_LARGER = {
    "seconds": ((86_400, "days"), (3_600, "hours"), (60, "minutes")),
    "bytes": ((2**30, "GiB"), (2**20, "MiB")),
}
"""Units for people, the largest first: nobody reads 54 011 061 seconds."""


@click.command(epilog="Example: runout health --format openmetrics")
@click.option(
    "--format",
    "fmt",
    type=click.Choice(["table", "json", "csv", "openmetrics"]),
    default="table",
    show_default=True,
    help="How to print; json, csv and openmetrics are stable for other programs.",
)
@click.option(
    "--quiet",
    "quiet_minutes",
    type=click.IntRange(1),
    metavar="MINUTES",
    help="Longest time without a scan where somebody is signed on.",
)
@click.option(
    "--spooled",
    "spooled_hours",
    type=click.IntRange(1),
    default=_LIMITS.spooled_hours,
    show_default=True,
    metavar="HOURS",
    help="Longest time that a scan may wait to be closed into an entry.",
)
@click.option(
    "--free",
    "free_mib",
    type=click.IntRange(1),
    default=_LIMITS.free_mib,
    show_default=True,
    metavar="MIB",
    help="Least room on the disk; a tenth of it is urgent.",
)
@click.option(
    "--checkpoint",
    "checkpoint_days",
    type=click.IntRange(1),
    default=_LIMITS.checkpoint_days,
    show_default=True,
    metavar="DAYS",
    help="Longest time without a signed checkpoint.",
)
@click.option(
    "--answer",
    "answer_ms",
    type=click.IntRange(1),
    default=_LIMITS.answer_ms,
    show_default=True,
    metavar="MS",
    help="Longest time that an answer to a station may take, in milliseconds.",
)
@click.option(
    "--statement",
    "statement_s",
    type=click.IntRange(1),
    default=_LIMITS.statement_s,
    show_default=True,
    metavar="SECONDS",
    help="Longest time that a statement may run on a database server.",
)
@click.pass_context
def health(ctx: click.Context, /, fmt: str, **limits: Any) -> None:  # the limits by their names
    """Measure the ledger for a monitor: ages of scans and entries, room on disk, slow answers, what is due.

    Exit codes: 0 nothing is past its limit, 1 somebody is to look, 7 somebody must see to it now.
    """
    with open_ledger(ctx.obj, read_only=True) as ledger:
        found = ledger.upkeep.health(HealthLimits(**limits))
    print_report(_printed(found, fmt), fmt)
    if fmt == "table":
        for sentence in found.sentences:
            say(f"{sentence}.", err=True)
    ctx.exit(_CODES[found.severity])


def _printed(found: LedgerHealth, fmt: str) -> str:
    if fmt == "json":
        return json.dumps(found.to_dict(), indent=2) + "\n"
    if fmt == "openmetrics":
        return openmetrics(found)
    rows = [one.to_dict() for one in found.measured]
    if fmt == "table":
        rows = [
            {**row, "measure": one.measure.words, **_for_people(row)}
            for row, one in zip(rows, found.measured, strict=True)
        ]
    return render(rows, _COLUMNS, fmt)


def _for_people(row: Mapping[str, Cell]) -> dict[str, Cell]:
    """Return value and unit of a measure in the largest unit of which there are two, without the rest."""
    value, unit = row["value"], str(row["unit"])
    if isinstance(value, int):
        for size, larger in _LARGER.get(unit, ()):
            if value >= 2 * size:
                return {"value": value // size, "unit": larger}
    return {}
