"""`runout read-results`: the values of a file that an instrument wrote."""

import json

import click

from runout import InstrumentFile, LimitStanding, open_ledger
from tracelink.cli.common.acting import badge_of
from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import print_report
from tracelink.report.format.render import render
from tracelink.report.pages.read_values_text import COLUMNS, rows, sentences


@click.command(
    name="read-results",
    epilog='Example: runout read-results noise.csv --instrument "groove tester" --by P000309E',
)
@click.argument("file", metavar="FILE")
@click.option("--instrument", required=True, metavar="NAME", help="As the plant file names it.")
@click.option("--by", required=True, metavar="BADGE", help="Who reads it in: lab or quality.")
@click.option("--at", metavar="TIME", help="When it was measured, if not now (RFC 3339 with offset).")
@click.option("--dry-run", is_flag=True, help="Say what would be booked, and book nothing.")
@format_option
@click.pass_context
def read_results(
    ctx: click.Context, file: str, instrument: str, by: str, at: str | None, dry_run: bool, fmt: str
) -> None:
    """Book the values of FILE, a .csv or .xlsx that an instrument wrote: all of it, or nothing.

    How it is read stands in the plant file ([[instrument]]). Every wrong cell is named by row and column. The same file is
    not read twice.

    Exit codes: 0 no value is outside the limit that held or a signal on a chart, 1 otherwise.
    """
    with open_ledger(ctx.obj) as ledger:
        answer = ledger.lab.read_results(InstrumentFile(file, instrument, at), badge_of(by), dry_run=dry_run)
    if fmt == "json":
        click.echo(json.dumps(answer.to_dict(), ensure_ascii=True, indent=2))
    else:
        click.echo(render(rows(answer), COLUMNS, fmt), nl=False)
    if fmt == "table":
        print_report("\n".join(sentences(answer)) + "\n", fmt)
    ctx.exit(1 if answer.of(LimitStanding.OUTSIDE) or answer.signals else 0)
