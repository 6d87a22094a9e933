"""The answer of a scope in a few figures: what stands on the first screen and at the top of the page."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Sent:
    """What one consignee has, or what is being loaded for it."""

    consignee: str
    """Name, as in the order."""
    country: str
    """ISO 3166-1 alpha-2; empty if not recorded."""
    least: int
    """Fewest affected discs, 0 or more."""
    most: int
    """Most affected discs, `least` or more."""
    tight: bool
    """True if some assignment of discs reaches both bounds."""


@dataclass(frozen=True, slots=True)
class SentTogether:
    """What several consignees have together; narrower than the sum of theirs."""

    consignees: tuple[Sent, ...]
    """Each of them, the one that can have most first."""
    least: int
    """Fewest affected discs, 0 or more."""
    most: int
    """Most affected discs, `least` or more."""
    tight: bool
    """True if some assignment of discs reaches both bounds."""


@dataclass(frozen=True, slots=True)
class ScopeAnswer:
    """The answer in a few figures."""

    subject: str
    """What was asked about, such as `Stamper T001030Y, side A of "Moth Parliament"`."""
    fault: str
    """The defect, or `any defect`."""
    certain: int
    """Discs affected for certain, 0 or more."""
    possible: int
    """Further discs that may be affected, 0 or more."""
    cleared: int
    """Discs cleared for the shape asked about, 0 or more."""
    shipped: SentTogether
    """Affected discs that left the plant."""
    loading: SentTogether
    """What stands in a shipment that has not left."""
    free: int
    """Suspect items in the plant that no hold and no rule stops, 0 or more."""
    free_discs: int
    """Affected discs that they may hold, 0 or more."""
    stopped: int
    """Suspect items in the plant that a hold or a rule stops, 0 or more."""
    holds: tuple[str, ...]
    """Codes of the open holds on anything in question."""
    cases: tuple[str, ...]
    """Codes of the open cases about the cause."""
    told: tuple[str, ...]
    """Consignees to whom those cases recorded a notice."""

    @property
    def affected(self) -> bool:
        """True if any disc is affected for certain or possibly."""
        return bool(self.certain or self.possible)

    @property
    def untold(self) -> tuple[str, ...]:
        """Consignees who can have an affected disc and to whom no open case recorded a notice."""
        return tuple(one.consignee for one in self.shipped.consignees if one.consignee not in self.told)
