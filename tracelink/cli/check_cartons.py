"""`runout check-cartons`: how many cartons to open, and what those opened showed."""

from __future__ import annotations

import click

from runout import open_ledger
from tracelink.cli.common.acting import badge_of
from tracelink.cli.common.options import format_option
from tracelink.ledger.count_words import counted
from tracelink.report.format.render import render
from tracelink.report.pages.carton_check_text import COLUMNS, check_sentence


@click.command(
    name="check-cartons", epilog="Example: runout check-cartons L000012X --confidence 90 --detect 10"
)
@click.argument("subject", metavar="PALLET|LOT")
@click.option(
    "--confidence",
    type=click.IntRange(1, 99),
    default=95,
    show_default=True,
    metavar="PERCENT",
    help="How sure the check is to find so many wrong cartons.",
)
@click.option(
    "--detect",
    default="5",
    show_default=True,
    metavar="PERCENT",
    help="The share of wrong cartons that it speaks against, 0.1 to 99.9.",
)
@click.option(
    "--by",
    metavar="BADGE",
    help="Draw the cartons that were not drawn yet, and record it; role dock or quality.",
)
@format_option
@click.pass_context
def check_cartons(
    ctx: click.Context, subject: str, confidence: int, detect: str, by: str | None, fmt: str
) -> None:
    """Say how many cartons of a pallet or lot to open, which, and what those opened so far showed.

    Which cartons is drawn once, with --by, and kept: nobody can know or choose the draw, and asking again or for
    another share changes nothing of it. A carton is opened and counted with OPENCHECK or COUNT at the dock. None may
    differ.

    Exit codes: 0 all drawn were opened and agreed, 1 some are still to draw or open, left unopened, or differed.
    """
    if by is not None:
        with open_ledger(ctx.obj) as ledger:
            drawn = ledger.warehouse.draw_cartons(subject, badge_of(by))
        told = f"{counted(drawn, 'carton')} drawn now." if drawn else "All cartons were drawn before."
        click.echo(told, err=True)
    with open_ledger(ctx.obj, read_only=True) as ledger:
        plan = ledger.warehouse.cartons_to_open(subject, confidence=confidence, detect=detect)
    click.echo(render(plan.to_dict(), COLUMNS, fmt), nl=False)
    click.echo(check_sentence(plan), err=fmt != "table")
    ctx.exit(0 if plan.is_met else 1)
