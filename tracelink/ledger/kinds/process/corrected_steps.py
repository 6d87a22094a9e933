"""Entries that mend what a process station recorded: a product that was none, its amount, a step that was not over.

The entry that was wrong stands in the journal as it was; the new one names it, and a reason stands beside it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Delete, Increase, Update
from tracelink.ledger.closed_sets import StepStatus
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, NoEvent, Things, on
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.origin import PROCESS, Origin

_OF_A_PRODUCT = (*on("step", Things.STEPS), *on("material", Things.MATERIALS))


@dataclass(frozen=True, slots=True)
class StepMakeTakenBack:
    """A lot of material that a running step made was not made after all, and nothing was done with it."""

    kind: ClassVar[str] = "step-make-taken-back"
    export: ClassVar[ExportRule] = ExportRule(
        _OF_A_PRODUCT, no_event=NoEvent.PART_OF_AN_ACT, tables=(BundleTable.DEVIATIONS,)
    )
    origin: ClassVar[Origin] = PROCESS.needs_reason()
    step: str
    material: str
    made: int
    """The entry that booked it."""
    amount: int
    """As the ledger had it."""

    def changes(self, _entry: Entry) -> Iterator[Change]:
        """Its rows go, so that the card may be used for what it is."""
        yield Delete("step_output", {"seq": self.made})
        yield Delete("material", {"code": self.material})
        yield Increase("step", {"code": self.step}, "made", -self.amount)


@dataclass(frozen=True, slots=True)
class StepAmountCorrected:
    """A step made another amount than was booked; `corrects` names the entry that said so last."""

    kind: ClassVar[str] = "step-amount-corrected"
    export: ClassVar[ExportRule] = ExportRule(_OF_A_PRODUCT, tables=(BundleTable.DEVIATIONS,))
    origin: ClassVar[Origin] = PROCESS.needs_reason().needs_second("agreed_by")
    step: str
    material: str
    process: str
    made: int
    """The entry that booked it first."""
    before: int
    """The amount as it was booked."""
    amount: int
    """As it should have been."""
    unit: str
    """Base unit of the process."""
    agreed_by: str
    """The second person."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The right amount, of the lot and of its step."""
        yield Update("step_output", {"seq": self.made}, {"amount": self.amount, "corrected_by": entry.seq})
        yield Increase("step", {"code": self.step}, "made", self.amount - self.before)


@dataclass(frozen=True, slots=True)
class StepReopened:
    """A step that was ended was not over; `corrects` names the entry that ended it."""

    kind: ClassVar[str] = "step-reopened"
    export: ClassVar[ExportRule] = ExportRule(
        on("step", Things.STEPS), no_event=NoEvent.PART_OF_AN_ACT, tables=(BundleTable.DEVIATIONS,)
    )
    origin: ClassVar[Origin] = PROCESS.needs_reason().needs_second("agreed_by")
    step: str
    ended: int
    """The entry that ended it."""
    agreed_by: str
    """The second person."""

    def changes(self, _entry: Entry) -> Iterator[Change]:
        """It runs again, from its begin."""
        values = {"status": StepStatus.OPEN, "ended_at": None, "ended_seq": None}
        yield Update("step", {"code": self.step}, values)


KINDS: tuple[type[EntryBody], ...] = (StepMakeTakenBack, StepAmountCorrected, StepReopened)
