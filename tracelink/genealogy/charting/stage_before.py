"""Which stage before the signal to look at: what changed together with the level."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tracelink.genealogy.charting.charted_discs import ChartedDisc

STAGES = ("gauge", "compound", "press", "stamper_a", "stamper_b", "lot")
"""What may change with a level, in the order in which equals are named: measuring first, then what is quickest to look at."""


@dataclass(frozen=True, slots=True)
class StageEvidence:
    """Something that discs after a change were made or measured with, and those before it were not."""

    kind: str
    """What it is, one of `STAGES`; of a built piece station, build order, or part number and reel."""
    code: str
    """Its code."""
    after: int
    """Discs after the change that had it."""
    all_after: int
    """Discs after the change."""
    before: int
    """Discs before the change that had it."""
    all_before: int
    """Discs before the change."""

    @property
    def apart(self) -> float:
        """Share of the discs after the change that had it, less that of those before: 1 if it changed with the level."""
        return self.after / self.all_after - self.before / self.all_before


HALF = 0.5
"""What is further apart than this is named: at least half of the discs after the change, and of those before fewer."""


def stages_before(before: Sequence[ChartedDisc], after: Sequence[ChartedDisc]) -> tuple[StageEvidence, ...]:
    """Return what changed with a level, what explains it best first; empty if nothing did.

    Args:
        before: the discs before the change; at least one.
        after: those after it; at least one.
    """
    found = []
    # Parts of units are told by their numbers, which are the plant's.
    more = dict.fromkeys(kind for disc in after for kind in disc.made_with if kind not in STAGES)
    for kind in (*STAGES, *more):
        for code in dict.fromkeys(disc.made_with.get(kind) for disc in after):
            if code is None:
                continue
            with_after, with_before = (
                sum(disc.made_with.get(kind) == code for disc in discs) for discs in (after, before)
            )
            found.append(StageEvidence(kind, code, with_after, len(after), with_before, len(before)))
    telling = [one for one in found if one.apart > HALF]
    return tuple(sorted(telling, key=lambda one: -one.apart))
