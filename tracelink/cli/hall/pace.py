"""`runout pace`: how fast each station of the assembly line works."""

import json

import click

from runout import open_ledger
from tracelink.cli.common.files import report_file, write_text
from tracelink.cli.common.options import format_option
from tracelink.cli.common.period import period_options
from tracelink.cli.common.say import print_report
from tracelink.report.format.render import render
from tracelink.report.pages.hall_text import PACE_COLUMNS, pace_picture, pace_rows, pace_sentences

_FROM, _TO = period_options("what was done")


@click.command(epilog="Example: runout pace --from 2031-03-03T06:00:00+01:00 --svg line.svg")
@_FROM
@_TO
@click.option(
    "--break",
    "break_minutes",
    type=click.IntRange(1),
    metavar="MINUTES",
    default=30,
    show_default=True,
    help="A longer time between two entries of a station is a break.",
)
@click.option("--svg", metavar="FILE", help="Draw the pieces an hour along the line as well.")
@format_option
@click.pass_context
def pace(
    ctx: click.Context, since: str | None, until: str | None, break_minutes: int, svg: str | None, fmt: str
) -> None:
    """Say how many pieces an hour each station of the line does, and which is the slowest.

    By the times of what was placed, joined, tested and packed; breaks are left out.

    Exit codes: 0 the slowest is named, 1 no times tell.
    """
    picture = report_file(svg, ".svg")
    with open_ledger(ctx.obj, read_only=True) as ledger:
        found = ledger.hall.pace(since, until, break_minutes)
    if picture is not None:
        write_text(picture, pace_picture(found))
    if fmt == "json":
        click.echo(json.dumps(found.to_dict(), ensure_ascii=True, indent=2))
    else:
        click.echo(render(pace_rows(found), PACE_COLUMNS, fmt), nl=False)
    if fmt == "table":
        print_report("\n".join(pace_sentences(found)) + "\n", fmt)
    ctx.exit(0 if found.slowest is not None else 1)
