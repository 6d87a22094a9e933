"""Entries that mend what the press room recorded: a counter read wrong, a lot that goes on after it was taken off."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Increase, Update
from tracelink.ledger.closed_sets import LotStatus
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, Things, on
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.press import Mounted
from tracelink.ledger.origin import PRESS, Origin


@dataclass(frozen=True, slots=True)
class CounterCorrected:
    """The last reading of a running lot's counter was wrong; the entry's reason says how, `corrects` names it.

    The reading stands in the journal as it was; the discs it moved are as many as the right one says.
    """

    kind: ClassVar[str] = "counter-corrected"
    export: ClassVar[ExportRule] = ExportRule(
        on("lot", Things.LOTS), tables=(BundleTable.PRESS_ACTS,), called="counter corrected"
    )
    origin: ClassVar[Origin] = PRESS.needs_reason().needs_second("agreed_by")
    lot: str
    segment: int
    """First stroke of the run segment that is running."""
    before: int
    """The counter as it was read."""
    counter: int
    """Strokes: the counter as it should have been read."""
    place: str
    """Where the discs of that reading were put: a spindle card, or set-up."""
    first: int
    """First stroke of the range that ends at the counter."""
    moved: int
    """The entry that moved it."""
    line: int
    """Which of its movements it is."""
    agreed_by: str
    """The second person."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The lot, its segment, the range and the place have as many strokes as the counter says."""
        yield Update("lot", {"code": self.lot}, {"counter": self.counter})
        yield Update("run_segment", {"lot": self.lot, "first": self.segment}, {"last": self.counter})
        key = {"place": self.place, "lot": self.lot}
        yield Increase("stock", key, "quantity", self.counter - self.before)
        values = {"last": self.counter, "quantity": self.counter - self.first + 1}
        yield Update("movement", {"seq": self.moved, "line": self.line}, values)


@dataclass(frozen=True, slots=True)
class PressResumed:
    """A lot that was taken off before its end is set up again; the entry's reason says why it was taken off."""

    kind: ClassVar[str] = "press-resumed"
    export: ClassVar[ExportRule] = ExportRule(
        on("lot", Things.LOTS), tables=(BundleTable.PRESS_ACTS,), called="set up again"
    )
    origin: ClassVar[Origin] = PRESS.needs_reason()
    lot: str
    mounted: Mounted
    first: int
    """The next stroke."""
    again: bool
    """True if a segment begins at that stroke already and has made none."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The lot is on the press; a new segment is ready."""
        yield Update("lot", {"code": self.lot}, {"status": LotStatus.SET_UP, "press": self.mounted.press})
        row = self.mounted.segment(self.lot, self.first, entry)
        if not self.again:
            yield row
            return
        key = {"lot": self.lot, "first": self.first}
        yield Update("run_segment", key, {name: row.row[name] for name in row.row if name not in key})


KINDS: tuple[type[EntryBody], ...] = (CounterCorrected, PressResumed)
"""The kinds of this module, for the registry."""
