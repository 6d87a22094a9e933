"""`runout faults`: what tests of built pieces found, the most frequent first."""

import json

import click

from runout import FaultBy, FaultsAsked, open_ledger
from tracelink.cli.common.files import report_file, write_text
from tracelink.cli.common.options import format_option
from tracelink.cli.common.period import period_options
from tracelink.cli.common.say import print_report
from tracelink.errors import UsageError
from tracelink.report.format.render import render
from tracelink.report.pages.hall_text import (
    COUNT_COLUMNS,
    FAULT_COLUMNS,
    count_rows,
    fault_picture,
    fault_rows,
    fault_sentences,
)

_FROM, _TO = period_options("tests")


@click.command(epilog="Example: runout faults --part EX-3000      runout faults --each --format csv")
@click.option(
    "--by",
    type=click.Choice([each.value for each in FaultBy]),
    default=FaultBy.POSITION.value,
    show_default=True,
    help="What faults are counted by.",
)
@click.option("--part", metavar="NUMBER", help="Only of pieces of this part number.")
@click.option("--station", metavar="CODE", help="Only at this station.")
@_FROM
@_TO
@click.option("--each", is_flag=True, help="Instead: every failed test by itself, newest first.")
@click.option("--svg", metavar="FILE", help="Draw the counts as a picture as well.")
@format_option
@click.pass_context
def faults(
    ctx: click.Context,
    by: str,
    part: str | None,
    station: str | None,
    since: str | None,
    until: str | None,
    each: bool,
    svg: str | None,
    fmt: str,
) -> None:
    """Count what tests of built pieces found, most frequent first, and name what rose.

    Where a fault of one position became more frequent than chance makes it, the pieces are named between which it did, and what
    those after were made of that those before were not: station, build order, reel. `runout chart NUMBER --test 'fault POSITION'
    --chart p` charts it, and with a frozen baseline the test station warns.

    Exit codes: 0 no fault, 1 faults listed.
    """
    picture = report_file(svg, ".svg")
    with open_ledger(ctx.obj, read_only=True) as ledger:
        found = ledger.hall.faults(FaultBy(by), FaultsAsked(part, station, since, until))
    if picture is not None:
        if not found.counts:
            raise UsageError("--svg: there is no fault to draw")
        write_text(picture, fault_picture(found))
    if fmt == "json":
        click.echo(json.dumps(found.to_dict(), ensure_ascii=True, indent=2))
    elif each:
        click.echo(render(fault_rows(found), FAULT_COLUMNS, fmt), nl=False)
    else:
        click.echo(render(count_rows(found), COUNT_COLUMNS, fmt), nl=False)
    if fmt == "table":
        print_report("\n".join(fault_sentences(found)) + "\n", fmt)
    ctx.exit(1 if found.faults else 0)
