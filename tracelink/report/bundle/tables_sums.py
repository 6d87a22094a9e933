"""Tables of a bundle on sums: do the discs of a lot, its labels and its sleeves add up."""

from __future__ import annotations

from collections.abc import Sequence

from tracelink.facts.bundle_content import BundleFacts
from tracelink.report.format import balance_rows
from tracelink.report.format.table import Cell, Column, Kind, Table, keyed, table

Row = tuple[Cell, ...]


def sum_tables(facts: BundleFacts) -> list[Table]:
    """Return the tables on sums, in reading order."""
    return [_balance(facts), _labels(facts)]


_FIRST_ENTRIES = 12
_BALANCE = (
    Column("lot", "lot"),
    Column("line", "line", Kind.TEXT),
    Column("term", "term", Kind.TEXT),
    Column("came_in", "came in", Kind.COUNT),
    Column("went_or_there", "out or on hand", Kind.COUNT),
    Column("difference", "difference", Kind.DIFFERENCE),
    Column("by", "basis", Kind.TEXT),
    Column("entries_to_look_at", "entries to look at", Kind.TEXT),
)


def _balance(facts: BundleFacts) -> Table:
    rows: list[Row] = []
    for balance, _ in facts.balances:
        for row in balance_rows.lot_rows(balance):
            entries = row["entries"]
            named = _first_of(entries) if isinstance(entries, list) else ""
            cells = (row["line"], row["term"], row["came"], row["went"])
            told = (*cells, row["difference"], row["basis"])
            rows.append((balance.lot, *map(_cell, told), named))
    otherwise = "A balance is that of a whole lot; this bundle follows a part of one."
    return table("balance", "Does the lot add up? Differences with their sign", _BALANCE, rows, otherwise)


def _first_of(entries: Sequence[str]) -> str:
    named = ", ".join(entries[:_FIRST_ENTRIES])
    more = len(entries) - _FIRST_ENTRIES
    return f"{named} and {more} more" if more > 0 else named


def _cell(value: object) -> Cell:
    return value if isinstance(value, int | str) or value is None else str(value)


def _labels(facts: BundleFacts) -> Table:
    rows: list[Row] = []
    for balance in facts.labels:
        records = balance.records
        within = "not known" if balance.difference is None else "within" if balance.within else "OUTSIDE"
        fates = ", ".join(f"{fate} {count}" for fate, count in records.fates.items())
        limit = f"{records.limit_permille / 10:g} % ({records.limit_source})"
        rows.append((records.subject, records.issued, fates, balance.difference, limit, within))
    columns = (
        ("labels", Kind.CODE), ("issued", Kind.COUNT), ("accounted for", Kind.TEXT), ("difference", Kind.DIFFERENCE), ("limit in force", Kind.TEXT),
        ("judged", Kind.CODE),
    )  # fmt: skip
    return table(
        "label-balance", "Do the labels and sleeves add up, against which limit", keyed(columns), rows
    )
