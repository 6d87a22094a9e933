"""What a thing, a group of things or a kind of place holds of the discs in question, least and most."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol

from tracelink.genealogy.flow.pool_bounds import Bound

BACK_LOOSE = "came back loose, also counted as shipped"
"""Name of the line, below zero, of discs that are in the records twice: where they are, and in a carton sent."""


UNACCOUNTED = "unaccounted"
"""Discs that the press counted and that no movement took on: still at the press, or not recorded."""


BEYOND = ("consignee", "order", "country")
"""Kinds of groups that are no thing in a plant: nobody can put a hold on one."""


TOTAL = "total"
"""The line that the places add up to."""


class _Bounded:
    """What holds a bound shows its numbers as its own."""

    __slots__ = ()
    bound: Bound

    @property
    def pieces(self) -> int:
        """Discs there, of the lots in question."""
        return self.bound.pieces

    @property
    def least(self) -> int:
        """Fewest affected discs that fit the records."""
        return self.bound.least

    @property
    def most(self) -> int:
        """Most affected discs that fit the records."""
        return self.bound.most

    @property
    def chance(self) -> float | None:
        """Chance of at least one, under random mixing and if every possible stroke is affected; None if unknown."""
        return self.bound.chance

    @property
    def tight(self) -> bool:
        """True if both are reached by some assignment that fits the records."""
        return self.bound.tight


@dataclass(frozen=True, slots=True)
class ContainerBound(_Bounded):
    """How many affected discs of one lot a container can hold."""

    code: str
    """The container's code."""
    kind: str
    """spindle, carton, sample, or place if no record describes it."""
    status: str
    """Its status in the records."""
    lot: str
    """The lot; a container with two lots has two entries."""
    bound: Bound
    """Discs of the lot in it, and how many of them are affected."""
    parents: tuple[str, ...]
    """What it stands in now, from the inside out: pallet, shipment."""
    consignee: str
    """Who the shipment goes to; empty if it is in none."""
    shipped: bool
    """True if the records say that it left the plant."""


@dataclass(frozen=True, slots=True)
class GroupBound(_Bounded):
    """How many affected discs a pallet, shipment, consignee, order or country can have, over all lots in question."""

    kind: str
    """pallet, location, shipment, consignee, order or country."""
    code: str
    """The code; for a consignee the name; for a country its two letters."""
    bound: Bound
    """The bounds of everything in it together."""
    shipped: bool
    """True if the records say that all of it left the plant."""
    places: tuple[str, ...] = ()
    """The containers that belong to it."""


@dataclass(frozen=True, slots=True)
class PlaceTotal(_Bounded):
    """All discs of the lots in question that are in one kind of place."""

    place: str
    """Kind and status such as `carton closed`, or shipped, loading, scrap, unaccounted, total."""
    bound: Bound
    """Discs, which add up to the total with a difference in `unaccounted` that has its sign; and how many are affected."""


class Holdings(Protocol):
    """Where the discs in question are; answers for any set of places together."""

    def bound(self, places: Iterable[str]) -> Bound:
        """The bounds of some places together; places that hold none of the discs add nothing."""


@dataclass(frozen=True, slots=True)
class AlikeContainers:
    """Containers that are alike, stand in the same things and go to the same consignee."""

    one: ContainerBound
    """One of them, for what they have in common."""
    codes: set[str]
    """All of them."""


def alike_containers(containers: Iterable[ContainerBound]) -> list[AlikeContainers]:
    """Put alike containers together, in the order in which each kind comes first."""
    found: dict[tuple[object, ...], AlikeContainers] = {}
    for held in containers:
        # What stands in nothing may be a shipment itself, and each is for an order of its own.
        own = "" if held.parents else held.code
        alike = held.parents, own, held.kind, held.status, held.consignee, held.shipped
        known = found.get(alike)
        if known is None:
            found[alike] = AlikeContainers(held, {held.code})
        else:
            known.codes.add(held.code)
    return list(found.values())


def places_by_code(alike: Sequence[AlikeContainers]) -> dict[str, set[str]]:
    """For each code of what containers stand in, or who gets them: the containers meant by it, itself if it is one."""
    found: dict[str, set[str]] = {}
    for some in alike:
        for code in (some.one.consignee, *some.one.parents):
            found.setdefault(code, set()).update(some.codes)
    codes = set[str]().union(*(some.codes for some in alike))
    for code in found.keys() & codes:
        found[code].add(code)
    return found


def places_in(containers: Iterable[ContainerBound], codes: Iterable[str]) -> set[str]:
    """The containers that are, or stand in, or go to one of the codes."""
    wanted = set(codes)
    return {
        held.code
        for held in containers
        if held.code in wanted or held.consignee in wanted or not wanted.isdisjoint(held.parents)
    }
