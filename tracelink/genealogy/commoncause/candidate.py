"""One thing that may be the common cause of bad discs, compared with all that it did not make."""

from __future__ import annotations

from dataclasses import dataclass

from tracelink.quality.fourfold import Fourfold, Odds

SIGNIFICANT = 0.05
"""Share of false findings among what is called significant; common practice."""


@dataclass(frozen=True, slots=True)
class Within:
    """The comparison made within strata."""

    p: float
    """Exact chance of as many bad discs with the candidate, or more, within the strata (one-sided)."""
    ratio: float | None
    """Common odds ratio; None if it would be infinite."""
    low: float | None
    """Lower end of its 95 % interval; None if it has none."""
    high: float | None
    """Upper end."""
    strata: int
    """Strata that say anything."""
    differing: float | None
    """Chance of odds ratios this different between strata, if they were one; None for a single stratum."""


@dataclass(frozen=True, slots=True)
class Onset:
    """The position from which on bad discs were more frequent."""

    after: str
    """The last judged disc before the rise, as LOT:STROKE."""
    first: str
    """The first judged disc after it."""
    p: float
    """Exact chance of a rise as strong in a random order of the same discs."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """One thing, compared."""

    kind: str
    """Kind of the thing, such as stamper or press."""
    code: str
    """Its code."""
    table: Fourfold
    """Bad and good discs with it, bad and good ones without."""
    p: float
    """Exact chance of as many bad discs with it, or more, if it made no difference."""
    adjusted: float
    """The same, corrected for the number of candidates."""
    odds: Odds
    """Odds ratio with one half added to every cell, and its 95 % interval."""
    aliases: tuple[str, ...]
    """Other candidates with exactly the same discs: nothing in the records tells them apart."""
    within: Within | None
    """The comparison within strata; None if no stratum has discs with and without it, bad and good."""
    onset: Onset | None
    """For a thing that makes disc after disc, where the rise is; None if there is none."""
    apart: int
    """Bad discs made with it and not with the first candidate; 0 says that the first explains all of them."""

    @property
    def significant(self) -> bool:
        """True if it stands out after the correction."""
        return self.adjusted <= SIGNIFICANT
