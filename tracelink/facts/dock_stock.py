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
class StockBarred:
    """One thing of an ordered product that cannot be kept for an order now."""

    code: str
    what: str
    units: int
    why: str
    """What bars it, in words."""


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
    is_drawn: bool = True
    """False if it came since the others were drawn, so that nothing is said of it yet."""
    has_left: bool = False
    """True if it cannot be opened here any more."""


@dataclass(frozen=True, slots=True)
class CheckPlan:
    """What to open, what was opened, what it showed."""

    subject: str
    cartons: tuple[CartonCheck, ...]
    """Those that were drawn, in the plant or not, and those that came since; before a draw those in the plant."""
    confidence_percent: int
    detect_percent: str
    """Percent, as given."""
    wanted: int
    """How many to open, accepting none that differs."""
    drawn_in: int | None
    """The entry that drew them first; None before a draw, and where all are to be opened."""
    sample: tuple[str, ...]
    """Cartons to open, in the order they were drawn; empty before a draw."""

    @property
    def total(self) -> int:
        """Cartons that the check speaks of."""
        return sum(check.is_drawn for check in self.cartons)

    @property
    def opened(self) -> int:
        """Cartons of the sample opened so far."""
        return sum(check.entry is not None for check in self.cartons if check.carton in self.sample)

    @property
    def next(self) -> tuple[str, ...]:
        """Cartons of the sample to open now."""
        unopened = {check.carton for check in self.cartons if check.entry is None and not check.has_left}
        return tuple(sorted(unopened.intersection(self.sample)))

    @property
    def left_unopened(self) -> tuple[str, ...]:
        """Cartons of the sample that left before anybody opened them."""
        gone = {check.carton for check in self.cartons if check.entry is None and check.has_left}
        return tuple(sorted(gone.intersection(self.sample)))

    @property
    def came_since(self) -> tuple[str, ...]:
        """Cartons that no draw has among its own."""
        return tuple(check.carton for check in self.cartons if not check.is_drawn)

    @property
    def differing(self) -> tuple[str, ...]:
        """Cartons that hold something else than the records say, drawn or not."""
        return tuple(check.carton for check in self.cartons if check.agrees is False)

    @property
    def is_met(self) -> bool:
        """True if the whole sample was opened, none of any carton differed, and none came since."""
        whole = bool(self.sample) and self.opened == len(self.sample)
        return whole and not self.differing and not self.came_since

    def to_dict(self) -> list[dict[str, str | int | None]]:
        """Return the same data as `runout check-cartons --format json`: one row per carton."""
        return [
            {"carton": check.carton, "state": self._state(check), "entry": check.entry}
            for check in self.cartons
        ]

    def _state(self, check: CartonCheck) -> str:
        if check.agrees is not None:
            return "agrees" if check.agrees else "DIFFERS"
        if check.carton in self.sample:
            return "left unopened" if check.has_left else "open it"
        if not check.is_drawn:
            return "came since"
        return "has left" if check.has_left else "not opened"
