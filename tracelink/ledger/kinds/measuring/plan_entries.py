"""Entries of what the lab wants of a lot: the plan of a product, and a wanted disc that is not to be had."""

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, NoEvent, Taken, Things, on
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.origin import BY_QUALITY_OR_FILE, LAB, Origin


@dataclass(frozen=True, slots=True)
class SamplingPlanKept:
    """The lots of a product that are begun from a day on are sampled so."""

    kind: ClassVar[str] = "sampling-plan-kept"
    export: ClassVar[ExportRule] = ExportRule(
        on("gtin", Things.GTINS), taken=Taken.SETTING_UP, no_event=NoEvent.SAYS_WHAT_IS
    )
    origin: ClassVar[Origin] = BY_QUALITY_OR_FILE
    gtin: str
    aql: str | None
    """Bad discs in a hundred, as the tables name it; None for a plan of another kind."""
    level: str
    severity: str
    detect: str | None
    """The share of bad discs to be spoken against, in a hundred; None for a plan of the tables."""
    confidence: int
    one_in: int | None
    """Also one disc in so many."""
    since: str
    """The first local day on which it holds, YYYY-MM-DD."""
    inspection: str | None
    """The kind of inspection that it is for; None for the one of a product that has no kinds."""
    defects: tuple[str, ...]
    """The defects that count in it; none for every defect."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row, and one for each defect."""
        yield Insert(
            "sampling_plan",
            {
                "seq": entry.seq,
                "gtin": self.gtin,
                "aql": self.aql,
                "level": self.level,
                "severity": self.severity,
                "detect": self.detect,
                "confidence": self.confidence,
                "one_in": self.one_in,
                "since": self.since,
                "inspection": self.inspection,
            },
        )
        for defect in self.defects:
            yield Insert("sampling_plan_defect", {"seq": entry.seq, "defect": defect})


@dataclass(frozen=True, slots=True)
class OnlyPlanKept:
    """The same by an older program, which kept one plan for a product, for every defect."""

    kind: ClassVar[str] = SamplingPlanKept.kind
    export: ClassVar[ExportRule] = SamplingPlanKept.export
    origin: ClassVar[Origin] = SamplingPlanKept.origin
    gtin: str
    aql: str | None
    level: str
    severity: str
    detect: str | None
    confidence: int
    one_in: int | None
    since: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row."""
        yield from SamplingPlanKept(**asdict(self), inspection=None, defects=()).changes(entry)


@dataclass(frozen=True, slots=True)
class DiscMissed:
    """A disc that the lab wanted is not to be had; the entry's reason says why. Another of its part stands in for it."""

    kind: ClassVar[str] = "disc-missed"
    export: ClassVar[ExportRule] = ExportRule(on("lot", Things.LOTS), no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = LAB.needs_reason()
    lot: str
    stroke: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row."""
        yield Insert("missed_disc", {"lot": self.lot, "stroke": self.stroke, "seq": entry.seq})


KINDS: tuple[type[EntryBody], ...] = (SamplingPlanKept, DiscMissed)
"""The kinds of this module, for the registry."""

EARLIER: tuple[type[EntryBody], ...] = (OnlyPlanKept,)
"""Forms of these kinds in older programs."""
