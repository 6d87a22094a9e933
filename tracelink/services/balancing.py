"""Whether the numbers of a lot or of labels add up."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection

from tracelink.balance import balance_sentences as sentences_of
from tracelink.balance.labels import LabelBalance, serial_balance
from tracelink.balance.lot import lot_balance
from tracelink.errors import IdentifierError, UsageError
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.report.format import balance_rows
from tracelink.report.format.render import Cell
from tracelink.store.assembly.part_books import OF_PARTS, parts_balance
from tracelink.store.records.balance_facts import lot_records
from tracelink.store.records.label_facts import label_records, serial_records


@dataclass(frozen=True, slots=True)
class Balance:
    """What came in of something against what went out and what is there."""

    subject: str
    """Lot, sleeve batch, label lot, or block of SSCC labels."""
    rows: tuple[dict[str, Cell], ...]
    """One row per term, in order; every difference with its sign."""
    sentences: tuple[str, ...]
    """Sentences on what the rows come to."""
    difference: int | None
    """Pieces that are missing (positive) or too many (negative); None if it cannot be known."""
    off: bool
    """True if anything is not zero, or not known."""

    def to_dict(self) -> list[dict[str, Cell]]:
        """Return the same data as `runout balance --format json`: its rows."""
        return [{column.key: row.get(column.key) for column in balance_rows.COLUMNS} for row in self.rows]


def balance(conn: Connection, given: str) -> Balance:
    """Add up what is recorded of a subject.

    Args:
        conn: a connection inside a transaction.
        given: code of a lot, part lot, reel, build order, sleeve batch or label lot, or an SSCC of a block of labels.

    Raises:
        UsageError: it is of another kind, or not in the records.
    """
    if given.isdigit():
        return _labels(conn, given)
    try:
        code = PlantCode.parse(given)
    except IdentifierError as problem:
        raise UsageError(
            f"{problem}: expected a lot, part lot, reel, build order, sleeve batch, label lot or SSCC"
        ) from None
    if code.kind in OF_PARTS:
        return _parts(conn, code.text)
    return _lot(conn, code.text) if code.kind is CodeKind.LOT else _labels(conn, code.text)


def _lot(conn: Connection, code: str) -> Balance:
    records = lot_records(conn, code)
    lot = lot_balance(records)
    sentences = (
        sentences_of.lot_sentences(lot)
        + sentences_of.loose_sentences(records)
        + sentences_of.mixed_sentences(records)
    )
    off = lot.first is not None or any(each.quantity != each.expected for each in records.mixed)
    return Balance(code, tuple(balance_rows.lot_rows(lot)), tuple(sentences), lot.difference, off)


def _parts(conn: Connection, code: str) -> Balance:
    parts = parts_balance(conn, code)
    sentences = sentences_of.lot_sentences(parts)
    return Balance(
        code, tuple(balance_rows.lot_rows(parts)), tuple(sentences), parts.difference, parts.first is not None
    )


def _labels(conn: Connection, subject: str) -> Balance:
    labels = LabelBalance(label_records(conn, subject))
    rows, sentences = balance_rows.label_rows(labels), sentences_of.label_sentences(labels)
    off = labels.difference != 0
    numbers = None if subject.isdigit() or subject[0] != "B" else serial_records(conn, subject)
    if numbers is not None:
        serial = serial_balance(numbers)
        rows += balance_rows.serial_rows(serial)
        sentences += sentences_of.serial_sentences(serial)
        off = off or not serial.agrees
    return Balance(labels.records.subject, tuple(rows), tuple(sentences), labels.difference, off)
