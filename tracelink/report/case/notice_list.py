"""The cartons of a notice as a list for the consignee's own programs: one row per carton and lot."""

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


def notice_list(facts: NoticeFacts) -> bytes:
    """Return the list as CSV."""
    return csv_file(_listed(facts))


def _listed(facts: NoticeFacts) -> Table:
    lots = {lot.lot: lot for lot in facts.lots}
    rows = [
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
    ]
    return table("", "Cartons", _COLUMNS, rows)
