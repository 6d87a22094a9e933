"""`runout check-cartons`: how many cartons to open, and what those opened showed."""

import click

from runout import CheckPlan, open_ledger
from tracelink.cli.common.options import format_option
from tracelink.report.format.render import Column, Kind, render

_COLUMNS = [
    Column("carton", "carton"),
    Column("state", "state"),
    Column("entry", "counted in entry", Kind.NUMBER),
]


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
    type=click.FloatRange(0.1, 99.9),
    default=5.0,
    show_default=True,
    metavar="PERCENT",
    help="The share of wrong cartons that it speaks against.",
)
@format_option
@click.pass_context
def check_cartons(ctx: click.Context, subject: str, confidence: int, detect: float, fmt: str) -> None:
    """Say how many cartons of a pallet or lot to open, which, and what those opened so far showed.

    A carton is opened and counted with OPENCHECK or COUNT at the dock. None may differ. Cartons that have left are
    not among them.

    \b
    Exit codes: 0 so many were opened and all agreed, 1 some are still to open or one differed.
    """  # noqa: D301  click looks for the character
    with open_ledger(ctx.obj, read_only=True) as ledger:
        plan = ledger.warehouse.cartons_to_open(subject, confidence=confidence, detect=detect)
    click.echo(render(plan.to_dict(), _COLUMNS, fmt), nl=False)
    click.echo(sentence(plan), err=fmt != "table")
    ctx.exit(0 if plan.is_met else 1)


def sentence(plan: CheckPlan) -> str:
    """Say how many to open, what was opened, and what that speaks for."""
    total = len(plan.cartons)
    said = (
        f"{plan.subject}: to speak against {plan.detect_permille / 10:g} % or more of its {total} cartons being wrong, "
        f"with {plan.confidence_percent} % confidence, open {plan.wanted} of them, drawn at random, and accept none that "
        f"differs. {plan.opened} opened"
    )
    if plan.differing:
        return (
            f"{said}; {len(plan.differing)} differ: {', '.join(plan.differing)}. The check has failed, whatever the "
            "number opened: quality decides."
        )
    if plan.opened < plan.wanted:
        return f"{said}{', all agreed' if plan.opened else ''}. {len(plan.next)} more to open, named above."
    return f"{said}, all agreed."
