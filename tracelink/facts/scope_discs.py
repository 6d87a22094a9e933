"""The parts of a scope document on the discs: places, containers, groups, recipients, identifiers."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Totals:
    """Sums that the reader can check."""

    proven: int
    """Discs proven affected."""
    possible: int
    """Discs possibly affected."""
    cleared: int
    """Discs cleared for the shape asked about, with a reason."""
    pieces: int
    """Discs of the lots in question."""
    least: int
    """Fewest affected."""
    most: int
    """Most affected."""
    places: int
    """What the places add up to."""
    difference: int
    """`places` less `pieces`."""


@dataclass(frozen=True, slots=True)
class Place:
    """All discs in one kind of place."""

    name: str
    """In words."""
    pieces: int
    """Discs there; for `unaccounted` a signed difference."""
    least: int
    """Fewest affected."""
    most: int
    """Most affected."""
    tight: bool
    """Whether both bounds are reached by some assignment."""
    is_unaccounted: bool
    """Whether this line is what the count lacks."""


@dataclass(frozen=True, slots=True)
class JointBoundsFacts:
    """The bounds of several things together, narrower than the sum of theirs: a disc is in one place only."""

    pieces: int
    """Discs of the lots in question."""
    least: int
    """Fewest affected."""
    most: int
    """Most affected."""
    chance: float | None
    """Chance of any; None if not known."""
    tight: bool
    """Whether both bounds are reached."""


@dataclass(frozen=True, slots=True)
class Container:
    """One container that can hold an affected disc."""

    kind: str
    """spindle, carton, sample or place."""
    code: str
    """Its code."""
    status: str
    """Its status in the records."""
    lot: str
    """The lot of the discs counted here."""
    pieces: int
    """Discs of the lot in it."""
    least: int
    """Fewest affected."""
    most: int
    """Most affected."""
    chance: float | None
    """Chance of any under random mixing; None if not known."""
    tight: bool
    """Whether both bounds are reached."""
    stands_in: tuple[str, ...]
    """Pallet, shipment or location, from the inside out."""
    recipient: str
    """Who gets it; empty if it is in no shipment."""
    order: str
    """The order; empty if it is in no shipment."""
    shipped_at: str
    """When it left the plant, local time; empty if it did not or no record says when."""
    shipped: bool
    """Whether it left the plant."""
    hold: str | None
    """The open hold that stops it; None if there is none."""
    numbers: tuple[str, ...]
    """Numbered sleeves in it, at most a carton full."""


@dataclass(frozen=True, slots=True)
class Group:
    """A pallet, shipment, order or country that can have an affected disc."""

    kind: str
    """pallet, shipment, location, order or country."""
    code: str
    """Its code."""
    pieces: int
    """Discs of the lots in question in it."""
    least: int
    """Fewest affected."""
    most: int
    """Most affected."""
    chance: float | None
    """Chance of any."""
    tight: bool
    """Whether both bounds are reached."""
    shipped: bool
    """Whether all of it left the plant."""


@dataclass(frozen=True, slots=True)
class Identifier:
    """Something that a stranger can look for."""

    thing: str
    """What it belongs to."""
    look_at: str
    """Where to look."""
    says: str
    """What stands there."""


@dataclass(frozen=True, slots=True)
class Delivery:
    """One shipment to a recipient."""

    shipment: str
    """Its code."""
    order: str
    """The order it fulfils."""
    departed_at: str
    """When it left, local time; empty if it did not leave or no record says when."""
    shipped: bool
    """Whether the records say that it left."""


@dataclass(frozen=True, slots=True)
class Recipient:
    """A consignee."""

    name: str
    """As in the order."""
    country: str
    """ISO 3166-1 alpha-2."""
    deliveries: tuple[Delivery, ...]
    """Shipments with a container in question."""
    containers: int
    """Containers that can hold an affected disc."""
    pieces: int
    """Discs of the lots in question."""
    least: int
    """Fewest affected."""
    most: int
    """Most affected."""
    chance: float | None
    """Chance of any."""
    tight: bool
    """Whether both bounds are reached."""
    shipped: bool
    """Whether all of it left the plant."""
    contact: str | None
    """Whom to write to; None if the records have none."""
    onward: str | None
    """Where it was passed on to; None if the records do not say, which is the rule."""
