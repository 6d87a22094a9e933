"""`runout hold`: what is on hold, why, and by whom."""

import click

from runout import open_ledger
from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import print_report
from tracelink.report.format.render import Column, Kind, render
from tracelink.report.pages.hold_text import hold_text

_COLUMNS = [
    Column("hold", "hold"),
    Column("subject", "item held"),
    Column("first", "from stroke", Kind.NUMBER),
    Column("last", "to stroke", Kind.NUMBER),
    Column("cause", "because of"),
    Column("reason", "reason", Kind.TEXT),
    Column("person", "placed by"),
    Column("seq", "entry", Kind.NUMBER),
    Column("lifted_seq", "lifted by entry"),
]


@click.command(epilog="Example: runout hold --format csv")
@click.option("--lifted", is_flag=True, help="Show lifted holds as well.")
@format_option
@click.pass_context
def hold(ctx: click.Context, fmt: str, lifted: bool) -> None:
    """List what is on hold. Holds are placed and lifted at the lab station, or placed by `runout contain`.

    Exit codes: 0 nothing is held, 1 holds printed.
    """
    with open_ledger(ctx.obj, read_only=True) as ledger:
        rows = ledger.holds(lifted=lifted).to_dict()
    print_report(hold_text(rows) if fmt == "table" else render(rows, _COLUMNS, fmt), fmt)
    ctx.exit(1 if rows else 0)
