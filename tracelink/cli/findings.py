"""`runout findings`: what stations refused, and why."""

import click
from sqlalchemy import text

from tracelink.cli.options import format_option
from tracelink.report.tables import Column, render
from tracelink.store.ledger import Ledger

_QUERY = text(
    "SELECT f.seq, f.at, f.station, f.person, f.finding, f.subject, f.expected, f.found, f.sentence "
    "FROM finding f WHERE (CAST(:finding AS TEXT) IS NULL OR f.finding = :finding) "
    "AND (CAST(:station AS TEXT) IS NULL OR f.station = :station) ORDER BY f.seq DESC LIMIT :last"
)
_COLUMNS = [
    Column("seq", "entry", number=True),
    Column("at", "time"),
    Column("station", "station"),
    Column("finding", "finding"),
    Column("sentence", "what was said", wraps=True),
]
_ALL_COLUMNS = [*_COLUMNS, *(Column(name, name) for name in ("person", "subject", "expected", "found"))]


@click.command(epilog="Example: runout findings --finding wrong-title --last 20")
@click.option("--finding", metavar="CODE", help="Only findings of this kind, such as wrong-title.")
@click.option("--station", metavar="CODE", help="Only findings of this station.")
@click.option("--last", type=click.IntRange(1), default=50, show_default=True, help="How many, newest first.")
@format_option
@click.pass_context
def findings(ctx: click.Context, finding: str | None, station: str | None, last: int, fmt: str) -> None:
    r"""List what stations refused, newest first.

    \b
    Exit codes: 0 none, 1 findings printed.
    """
    with Ledger.open(ctx.obj, read_only=True).reading() as conn:
        values = {"finding": finding, "station": station, "last": last}
        rows = [dict(row) for row in conn.execute(_QUERY, values).mappings()]
    click.echo(render(rows, _COLUMNS if fmt == "table" else _ALL_COLUMNS, fmt), nl=False)
    ctx.exit(1 if rows else 0)
