"""`runout hold`: what is on hold, why, and by whom."""

import click
from sqlalchemy import text

from tracelink.cli.common.options import format_option
from tracelink.report.format.render import Column, render
from tracelink.store.ledger import Ledger

_QUERY = text(
    'SELECT h.code AS hold, h.cause, h.reason, h.person, h.seq, i.subject, i."first", i."last", h.lifted_seq '
    "FROM hold h JOIN hold_item i ON i.hold = h.code WHERE (CAST(:lifted AS INTEGER) = 1 OR h.lifted_seq IS NULL) "
    "ORDER BY h.seq, i.line"
)
_COLUMNS = [
    Column("hold", "hold"),
    Column("subject", "thing held"),
    Column("first", "from stroke", number=True),
    Column("last", "to stroke", number=True),
    Column("cause", "because of"),
    Column("reason", "reason", wraps=True),
    Column("person", "placed by"),
    Column("seq", "entry", number=True),
    Column("lifted_seq", "lifted by entry"),
]


@click.command(epilog="Example: runout hold --format csv")
@click.option("--lifted", is_flag=True, help="Show lifted holds as well.")
@format_option
@click.pass_context
def hold(ctx: click.Context, fmt: str, lifted: bool) -> None:
    """List what is on hold. Holds are placed and lifted at the lab station, or placed by `runout contain`.

    \b
    Exit codes: 0 nothing is held, 1 holds printed.
    """  # noqa: D301  click looks for the character
    with Ledger.open(ctx.obj, read_only=True).reading() as conn:
        rows = [dict(row) for row in conn.execute(_QUERY, {"lifted": int(lifted)}).mappings()]
    click.echo(render(rows, _COLUMNS, fmt), nl=False)
    ctx.exit(1 if rows else 0)
