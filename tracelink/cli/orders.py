"""`runout find|orders|allocate|packlist`: the dock's desk."""

from pathlib import Path

import click

from runout import open_ledger
from tracelink.cli.common.acting import badge_of
from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import say
from tracelink.identity.plantcode import PlantCode
from tracelink.ledger.count_words import counted
from tracelink.report.format.render import Column, Kind, render

_FOUND = [
    Column("code", "code"),
    Column("what", "what"),
    Column("state", "state"),
    Column("units", "units", Kind.COUNT),
    Column("place", "where", Kind.TEXT),
    Column("kept_for", "kept for"),
    Column("hold", "on hold"),
]
_KEPT = [
    Column("code", "code"),
    Column("what", "what"),
    Column("units", "units", Kind.COUNT),
    Column("place", "where", Kind.TEXT),
]
_BY = click.option("--by", metavar="BADGE", required=True, help="Who does it.")


@click.command(epilog="Example: runout find 195200000000000018")
@click.argument("code", metavar="CODE")
@format_option
@click.pass_obj
def find(place: str, code: str, fmt: str) -> None:
    """Tell where a pallet or carton is and its state, or what stands in a location or is on a vehicle.

    CODE is an SSCC, a location or a shipment.
    """
    with open_ledger(place, read_only=True) as ledger:
        found = ledger.warehouse.find(code)
    click.echo(render(found.to_dict(), _FOUND, fmt), nl=False)


@click.command(epilog="Example: runout orders march.csv --by P000302S")
@click.argument("file", metavar="FILE")
@_BY
@click.pass_obj
def orders(place: str, file: str, by: str) -> None:
    """Take orders from FILE, a .csv or .xlsx with the columns order, consignee, country, gtin, quantity.

    An order of several products has a line for each. All of the file is taken, or nothing of it; every wrong line is
    named.
    """
    with open_ledger(place) as ledger:
        taken = ledger.warehouse.take_orders(file, badge_of(by))
    click.echo(f"{counted(taken, 'order')} taken.")


@click.command(epilog="Example: runout allocate O0000017 --by P000302S")
@click.argument("order", metavar="ORDER")
@click.option("--release", "reason", metavar="REASON", help="Let go of what is kept for the order, and why.")
@_BY
@format_option
@click.pass_context
def allocate(ctx: click.Context, order: str, reason: str | None, by: str, fmt: str) -> None:
    """Keep whole pallets, then loose cartons, for ORDER: the oldest lot first.

    Exit codes: 0 the order is covered, 1 it stays short.
    """
    with open_ledger(ctx.obj) as ledger:
        if reason is not None:
            count = ledger.warehouse.release(order, reason, badge_of(by))
            click.echo(f"{count} released from order {PlantCode.parse(order).text}.")
            return
        done = ledger.warehouse.allocate(order, badge_of(by))
    click.echo(render(done.to_dict(), _KEPT, fmt), nl=False)
    if done.short:
        of = ", ".join(f"{units} of {gtin}" for gtin, units in done.short.items())
        click.echo(f"Order {done.order} stays short of {of}.", err=True)
        for one in done.barred:
            units = counted(one.units, "unit")
            say(f"Not reserved: {one.what} {one.code}, {units}: {one.why}.", err=True)
    ctx.exit(1 if done.short else 0)


@click.command(epilog="Example: runout packlist D0000013 packing-list.pdf")
@click.argument("code", metavar="SHIPMENT|PALLET|CARTON")
@click.argument("file", metavar="FILE.pdf", type=click.Path(path_type=Path))
@click.pass_obj
def packlist(place: str, code: str, file: Path) -> None:
    """Write the packing list of a shipment, or the content list of a pallet or carton, as a PDF.

    The same records give the same bytes.
    """
    from tracelink.report.pages.packing_list import write_packlist  # noqa: PLC0415  reportlab costs 0.2 s

    with open_ledger(place, read_only=True) as ledger:
        found = ledger.warehouse.packing_list(code)
    write_packlist(found, file)
    click.echo(f"{file}: {found.title.lower()} of {counted(len(found.cartons), 'carton')}.")
