"""Entries of balances: physical counts, and investigations of what does not add up."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Delete, Increase, Insert, Update
from tracelink.ledger.entry import Entry, entry_hash
from tracelink.ledger.export_rule import BundleTable, ExportRule, NoEvent, Taken, Things, on
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import EntryBody, Moved, finding_row
from tracelink.ledger.origin import AREAS, BY_QUALITY, OF_A_COUNT, OF_A_DIFFERENCE, OF_DRAWS, QUALITY, Origin


@dataclass(frozen=True, slots=True)
class Counted:
    """The discs of one lot in what was counted."""

    lot: str
    quantity: int
    """Discs counted, 0 or more."""
    expected: int
    """Discs there by the records at that moment, 0 or more."""


@dataclass(frozen=True, slots=True)
class Share:
    """What one lot has, by the records, in something that is counted together with other lots."""

    lot: str
    expected: int


@dataclass(frozen=True, slots=True)
class StockCounted:
    """Somebody counted by hand what is at a place. The kept count of the place stays as it was.

    A count that disagrees is a finding; nothing is written off by counting.
    """

    kind: ClassVar[str] = "stock-counted"
    export: ClassVar[ExportRule] = ExportRule(
        on("lots[].lot", Things.WHOLE) + on("place", Things.CARTONS, Things.SPINDLES),
        tables=(BundleTable.DEVIATIONS,),
    )
    origin: ClassVar[Origin] = OF_A_COUNT
    place: str
    """counter, a spindle card, or a carton's SSCC."""
    lots: tuple[Counted, ...]
    sentence: str
    """What the person was told."""

    @property
    def agrees(self) -> bool:
        """True if the count is what the records say."""
        return all(each.quantity == each.expected for each in self.lots)

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per lot, and a finding when it differs."""
        for each in self.lots:
            yield Insert(
                "stock_count",
                {
                    "seq": entry.seq,
                    "place": self.place,
                    "lot": each.lot,
                    "quantity": each.quantity,
                    "expected": each.expected,
                },
            )
        if self.agrees:
            return
        yield finding_row(
            entry,
            finding=FindingCode.COUNT_DIFFERS,
            subject=self.place,
            expected=", ".join(f"{each.expected} of {each.lot}" for each in self.lots),
            found=", ".join(f"{each.quantity} of {each.lot}" for each in self.lots),
            sentence=self.sentence,
        )


@dataclass(frozen=True, slots=True)
class MixedCounted:
    """Somebody counted discs of several lots together; which lot is short cannot be told from it.

    Which of the lots a missing disc is of stays open: the count stands beside each lot's balance as a range.
    """

    kind: ClassVar[str] = "mixed-counted"
    export: ClassVar[ExportRule] = ExportRule(
        on("lots[].lot", Things.WHOLE) + on("place", Things.CARTONS),
        no_event=NoEvent.LOT_UNKNOWN,
        tables=(BundleTable.DEVIATIONS,),
    )
    origin: ClassVar[Origin] = OF_A_COUNT
    place: str
    """A carton's SSCC."""
    piece: int
    """Which disc of the product the lots are of."""
    quantity: int
    """Discs of all the lots, by the count."""
    lots: tuple[Share, ...]
    """What the records say at that moment."""
    sentence: str

    @property
    def expected(self) -> int:
        """Discs of all the lots, by the records."""
        return sum(each.expected for each in self.lots)

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per lot, and a finding when the sum differs."""
        for each in self.lots:
            row = {"seq": entry.seq, "lot": each.lot, "place": self.place, "own": each.expected}
            yield Insert("mixed_count", {**row, "quantity": self.quantity, "expected": self.expected})
        if self.quantity == self.expected:
            return
        lots = " and ".join(each.lot for each in self.lots)
        yield finding_row(
            entry,
            finding=FindingCode.COUNT_DIFFERS,
            subject=self.place,
            expected=f"{self.expected} of {lots}",
            found=f"{self.quantity} of {lots}",
            sentence=self.sentence,
        )


@dataclass(frozen=True, slots=True)
class CountConfirmed:
    """Two people counted the same in a sealed carton, less than the records said: what they counted is its content.

    Where the missing discs are nobody knows: they are lost, with the sleeves and items of their units.
    """

    kind: ClassVar[str] = "count-confirmed"
    export: ClassVar[ExportRule] = ExportRule(
        on("carton", Things.CARTONS) + on("moves[].lot", Things.WHOLE),
        tables=(BundleTable.DEVIATIONS,),
    )
    origin: ClassVar[Origin] = OF_A_COUNT.needs_reason().needs_second("first", AREAS | QUALITY)
    carton: str
    recorded: int
    """Units by the records until now."""
    counted: int
    """Units by both counts, 0 or more."""
    first: str
    """Badge of who counted before; who confirms is of the entry."""
    moves: tuple[Moved, ...]
    batch: str
    """Sleeve batch of what is missing."""
    items: tuple[str, ...]
    """Kit items of which as many are missing."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The carton holds fewer units; discs, sleeves and items that are missing are in it no more."""
        for line, move in enumerate(self.moves):
            yield from move.changes(entry, line)
        by = self.counted - self.recorded
        yield Increase("carton", {"sscc": self.carton}, "units", by)
        yield Increase("carton_sleeve", {"carton": self.carton, "batch": self.batch}, "units", by)
        for item in self.items:
            yield Increase("carton_item", {"carton": self.carton, "item": item}, "quantity", by)


