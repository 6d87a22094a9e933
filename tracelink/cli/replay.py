"""`runout replay`: recorded scans through the very same path as live ones."""

from collections import Counter
from pathlib import Path

import click

from tracelink.cli.common.opened import opened
from tracelink.cli.common.options import format_option
from tracelink.cli.common.progress import progress
from tracelink.devices.stationlog import StationLog, merged, read_log
from tracelink.errors import UsageError
from tracelink.report.format.plain import visible
from tracelink.report.format.render import Cell, Column, Kind, render
from tracelink.station.common.outcome import Word
from tracelink.store.ledger import Ledger, read_ledger
from tracelink.store.stations.renumbered import first_renumbered

_CHUNK = 400
"""Scans to one transaction: enough that the disk is not the limit, few enough that a stop loses little time."""


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

    \b
    Exit codes: 0 nothing was stopped, 1 some scans were stopped or a log is cut, 2 a log cannot be used.
    """  # noqa: D301  click looks for the character
    read = [read_log(Path(log)) for log in logs]
    _require_one_each(read)
    if trial:
        stops = _try(opened(ctx.obj), read)
        click.echo(render(stops, _STOPS, fmt), nl=False)
        click.echo(f"Trial: nothing was booked; {len(stops)} scans would be stopped.", err=True)
        ctx.exit(1 if stops else 0)
    booked, counts = _book(opened(ctx.obj), read)
    skipped = sum(len(log.scans) for log in read) - booked
    rows: list[dict[str, Cell]] = [
        {"outcome": name, "scans": count} for name, count in sorted(counts.items())
    ]
    columns = [Column("outcome", "outcome"), Column("scans", "scans", Kind.COUNT)]
    click.echo(render(rows, columns, fmt), nl=False)
    click.echo(f"{booked} scans booked, {skipped} booked before.", err=True)
    strange = bool(skipped) and _tell_renumbered(ctx.obj, read)
    cut = [log for log in read if log.cut]
    for log in cut:
        click.echo(
            f"{log.file} is cut after scan {log.last}: {log.cut}. The rest can be replayed later.", err=True
        )
    stopped = any(name.startswith("stop") for name in counts)
    ctx.exit(1 if cut or stopped or strange else 0)


def _tell_renumbered(place: str, logs: list[StationLog]) -> bool:
    """Name each log with a scan whose number was another scan's, so that none is lost unseen."""
    strange = False
    with read_ledger(place) as conn:
        for log in logs:
            scan = first_renumbered(conn, log.station, log.scans)
            if scan is None:
                continue
            strange = True
            click.echo(
                f"{log.file}: scan {scan.number} of station {log.station} is not the one that was booked under this "
                f"number, and was not booked: {visible(scan.raw)}. A station's numbers never begin again; find out what "
                "was numbered twice, and replay what is missing under numbers that follow.",
                err=True,
            )
    return strange


def _require_one_each(logs: list[StationLog]) -> None:
    """Refuse two logs of one station that hold the same scan numbers."""
    seen: dict[tuple[str, int], Path] = {}
    for log in logs:
        for scan in log.scans:
            other = seen.setdefault((log.station, scan.number), log.file)
            if other != log.file:
                raise UsageError(
                    f"{log.file} and {other} both hold scan {scan.number} of station {log.station}: give one of them"
                )


_STOPS = [
    Column("at", "at", Kind.TIME),
    Column("station", "station"),
    Column("scan", "scan", Kind.NUMBER),
    Column("raw", "raw"),
    Column("finding", "finding"),
    Column("sentence", "sentence", Kind.TEXT),
]


def _try(ledger: Ledger, logs: list[StationLog]) -> list[dict[str, Cell]]:
    """Book everything in one transaction that is taken back; returns one row per scan that was stopped."""
    rows: list[dict[str, Cell]] = []
    todo = list(merged(logs))
    with ledger.dry_run() as booking, progress(len(todo), "Trying") as bar:
        for station, scan in todo:
            bar.update(1)
            if scan.number <= booking.last_number(station):
                continue
            verdict = booking.book(station, scan)
            if verdict.word is Word.STOP:
                rows.append(
                    {
                        "at": scan.at,
                        "station": station,
                        "scan": scan.number,
                        "raw": visible(scan.raw),
                        "finding": verdict.finding,
                        "sentence": verdict.sentence,
                    }
                )
    return rows


def _book(ledger: Ledger, logs: list[StationLog]) -> tuple[int, Counter[str]]:
    todo = list(merged(logs))
    counts: Counter[str] = Counter()
    booked = 0
    with progress(len(todo), "Replaying") as bar:
        for start in range(0, len(todo), _CHUNK):
            chunk = todo[start : start + _CHUNK]
            found: Counter[str] = Counter()
            with ledger.writing() as booking:
                for station, scan in chunk:
                    if scan.number <= booking.last_number(station):
                        continue
                    verdict = booking.book(station, scan)
                    name = verdict.word.value.lower()
                    found[f"stop: {verdict.finding}" if verdict.word is Word.STOP else name] += 1
            # Counted only now: a transaction that did not come through has booked nothing.
            booked += found.total()
            counts += found
            bar.update(len(chunk))
    return booked, counts
