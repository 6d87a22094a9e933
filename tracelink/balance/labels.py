"""The balance of labels and sleeves: what was given out against what became of it.

`issued = used + spoiled + samples + returned + destroyed (+ void)`; the difference has its sign and is judged
by its size: more used than issued is as suspect as fewer. Labels still lying at a press or printer are part of
the difference until they come back or are counted as spoiled.

Source: 21 CFR 211.125(c) as a model: reconcile labels issued, used and returned; look into differences outside
narrow limits that are set beforehand.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

FATES = ("used", "spoiled", "samples", "returned", "destroyed", "void")
"""What can become of a label, in the order of the balance."""


@dataclass(frozen=True, slots=True)
class LabelRecords:
    """What was recorded of one batch of labels."""

    subject: str
    """Sleeve batch, label lot, or the first SSCC of a block."""
    issued: int | None
    """None when nobody recorded how many there were."""
    fates: Mapping[str, int]
    """One of `FATES` -> how many."""
    limit_permille: int
    """The largest difference that needs no investigation, in thousandths of what was issued."""
    limit_source: str
    uncertainty_permille: int = 0
    """How far the number issued may be off because it was weighed and not counted; shown, never subtracted."""
    printed: int | None = None
    """Number labels printed for numbered sleeves, where that was counted; no part of the balance of the sleeves."""


@dataclass(frozen=True, slots=True)
class LabelBalance:
    """The balance of one batch of labels."""

    records: LabelRecords

    @property
    def accounted(self) -> int:
        """Labels of which it is recorded what became of them."""
        return sum(self.records.fates.values())

    @property
    def difference(self) -> int | None:
        """Positive: unaccounted for; negative: more than were issued; None: not known what was issued."""
        issued = self.records.issued
        return None if issued is None else issued - self.accounted

    @property
    def within(self) -> bool:
        """True if the difference is within the limit; an unknown one never is."""
        if self.difference is None or self.records.issued is None:
            return False
        return abs(self.difference) * 1000 <= self.records.limit_permille * self.records.issued

    @property
    def uncertain_by(self) -> int:
        """Labels by which the number issued may be off, rounded up."""
        return -(-(self.records.issued or 0) * self.records.uncertainty_permille // 1000)


@dataclass(frozen=True, slots=True)
class SerialRecords:
    """What was recorded of the numbers of one sleeve batch."""

    batch: str
    issued: frozenset[str]
    used: tuple[str, ...]
    """Numbers in cartons, as often as they were booked."""
    void: frozenset[str] = frozenset()
    returned: frozenset[str] = frozenset()
    destroyed: frozenset[str] = frozenset()
    seen_twice: tuple[str, ...] = ()
    """Numbers of which a second sleeve was scanned and refused."""
    seen_void: tuple[str, ...] = ()
    """Void numbers that were scanned and refused."""
    seen_destroyed: tuple[str, ...] = ()
    """Destroyed numbers that were scanned and refused."""
    seen_strange: tuple[str, ...] = ()
    """Numbers scanned with this batch that do not belong to it."""
    in_order: tuple[int, int] | None = None
    """First and last number when they run in order."""


@dataclass(frozen=True, slots=True)
class SerialBalance:
    """Numbers of a sleeve batch, one by one: counts alone can cancel, numbers cannot."""

    batch: str
    issued: int
    used: int
    missing: tuple[str, ...]
    """Issued, and neither used, void, returned nor destroyed."""
    double: tuple[str, ...]
    """In more than one state, such as used and destroyed."""
    duplicate: tuple[str, ...]
    """Seen on a second sleeve."""
    unknown: tuple[str, ...]
    """Seen and never issued, and not by its value outside a range."""
    void_but_seen: tuple[str, ...]
    out_of_range: tuple[str, ...]
    returned: int
    """Came back, and neither stock again nor destroyed; or waiting to be packed again."""
    destroyed: int
    destroyed_but_seen: tuple[str, ...]
    net: int
    """Issued less all states, as counts alone would have it."""

    @property
    def agrees(self) -> bool:
        """True if every number is in exactly one state and no other number was seen."""
        lists = (
            self.missing,
            self.double,
            self.duplicate,
            self.unknown,
            self.void_but_seen,
            self.destroyed_but_seen,
            self.out_of_range,
        )
        return not any(lists)


def serial_balance(records: SerialRecords) -> SerialBalance:
    """Return what became of every number of a batch."""
    states = Counter([*set(records.used), *records.void, *records.returned, *records.destroyed])
    accounted = set(states)
    twice_used = {number for number, times in Counter(records.used).items() if times > 1}
    strange = {*records.seen_strange, *(accounted - records.issued)}
    outside = {number for number in strange if _outside(number, records.in_order)}
    return SerialBalance(
        batch=records.batch,
        issued=len(records.issued),
        used=len(set(records.used)),
        missing=in_order(records.issued - accounted),
        double=in_order(number for number, times in states.items() if times > 1),
        duplicate=in_order({*records.seen_twice, *twice_used}),
        unknown=in_order(strange - outside),
        void_but_seen=in_order({*records.seen_void, *(records.void & set(records.used))}),
        out_of_range=in_order(outside),
        returned=len(records.returned),
        destroyed=len(records.destroyed),
        destroyed_but_seen=in_order(records.seen_destroyed),
        net=len(records.issued) - states.total(),
    )


def _outside(number: str, ends: tuple[int, int] | None) -> bool:
    # "007" is another code than "7": it is unknown, not outside.
    if ends is None or not (number.isascii() and number.isdigit() and str(int(number)) == number):
        return False
    return not ends[0] <= int(number) <= ends[1]


def in_order(numbers: Iterable[str]) -> tuple[str, ...]:
    """Return numbers as a reader expects them: by value where they are digits."""
    return tuple(sorted(numbers, key=lambda text: (len(text), text) if text.isdigit() else (10**6, text)))