@dataclass(frozen=True, slots=True)
class NumbersLost:
    """The numbered sleeves that are in a carton counted short were scanned: these are not among them, and lost.

    The count stands in the `CountConfirmed` of the same act.
    """

    kind: ClassVar[str] = "numbers-lost"
    export: ClassVar[ExportRule] = ExportRule(
        on("carton", Things.CARTONS) + on("gtin", Things.GTINS), tables=(BundleTable.DEVIATIONS,)
    )
    origin: ClassVar[Origin] = OF_A_COUNT
    carton: str
    gtin: str
    serials: tuple[str, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """A lost number is in no carton any more, and may not be packed again."""
        for serial in self.serials:
            number = {"gtin": self.gtin, "number": serial}
            yield Delete("numbered_sleeve", number)
            yield Insert("lost_number", {**number, "carton": self.carton, "seq": entry.seq})


@dataclass(frozen=True, slots=True)
class CartonsDrawn:
    """The cartons of a pallet or lot were put in an order by chance, in which they are opened for a check.

    The order follows from the hash of this entry, which nobody can know or choose beforehand. The first so many are a
    simple random sample, however many a check wants; cartons that came later are drawn by an entry of their own and
    take their places among the others.
    """

    kind: ClassVar[str] = "cartons-drawn"
    export: ClassVar[ExportRule] = ExportRule(
        on("subject", Things.ANY) + on("cartons[]", Things.CARTONS), no_event=NoEvent.PART_OF_AN_ACT
    )
    origin: ClassVar[Origin] = OF_DRAWS
    subject: str
    """A pallet's SSCC or a lot."""
    cartons: tuple[str, ...]
    """Those that could be opened then and were not drawn before."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per carton, with its place among all by their rank."""
        drawn = entry_hash(entry.canonical())
        for carton in self.cartons:
            rank = hashlib.sha256(f"{drawn} {carton}".encode()).hexdigest()
            row = {"subject": self.subject, "carton": carton, "seq": entry.seq, "rank": rank}
            yield Insert("carton_draw", row)


@dataclass(frozen=True, slots=True)
class InvestigationOpened:
    """A difference is looked into; while it is open, no lot it names, nor one made with its labels, is released.

    Nor does a carton go on of which a count opened it, or differed while it was open.
    """

    kind: ClassVar[str] = "investigation-opened"
    export: ClassVar[ExportRule] = ExportRule(on("subject", Things.ANY), no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = OF_A_DIFFERENCE
    subject: str
    """Lot, sleeve batch, label lot, or the first SSCC of a block."""
    difference: int | None
    """What did not add up when it was opened, with sign; None when it is not known what was given out."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row; the entry's number is the number of the investigation."""
        yield Insert(
            "investigation",
            {
                "seq": entry.seq,
                "subject": self.subject,
                "difference": self.difference,
                "reason": entry.reason,
                "person": entry.stamp.person,
                "closed_seq": None,
            },
        )


@dataclass(frozen=True, slots=True)
class InvestigationClosed:
    """An authorised person closed an investigation; the entry's reason says what was found."""

    kind: ClassVar[str] = "investigation-closed"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.WITH_ANOTHER, no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = BY_QUALITY.needs_reason()
    investigation: int
    """The entry that opened it."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The row ends at this entry."""
        yield Update("investigation", {"seq": self.investigation}, {"closed_seq": entry.seq})


KINDS: tuple[type[EntryBody], ...] = (
    StockCounted,
    MixedCounted,
    CountConfirmed,
    NumbersLost,
    CartonsDrawn,
    InvestigationOpened,
    InvestigationClosed,
)
"""The kinds of this module, for the registry."""
