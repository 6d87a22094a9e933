"""The dock's desk: where things are, orders, stock kept for them, packing lists, cartons to be opened."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from decimal import Decimal, InvalidOperation
from pathlib import Path

from sqlalchemy import Connection

from tracelink.errors import IdentifierError, UsageError
from tracelink.facts.dock_stock import CheckPlan, KeptStock, StockBarred, ThingFound
from tracelink.facts.pack_list import PackList
from tracelink.identity.gs1.sscc import Sscc
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.report.format.render import Cell
from tracelink.services.badge_proof import Badge, acting, stamp_of
from tracelink.services.desks.order_files import read_orders
from tracelink.store.ledger import Ledger
from tracelink.store.office import carton_checks, order_book
from tracelink.store.office.carton_checks import check_plan
from tracelink.store.office.packing_facts import packlist

_LEAST_SHARE, _MOST_SHARE = Decimal("0.1"), Decimal("99.9")


@dataclass(frozen=True, slots=True)
class StockFound:
    """Where something is, or what stands in a place."""

    things: tuple[ThingFound, ...]

    def to_dict(self) -> list[dict[str, Cell]]:
        """Return the same data as `runout find --format json`."""
        return [asdict(thing) for thing in self.things]


@dataclass(frozen=True, slots=True)
class StockKept:
    """What was kept for an order now."""

    order: str
    kept: tuple[KeptStock, ...]
    short: dict[str, int]
    """By product, how many units the order stays short of; empty if it is covered."""
    barred: tuple[StockBarred, ...] = ()
    """What is there of those products and cannot be kept: on hold, miscounted, of a lot that is not released."""

    def to_dict(self) -> list[dict[str, Cell]]:
        """Return the same data as `runout allocate --format json`: what was kept."""
        return [asdict(thing) for thing in self.kept]


def find(conn: Connection, code: str) -> StockFound:
    """Say where a pallet or carton is, or what stands in a location or is on a vehicle.

    Raises:
        IdentifierError, UsageError: the code is invalid, or the ledger knows no such thing.
    """
    return StockFound(tuple(order_book.find(conn, any_code(code))))


def packing_list(conn: Connection, code: str) -> PackList:
    """Return what a shipment, pallet or carton holds.

    Raises:
        IdentifierError, UsageError: the code is invalid, or the ledger knows no such thing.
    """
    return packlist(conn, any_code(code))


def cartons_to_open(conn: Connection, subject: str, confidence: int, detect: str | float) -> CheckPlan:
    """Say how many cartons of a pallet or lot to open, which, and what those opened so far showed.

    Raises:
        UsageError: as `check_plan`; or `detect` is no decimal number.
    """
    return check_plan(conn, subject, confidence, _percent(detect))


def draw_cartons(ledger: Ledger, subject: str, by: Badge) -> int:
    """Draw the cartons of a pallet or lot that were not drawn before; returns how many.

    Raises:
        UsageError: it is neither.
        RefusedByRule: the person may not.
    """
    with acting(ledger, by) as booking:
        return carton_checks.draw_cartons(booking, stamp_of(by), subject)


def _percent(given: str | float) -> str:
    """Return a share in percent as it was given, without needless zeros: 2.55 stays 2.55."""
    try:
        found = Decimal(str(given))
    except InvalidOperation:
        found = Decimal(0)
    # A comparison with what is no number is false, so that this refuses it too.
    if not found.is_finite() or not _LEAST_SHARE <= found <= _MOST_SHARE:
        raise UsageError(f"detect is {given}: expected a number of percent, {_LEAST_SHARE} to {_MOST_SHARE}")
    return f"{found.normalize():f}"


def take_orders(ledger: Ledger, file: str | Path, by: Badge) -> int:
    """Take all orders of a file, or none; returns how many.

    Raises:
        UsageError: the file cannot be read, or names every wrong line.
        RefusedByRule: the person may not.
    """
    read = read_orders(str(file))
    with acting(ledger, by) as booking:
        order_book.dock_person(booking, by.code)
        order_book.take_orders(booking, read, stamp_of(by))
    return len(read)


def allocate(ledger: Ledger, order: str, by: Badge) -> StockKept:
    """Keep whole pallets, then loose cartons, for an order: the oldest lot first.

    Raises:
        UsageError: the order is not known.
        RefusedByRule: the person may not.
    """
    code = _order(order)
    with acting(ledger, by) as booking:
        order_book.dock_person(booking, by.code)
        kept, short, barred = order_book.allocate(booking, code, stamp_of(by))
    return StockKept(code, tuple(kept), short, tuple(barred))


def release(ledger: Ledger, order: str, reason: str, by: Badge) -> int:
    """Let go of what is kept for an order; returns how many things.

    Raises:
        UsageError: the order is not known.
        RefusedByRule: the person may not, or nothing is kept that is not on a vehicle.
    """
    code = _order(order)
    with acting(ledger, by) as booking:
        order_book.dock_person(booking, by.code)
        return order_book.release(booking, code, stamp_of(by), reason)


def any_code(given: str) -> str:
    """Return an SSCC's digits, or a plant code, as canonical text.

    Raises:
        IdentifierError: it is neither.
    """
    if given[:1].isdigit():
        return Sscc.parse(given).digits
    return PlantCode.parse(given).text


def _order(given: str) -> str:
    try:
        return PlantCode.parse_one(CodeKind.ORDER, given).text
    except IdentifierError as problem:
        raise UsageError(str(problem)) from None
