"""`runout cause`: what bad discs have in common that good ones have not."""

import json

import click

from runout import open_ledger
from tracelink.cli.common.options import format_option
from tracelink.cli.common.period import period_options
from tracelink.cli.common.say import print_report
from tracelink.genealogy.commoncause.compare import STRATA
from tracelink.report.format.render import render
from tracelink.report.pages.common_cause_text import COLUMNS, common_text, rows

_FROM, _TO = period_options("samples drawn")


@click.command(
    epilog="Example: runout cause --defect 'repeating scratch' --within press      runout cause --format csv"
)
@click.option("--defect", metavar="NAME", help="Count a sample as bad only for this defect.")
@_FROM
@_TO
@click.option(
    "--within",
    "stratum",
    type=click.Choice(STRATA),
    default=STRATA[0],
    show_default=True,
    help="Also compare discs of one press, lot, compound or operator among themselves.",
)
@format_option
@click.pass_context
def cause(
    ctx: click.Context, defect: str | None, since: str | None, until: str | None, stratum: str, fmt: str
) -> None:
    """Find what the bad judged discs share: stamper, family, press, materials, lot, operator; or bad units: reel, part lot.

    Every candidate is compared by Fisher's exact test, corrected for the number of candidates, and within strata.
    For a stamper, press or lot the point is named from which bad ones became more frequent. An association is no
    proof.

    Exit codes: 0 nothing stands out, 1 a candidate stands out after the correction.
    """
    with open_ledger(ctx.obj, read_only=True) as ledger:
        answer = ledger.cause(defect=defect, since=since, until=until, within=stratum)
    if fmt == "json":
        click.echo(json.dumps(answer.to_dict(), ensure_ascii=True, indent=2))
    elif fmt == "csv":
        click.echo(render(rows(answer.found), COLUMNS, fmt), nl=False)
    else:
        seq, digest = answer.head
        told = common_text(answer.found, answer.defect)
        print_report(told + f"Records up to entry {seq} ({digest[:16]}...).\n", fmt)
    ctx.exit(1 if answer.stands_out else 0)
