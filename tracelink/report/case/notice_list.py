"""The cartons of a notice as a list for the consignee's own programs: one row per carton and lot, or per unit and reel."""

from dataclasses import replace

from tracelink.facts.notice_content import NoticeFacts
from tracelink.report.format.table import Column, Kind, Table, table
from tracelink.report.format.table_csv import csv_file

_COLUMNS = (
    Column("sscc", "carton (SSCC)"),
    Column("pallet_sscc", "pallet (SSCC)"),
    Column("shipment", "shipment"),
    Column("order", "order"),
    Column("lot", "lot"),
    Column("title", "title", Kind.TEXT),
    Column("gtin", "EAN"),
    Column("discs", "discs of the lot", Kind.COUNT),
    Column("affected_at_least", "affected at least", Kind.COUNT),
    Column("affected_at_most", "at most", Kind.COUNT),
)


_SERIAL = Column("serial", "unit (serial label)")


def notice_list(facts: NoticeFacts) -> bytes:
    """Return the list as CSV."""
    return csv_file(_units(facts) if facts.units else _cartons(facts))


def _units(facts: NoticeFacts) -> Table:
    """A row for what each unit holds, and one for each carton of discs in the same case."""
    worded = {"lot": "of which lot", "discs": f"{facts.words.many} of it"}
    columns = (_SERIAL, *(replace(one, title=worded.get(one.key, one.title)) for one in _COLUMNS))
    rows = [
        (
            unit.serial,
            unit.carton,
            unit.pallet,
            shipment.code,
            shipment.order,
            unit.lot,
            unit.title,
            unit.gtin,
            unit.pieces,
            unit.least,
            unit.most,
        )
        for shipment in facts.shipments
        for pallet in shipment.pallets
        for unit in pallet.units
    ]
    discs = [("", *row) for row in _carton_rows(facts)]
    return table("", "Units", columns, [*rows, *discs])


def _cartons(facts: NoticeFacts) -> Table:
    return table("", "Cartons", _COLUMNS, _carton_rows(facts))


def _carton_rows(facts: NoticeFacts) -> list[tuple[str | int, ...]]:
    lots = {lot.lot: lot for lot in facts.lots}
    return [
        (
            held.code,
            pallet.code,
            shipment.code,
            shipment.order,
            held.lot,
            lots[held.lot].title if held.lot in lots else "",
            lots[held.lot].gtin if held.lot in lots else "",
            held.pieces,
            held.least,
            held.most,
        )
        for shipment in facts.shipments
        for pallet in shipment.pallets
        for held in pallet.cartons
        if not pallet.units
    ]
