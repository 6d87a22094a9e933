"""`runout label issue|print|numbers|return|count|void|confusable`: the label store."""

from collections.abc import Callable
from typing import Any

import click

from runout import open_ledger
from tracelink.cli.common.acting import badge_of
from tracelink.cli.common.options import format_option
from tracelink.cli.common.progress import progress
from tracelink.errors import UsageError
from tracelink.ledger.count_words import counted
from tracelink.ledger.kinds.label_stock import FATES
from tracelink.report.format.render import Column, Kind, render

_BY: Callable[[Any], Any] = click.option("--by", metavar="BADGE", required=True, help="Who does it.")
_REASON: Callable[[Any], Any] = click.option("--reason", metavar="TEXT", required=True, help="Why.")
_COUNT = click.IntRange(1, 100_000)
_ON_A_SCREEN = 50
"""Pairs that a table shows; of the labels of a year there are hundreds of thousands."""


_LOTS: Callable[[Any], Any] = click.option(
    "--lot",
    "lots",
    metavar="LOT",
    multiple=True,
    help="Lot that the cartons will be packed from; may be repeated.",
)
_SHEET: Callable[[Any], Any] = click.option("--sheet", is_flag=True, help="Two labels on an A4 page.")
_DPI: Callable[[Any], Any] = click.option(
    "--dpi",
    type=click.Choice(["203", "300", "600"]),
    default="300",
    show_default=True,
    help="The printer's dots per inch.",
)


@click.command(
    epilog="Example: runout label issue carton --count 40 --lot L004707P --out labels.pdf --by P000312O"
)
@click.argument("what", type=click.Choice(["carton", "pallet"]))
@click.option("--count", type=_COUNT, metavar="N", required=True, help="How many labels.")
@click.option("--out", metavar="FILE.pdf", help="Make the labels too, as a PDF.")
@_LOTS
@_SHEET
@_DPI
@_BY
@click.pass_obj
def issue(
    place: str,
    what: str,
    count: int,
    out: str | None,
    lots: tuple[str, ...],
    dpi: str,
    by: str,
    *,
    sheet: bool,
) -> None:
    """Give out the next SSCC numbers for carton or pallet labels, and make the labels.

    A carton label has product, count of a full carton and lot from the ledger; each label is read back before the file
    is there. Without --out only the numbers are given out, as a block for one printer. A number is given out once,
    whatever happens to the label; labels that come back unused are returned with `runout label return`.
    """
    if out is None and (lots or sheet):
        raise UsageError("--lot and --sheet say how labels are made: expected --out FILE.pdf with them")
    with open_ledger(place) as ledger:
        who = badge_of(by)
        if out is None:
            block = ledger.labels.issue(what, count, who)
        else:
            with progress(count, "Labels") as bar:
                block = ledger.labels.issue_printed(
                    what,
                    count,
                    who,
                    out,
                    lots=lots,
                    dpi=int(dpi),
                    sheet=sheet,
                    progress=lambda _made: bar.update(1),
                )
    numbers = block.first if count == 1 else f"{block.first} to {block.last}"
    click.echo(f"{counted(count, f'{what} label')}: {numbers}")


@click.command(name="print", epilog="Example: runout label print 095200000000000011 label.pdf")
@click.argument("first", metavar="SSCC")
@click.argument("rest", metavar="[LAST] FILE.pdf", nargs=-1, required=True)
@_LOTS
@_SHEET
@_DPI
@click.pass_obj
def print_again(
    place: str, first: str, rest: tuple[str, ...], lots: tuple[str, ...], dpi: str, *, sheet: bool
) -> None:
    """Make the labels of one SSCC, or of all from SSCC to LAST, with what the ledger has in them now.

    A part carton gets its true count, a pallet its cartons, units and consignee. No number is given out.
    """
    if len(rest) > 2:
        raise UsageError(f"expected SSCC [LAST] FILE.pdf, found {len(rest) + 1} arguments")
    last, out = (first, rest[0]) if len(rest) == 1 else rest
    with open_ledger(place, read_only=True) as ledger:
        made = ledger.labels.print(first, last, out, lots=lots, dpi=int(dpi), sheet=sheet)
    click.echo(f"{out}: {counted(made, 'label')}")


