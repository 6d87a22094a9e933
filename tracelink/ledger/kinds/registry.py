"""All kinds of entries by name, and the projection of an entry onto the tables."""

from collections.abc import Iterator, Mapping
from typing import Any

from tracelink.errors import NewerJournal
from tracelink.ledger.changes import Change
from tracelink.ledger.codec import from_body, has_fields
from tracelink.ledger.entry import Entry
from tracelink.ledger.kinds import (
    access,
    balance,
    case,
    case_measures,
    dock,
    drill,
    lab,
    label_stock,
    line,
    orders,
    packing,
    packing_changes,
    partners,
    press,
    press_corrections,
    returned_numbers,
    returns,
    setup,
    station,
    tools,
    warehouse,
)
from tracelink.ledger.kinds.admission import browser_entries
from tracelink.ledger.kinds.assembly import (
    assembly_setup,
    part_entries,
    placing_entries,
    unit_entries,
    unit_return_entries,
)
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.measuring import (
    chart_entries,
    drawn_piece_entries,
    judgement_entries,
    lab_test_entries,
    plan_entries,
    result_entries,
    slow_test_entries,
    study_entries,
)
from tracelink.ledger.kinds.process import corrected_steps, masters, process_setup, step_entries
from tracelink.ledger.plant import change_entries

_ALL: tuple[type[EntryBody], ...] = (
    setup.PlantNamed,
    setup.DomainNamed,
    setup.PersonEnrolled,
    setup.StationPlaced,
    setup.ProductDefined,
    setup.LotPlanned,
    setup.MaterialReceived,
    setup.SleevesReceived,
    setup.SsccIssued,
    label_stock.NumbersIssued,
    label_stock.LabelsCounted,
    label_stock.SsccReturned,
    label_stock.LabelVoided,
    tools.MasterRegistered,
    tools.ToolGrown,
    tools.ToolReceived,
    tools.ToolRetired,
    press.PressSetUp,
    press.PressStarted,
    press.StackTaken,
    press.DiscsScrapped,
    press.TrialThrown,
    press.RunChanged,
    press.HopperEmptied,
    press.PressStopped,
    lab.SampleDrawn,
    lab.SampleTaken,
    lab.SampleJudged,
    lab.SampleMeasured,
    lab.LotDecided,
    lab.HoldPlaced,
    lab.HoldLifted,
    line.LineCleared,
    line.SleevesOpened,
    line.SpindleOpened,
    line.CartonOpened,
    line.DiscsSleeved,
    line.DiscRejected,
    line.NoRead,
    line.LineStopped,
    line.CartonClosed,
    dock.PalletOpened,
    dock.CartonPalletised,
    dock.PalletClosed,
    dock.PalletAccepted,
    dock.ShipmentOpened,
    dock.ShipmentReordered,
    dock.PalletLoaded,
    dock.ShipmentDeparted,
    dock.LoadCorrected,
    dock.PalletCounted,
    station.SignedOn,
    station.SignedOff,
    station.ReasonNamed,
    station.ScanRefused,
    station.ClockStepped,
    *packing.KINDS,
    *packing_changes.KINDS,
    *warehouse.KINDS,
    *returns.KINDS,
    *returned_numbers.KINDS,
    *press_corrections.KINDS,
    *orders.KINDS,
    *balance.KINDS,
    *access.KINDS,
    *browser_entries.KINDS,
    *partners.KINDS,
    *case.KINDS,
    *drill.KINDS,
    *case_measures.KINDS,
    *change_entries.KINDS,
    *process_setup.KINDS,
    *step_entries.KINDS,
    *corrected_steps.KINDS,
    *masters.KINDS,
    *lab_test_entries.KINDS,
    *result_entries.KINDS,
    *chart_entries.KINDS,
    *judgement_entries.KINDS,
    *plan_entries.KINDS,
    *slow_test_entries.KINDS,
    *study_entries.KINDS,
    *assembly_setup.KINDS,
    *part_entries.KINDS,
    *placing_entries.KINDS,
    *unit_entries.KINDS,
    *unit_return_entries.KINDS,
    *drawn_piece_entries.KINDS,
)

KINDS: dict[str, type[EntryBody]] = {kind.kind: kind for kind in _ALL}

_EARLIER: tuple[type[EntryBody], ...] = (
    *case.EARLIER,
    *returned_numbers.EARLIER,
    *plan_entries.EARLIER,
    *lab_test_entries.EARLIER,
)

EARLIER: dict[str, tuple[type[EntryBody], ...]] = {form.kind: (form,) for form in _EARLIER}
"""Kind -> the forms its body had in older programs; what was written stays readable for good."""


def read_body(entry: Entry) -> EntryBody:
    """Return the entry's body as the dataclass of its kind.

    Raises:
        NewerJournal: the kind is not known to this program.
        NotCanonical: the body does not fit the kind.
    """
    return read_fields(entry.kind, entry.body, entry.seq)


def read_fields(kind: str, body: Mapping[str, Any], seq: int) -> EntryBody:
    """Return a body as the dataclass of its kind, from plain JSON data.

    Args:
        kind: of the entry.
        body: its fields.
        seq: its number, for what is raised.

    Raises:
        NewerJournal, NotCanonical: as for `read_body`.
    """
    known = KINDS.get(kind)
    if known is None:
        raise NewerJournal(
            f"entry {seq} is of kind {kind!r}, which this program does not know: use a newer program"
        )
    form = known
    if kind in EARLIER:
        form = next((old for old in EARLIER[kind] if has_fields(old, body)), known)
    return from_body(form, body, f"entry {seq} ({kind})")


def project(entry: Entry) -> Iterator[Change]:
    """Yield what `entry` does to the tables, in order."""
    yield from read_body(entry).changes(entry)
