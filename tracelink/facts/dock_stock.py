"""What stands at the dock, what is kept for an order, and which cartons are to be opened."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class KeptStock:
    """One thing kept for an order."""

    code: str
    what: str
    units: int
    place: str
    """Where it is, in words."""


@dataclass(frozen=True, slots=True)
class ThingFound:
    """Where something is and its state."""

    code: str
    what: str
    state: str
    units: int
    place: str
    """Where it is, in words."""
    kept_for: str
    """The order it is kept for; empty for none."""
    hold: str
    """The hold it is under; empty for none."""


@dataclass(frozen=True, slots=True)
class CartonCheck:
    """One carton of the pallet or lot."""

    carton: str
    entry: int | None
    """The latest count of what is in it now; None if nobody opened it."""
    agrees: bool | None
    """True if that count was what the records say."""


@dataclass(frozen=True, slots=True)
class CheckPlan:
    """What to open, what was opened, what it showed."""

    subject: str
    cartons: tuple[CartonCheck, ...]
    confidence_percent: int
    detect_permille: int
    wanted: int
    """How many to open, accepting none that differs."""
    next: tuple[str, ...]
    """Cartons to open now, drawn at random."""

    @property
    def opened(self) -> int:
        """Cartons opened so far."""
        return sum(check.entry is not None for check in self.cartons)

    @property
    def differing(self) -> tuple[str, ...]:
        """Cartons that hold something else than the records say."""
        return tuple(check.carton for check in self.cartons if check.agrees is False)

    @property
    def is_met(self) -> bool:
        """True if so many were opened and none differed."""
        return self.opened >= self.wanted and not self.differing

    def to_dict(self) -> list[dict[str, str | int | None]]:
        """Return the same data as `runout check-cartons --format json`: one row per carton."""
        return [
            {"carton": check.carton, "state": self._state(check), "entry": check.entry}
            for check in self.cartons
        ]

    def _state(self, check: CartonCheck) -> str:
        if check.agrees is None:
            return "open it" if check.carton in self.next else "not opened"
        return "agrees" if check.agrees else "DIFFERS"
