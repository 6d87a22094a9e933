"""`runout samples`: which discs of a lot the lab draws, and how far it is."""

import json

import click

from runout import SamplingAsked, open_ledger
from tracelink.cli.common.files import report_file, write_text
from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import print_report
from tracelink.clock import local_now
from tracelink.errors import UsageError
from tracelink.ledger.count_words import counted
from tracelink.quality.sampling.attribute_tables import LEVELS, InspectionSeverity
from tracelink.report.format.render import render
from tracelink.report.pages.samples_text import COLUMNS, DUE_COLUMNS, DUE_SCREEN, SCREEN, rows, sentences


@click.command(
    epilog="Example: runout samples L004707P --aql 1.5      runout samples L004707P --one-in 500      runout samples --due"
)
@click.argument("lot", metavar="LOT", required=False)
@click.option("--aql", metavar="AQL", help="A plan of the tables: bad discs in a hundred, such as 1.5.")
@click.option("--level", type=click.Choice(LEVELS), default="II", show_default=True, help="Inspection level.")
@click.option(
    "--severity",
    type=click.Choice([severity.value for severity in InspectionSeverity]),
    default=InspectionSeverity.NORMAL.value,
    show_default=True,
    help="Which table.",
)
@click.option(
    "--detect", metavar="PERCENT", help="Instead, a plan that allows no bad disc: the share to speak against."
)
@click.option(
    "--confidence",
    type=click.IntRange(1, 99),
    default=95,
    show_default=True,
    metavar="PERCENT",
    help="How sure that plan is to find a bad one.",
)
@click.option(
    "--inspection", metavar="KIND", help="Of a product with several kept plans: which kind of inspection."
)
@click.option("--one-in", type=click.IntRange(1), metavar="N", help="Also every Nth disc.")
@click.option("--svg", metavar="FILE", help="Write what the plan lets through as a curve as well.")
@click.option("--due", is_flag=True, help="Instead, the readings of slow tests that are not taken, by day.")
@click.option("--date", "day", metavar="DAY", help="With --due: as of this day, YYYY-MM-DD.")
@format_option
@click.pass_context
def samples(
    ctx: click.Context,
    lot: str | None,
    aql: str | None,
    level: str,
    severity: str,
    detect: str | None,
    confidence: int,
    inspection: str | None,
    one_in: int | None,
    svg: str | None,
    due: bool,
    day: str | None,
    fmt: str,
) -> None:
    """Say which discs of a lot the lab draws and why, and what of it is done.

    The first and last disc of each stamper, and the first after each stop, are always listed. A plan adds one disc out
    of each of equal parts of the lot. Which ones follows from the lot and the plan: asking again draws no others.

    Exit codes: 0 all are judged, and no bad disc is known beyond what the plan allows, 1 otherwise. With --due: 0 nothing
    is due, 1 otherwise.
    """
    if due == (lot is not None):
        raise UsageError("runout samples: expected LOT, or --due for the readings of slow tests")
    if lot is None:
        ctx.exit(_show_due(ctx.obj, day, fmt))
    picture = report_file(svg, ".svg")
    asked = SamplingAsked(aql, level, severity, detect, confidence, one_in, inspection)
    with open_ledger(ctx.obj, read_only=True) as ledger:
        answer = ledger.lab.samples(lot, asked)
    if picture is not None:
        write_text(picture, answer.to_svg(local_now()))
    if fmt == "json":
        click.echo(json.dumps(answer.to_dict(), ensure_ascii=True, indent=2))
    else:
        click.echo(render(rows(answer.strokes), SCREEN if fmt == "table" else COLUMNS, fmt), nl=False)
    if fmt == "table":
        seq, digest = answer.head
        told = [*sentences(answer), f"Records up to entry {seq} ({digest[:16]}...)."]
        print_report("\n".join(told) + "\n", fmt)
    ctx.exit(0 if answer.is_met else 1)


def _show_due(place: str, day: str | None, fmt: str) -> int:
    with open_ledger(place, read_only=True) as ledger:
        answer = ledger.lab.due(day)
    click.echo(render(answer.to_dict(), DUE_SCREEN if fmt == "table" else DUE_COLUMNS, fmt), nl=False)
    if fmt == "table":
        print_report(f"{counted(answer.late, 'reading')} due by {answer.day}.\n", fmt)
    return 1 if answer.late else 0
