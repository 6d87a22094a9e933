"""`runout findings`: what stations refused, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from typing import TYPE_CHECKING

import click

from runout import RefusedScan, open_ledger
from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import print_report
from tracelink.errors import UsageError
from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.time_words import moment
from tracelink.report.format.plain import visible
from tracelink.report.format.render import Column, Kind, render

if TYPE_CHECKING:
    from tracelink.report.format.render import Cell

_ON_A_SCREEN = 50
"""Findings of a table unless more are asked for; other programs get all."""

_COLUMNS = [Column(field.name, field.name) for field in fields(RefusedScan)]


_LATE = [
    Column("entry", "entry", Kind.NUMBER),
    Column("kind", "kind"),
    Column("happened", "happened", Kind.TIME),
    Column("recorded", "recorded", Kind.TIME),
    Column("minutes", "minutes late", Kind.COUNT),
    Column("by", "by"),
    Column("clock", "recording time", Kind.TEXT),
]
_CODES = [
    Column("code", "code"),
    Column("meaning", "what it means", Kind.TEXT),
    Column("to_do", "what to do", Kind.TEXT),
]


@click.command(epilog="Example: runout findings --finding wrong-title --last 20")
@click.option("--finding", metavar="CODE", help="Only findings of this kind, such as wrong-title.")
@click.option("--station", metavar="CODE", help="Only findings of this station.")
@click.option(
    "--late",
    is_flag=True,
    help="Instead: entries recorded long after they happened (setting late_entry_minutes), or out of turn by the clock.",
)
@click.option("--codes", is_flag=True, help="Instead: every code with its meaning and what to do.")
@click.option(
    "--last",
    type=click.IntRange(1),
    metavar="N",
    help=f"How many, newest first; unless said, {_ON_A_SCREEN} as a table, and all as CSV or JSON.",
)
@click.option("--each", is_flag=True, help="In a table: every finding by itself, also those like another.")
@format_option
@click.pass_context
def findings(
    ctx: click.Context,
    finding: str | None,
    station: str | None,
    late: bool,
    codes: bool,
    last: int | None,
    each: bool,
    fmt: str,
) -> None:
    """List what stations refused, newest first; what was recorded late; or what each code means.

    A table gathers what one station found of one kind on one thing: how often, since when, and the newest sentence.

    Exit codes: 0 none, 1 findings printed; --codes always 0.
    """
    if codes:
        if late or finding is not None or station is not None:
            raise UsageError("--codes lists every code: leave out --finding, --station and --late")
        click.echo(render(_code_rows(), _CODES, fmt), nl=False)
        return
    if last is None and fmt == "table":
        last = _ON_A_SCREEN
    if late:
        if finding is not None or station is not None:
            raise UsageError("--late lists entries of all stations: leave out --finding and --station")
        ctx.exit(_show_late(ctx.obj, last, fmt))
    with open_ledger(ctx.obj, read_only=True) as ledger:
        found = ledger.stations.refusals(finding=finding, station=station, last=last)
    scans, older = found.scans, found.older
    if not scans and finding is not None:
        kinds = ", ".join(found.kinds) or "none"
        click.echo(f"No finding of kind {finding!r} is recorded; kinds recorded: {kinds}.", err=True)
    alike = [[scan] for scan in scans] if each else _gathered(scans)
    print_report(_paragraphs(alike) if fmt == "table" else render(found.to_dict(), _COLUMNS, fmt), fmt)
    if older:
        click.echo(
            f"{counted(older, 'older finding')} left out; --last {len(scans) + older} lists all.", err=True
        )
    ctx.exit(1 if scans else 0)


def _code_rows() -> list[dict[str, Cell]]:
    return [{"code": str(code), "meaning": code.meaning, "to_do": code.to_do} for code in FindingCode]


def _show_late(place: str, last: int | None, fmt: str) -> int:
    with open_ledger(place, read_only=True) as ledger:
        found = ledger.stations.late_entries(last=last)
    rows = found.to_dict()
    click.echo(render(rows, _LATE, fmt), nl=False)
    left_out = (
        f", {found.older} older left out; --last {len(rows) + found.older} lists all" if found.older else ""
    )
    click.echo(
        f"Entries recorded more than {found.limit_minutes} minutes after they happened, or of which the recording time runs back or "
        f"jumps: {len(rows)} shown{left_out}.",
        err=True,
    )
    return 1 if rows else 0


def _gathered(scans: Sequence[RefusedScan]) -> list[list[RefusedScan]]:
    """Put findings of one kind on one thing at one station together, in the order of the newest of each."""
    alike: dict[object, list[RefusedScan]] = {}
    for scan in scans:
        # What names no thing is like nothing else.
        thing = scan.seq if scan.subject is None else (scan.finding, scan.station, scan.subject)
        alike.setdefault(thing, []).append(scan)
    return list(alike.values())


def _paragraphs(alike: Sequence[Sequence[RefusedScan]]) -> str:
    """One paragraph for findings that are alike: a sentence in a narrow column is hard to read."""
    return "\n".join(_paragraph(scans) for scans in alike) or "(no findings)\n"


def _paragraph(scans: Sequence[RefusedScan]) -> str:
    newest, first = scans[0], scans[-1]
    # What comes from a file, a browser or a command has no station: then the person says more.
    where = newest.station or (f"by {newest.person}" if newest.person else "at no station")
    head = f"entry {newest.seq}  {moment(newest.at)}  {where}  {newest.finding}\n"
    if len(scans) > 1:
        head += (
            f"    {len(scans)} times on {visible(str(newest.subject))}, first {moment(first.at)} (entry {first.seq}). "
            "The newest:\n"
        )
    told = click.wrap_text(visible(newest.sentence), 96, initial_indent="    ", subsequent_indent="    ")
    return f"{head}{told}\n"
