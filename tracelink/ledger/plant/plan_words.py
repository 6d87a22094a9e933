"""What a plant file adds, in words: one line for each thing, for whoever looks before it is taken."""

from collections.abc import Callable, Mapping
from typing import Any

from tracelink.ledger.count_words import counted, grouped
from tracelink.ledger.kinds import kits, orders, setup, station, warehouse
from tracelink.ledger.kinds.assembly import assembly_setup
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.measuring import lab_test_entries, plan_entries, slow_test_entries
from tracelink.ledger.kinds.process import process_setup


def said(body: EntryBody) -> str:
    """Return what an entry of a plant file adds."""
    return _WORDS[type(body)](body)


def _plant(body: setup.PlantNamed) -> str:
    return (
        f"plant {body.name}, company prefix {body.company_prefix}, {counted(len(body.settings), 'setting')}"
    )


def _product(body: setup.ProductDefined) -> str:
    return (
        f'product {body.gtin} {body.catalogue_number} "{body.title}": {counted(len(body.parts), "disc")}, '
        f"{body.carton_size} to a carton"
    )


def _material(body: setup.MaterialReceived) -> str:
    of = "" if body.gtin is None else f" for {body.gtin} disc {body.piece} side {body.side}"
    return f"{body.what} lot {body.material}{of}: {body.detail}"


def _sleeves(body: setup.SleevesReceived) -> str:
    numbers = "" if body.first_number is None else f", numbers {body.first_number} to {body.last_number}"
    return f"sleeve batch {body.batch} of {body.gtin}: {counted(body.quantity, 'sleeve')}{numbers}"


def _sscc(body: setup.SsccIssued) -> str:
    return f"numbers of {body.what} labels {body.extension}: {body.first_serial} to {body.last_serial}"


def _lines(body: orders.OrderLinesTaken) -> str:
    lines = ", ".join(f"{grouped(line.quantity)} of {line.gtin}" for line in body.lines)
    return f"order {body.order} for {body.consignee} ({body.country}): {lines}"


def _limit(body: lab_test_entries.LimitSet) -> str:
    of = "" if body.gtin is None else f" for {body.gtin}"
    least = "" if body.lower is None else f"{body.lower} or more"
    most = "" if body.upper is None else f"{body.upper} or less"
    between = " and " if least and most else ""
    return f"limit of {body.test}{of} from {body.since} on: {least}{between}{most}"


def _sampling(body: plan_entries.SamplingPlanKept) -> str:
    tables = "" if body.aql is None else f"AQL {body.aql}, level {body.level}, {body.severity}"
    share = "" if body.detect is None else f"to detect {body.detect} % with {body.confidence} % confidence"
    often = "" if body.one_in is None else f"1 disc in {body.one_in}"
    said = "; ".join(each for each in (tables, share, often) if each)
    return f"sampling of {body.gtin} for lots begun from {body.since} on: {said}"


_WORDS: Mapping[type, Callable[[Any], str]] = {
    setup.PlantNamed: _plant,
    setup.DomainNamed: lambda body: f"domain {body.domain}",
    setup.PersonEnrolled: lambda body: (
        f"{body.name} with badge {body.person}: {', '.join(body.roles) or 'no role'}"
    ),
    setup.StationPlaced: lambda body: f"station {body.station}, {body.area}: {body.name}",
    setup.ProductDefined: _product,
    setup.LotPlanned: lambda body: (
        f"lot {body.lot} of {body.gtin} disc {body.piece}: {counted(body.quantity, 'disc')}"
    ),
    setup.MaterialReceived: _material,
    setup.SleevesReceived: _sleeves,
    setup.SsccIssued: _sscc,
    kits.ClearanceListed: lambda body: f"areas to look at: {', '.join(body.areas)}",
    kits.KitDefined: lambda body: f"kit of {body.gtin}: {counted(len(body.pieces), 'piece')}",
    kits.ItemMade: lambda body: f"kit item {body.item} of {body.gtin}: {body.name}, {body.status}",
    orders.OrderTaken: lambda body: (
        f"order {body.order} for {body.consignee} ({body.country}): {grouped(body.quantity)} of {body.gtin}"
    ),
    orders.OrderLinesTaken: _lines,
    orders.ContactNamed: lambda body: f"contact of {body.name} from {body.since} on",
    station.ReasonNamed: lambda body: (
        f"reason {body.reason_code} at {body.area}: {body.text} ({', '.join(body.acts)})"
    ),
    process_setup.ProcessDefined: lambda body: (
        f"process {body.process} on {body.works_on}: {counted(len(body.parameters), 'parameter')}"
    ),
    assembly_setup.PartKindNamed: lambda body: f"part {body.part}: {body.what}",
    assembly_setup.BillNamed: lambda body: (
        f"bill of material {body.version} of {body.part} since {body.since}: {counted(len(body.lines), 'part')}"
    ),
    assembly_setup.SlotNamed: lambda body: f"slot {body.slot} at {body.station}: {body.what}",
    process_setup.EquipmentPlaced: lambda body: f"equipment {body.equipment} for {body.process}: {body.name}",
    lab_test_entries.LabTestNamed: lambda body: (
        f"lab test {body.test} in {body.unit} on each {body.measured_on}: {body.method}"
    ),
    lab_test_entries.LimitSet: _limit,
    lab_test_entries.GaugeEntered: lambda body: (
        f"gauge {body.gauge}, {body.called}: {', '.join(body.tests)} in steps of {body.resolution}, due {body.due}"
    ),
    lab_test_entries.GaugeCalibrated: lambda body: (
        f"gauge {body.gauge} calibrated {body.calibrated}, due {body.due}"
    ),
    lab_test_entries.InstrumentDescribed: lambda body: (
        f"files of {body.instrument}: decimal {body.decimal}, {', '.join(each.test for each in body.columns)}"
    ),
    slow_test_entries.SlowTestNamed: lambda body: (
        f"slow test {body.slow_test}: {', '.join(each.label for each in body.readings)}"
    ),
    plan_entries.SamplingPlanKept: _sampling,
    warehouse.LocationNamed: lambda body: f"location {body.location}: {body.name}",
}
