"""Balances as sentences: where a difference first appears, its limit, which entries to look at."""

from collections.abc import Sequence

from tracelink.balance.labels import LabelBalance, SerialBalance
from tracelink.balance.lot import LotBalance
from tracelink.balance.lot_records import LotRecords
from tracelink.ledger.count_words import counted, piece_words, signed, whole_word

_SHOWN = 12


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
    whole = f"{whole_word(balance.lot)} {balance.lot}"
    piece = piece_words(balance.lot).one
    if first is None:
        return [
            f"{whole}: every line is ±0.",
            f"Counted by hand: {counted(balance.by_hand, piece)}. The rest stands by kept counts that no hand has checked.",
        ]
    said = [f"{whole}: the difference first appears at {first.name}, {signed(first.difference)}."]
    for line in balance.lines:
        if line.difference:
            more = "" if line.difference > 0 else " More is there than came in: look at this first."
            said.append(f"{line.name} {signed(line.difference)}: {_entries(line.entries)}{more}")
    return said


def _entries(entries: Sequence[int]) -> str:
    shown = ", ".join(map(str, entries[:_SHOWN]))
    rest = len(entries) - _SHOWN
    more = f" and {rest} more (--format json lists all)" if rest > 0 else ""
    noun = "entry" if len(entries) == 1 else "entries"
    return f"look at {noun} {shown}{more}." if entries else "no entry names it."


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


WRONG_NUMBERS = (
    "missing",
    "double",
    "duplicate",
    "unknown",
    "void_but_seen",
    "destroyed_but_seen",
    "out_of_range",
)


def serial_sentences(balance: SerialBalance) -> list[str]:
    """Name the numbers that are not as they should be, runs of them as ranges."""
    said = [f"Numbers of {balance.batch}: by counts alone {signed(balance.net)}."]
    for name in WRONG_NUMBERS:
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
