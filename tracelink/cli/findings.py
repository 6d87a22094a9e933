"""`runout findings`: what stations refused, and why."""

from collections.abc import Mapping, Sequence
from typing import Any

import click

from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import print_report
from tracelink.errors import UsageError
from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.time_words import moment
from tracelink.report.format.plain import visible
from tracelink.report.format.render import Cell, Column, Kind, render
from tracelink.store.ledger import read_ledger
from tracelink.store.records.late_entries import late_entries, late_minutes
from tracelink.store.records.refused_scans import KEYS, count_refused, kinds_refused, refused_scans
from tracelink.store.stations.station_list import is_station

_COLUMNS = [Column(name, name) for name in KEYS]


_LATE = [
    Column("entry", "entry", Kind.NUMBER),
    Column("kind", "kind"),
    Column("happened", "happened", Kind.TIME),
    Column("recorded", "recorded", Kind.TIME),
    Column("minutes", "minutes late", Kind.COUNT),
    Column("by", "by"),
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
    help="Instead: entries recorded long after they happened (setting late_entry_minutes).",
)
@click.option("--codes", is_flag=True, help="Instead: every code with its meaning and what to do.")
@click.option("--last", type=click.IntRange(1), default=50, show_default=True, help="How many, newest first.")
@format_option
@click.pass_context
def findings(
    ctx: click.Context,
    finding: str | None,
    station: str | None,
    late: bool,
    codes: bool,
    last: int,
    fmt: str,
) -> None:
    """List what stations refused, newest first; what was recorded late; or what each code means.

    \b
    Exit codes: 0 none, 1 findings printed; --codes always 0.
    """  # noqa: D301  click looks for the character
    if codes:
        if late or finding is not None or station is not None:
            raise UsageError("--codes lists every code: leave out --finding, --station and --late")
        click.echo(render(_code_rows(), _CODES, fmt), nl=False)
        return
    if late:
        if finding is not None or station is not None:
            raise UsageError("--late lists entries of all stations: leave out --finding and --station")
        ctx.exit(_show_late(ctx.obj, last, fmt))
    with read_ledger(ctx.obj) as conn:
        rows = refused_scans(conn, finding, station, last)
        older = count_refused(conn, finding, station) - len(rows)
        if not rows and finding is not None:
            kinds = ", ".join(kinds_refused(conn)) or "none"
            click.echo(f"No finding of kind {finding!r} is recorded; kinds recorded: {kinds}.", err=True)
        if station is not None and not is_station(conn, station):
            raise UsageError(f"station {station} is not known to this ledger")
    print_report(_paragraphs(rows) if fmt == "table" else render(rows, _COLUMNS, fmt), fmt)
    if older:
        click.echo(f"{counted(older, 'older finding')} left out; --last {last + older} lists all.", err=True)
    ctx.exit(1 if rows else 0)


def _code_rows() -> list[dict[str, Cell]]:
    return [{"code": str(code), "meaning": code.meaning, "to_do": code.to_do} for code in FindingCode]


def _show_late(place: str, last: int, fmt: str) -> int:
    with read_ledger(place) as conn:
        # One more than is shown, to know whether any is left out.
        found = late_entries(conn, last + 1)
        limit = late_minutes(conn)
    rows: list[dict[str, Cell]] = [
        {
            "entry": one.seq,
            "kind": one.kind,
            "happened": one.happened,
            "recorded": one.recorded,
            "minutes": one.late_s // 60,
            "by": one.by,
        }
        for one in found[:last]
    ]
    click.echo(render(rows, _LATE, fmt), nl=False)
    left_out = "; older ones are left out, a larger --last lists them" if len(found) > last else ""
    click.echo(
        f"Entries recorded more than {limit} minutes after they happened: {len(rows)} shown{left_out}.",
        err=True,
    )
    return 1 if rows else 0


def _paragraphs(rows: Sequence[Mapping[str, Any]]) -> str:
    """One paragraph per finding: a sentence in a narrow column is hard to read."""
    parts = [
        f"entry {row['seq']}  {moment(row['at'])}  {row['station'] or 'by command'}  {row['finding']}\n"
        + click.wrap_text(visible(row["sentence"]), 96, initial_indent="    ", subsequent_indent="    ")
        + "\n"
        for row in rows
    ]
    return "\n".join(parts) or "(no findings)\n"
