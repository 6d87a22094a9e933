"""Entries of drills: trace exercises that were held on the records."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, NoEvent, Things, on
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.origin import BY_QUALITY, Origin


@dataclass(frozen=True, slots=True)
class DrillHeld:
    """A trace exercise was held on the records; times are those of the machine."""

    kind: ClassVar[str] = "drill-held"
    export: ClassVar[ExportRule] = ExportRule(on("subject", Things.ANY), no_event=NoEvent.DECISION)
    origin: ClassVar[Origin] = BY_QUALITY
    seed: int
    what: str
    """carton, stamper, reel, part-lot, bath or blend."""
    subject: str
    """The thing that was drawn."""
    back_ms: int
    forward_ms: int
    contain_ms: int
    balance_ms: int
    gaps: int
    """What the records did not say on the way."""
    difference: int
    """Sum of the signed differences of the lots' balances."""
    lots_off: int
    """Lots of which a line of the balance is not zero."""
    limit_minutes: int
    """The time allowed for an exercise with people, as set."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One drill."""
        times = {"back_ms": self.back_ms, "forward_ms": self.forward_ms}
        row = {"seq": entry.seq, "seed": self.seed, "what": self.what, "subject": self.subject, **times}
        row |= {"contain_ms": self.contain_ms, "balance_ms": self.balance_ms, "gaps": self.gaps}
        yield Insert(
            "drill",
            {
                **row,
                "difference": self.difference,
                "lots_off": self.lots_off,
                "limit_minutes": self.limit_minutes,
            },
        )


KINDS: tuple[type[EntryBody], ...] = (DrillHeld,)
"""The kinds of this module, for the registry."""