@click.command(epilog="Example: runout label numbers B000003T --count 500 --by P000301U > numbers.txt")
@click.argument("batch")
@click.option("--count", type=_COUNT, metavar="N", required=True, help="How many numbers.")
@_BY
@click.pass_obj
def numbers(place: str, batch: str, count: int, by: str) -> None:
    """Give out numbers in no order for a sleeve batch of a numbered edition, one a line."""
    with open_ledger(place) as ledger:
        drawn = ledger.labels.numbers(batch, count, badge_of(by))
    click.echo("\n".join(drawn))


@click.command(
    name="return", epilog="Example: runout label return 095200000000000011 095200000000000042 --by P000301U"
)
@click.argument("first")
@click.argument("last")
@_BY
@click.pass_obj
def give_back(place: str, first: str, last: str, by: str) -> None:
    """Take unused SSCC labels FIRST to LAST back from a printer or line; they are void from then on."""
    with open_ledger(place) as ledger:
        count = ledger.labels.take_back(first, last, badge_of(by))
    click.echo(f"{counted(count, 'label')} came back unused.")


@click.command(epilog="Example: runout label count B000003T spoiled 12 --by P000301U")
@click.argument("subject")
@click.argument("fate", type=click.Choice(FATES))
@click.argument("quantity", type=click.IntRange(1))
@_BY
@click.pass_obj
def count(place: str, subject: str, fate: str, quantity: int, by: str) -> None:
    """Record how many labels of a sleeve batch or label lot were printed, spoiled, returned, destroyed or kept.

    Count what came back last: a difference outside the limit is then under investigation.
    """
    with open_ledger(place) as ledger:
        counted = ledger.labels.count(subject, fate, quantity, badge_of(by))
    click.echo(f"{quantity} of {counted.subject}: {fate}.")
    if counted.warning:
        click.echo(counted.warning, err=True)


@click.command(
    epilog="Example: runout label void 095200000000000011 --reprint --by P000301U --reason 'smudged'"
)
@click.argument("subject", metavar="SSCC|BATCH")
@click.argument("number", required=False)
@click.option("--reprint", is_flag=True, help="Give out a new number in its place.")
@_BY
@_REASON
@click.pass_obj
def void(place: str, subject: str, number: str | None, reprint: bool, by: str, reason: str) -> None:
    """Make an unused label void: an SSCC, or a NUMBER of a sleeve BATCH.

    A void label is refused wherever it turns up. A reprint carries a new number.
    """
    who = badge_of(by)
    with open_ledger(place) as ledger:
        if number is None:
            new = ledger.labels.void(subject, reason, who, reprint=reprint)
        else:
            new = ledger.labels.void_number(subject, number, reason, who, reprint=reprint)
    click.echo(f"{number or subject} is void" + (f"; print {new}." if new else "."))


@click.command(name="confusable", epilog="Example: runout label confusable --format csv")
@click.option(
    "--sscc", "with_ssccs", is_flag=True, help="Compare carton and pallet labels as well; they are many."
)
@format_option
@click.pass_context
def list_confusable(ctx: click.Context, with_ssccs: bool, fmt: str) -> None:
    """List codes in use of which one swap of two characters makes another code in use.

    No check character catches every swap; such pairs should not be in work on the same day. SSCCs are numbered
    one after the other, so that many of them make such pairs; they are compared only when asked for.

    A table shows the first 50 pairs, CSV and JSON all of them.

    Exit codes: 0 none, 1 pairs printed.
    """
    with open_ledger(ctx.obj, read_only=True) as ledger:
        rows = ledger.labels.confusable(with_ssccs=with_ssccs).to_dict()
    shown = rows[:_ON_A_SCREEN] if fmt == "table" else rows
    columns = [
        Column("first", "code"),
        Column("second", "other code"),
        Column("position", "place", Kind.NUMBER),
    ]
    click.echo(render(shown, columns, fmt), nl=False)
    if len(shown) < len(rows):
        more = counted(len(rows) - len(shown), "more pair")
        click.echo(f"{more} left out; --format csv lists all.", err=True)
    ctx.exit(1 if rows else 0)


COMMANDS = (issue, print_again, numbers, give_back, count, void, list_confusable)
"""Added to `runout label`."""
