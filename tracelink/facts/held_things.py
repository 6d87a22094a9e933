"""What is on hold, thing by thing."""

from dataclasses import asdict, dataclass


@dataclass(frozen=True, slots=True)
class HeldThing:
    """One thing that a hold names."""

    hold: str
    """Code of the hold."""
    subject: str
    """The lot, spindle, carton, pallet or other thing."""
    first: int | None
    """First stroke held of a lot; None for all of it, and for other things."""
    last: int | None
    """Last stroke held."""
    cause: str | None
    """What it is held because of."""
    reason: str | None
    """As the person wrote it."""
    person: str | None
    """Badge of who placed it."""
    seq: int
    """The entry that placed it."""
    lifted_seq: int | None
    """The entry that lifted it; None while it holds."""


@dataclass(frozen=True, slots=True)
class HoldList:
    """What is on hold, the oldest hold first."""

    things: tuple[HeldThing, ...]

    def to_dict(self) -> list[dict[str, str | int | None]]:
        """Return the same data as `runout hold --format json`."""
        return [asdict(thing) for thing in self.things]
