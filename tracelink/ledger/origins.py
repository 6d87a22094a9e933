"""Where each kind of entry can come from: which stations, whose hand, and what must stand beside it.

A chain shows that nothing was changed afterwards; it does not show that a rule made an entry. What a rule makes always
carries traces of how it came about: the station and the number of its scan, the person signed on there, the reason that
was asked for, the badge of a second person. `origin_check.py` asks every entry for them.

Roles are those of the acts at the stations and of the commands (`station/*/acts.py`, `store/office/office_acts.py`). Tests
play the demo plant and days of every station, and no entry of theirs may lack anything.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from enum import Enum

from tracelink.ledger.kinds import (
    access,
    balance,
    case,
    dock,
    drill,
    kits,
    lab,
    label_stock,
    line,
    orders,
    packing,
    packing_changes,
    partners,
    press,
    press_corrections,
    returns,
    setup,
    station,
    tools,
    warehouse,
)
from tracelink.ledger.kinds.base import EntryBody

AREAS = frozenset({"tool", "press", "lab", "line", "dock"})
"""Areas of stations."""

QUALITY = frozenset({"quality"})
_WITNESSES = frozenset({"line", "quality"})
_DOCK_OR_QUALITY = frozenset({"dock", "quality"})


@dataclass(frozen=True, slots=True)
class Second:
    """A second person who agreed."""

    field: str
    """The field of the body that holds the badge."""
    roles: frozenset[str] = QUALITY
    """Roles of which one is enough."""
    always: bool = True
    """True if the field may not be empty."""


class ScanRule(Enum):
    """Which raw scans stand beside an entry of a station."""

    OWN = "own"
    """The scan that led to it: beside itself, or beside a later entry that the same scan led to."""
    SEALED = "sealed"
    """The matches that it seals; the scan that led to it may go on waiting with an act that it began."""
    NONE = "none"
    """Perhaps none: it follows from the entry before it, or the scan goes on waiting."""


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a kind of entry can come from."""

    areas: frozenset[str] = frozenset()
    """Areas of the stations that make it; empty if none does."""
    roles: frozenset[str] = frozenset()
    """Roles of which the person at the station must have one; empty if anybody with a badge may, or nobody."""
    by_command: bool = False
    """True if a command makes it as well."""
    command_roles: frozenset[str] = frozenset()
    """Roles for the command; empty if anybody with a badge may."""
    nobody: bool = False
    """True if it is made before anybody is signed on, or from a file of the plant."""
    reason: bool = False
    """True if a reason always stands beside it."""
    second: Second | None = None
    """The second person it needs."""
    scans: ScanRule = ScanRule.OWN
    """Which raw scans stand beside it, if it was made at a station."""


def _at(area: str, *roles: str) -> Origin:
    return Origin(frozenset({area}), frozenset(roles or (area,)))


_FILE = Origin(by_command=True, nobody=True)
"""From a plant file, or by a command that keeps nobody's name."""
_ANYWHERE = Origin(AREAS, nobody=True)
_TOOL, _PRESS, _LINE, _DOCK = _at("tool"), _at("press"), _at("line"), _at("dock")
_LAB, _DECISION = _at("lab"), replace(_at("lab", "quality"), reason=True)
_CASE = Origin(by_command=True, command_roles=QUALITY)
_LABELS = Origin(by_command=True, command_roles=_WITNESSES)
_ORDERS = Origin(by_command=True, command_roles=_DOCK_OR_QUALITY, nobody=True)
_COUNT = Origin(AREAS - {"tool"}, AREAS | QUALITY)


def _all(origin: Origin, kinds: Iterable[type[EntryBody]]) -> dict[str, Origin]:
    return {kind.kind: origin for kind in kinds}


