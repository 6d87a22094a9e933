"""What stations say of units that come back from a customer, and of units that are still there by the records."""

from tracelink.ledger.closed_sets import ShipmentStatus
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.assembly.queries_assembly import PieceFact
from tracelink.station.common.outcome import Refused


def unit_back(unit: PieceFact, consignee: str) -> str:
    """Say from whom a unit came back, and what becomes of it."""
    return (
        f"{unit.code}, {unit.build.what}, is back from {consignee} and in quarantine. It comes out through a test only: PASS or "
        "FAIL, or DRAWUNIT at the lab."
    )


def in_nothing(unit: PieceFact) -> Refused:
    """UNITBACK of a unit that is in no carton."""
    return _not_shipped(unit, "is in no carton")


def not_left(unit: PieceFact, carton: str) -> Refused:
    """UNITBACK of a unit whose carton has not left."""
    return _not_shipped(unit, f"is in carton {carton}, and that has not left")


def _not_shipped(unit: PieceFact, where: str) -> Refused:
    return Refused(
        FindingCode.NOT_SHIPPED,
        f"The system shows that {unit.code} {where}. Check the label before you book it in.",
        subject=unit.code,
        expected="in a shipment that has left",
        found=unit.status,
    )


def built_in(piece: PieceFact, unit: str) -> Refused:
    """UNITBACK of a part of a unit."""
    return Refused(
        FindingCode.USED_ALREADY,
        f"{piece.code} is in {unit}. Scan the serial label of {unit}.",
        subject=piece.code,
        expected=unit,
        found=piece.code,
    )


def with_a_customer(unit: PieceFact, carton: str) -> Refused:
    """A unit is tested that has left."""
    return Refused(
        FindingCode.SHIPMENT_LEFT,
        f"The system shows that {unit.code} has left the plant in carton {carton}. If it is back, scan UNITBACK at the dock first.",
        subject=unit.code,
        expected="a unit in the plant",
        found=ShipmentStatus.SHIPPED,
    )
