"""The parts of a scope document on the discs: places, containers, groups, recipients, identifiers."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Totals:
    """Sums that the reader can check."""

    proven: int
    """Discs proven affected, 0 or more."""
    possible: int
    """Discs possibly affected, 0 or more."""
    cleared: int
    """Discs cleared for the shape asked about, 0 or more."""
    pieces: int
    """Discs of the lots in question, 0 or more."""
    least: int
    """Fewest affected discs, 0 or more."""
    most: int
    """Most affected discs, `least` or more."""
    places: int
    """Discs in all places together."""
    difference: int
    """Discs, signed: `places` less `pieces`."""


@dataclass(frozen=True, slots=True)
class Place:
    """All discs in one kind of place."""

    name: str
    """Name of the place for a reader, such as `in transit`."""
    pieces: int
    """Discs there, 0 or more; for `unaccounted` a signed difference."""
    least: int
    """Fewest affected discs, 0 or more."""
    most: int
    """Most affected discs, `least` or more."""
    tight: bool
    """True if some assignment of discs reaches both bounds."""
    is_unaccounted: bool
    """True for the line of discs that no place accounts for."""


@dataclass(frozen=True, slots=True)
class JointBoundsFacts:
    """The bounds of several things together, narrower than the sum of theirs: a disc is in one place only."""

    pieces: int
    """Discs of the lots in question, 0 or more."""
    least: int
    """Fewest affected discs, 0 or more."""
    most: int
    """Most affected discs, `least` or more."""
    chance: float | None
    """Chance of at least one affected disc under random mixing, 0 to 1; None if not known."""
    tight: bool
    """True if some assignment of discs reaches both bounds."""


@dataclass(frozen=True, slots=True)
class StoppedLine:
    """Suspect things of one kind in the plant that one hold or rule stops."""

    kind: str
    """spindle, carton, sample, counter, or a place."""
    stopped_by: str
    """The hold or the rule."""
    items: int
    """Number of things, 1 or more."""
    together: JointBoundsFacts
    """Affected discs in all of them together."""


@dataclass(frozen=True, slots=True)
class Container:
    """One container that can hold an affected disc."""

    kind: str
    """spindle, carton, sample or place."""
    code: str
    """Plant code or SSCC."""
    status: str
    """Status in the records, such as `closed` or `shipped`."""
    lot: str
    """Plant code of the lot of the discs counted here."""
    pieces: int
    """Discs of the lot in it, 0 or more."""
    least: int
    """Fewest affected discs, 0 or more."""
    most: int
    """Most affected discs, `least` or more."""
    chance: float | None
    """Chance of at least one affected disc under random mixing, 0 to 1; None if not known."""
    tight: bool
    """True if some assignment of discs reaches both bounds."""
    stands_in: tuple[str, ...]
    """Codes of pallet, shipment or location, from the innermost to the outermost."""
    recipient: str
    """Name of the consignee; empty if it is in no shipment."""
    order: str
    """Code of the order; empty if it is in no shipment."""
    shipped_at: str
    """Departure, RFC 3339 with offset; empty if it did not leave or the time is not recorded."""
    shipped: bool
    """True if it left the plant."""
    hold: str | None
    """Code of the open hold that stops it; None if there is none."""
    numbers: tuple[str, ...]
    """Numbers of the numbered sleeves in it, at most a carton full."""


@dataclass(frozen=True, slots=True)
class Group:
    """A pallet, shipment, order or country that can have an affected disc."""

    kind: str
    """pallet, shipment, location, order or country."""
    code: str
    """Plant code, SSCC or ISO 3166-1 alpha-2 country code."""
    pieces: int
    """Discs of the lots in question, 0 or more."""
    least: int
    """Fewest affected discs, 0 or more."""
    most: int
    """Most affected discs, `least` or more."""
    chance: float | None
    """Chance of at least one affected disc under random mixing, 0 to 1; None if not known."""
    tight: bool
    """True if some assignment of discs reaches both bounds."""
    shipped: bool
    """True if all of it left the plant."""


@dataclass(frozen=True, slots=True)
class Identifier:
    """Something that a stranger can look for."""

    thing: str
    """The thing that bears the identifier, with its code."""
    look_at: str
    """The place to look at, such as `sleeve, barcode`."""
    says: str
    """The text or number to be found there."""


@dataclass(frozen=True, slots=True)
class LookAlike:
    """A stamper that is not in question and bears the matrix text of one that is."""

    matrix: str
    """The text."""
    stamper: str
    """Plant code."""
    lots: tuple[str, ...]
    """Lots that it pressed."""


@dataclass(frozen=True, slots=True)
class Delivery:
    """One shipment to a recipient."""

    shipment: str
    """Code of the shipment."""
    order: str
    """Code of the order that it fulfils."""
    departed_at: str
    """Departure, RFC 3339 with offset; empty if it did not leave or the time is not recorded."""
    shipped: bool
    """True if the records say that it left."""


@dataclass(frozen=True, slots=True)
class Recipient:
    """A consignee."""

    name: str
    """Name, as in the order."""
    country: str
    """ISO 3166-1 alpha-2."""
    deliveries: tuple[Delivery, ...]
    """Shipments with a container in question."""
    containers: int
    """Containers that can hold an affected disc, 1 or more."""
    pieces: int
    """Discs of the lots in question, sent or to be sent, 0 or more."""
    sent: int
    """Of these, those that left the plant."""
    may_hold: int
    """Of these, those in containers that can hold an affected disc."""
    least: int
    """Fewest affected discs, 0 or more."""
    most: int
    """Most affected discs, `least` or more."""
    chance: float | None
    """Chance of at least one affected disc under random mixing, 0 to 1; None if not known."""
    tight: bool
    """True if some assignment of discs reaches both bounds."""
    shipped: bool
    """True if all of it left the plant."""
    contact: str | None
    """Address for a letter; None if it is not in the records."""
    onward: str | None
    """Names of those it was passed on to; None, as a rule, because the records do not say."""
