"""Entries of the numbers of sleeves that came back: scanned one by one, restocked or destroyed with their discs."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Delete, Insert
from tracelink.ledger.closed_sets import NumberState
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, Things, on
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.origin import DOCK, DOCK_OR_QUALITY, Origin


@dataclass(frozen=True, slots=True)
class NumberCameBack:
    """The number of a returned sleeve was scanned."""

    kind: ClassVar[str] = "number-came-back"
    export: ClassVar[ExportRule] = ExportRule(on("gtin", Things.GTINS), tables=(BundleTable.RETURNS,))
    origin: ClassVar[Origin] = DOCK
    number: int
    """Number of the return line, from 1."""
    gtin: str
    serial: str
    carton: str
    """The carton into which the sleeve went, and in which it left."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One more thing that happened to this number."""
        row = {"gtin": self.gtin, "number": self.serial, "seq": entry.seq, "fate": NumberState.RETURNED}
        yield Insert("number_fate", {**row, "return_number": self.number, "carton": self.carton})


@dataclass(frozen=True, slots=True)
class NumberCameBackUnplaced:
    """The number of a returned sleeve was scanned. Written by older programs: without the carton in which it left."""

    kind: ClassVar[str] = NumberCameBack.kind
    export: ClassVar[ExportRule] = NumberCameBack.export
    origin: ClassVar[Origin] = NumberCameBack.origin
    number: int
    gtin: str
    serial: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The same, with no carton."""
        yield from _fate(self.gtin, (self.serial,), NumberState.RETURNED, self.number, entry)


@dataclass(frozen=True, slots=True)
class NumbersRestocked:
    """Returned numbers are stock again: in their carton, or free to be packed where it did not come back."""

    kind: ClassVar[str] = "numbers-restocked"
    export: ClassVar[ExportRule] = ExportRule(on("gtin", Things.GTINS), tables=(BundleTable.RETURNS,))
    origin: ClassVar[Origin] = DOCK_OR_QUALITY
    number: int
    gtin: str
    serials: tuple[str, ...]
    free: bool
    """True if the sleeves go through the line again."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per number; a number that is free is in no carton any more."""
        yield from _fate(
            self.gtin,
            self.serials,
            NumberState.FREE if self.free else NumberState.RESTOCKED,
            self.number,
            entry,
        )
        for serial in self.serials if self.free else ():
            yield Delete("numbered_sleeve", {"gtin": self.gtin, "number": serial})


@dataclass(frozen=True, slots=True)
class NumbersDestroyed:
    """Numbered sleeves were destroyed with their discs."""

    kind: ClassVar[str] = "numbers-destroyed"
    export: ClassVar[ExportRule] = ExportRule(on("gtin", Things.GTINS), tables=(BundleTable.RETURNS,))
    origin: ClassVar[Origin] = DOCK_OR_QUALITY
    number: int | None
    """Of the return line, None for a carton that never left."""
    gtin: str
    serials: tuple[str, ...]
    unscanned: tuple[str, ...]
    """Those of them that were in the carton by the records and were not scanned when it came back."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per number."""
        yield from _fate(self.gtin, self.serials, NumberState.DESTROYED, self.number, entry)


def _fate(
    gtin: str, serials: tuple[str, ...], fate: NumberState, line: int | None, entry: Entry
) -> Iterator[Change]:
    for serial in serials:
        row = {"gtin": gtin, "number": serial, "seq": entry.seq, "fate": fate, "return_number": line}
        yield Insert("number_fate", row)


KINDS: tuple[type[EntryBody], ...] = (NumberCameBack, NumbersRestocked, NumbersDestroyed)
"""The kinds of this module, for the registry."""

EARLIER: tuple[type[EntryBody], ...] = (NumberCameBackUnplaced,)
"""Forms of these kinds in older programs."""
