"""`runout find|orders|allocate|packlist`: the dock's desk."""

from pathlib import Path

import click

from tracelink.cli.common.acting import acting
from tracelink.cli.common.options import format_option
from tracelink.cli.order_file import read_orders
from tracelink.errors import IdentifierError, UsageError
from tracelink.identity.gs1.sscc import Sscc
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.ledger.entry import Stamp
from tracelink.report.format.render import Cell, Column, Kind, render
from tracelink.store.ledger import local_now, read_ledger, utc_now
from tracelink.store.office import order_book
from tracelink.store.office.packing_facts import packlist as list_of

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
    with read_ledger(place) as conn:
        found = order_book.find(conn, _any_code(code))
    rows: list[dict[str, Cell]] = [
        {
            "code": one.code,
            "what": one.what,
            "state": one.state,
            "units": one.units,
            "place": one.place,
            "kept_for": one.kept_for,
            "hold": one.hold,
        }
        for one in found
    ]
    click.echo(render(rows, _FOUND, fmt), nl=False)


@click.command(epilog="Example: runout orders march.csv --by P000302S")
@click.argument("file", metavar="FILE")
@_BY
@click.pass_obj
def orders(place: str, file: str, by: str) -> None:
    """Take orders from FILE, a .csv or .xlsx with the columns order, consignee, country, gtin, quantity.

    An order of several products has a line for each. All of the file is taken, or nothing of it; every wrong line is
    named.
    """
    read = read_orders(file)
    with acting(place, by) as booking:
        badge = order_book.dock_person(booking, by)
        order_book.take_orders(booking, read, Stamp(local_now(), utc_now(), person=badge))
    click.echo(f"{len(read)} orders taken.")


@click.command(epilog="Example: runout allocate O0000017 --by P000302S")
@click.argument("order", metavar="ORDER")
@click.option("--release", "reason", metavar="REASON", help="Let go of what is kept for the order, and why.")
@_BY
@format_option
@click.pass_context
def allocate(ctx: click.Context, order: str, reason: str | None, by: str, fmt: str) -> None:
    """Keep whole pallets, then loose cartons, for ORDER: the oldest lot first.

    \b
    Exit codes: 0 the order is covered, 1 it stays short.
    """  # noqa: D301  click looks for the character
    code = _code(order, CodeKind.ORDER)
    with acting(ctx.obj, by) as booking:
        stamp = Stamp(local_now(), utc_now(), person=order_book.dock_person(booking, by))
        if reason is not None:
            count = order_book.release(booking, code, stamp, reason)
        else:
            kept, short = order_book.allocate(booking, code, stamp)
    if reason is not None:
        click.echo(f"{count} released from order {code}.")
        return
    rows: list[dict[str, Cell]] = [
        {"code": one.code, "what": one.what, "units": one.units, "place": one.place} for one in kept
    ]
    click.echo(render(rows, _KEPT, fmt), nl=False)
    if short:
        of = ", ".join(f"{units} of {gtin}" for gtin, units in short.items())
        click.echo(f"Order {code} stays short of {of}.", err=True)
    ctx.exit(1 if short else 0)


@click.command(epilog="Example: runout packlist D0000013 packing-list.pdf")
@click.argument("code", metavar="SHIPMENT|PALLET|CARTON")
@click.argument("file", metavar="FILE.pdf", type=click.Path(path_type=Path))
@click.pass_obj
def packlist(place: str, code: str, file: Path) -> None:
    """Write the packing list of a shipment, or the content list of a pallet or carton, as a PDF.

    The same records give the same bytes.
    """
    from tracelink.report.pages.packing_list import write_packlist  # noqa: PLC0415  reportlab costs 0.2 s

    with read_ledger(place) as conn:
        found = list_of(conn, _any_code(code))
    write_packlist(found, file)
    click.echo(f"{file}: {found.title.lower()} of {len(found.cartons)} cartons.")


def _any_code(given: str) -> str:
    """Return an SSCC's digits, or a plant code, as canonical text."""
    if given[:1].isdigit():
        return Sscc.parse(given).digits
    return PlantCode.parse(given).text


def _code(given: str, kind: CodeKind) -> str:
    try:
        code = PlantCode.parse(given)
    except IdentifierError as problem:
        raise UsageError(str(problem)) from None
    if code.kind is not kind:
        raise UsageError(f"{given} is a {code.kind.noun}: expected a {kind.noun}")
    return code.text
