"""`runout replay`: recorded scans through the very same path as live ones."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from runout import open_ledger
from tracelink.cli.common.options import format_option
from tracelink.cli.common.progress import steps
from tracelink.ledger.count_words import counted
from tracelink.report.format.plain import visible
from tracelink.report.format.render import Column, Kind, render

if TYPE_CHECKING:
    from runout import RenumberedScan


@click.command(epilog="Example: runout replay demo/out/logs/phase1-*.jsonl")
@click.argument("logs", metavar="LOG...", nargs=-1, required=True)
@click.option("--trial", is_flag=True, help="Book nothing; show each scan that would be stopped.")
@format_option
@click.pass_context
def replay(ctx: click.Context, logs: tuple[str, ...], trial: bool, fmt: str) -> None:
    """Book the scans of one or more station logs, in the order of their times.

    A scan is booked once: a replay that was stopped goes on where it stopped, and a log replayed twice
    changes nothing. A refused scan is an entry too: --trial first shows what an order of logs would come to, with
    nothing kept. Stations wait while it runs.

    Exit codes: 0 nothing was stopped, 1 some scans were stopped or a log is cut, 2 a log cannot be used.
    """
    if trial:
        with open_ledger(ctx.obj) as ledger, steps("Trying") as step:
            stops = ledger.stations.try_out(logs, step).to_dict()
        click.echo(render(stops, _STOPS, fmt), nl=False)
        click.echo(f"Trial: nothing was booked; {counted(len(stops), 'scan')} would be stopped.", err=True)
        ctx.exit(1 if stops else 0)
    with open_ledger(ctx.obj) as ledger, steps("Replaying") as step:
        done = ledger.stations.replay(logs, step)
    columns = [Column("outcome", "outcome"), Column("scans", "scans", Kind.COUNT)]
    click.echo(render(done.to_dict(), columns, fmt), nl=False)
    click.echo(f"{counted(done.booked, 'scan')} booked, {done.skipped} booked before.", err=True)
    for scan in done.renumbered:
        click.echo(_renumbered(scan), err=True)
    for log in done.cut:
        click.echo(
            f"{log.file} is cut after scan {log.last}: {log.why}. The rest can be replayed later.", err=True
        )
    ctx.exit(1 if done.cut or done.stopped or done.renumbered else 0)


def _renumbered(scan: RenumberedScan) -> str:
    return (
        f"{scan.file}: scan {scan.number} of station {scan.station} is not the one that was booked under this "
        f"number, and was not booked: {visible(scan.raw)}. A station's numbers never begin again; find out what "
        "was numbered twice, and replay what is missing under numbers that follow."
    )


_STOPS = [
    Column("at", "at", Kind.TIME),
    Column("station", "station"),
    Column("scan", "scan", Kind.NUMBER),
    Column("raw", "raw"),
    Column("finding", "finding"),
    Column("sentence", "sentence", Kind.TEXT),
]
