"""What belongs to a part number."""

from __future__ import annotations

from sqlalchemy import Connection, text

from tracelink.facts.catalogue.part_record import BuildOfPart, LotOfPart, PartRecord, PartUse, ReelOfPart

_KIND = text("SELECT number, what, seq FROM part_kind WHERE number = :number")
_LOTS = text(
    "SELECT code, revision, supplier_lot, quantity, status, at FROM part_lot WHERE part = :number ORDER BY seq"
)
_REELS = text("SELECT code, revision, holds, used FROM reel WHERE part = :number ORDER BY seq")
_BUILT = "(SELECT COUNT(*) FROM piece p WHERE p.build = b.code)"
_MAKES = text(
    f"SELECT b.code, b.part, b.version, b.quantity, {_BUILT} AS built, NULL AS needs FROM build b "  # noqa: S608  our own text
    "WHERE b.part = :number ORDER BY b.seq"
)
_TAKES = text(
    f"SELECT b.code, b.part, b.version, b.quantity, {_BUILT} AS built, SUM(l.quantity) AS needs FROM build b "  # noqa: S608  our own text
    "JOIN bill_line l ON l.item = b.part AND l.version = b.version WHERE l.part = :number "
    "GROUP BY b.code, b.part, b.version, b.quantity, b.seq ORDER BY b.seq"
)
_USES = text(
    "SELECT item, version, revision, quantity, slot FROM bill_line WHERE part = :number ORDER BY item, version, line"
)
_PART_OF = text(
    "SELECT part FROM part_lot WHERE code = :code UNION SELECT part FROM reel WHERE code = :code "
    "UNION SELECT part FROM build WHERE code = :code"
)


def part_of(conn: Connection, code: str) -> str | None:
    """Return the part number of a part lot, reel or build order; None if it is none."""
    found = conn.execute(_PART_OF, {"code": code}).scalar()
    return None if found is None else str(found)


def part_record(conn: Connection, number: str) -> PartRecord | None:
    """Return a part number with what belongs to it; None if the plant has no such part."""
    asked = {"number": number}
    row = conn.execute(_KIND, asked).first()
    if row is None:
        return None
    return PartRecord(
        row.number,
        row.what,
        row.seq,
        tuple(LotOfPart(*each) for each in conn.execute(_LOTS, asked)),
        tuple(ReelOfPart(*each) for each in conn.execute(_REELS, asked)),
        tuple(BuildOfPart(*each) for each in conn.execute(_MAKES, asked)),
        tuple(BuildOfPart(*each) for each in conn.execute(_TAKES, asked)),
        tuple(
            PartUse(each.item, each.version, each.revision, each.quantity, each.slot or "")
            for each in conn.execute(_USES, asked)
        ),
    )
