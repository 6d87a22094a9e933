"""What a notice to one consignee can say from the records: products, lots, containers, shipments, dates."""

from collections.abc import Sequence

from sqlalchemy import Connection, text

from tracelink.facts.notice_content import NoticeFacts, NoticeLot, NoticeShipment
from tracelink.genealogy.case.case_facts import CaseFacts
from tracelink.genealogy.case.standing import status_of
from tracelink.ledger.kinds.case_scope import CaseContainer
from tracelink.store.assembly.notice_units import pallets_of
from tracelink.store.database.in_lists import text_list
from tracelink.store.records.contacts import contact_on
from tracelink.store.records.plant_versions import names_of_lot, versions

_PLANT = text("SELECT name FROM plant")
_PRODUCTS = text(
    "SELECT l.code AS lot, p.gtin, p.catalogue_number, p.title, q.piece, q.total, q.matrix_a, q.matrix_b, "
    "(SELECT MIN(m.at) FROM movement m WHERE m.lot = l.code AND m.source = 'counter') AS first_at, "
    "(SELECT MAX(m.at) FROM movement m WHERE m.lot = l.code AND m.source = 'counter') AS last_at "
    "FROM lot l JOIN product p ON p.gtin = l.gtin "
    "JOIN product_part q ON q.gtin = l.gtin AND q.piece = l.piece WHERE l.code IN :codes ORDER BY l.code"
).bindparams(text_list("codes"))
_SHIPMENTS = text(
    "SELECT s.code, s.order_code, s.departed_at FROM shipment s WHERE s.code IN :codes ORDER BY s.code"
).bindparams(text_list("codes"))


def notice_facts(conn: Connection, facts: CaseFacts, consignee: str, at: str, list_file: str) -> NoticeFacts:
    """Gather what a notice can say.

    Args:
        conn: a connection inside a transaction.
        facts: the case.
        consignee: one whom the case names.
        at: when the notice is written, RFC 3339 with offset.
        list_file: name of the enclosed list of cartons.
    """
    day = at[:10]
    maker = plant_name(conn)
    line = next(one for one in status_of(facts.recorded).lines if one.consignee == consignee)
    held = _containers(facts, consignee)
    return NoticeFacts(
        case=facts.case.code,
        safety=facts.case.safety,
        maker=maker,
        sender=contact_on(conn, maker, day),
        consignee=consignee,
        contact=contact_on(conn, consignee, day),
        date=day,
        scope=len(facts.scope_entries),
        may_hold=line.may_hold,
        least=line.least,
        most=line.most,
        lots=tuple(notice_lots(conn, sorted({one.lot for one in held}))),
        shipments=tuple(_shipments(conn, held)),
        list_file=list_file,
    )


def _containers(facts: CaseFacts, consignee: str) -> list[CaseContainer]:
    """By the newest scope that names a container; whatever an earlier scope named stays."""
    found: dict[tuple[str, str], CaseContainer] = {}
    for scope in facts.recorded.scopes:
        for held in scope.containers:
            if held.shipped and held.consignee == consignee:
                found[held.code, held.lot] = held
    return list(found.values())


def plant_name(conn: Connection) -> str:
    """Return the name of the plant, who makes and sends."""
    return str(conn.execute(_PLANT).scalar_one())


def notice_lots(conn: Connection, codes: Sequence[str]) -> list[NoticeLot]:
    """Return what a stranger can find lots by."""
    rows = conn.execute(_PRODUCTS, {"codes": list(codes)}).all()
    named = {
        row.lot: names_of_lot(conn, row.lot, versions(conn, row.gtin), (row.title, row.catalogue_number))
        for row in rows
    }
    return [
        NoticeLot(
            lot=row.lot,
            title=named[row.lot][0],
            catalogue_number=named[row.lot][1],
            gtin=row.gtin,
            piece=row.piece,
            total=row.total,
            matrix_a=row.matrix_a,
            matrix_b=row.matrix_b,
            pressed_from=(row.first_at or "")[:10],
            pressed_to=(row.last_at or "")[:10],
        )
        for row in rows
    ]


def _shipments(conn: Connection, held: Sequence[CaseContainer]) -> list[NoticeShipment]:
    codes = sorted({one.parents[-1] for one in held if one.parents})
    return [
        NoticeShipment(
            row.code,
            row.order_code,
            (row.departed_at or "")[:10],
            pallets_of(conn, [one for one in held if one.parents and one.parents[-1] == row.code]),
        )
        for row in conn.execute(_SHIPMENTS, {"codes": codes})
    ]