ORIGINS: Mapping[str, Origin] = {
    **_all(
        _FILE,
        (
            setup.PlantNamed,
            setup.DomainNamed,
            setup.PersonEnrolled,
            setup.StationPlaced,
            setup.ProductDefined,
            setup.LotPlanned,
            setup.MaterialReceived,
            setup.SleevesReceived,
            setup.SsccIssued,
            orders.OrderTaken,
            kits.ItemMade,
            kits.KitDefined,
            kits.ClearanceListed,
            warehouse.LocationNamed,
        ),
    ),
    **_all(_ANYWHERE, (station.SignedOn, station.ScanRefused)),
    **_all(replace(_ANYWHERE, by_command=True, scans=ScanRule.NONE), access.KINDS),
    **_all(_TOOL, (tools.MasterRegistered, tools.ToolGrown)),
    **_all(replace(_TOOL, reason=True), (tools.ToolRetired,)),
    **_all(
        _PRESS,
        (
            press.PressSetUp,
            press.PressStarted,
            press.StackTaken,
            press.DiscsScrapped,
            press.TrialThrown,
            press.RunChanged,
            press.HopperEmptied,
            press.PressStopped,
        ),
    ),
    press_corrections.CounterCorrected.kind: replace(_PRESS, reason=True, second=Second("agreed_by")),
    press_corrections.PressResumed.kind: replace(_PRESS, reason=True),
    **_all(_LAB, (lab.SampleDrawn, lab.SampleJudged, lab.SampleMeasured)),
    lab.LotDecided.kind: replace(_DECISION, second=Second("second_person", always=False)),
    lab.HoldLifted.kind: replace(_DECISION, second=Second("second_person")),
    # A line holds both pieces of a number that is there twice, a dock a carton that differs; quality what it decides.
    lab.HoldPlaced.kind: Origin(
        frozenset({"lab", "line", "dock"}),
        _WITNESSES | _DOCK_OR_QUALITY,
        by_command=True,
        command_roles=QUALITY,
        reason=True,
    ),
    line.LineCleared.kind: replace(_LINE, second=Second("checked_by", _WITNESSES)),
    **_all(
        _LINE,
        (
            line.SleevesOpened,
            line.SpindleOpened,
            line.CartonOpened,
            line.NoRead,
            line.LineStopped,
            line.CartonClosed,
            packing.HoldBackOpened,
            packing.HoldBackClosed,
            packing_changes.MatchUndone,
            packing_changes.RejectUndone,
            packing_changes.CartonUnopened,
            packing.ShiftHandedOver,
        ),
    ),
    **_all(replace(_LINE, scans=ScanRule.SEALED), (line.DiscsSleeved, packing.UnitsRechecked)),
    packing.ItemsInserted.kind: replace(_LINE, scans=ScanRule.NONE),
    **_all(
        replace(_LINE, reason=True),
        (
            line.DiscRejected,
            packing_changes.UnitTakenOut,
            packing_changes.CartonReopened,
            packing_changes.CartonsMerged,
        ),
    ),
    packing.LineChecked.kind: replace(_LINE, second=Second("checked_by", _WITNESSES)),
    packing.ManualEntry.kind: replace(_LINE, second=Second("checked_by", _WITNESSES)),
    **_all(
        _DOCK,
        (
            dock.PalletOpened,
            dock.CartonPalletised,
            dock.PalletClosed,
            dock.PalletAccepted,
            dock.ShipmentOpened,
            dock.ShipmentReordered,
            dock.PalletLoaded,
            dock.ShipmentDeparted,
            warehouse.PutAway,
            warehouse.PlaceLeft,
            warehouse.CartonOpenChecked,
            warehouse.CartonPicked,
            warehouse.DriverChecked,
            returns.DiscsReturned,
            returns.DiscsCameBack,
            returns.NumberCameBack,
        ),
    ),
    **_all(
        replace(_DOCK, reason=True),
        (
            warehouse.CartonUnstacked,
            warehouse.PalletReopened,
            warehouse.CartonBroken,
            warehouse.CartonRepacked,
            warehouse.Unloaded,
            warehouse.LoadShort,
            returns.CartonReturned,
        ),
    ),
    **_all(replace(_at("dock", "quality"), reason=True), (returns.CartonRestocked, returns.DiscsRestocked)),
    **_all(_at("dock", "dock", "quality"), (returns.NumbersRestocked, returns.NumbersDestroyed)),
    returns.Destroyed.kind: replace(_DOCK, reason=True, second=Second("witness")),
    **_all(_COUNT, (balance.StockCounted, balance.MixedCounted)),
    balance.InvestigationOpened.kind: replace(_COUNT, by_command=True, reason=True),
    balance.InvestigationClosed.kind: Origin(by_command=True, command_roles=QUALITY, reason=True),
    **_all(
        _LABELS,
        (
            label_stock.NumbersIssued,
            label_stock.LabelsCounted,
            label_stock.SsccReturned,
            label_stock.LabelVoided,
        ),
    ),
    **_all(_ORDERS, (orders.OrderLinesTaken, orders.AllocationMade, orders.AllocationReleased)),
    **_all(Origin(by_command=True, command_roles=_DOCK_OR_QUALITY | {"press"}), partners.KINDS),
    **_all(_CASE, (kind for kind in case.KINDS)),
    **_all(Origin(by_command=True), (case.CaseReplied, case.CaseChecked)),
    case.CaseClosed.kind: replace(_CASE, reason=True, second=Second("second_person")),
    **_all(_CASE, drill.KINDS),
}
"""By kind. Every kind of the registry has one; a test holds that."""
