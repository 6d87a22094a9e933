"""`runout balance`: do the numbers of a lot or of labels add up; `runout investigate`: investigations of differences."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from runout import open_ledger
from tracelink.cli.common.acting import badge_of
from tracelink.cli.common.lazy import SpelledGroup
from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import print_report
from tracelink.errors import UsageError
from tracelink.report.format import balance_rows as said
from tracelink.report.format.render import Column, Kind, render

if TYPE_CHECKING:
    from runout import Balance

_LIST_COLUMNS = [
    Column("seq", "number", Kind.NUMBER),
    Column("subject", "about"),
    Column("difference", "difference", Kind.DIFFERENCE),
    Column("reason", "reason", Kind.TEXT),
    Column("person", "opened by"),
    Column("closed_seq", "closed by entry", Kind.NUMBER),
]


@click.command(epilog="Example: runout balance L000012X --format csv")
@click.argument("subject", metavar="LOT|BATCH|SSCC")
@click.option(
    "--investigate", is_flag=True, help="Open an investigation of a difference; it bars the release."
)
@click.option("--by", metavar="BADGE", help="Who opens it.")
@click.option("--reason", metavar="TEXT", help="Why, such as what was done so far.")
@format_option
@click.pass_context
def balance(
    ctx: click.Context, subject: str, investigate: bool, by: str | None, reason: str | None, fmt: str
) -> None:
    """Show whether the numbers of a lot, sleeve batch, label lot or block of SSCC labels add up.

    Every term is a recorded count, every difference has its sign: positive is not found, negative is more than
    there should be.

    Exit codes: 0 every difference is zero, 1 some are not or are not known.
    """
    if investigate and not (by and reason):
        raise UsageError("--investigate needs --by BADGE and --reason TEXT")
    with open_ledger(ctx.obj, read_only=True) as ledger:
        found = ledger.balance(subject)
    if fmt == "table":
        click.echo(render(said.for_people(found.rows), said.COLUMNS[:-1], fmt))
        print_report("\n".join(found.sentences) + "\n", fmt)
    else:
        click.echo(render(found.rows, said.COLUMNS, fmt), nl=False)
    if investigate and by and reason:
        _investigate(ctx.obj, found, by, reason)
    ctx.exit(1 if found.off else 0)


def _investigate(place: str, found: Balance, by: str, reason: str) -> None:
    with open_ledger(place) as ledger:
        number = ledger.investigations.open(found, reason, badge_of(by))
    click.echo(f"Investigation {number} of {found.subject} is open.", err=True)


@click.group(cls=SpelledGroup, name="investigate", epilog="Example: runout investigate list")
def investigate() -> None:
    """Investigations of what does not add up; opened with `runout balance CODE --investigate`."""


@investigate.command(name="list", epilog="Example: runout investigate list --format csv")
@click.option("--closed", is_flag=True, help="Show closed ones as well.")
@format_option
@click.pass_context
def list_them(ctx: click.Context, fmt: str, closed: bool) -> None:
    """List investigations.

    Exit codes: 0 none is open, 1 investigations printed.
    """
    with open_ledger(ctx.obj, read_only=True) as ledger:
        rows = ledger.investigations.listed(closed=closed).to_dict()
    click.echo(render(rows, _LIST_COLUMNS, fmt), nl=False)
    ctx.exit(1 if rows else 0)


@investigate.command(
    epilog="Example: runout investigate close 214 --by P000301U --reason 'two discs found in the reject bin'"
)
@click.argument("number", type=click.IntRange(1))
@click.option("--by", metavar="BADGE", required=True, help="Who closes it; needs the role quality.")
@click.option("--reason", metavar="TEXT", required=True, help="What was found.")
@click.pass_obj
def close(place: str, number: int, by: str, reason: str) -> None:
    """Close investigation NUMBER; the difference stays in the balance as it is."""
    with open_ledger(place) as ledger:
        subject = ledger.investigations.close(number, reason, badge_of(by))
    click.echo(f"Investigation {number} of {subject} is closed.")
