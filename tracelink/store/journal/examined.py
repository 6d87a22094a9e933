"""What looking at a whole ledger found."""

from dataclasses import dataclass, field

from tracelink.errors import BrokenChain
from tracelink.ledger.proof.chain import EMPTY, Head
from tracelink.ledger.proof.kept import KeptHead
from tracelink.ledger.recording_times import ClockStep

MOST_FAULTS = 1000
"""So many are told one by one; of a ledger full of them the first thousand are enough to see what happened."""


@dataclass(slots=True)
class Examined:
    """What `examine` found."""

    head: Head = EMPTY
    """Number and hash of the last entry."""
    root: bytes | None = None
    """Root of the tree over all entries, 32 bytes; None if entries are missing."""
    broken: BrokenChain | None = None
    """The first fault of the chain."""
    faults: list[str] = field(default_factory=list)
    """A sentence for each thing that is not as it should be."""
    more: int = 0
    """Faults beyond those told."""
    agreeing: list[KeptHead] = field(default_factory=list)
    """What was kept outside and agrees."""
    clock: list[ClockStep] = field(default_factory=list)
    """Entries whose recording time does not go on from the entry before, the first of them."""
    more_clock: int = 0
    """Such entries beyond those."""

    def tell(self, sentence: str) -> None:
        """Note a fault."""
        if len(self.faults) < MOST_FAULTS:
            self.faults.append(sentence)
        else:
            self.more += 1
