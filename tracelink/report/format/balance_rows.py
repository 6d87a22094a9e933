"""Balances as rows: one list for people, one for programs."""

from collections.abc import Sequence

from tracelink.balance.balance_sentences import (
    WRONG_NUMBERS,
)
from tracelink.balance.labels import FATES, LabelBalance, SerialBalance
from tracelink.balance.lot import LotBalance
from tracelink.ledger.count_words import signed
from tracelink.report.format.table import Cell, Column, Kind

COLUMNS = [
    Column("line", "line"),
    Column("term", "term", Kind.TEXT),
    Column("came", "came in", Kind.COUNT),
    Column("went", "out or on hand", Kind.COUNT),
    Column("difference", "difference", Kind.DIFFERENCE),
    Column("basis", "basis"),
    Column("entries", "entries to look at"),
]
"""The columns for programs; people get the first six."""


def lot_rows(balance: LotBalance) -> list[dict[str, Cell]]:
    """Return one row per term, and one with the difference after the terms of each line."""
    rows: list[dict[str, Cell]] = []
    for line in balance.lines:
        rows += [_row(line.name, term.name, came=term.quantity, basis=term.basis) for term in line.came]
        rows += [_row(line.name, term.name, went=term.quantity, basis=term.basis) for term in line.went]
        came, went = (sum(term.quantity for term in side) for side in (line.came, line.went))
        entries = [str(seq) for seq in line.entries]
        rows.append(_row(line.name, "sum", came=came, went=went, difference=line.difference, entries=entries))
    return rows


def label_rows(balance: LabelBalance) -> list[dict[str, Cell]]:
    """Return a row for what was issued, one per fate, and the difference."""
    records = balance.records
    rows = [_row("labels", "issued", came=records.issued, basis="recorded")]
    rows += [
        _row("labels", fate, went=records.fates[fate], basis="recorded")
        for fate in FATES
        if fate in records.fates
    ]
    rows.append(
        _row("labels", "sum", came=records.issued, went=balance.accounted, difference=balance.difference)
    )
    return rows


def serial_rows(balance: SerialBalance) -> list[dict[str, Cell]]:
    """Return one row per kind of wrong number; its numbers stand where entries stand in other rows."""
    rows = [_row("numbers", "issued", came=balance.issued), _row("numbers", "used", went=balance.used)]
    for fate, number in (("returned", balance.returned), ("destroyed", balance.destroyed)):
        rows += [_row("numbers", fate, went=number)] if number else []
    for name in WRONG_NUMBERS:
        numbers: tuple[str, ...] = getattr(balance, name)
        rows.append(_row("numbers", name.replace("_", " "), difference=len(numbers), entries=list(numbers)))
    return rows


def _row(  # noqa: PLR0913  the columns
    line: str,
    term: str,
    *,
    came: int | None = None,
    went: int | None = None,
    difference: int | None = None,
    basis: str = "",
    entries: list[str] | None = None,
) -> dict[str, Cell]:
    return {
        "line": line,
        "term": term,
        "came": came,
        "went": went,
        "difference": difference,
        "basis": basis,
        "entries": entries or [],
    }


def for_people(rows: Sequence[dict[str, Cell]]) -> list[dict[str, Cell]]:
    """Return rows for a table: each line named once, differences with their sign."""
    shown: list[dict[str, Cell]] = []
    before: Cell = None
    for row in rows:
        off = row["difference"]
        said = signed(off) if isinstance(off, int) and row["term"] == "sum" else off
        shown.append({**row, "line": "" if row["line"] == before else row["line"], "difference": said})
        before = row["line"]
    return shown
