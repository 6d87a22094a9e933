"""A finished unit as a line scanned it."""

from collections import Counter
from dataclasses import dataclass
from functools import cached_property

from tracelink.ledger.packs import RawScan
from tracelink.station.common.outcome import Spooled


@dataclass(frozen=True)
class ScannedUnit:
    """The scans of a unit that a line matched, one right after the other, as they wait in the spool."""

    scans: tuple[RawScan, ...]
    """Each disc and its sleeve, each item; at least one."""
    came_to: tuple[Spooled, ...]
    """What each of them came to."""

    @property
    def last(self) -> RawScan:
        """The scan that finished it."""
        return self.scans[-1]

    @cached_property
    def spindles(self) -> Counter[str]:
        """How many of its discs came from each spindle."""
        return Counter(spooled.spindle for spooled in self.came_to if spooled.spindle is not None)

    @property
    def lots(self) -> frozenset[str]:
        """What its discs are of."""
        return frozenset(spooled.lot for spooled in self.came_to if spooled.lot is not None)

    @property
    def items(self) -> Counter[str]:
        """Its items by their codes."""
        return Counter(spooled.fact["item"] for spooled in self.came_to if "item" in spooled.fact)
