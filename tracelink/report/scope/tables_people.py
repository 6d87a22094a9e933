"""The tables of a scope document on people: the consignees, and the cases in which they were told."""

from __future__ import annotations

from tracelink.report.format.disc_columns import CHANCE, LEAST, MAY_HOLD, MOST, SENT, TIGHT
from tracelink.report.format.table import Cell, Column, Kind, Table, keyed, number_of, table
from tracelink.report.scope.document import ScopeDocument
from tracelink.report.scope.tables_places import together, upper

CONSIGNEES = (
    Column("consignee", "consignee", Kind.TEXT),
    Column("country", "country"),
    Column("orders", "order", Kind.TEXT),
    Column("shipments", "shipment", Kind.TEXT),
    Column("departed", "left the plant", Kind.TIME),
    Column("containers", "cartons that may hold one", Kind.COUNT),
    SENT,
    MAY_HOLD,
    LEAST,
    MOST,
    CHANCE,
    TIGHT,
    Column("contact", "contact", Kind.TEXT),
    Column("onward", "passed on to", Kind.TEXT),
)
"""Who has, or is to have, affected discs; on screen, page, PDF, in CSV and in the workbook."""


def consignees(document: ScopeDocument) -> Table:
    """Return who has, or is to have, how many."""
    rows = [
        (
            one.name,
            one.country,
            list(dict.fromkeys(each.order for each in one.deliveries)),
            [each.shipment for each in one.deliveries],
            [each.departed_at if each.shipped else "not yet" for each in one.deliveries],
            one.containers,
            one.sent,
            one.may_hold,
            one.least,
            upper(one.most, tight=one.tight),
            one.chance,
            one.tight,
            one.contact or "not in the records",
            one.onward or "unknown",
        )
        for one in document.recipients
    ]
    containers = number_of(one.containers for one in document.recipients)
    sums: dict[str, Cell] = {
        "consignee": "together",
        "containers": containers,
        "sent": number_of(one.sent for one in document.recipients),
        "may_hold": number_of(one.may_hold for one in document.recipients),
        **together(document.recipients_together),
    }
    del sums["pieces"]
    nobody = f"No consignee is recorded who can have an affected {document.words.one}."
    return table("consignees", "Consignees", CONSIGNEES, rows, nobody, foot=[sums] if rows else [])


def consignees_file(document: ScopeDocument) -> Table:
    """Return the same as it is written for other programs, which know these columns."""
    return consignees(document).without("chance")


_CASES = keyed(
    (
        ("case", Kind.CODE),
        ("opened", Kind.TIME),
        ("by", Kind.TEXT),
        ("reason", Kind.TEXT),
        ("marked as safety", Kind.CODE),
        ("scopes kept", Kind.COUNT),
        ("closed by entry", Kind.NUMBER),
    )
)


def cases(document: ScopeDocument) -> Table:
    """Return the containment cases about the cause."""
    rows = [
        (
            one.code,
            one.opened_at,
            one.opened_by,
            one.reason,
            "yes, by a person" if one.marked_safety else "no",
            one.scopes,
            one.closed_entry,
        )
        for one in document.cases
    ]
    return table("cases", "Containment cases about this cause", _CASES, rows)


_NEWS = keyed(
    (
        ("case", Kind.CODE),
        ("consignee", Kind.TEXT),
        ("what", Kind.CODE),
        ("detail", Kind.TEXT),
        ("when", Kind.TIME),
        ("entry", Kind.NUMBER),
    )
)


def case_news(document: ScopeDocument) -> Table:
    """Return what those cases recorded of consignees."""
    rows = [
        (case.code, one.consignee, one.what, one.detail, one.at, one.entry)
        for case in document.cases
        for one in case.news
    ]
    nothing = "No notice, reply or check is recorded."
    return table("told", "What they recorded of consignees", _NEWS, rows, nothing)
