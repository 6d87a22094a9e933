"""Balances as rows: one list for people, one for programs, and the sentences under the table."""

from collections.abc import Sequence

from tracelink.balance.facts import LotRecords
from tracelink.balance.labels import FATES, LabelBalance, SerialBalance
from tracelink.balance.lot import LotBalance
from tracelink.report.format.plain import counted, signed
from tracelink.report.format.table import Cell, Column, Kind

COLUMNS = [
    Column("line", "line"),
    Column("term", "term", Kind.TEXT),
    Column("came", "came in", Kind.COUNT),
    Column("went", "went or there", Kind.COUNT),
    Column("difference", "difference", Kind.DIFFERENCE),
    Column("basis", "by"),
    Column("entries", "entries to look at"),
]
"""The columns for programs; people get the first six."""

_SHOWN = 12


def lot_rows(balance: LotBalance) -> list[dict[str, Cell]]:
    """Return a row a term, and a row with the difference after the terms of each line."""
    rows: list[dict[str, Cell]] = []
    for line in balance.lines:
        rows += [_row(line.name, term.name, came=term.quantity, basis=term.basis) for term in line.came]
        rows += [_row(line.name, term.name, went=term.quantity, basis=term.basis) for term in line.went]
        came, went = (sum(term.quantity for term in side) for side in (line.came, line.went))
        entries = [str(seq) for seq in line.entries]
        rows.append(_row(line.name, "sum", came=came, went=went, difference=line.difference, entries=entries))
    return rows


def loose_sentences(records: LotRecords) -> list[str]:
    """Say what came back without a carton: such discs are in the records twice, or in no lot's."""
    said = []
    if records.loose:
        back = counted(sum(records.loose.values()), "disc")
        said.append(f"{back} came back without a carton; the records still have them where they were sent.")
    if records.unknown_loose:
        back = counted(records.unknown_loose, "disc")
        said.append(
            f"{back} with a matrix number of this lot came back and may be of another lot: in no balance."
        )
    return said


def mixed_sentences(records: LotRecords) -> list[str]:
    """Say what is known from counts of several lots together: a range for this lot."""
    said = []
    for count in records.mixed:
        if count.quantity == count.expected:
            what = "as the records say; how many are of this lot was not counted"
        elif count.quantity > count.expected:
            what = f"{count.quantity - count.expected} too many; of which lot cannot be told"
        else:
            what = (
                f"{count.expected - count.quantity} missing; of this lot's {count.own} there are "
                f"{count.least} to {count.most}, if no lot has more there than recorded"
            )
        said.append(
            f"Carton {count.place} was counted with another lot in it (entry {count.seq}): "
            f"{count.quantity} of {count.expected}, {what}."
        )
    return said


def lot_sentences(balance: LotBalance) -> list[str]:
    """Say where a difference first appears and which entries to look at."""
    first = balance.first
    if first is None:
        return [
            f"Lot {balance.lot}: every line is ±0.",
            f"Counted by hand: {counted(balance.by_hand, 'disc')}. The rest stands by kept counts that no hand has checked.",
        ]
    said = [f"Lot {balance.lot}: the difference first appears at {first.name}, {signed(first.difference)}."]
    for line in balance.lines:
        if line.difference:
            more = "" if line.difference > 0 else " More is there than came in: look at this first."
            said.append(f"{line.name} {signed(line.difference)}: {_entries(line.entries)}{more}")
    return said


def _entries(entries: Sequence[int]) -> str:
    shown = ", ".join(map(str, entries[:_SHOWN]))
    rest = len(entries) - _SHOWN
    more = f" and {rest} more (--format json lists all)" if rest > 0 else ""
    return f"look at entries {shown}{more}." if entries else "no entry names it."


def label_rows(balance: LabelBalance) -> list[dict[str, Cell]]:
    """Return a row for what was issued, a row a fate, and the difference."""
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


def label_sentences(balance: LabelBalance) -> list[str]:
    """Say the difference, its limit, and how uncertain the count is."""
    records = balance.records
    if balance.difference is None:
        return [
            f"{records.subject}: nobody recorded how many were issued, so the difference is not known.",
            f"Count them: runout label count {records.subject} printed QUANTITY --by BADGE.",
        ]
    judged = "within" if balance.within else "outside"
    off = f"difference {signed(balance.difference)} of {records.issued}"
    limit = f"{records.limit_permille / 10:g} % ({records.limit_source})"
    said = [
        f"{records.subject}: {off}, {judged} the limit of {limit}.",
        "Labels not used yet and not counted back are in the difference.",
    ]
    if records.uncertainty_permille:
        said.append(
            f"Counted by weight, the number issued may be off by {counted(balance.uncertain_by, 'label')} "
            f"({records.uncertainty_permille / 10:g} %, setting label_weighing_permille)."
        )
    if records.printed is not None:
        said.append(f"Number labels printed for it: {records.printed}.")
    return said


_LISTS = ("missing", "double", "duplicate", "unknown", "void_but_seen", "destroyed_but_seen", "out_of_range")


def serial_rows(balance: SerialBalance) -> list[dict[str, Cell]]:
    """Return a row a kind of wrong number; its numbers stand where entries stand in other rows."""
    rows = [_row("numbers", "issued", came=balance.issued), _row("numbers", "used", went=balance.used)]
    for fate, number in (("returned", balance.returned), ("destroyed", balance.destroyed)):
        rows += [_row("numbers", fate, went=number)] if number else []
    for name in _LISTS:
        numbers: tuple[str, ...] = getattr(balance, name)
        rows.append(_row("numbers", name.replace("_", " "), difference=len(numbers), entries=list(numbers)))
    return rows


def serial_sentences(balance: SerialBalance) -> list[str]:
    """Name the numbers that are not as they should be, runs of them as ranges."""
    said = [f"Numbers of {balance.batch}: by counts alone {signed(balance.net)}."]
    for name in _LISTS:
        numbers: tuple[str, ...] = getattr(balance, name)
        if numbers:
            said.append(f"{name.replace('_', ' ')}: {ranges(numbers)}")
    return said


def ranges(numbers: Sequence[str]) -> str:
    """Return sorted numbers for a reader: `6, 10 to 12`."""
    runs: list[list[str]] = []
    for number in numbers:
        if runs and number.isdigit() and runs[-1][-1].isdigit() and int(number) == int(runs[-1][-1]) + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(run[0] if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs)


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
