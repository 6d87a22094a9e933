"""`runout label issue|numbers|return|count|void|confusable`: the label store."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import click

from tracelink.cli.common.acting import acting
from tracelink.cli.common.options import format_option
from tracelink.errors import UsageError
from tracelink.identity.confusable import confusable
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.ledger.kinds.label_stock import FATES
from tracelink.report.format.render import Cell, Column, Kind, render
from tracelink.store.ledger import local_now, read_ledger, utc_now
from tracelink.store.office import label_stock as stock
from tracelink.store.office.label_watch import watch_labels
from tracelink.store.records.codes_in_use import codes_in_use
from tracelink.store.stations.booking import Booking

_BY: Callable[[Any], Any] = click.option("--by", metavar="BADGE", required=True, help="Who does it.")
_REASON: Callable[[Any], Any] = click.option("--reason", metavar="TEXT", required=True, help="Why.")
_COUNT = click.IntRange(1, 100_000)


@contextmanager
def _acting(place: str, by: str) -> Iterator[tuple[Booking, stock.Clerk]]:
    with acting(place, by) as booking:
        yield booking, stock.clerk(booking, by, local_now(), utc_now())


@click.command(epilog="Example: runout label issue carton --count 500 --by P000301U")
@click.argument("what", type=click.Choice(["carton", "pallet"]))
@click.option("--count", type=_COUNT, required=True, help="How many labels.")
@_BY
@click.pass_obj
def issue(place: str, what: str, count: int, by: str) -> None:
    """Give out the next SSCC numbers for carton or pallet labels, as a block for one printer.

    A number is given out once, whatever happens to the label; labels that come back unused are returned with
    `runout label return`.
    """
    with _acting(place, by) as (booking, who):
        first, last = stock.issue_ssccs(booking, who, what, count)
    click.echo(f"{count} {what} labels: {first} to {last}")


@click.command(epilog="Example: runout label numbers B000003T --count 500 --by P000301U > numbers.txt")
@click.argument("batch")
@click.option("--count", type=_COUNT, required=True, help="How many numbers.")
@_BY
@click.pass_obj
def numbers(place: str, batch: str, count: int, by: str) -> None:
    """Give out numbers in no order for a sleeve batch of a numbered edition, one a line."""
    code = _code(batch, CodeKind.SLEEVE_BATCH)
    with _acting(place, by) as (booking, who):
        drawn = stock.issue_numbers(booking, who, code, count)
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
    with _acting(place, by) as (booking, who):
        count = stock.return_ssccs(booking, who, first, last)
    click.echo(f"{count} labels came back unused.")


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
    code = PlantCode.parse(subject).text
    with _acting(place, by) as (booking, who):
        stock.count_labels(booking, who, code, fate, quantity)
        told = watch_labels(booking, who.stamp, code, fate)
    click.echo(f"{quantity} of {code}: {fate}.")
    if told:
        click.echo(told, err=True)


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
    with _acting(place, by) as (booking, who):
        if number is None:
            new = stock.void_sscc(booking, who, subject, reason, reprint=reprint)
        else:
            batch = _code(subject, CodeKind.SLEEVE_BATCH)
            new = stock.void_number(booking, who, batch, number, reason, reprint=reprint)
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

    \b
    Exit codes: 0 none, 1 pairs printed.
    """  # noqa: D301  click looks for the character
    with read_ledger(ctx.obj) as conn:
        codes = codes_in_use(conn, with_ssccs=with_ssccs)
    pairs = confusable(codes, reach=2)
    columns = [
        Column("first", "code"),
        Column("second", "other code"),
        Column("position", "place", Kind.NUMBER),
    ]
    rows: list[dict[str, Cell]] = [
        {"first": pair.first, "second": pair.second, "position": pair.position} for pair in pairs
    ]
    click.echo(render(rows, columns, fmt), nl=False)
    ctx.exit(1 if pairs else 0)


def _code(given: str, kind: CodeKind) -> str:
    code = PlantCode.parse(given)
    if code.kind is not kind:
        raise UsageError(f"{given} is a {code.kind.noun}: expected a {kind.noun}")
    return code.text


COMMANDS = (issue, numbers, give_back, count, void, list_confusable)
"""Added to `runout label`."""
