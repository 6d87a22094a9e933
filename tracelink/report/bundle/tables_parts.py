"""The tables of an audit bundle on parts: what came in, what went onto boards and into units, tests, and what was taken out."""

from __future__ import annotations

from tracelink.facts.bundle_content import BundleFacts
from tracelink.ledger.kinds.assembly.part_entries import PartLotReceived, PartLotTested, ReelFilled
from tracelink.ledger.kinds.assembly.placing_entries import BuildBegun, PartsPlaced
from tracelink.ledger.kinds.assembly.unit_entries import JoinedPart, PartsJoined, PartTakenOut, PieceTested
from tracelink.report.format.table import Cell, Kind, Table, keyed, table

KEYS = ("part-lots", "reels", "build-orders", "placements", "joins", "piece-tests", "parts-out")
"""Names of the tables, in the order in which a report has them."""

_WHEN = (("when", Kind.TIME), ("by", Kind.TEXT), ("entry", Kind.NUMBER))

Row = tuple[Cell, ...]


def part_tables(facts: BundleFacts) -> list[Table]:
    """Return the tables; none for a bundle without parts."""
    if not facts.parts:
        return []
    return [
        _part_lots(facts),
        _reels(facts),
        _orders(facts),
        _placements(facts),
        _joins(facts),
        _tests(facts),
        _out(facts),
    ]


def _when(facts: BundleFacts, entry: dict[str, Cell]) -> Row:
    return (entry["event_time"], facts.who(_text(entry["person"])), entry["seq"])


def _text(cell: Cell) -> str | None:
    return cell if isinstance(cell, str) else None


def _part_lots(facts: BundleFacts) -> Table:
    tests = {body.part_lot: body for _entry, body in facts.of_kind(PartLotTested)}
    rows: list[Row] = []
    for entry, body in facts.of_kind(PartLotReceived):
        test = tests.get(body.part_lot)
        judged: Row = ("", "", "not tested")
        if test is not None:
            judged = (test.tested, test.failed, "accepted" if test.accepted else "REJECTED")
        rows.append(
            (
                body.part_lot,
                body.part,
                body.revision,
                body.supplier_lot,
                body.date_code,
                body.quantity,
                *judged,
                *_when(facts, dict(entry)),
            )
        )
    columns = (
        ("part lot", Kind.CODE), ("part", Kind.CODE), ("revision", Kind.CODE), ("supplier's lot", Kind.TEXT), ("date code", Kind.CODE),
        ("came in", Kind.COUNT), ("tested", Kind.COUNT), ("failed", Kind.COUNT), ("decision", Kind.TEXT), *_WHEN,
    )  # fmt: skip
    return table("part-lots", "Part lots: received and tested", keyed(columns), rows)


def _reels(facts: BundleFacts) -> Table:
    rows = [
        (
            body.reel,
            f"{body.first}-{body.last}" if body.in_order else "in no order",
            body.last - body.first + 1,
            body.part_lot,
            body.part,
            body.revision,
            *_when(facts, dict(entry)),
        )
        for entry, body in facts.of_kind(ReelFilled)
    ]
    columns = (
        ("reel or tray", Kind.CODE), ("positions", Kind.TEXT), ("parts", Kind.COUNT), ("part lot", Kind.CODE), ("part", Kind.CODE),
        ("revision", Kind.CODE), *_WHEN,
    )  # fmt: skip
    return table("reels", "Reels and trays: which positions are of which part lot", keyed(columns), rows)


def _orders(facts: BundleFacts) -> Table:
    rows = [
        (body.build, body.part, body.version, body.quantity, body.panel, *_when(facts, dict(entry)))
        for entry, body in facts.of_kind(BuildBegun)
    ]
    columns = (
        ("build order", Kind.CODE), ("builds", Kind.CODE), ("bill of material", Kind.CODE), ("pieces", Kind.COUNT), ("in a panel", Kind.COUNT),
        *_WHEN,
    )  # fmt: skip
    return table("build-orders", "Build orders", keyed(columns), rows)


def _placements(facts: BundleFacts) -> Table:
    rows = [
        (
            body.build,
            f"{item.from_piece}-{item.to_piece}",
            item.reel,
            "some there" if item.first is None else f"{item.first}-{item.last}",
            item.quantity,
            item.dropped,
            facts.where(_text(entry["station"])),
            *_when(facts, dict(entry)),
        )
        for entry, body in facts.of_kind(PartsPlaced)
        for item in body.items
    ]
    columns = (
        ("build order", Kind.CODE), ("pieces", Kind.CODE), ("reel", Kind.CODE), ("positions", Kind.TEXT), ("placed", Kind.COUNT),
        ("thrown away among them", Kind.COUNT), ("machine", Kind.TEXT), *_WHEN,
    )  # fmt: skip
    return table(
        "placements", "What machines placed: pieces that took positions of a reel", keyed(columns), rows
    )


def _joins(facts: BundleFacts) -> Table:
    rows = [
        (body.unit.piece, item.part, item.revision, *_joined(item), *_when(facts, dict(entry)))
        for entry, body in facts.of_kind(PartsJoined)
        for item in body.items
    ]
    columns = (
        ("unit", Kind.CODE), ("part", Kind.CODE), ("revision", Kind.CODE), ("piece, reel or tray", Kind.CODE), ("positions", Kind.TEXT),
        ("parts", Kind.COUNT), *_WHEN,
    )  # fmt: skip
    return table("joins", "What was joined into units", keyed(columns), rows)


def _joined(item: JoinedPart) -> Row:
    where = item.reel or (item.piece.piece if item.piece is not None else "")
    return where, "" if item.first is None else f"{item.first}-{item.last}", item.quantity


def _tests(facts: BundleFacts) -> Table:
    rows = [
        (
            body.piece.piece,
            body.part,
            body.programme,
            "passed" if body.passed else "FAILED",
            body.symptom or "",
            body.position or "",
            *_when(facts, dict(entry)),
        )
        for entry, body in facts.of_kind(PieceTested)
    ]
    columns = (
        ("piece", Kind.CODE), ("part", Kind.CODE), ("programme", Kind.TEXT), ("result", Kind.CODE), ("symptom", Kind.TEXT), ("position", Kind.TEXT),
        *_WHEN,
    )  # fmt: skip
    return table("piece-tests", "Tests of boards and units", keyed(columns), rows)


def _out(facts: BundleFacts) -> Table:
    rows = [
        (
            body.unit,
            body.piece or body.reel or "",
            body.to,
            _text(entry["reason"]) or "",
            *_when(facts, dict(entry)),
        )
        for entry, body in facts.of_kind(PartTakenOut)
    ]
    columns = (
        ("unit", Kind.CODE), ("piece, reel or tray", Kind.CODE), ("went to", Kind.TEXT), ("reason", Kind.TEXT), *_WHEN,
    )  # fmt: skip
    return table("parts-out", "What was taken out of units", keyed(columns), rows)
