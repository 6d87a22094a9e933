"""Where the discs in question are now, and what their containers stand in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from tracelink.genealogy.bounds import Bound, LotBounds, together
from tracelink.genealogy.contents import History
from tracelink.genealogy.facts import BROKEN, COUNTER, SCRAP, SHIPPED
from tracelink.genealogy.records import Records
from tracelink.genealogy.scope import (
    TOTAL,
    UNACCOUNTED,
    ContainerBound,
    GroupBound,
    Holdings,
    PlaceTotal,
    places_in,
)


@dataclass(frozen=True, slots=True)
class StrokeHoldings:
    """Discs that are suspect by their strokes."""

    histories: Mapping[str, History]
    """The lots in question, followed to the end."""
    bounds: Mapping[str, LotBounds]
    """Their bounds."""

    def bound(self, places: Iterable[str]) -> Bound:
        """The bounds of some places together."""
        wanted = list(places)
        return together(self.of_lot(lot, wanted) for lot in self.histories)

    def of_lot(self, lot: str, places: Iterable[str]) -> Bound:
        """The same for the discs of one lot."""
        at = self.histories[lot].at
        return self.bounds[lot].of(at[place] for place in places if place in at)

    def held(self) -> list[tuple[str, str]]:
        """(place, lot) pairs that hold discs, apart from the counter and scrap."""
        return [
            (place, lot)
            for lot, history in self.histories.items()
            for place in history.at
            if place not in (COUNTER, SCRAP)
        ]


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a container stands."""

    parents: tuple[str, ...]
    """From the inside out."""
    consignee: str
    """Who gets it; empty if it is in no shipment."""
    shipped: bool
    """Whether it left the plant."""


class Whereabouts:
    """Looks up, once each, what containers are and stand in.

    Args:
        records: the records.
    """

    def __init__(self, records: Records) -> None:
        self._records = records
        self._standings: dict[str, Standing] = {}
        self.gaps: list[str] = []
        """Sentences on containers that no record describes, or that stand in two places at once."""

    def container(self, place: str, lot: str, bound: Bound) -> ContainerBound:
        """One container with its bounds and where it stands."""
        fact = self._records.container(place)
        if fact is None:
            self.gaps.append(
                f"Discs of lot {lot} were moved into {place}, which no record describes. Find out what it is."
            )
        elif fact.status == BROKEN:
            self.gaps.append(
                f"Carton {place} was found open or damaged: what it holds of lot {lot} is a possibility, "
                "not a claim. Count it."
            )
            bound = _not_claimed(bound)
        standing = self._standing(place)
        return ContainerBound(
            code=place,
            kind=fact.kind if fact else "place",
            status=fact.status if fact else "",
            lot=lot,
            pieces=bound.pieces,
            least=bound.least,
            most=bound.most,
            chance=bound.chance,
            tight=bound.tight,
            parents=standing.parents,
            consignee=standing.consignee,
            shipped=standing.shipped,
        )

    def kind(self, code: str) -> str:
        """What a container's parent is."""
        if self._records.shipment(code) is not None:
            return "shipment"
        fact = self._records.container(code)
        return fact.kind if fact else "place"

    def _standing(self, code: str) -> Standing:
        if code not in self._standings:
            # Held first, so that records that put two things into each other end the search.
            self._standings[code] = Standing((), "", shipped=False)
            self._standings[code] = self._look(code)
        return self._standings[code]

    def _look(self, code: str) -> Standing:
        shipped = self._is_shipped(code)
        now = [nest for nest in self._records.parents_of(code) if nest.closed is None]
        if not now:
            shipment = self._records.shipment(code)
            return Standing((), shipment.consignee if shipment else "", shipped)
        if len(now) > 1:
            names = " and ".join(nest.parent for nest in now)
            self.gaps.append(
                f"{code} stands in {names} at once by the records; the last entry is used. Look for it."
            )
        parent = max(now, key=lambda nest: nest.opened).parent
        outer = self._standing(parent)
        return Standing((parent, *outer.parents), outer.consignee, shipped or outer.shipped)

    def _is_shipped(self, code: str) -> bool:
        # Only a recorded departure counts: what is being loaded can still be stopped.
        fact = self._records.container(code)
        return fact is not None and fact.status == SHIPPED


def groups_of(
    containers: Iterable[ContainerBound], holdings: Holdings, whereabouts: Whereabouts
) -> list[GroupBound]:
    """Bounds of each pallet, shipment and consignee together."""
    held = list(containers)
    outer = dict.fromkeys(parent for one in held for parent in one.parents)
    names = [(whereabouts.kind(code), code) for code in outer]
    names += [("consignee", name) for name in dict.fromkeys(one.consignee for one in held) if name]
    groups: list[GroupBound] = []
    for kind, code in names:
        places = places_in(held, [code])
        shipped = all(one.shipped for one in held if one.code in places)
        groups.append(GroupBound(kind, code, holdings.bound(places), shipped))
    return groups


def places_of(containers: Iterable[ContainerBound], holdings: Holdings, total: Bound) -> list[PlaceTotal]:
    """Sum the discs of the lots in question by kind of place.

    Args:
        containers: every container that holds any.
        holdings: where the discs are.
        total: what the press counted, and how much of it is affected at least and at most.
    """
    by_place: dict[str, list[str]] = {}
    for held in containers:
        by_place.setdefault(_place_name(held), []).append(held.code)
    lines = []
    for name, codes in sorted(by_place.items()):
        bound = holdings.bound(set(codes))
        lines.append(_line(name, _not_claimed(bound) if name == f"carton {BROKEN}" else bound))
    lines.append(_line(SCRAP, holdings.bound([SCRAP])))
    rest = holdings.bound([COUNTER])
    found = sum(line.pieces for line in lines)
    # Not what the counter should hold but what is missing from the count: a difference shows with its sign.
    lines.append(PlaceTotal(UNACCOUNTED, total.pieces - found, rest.least, rest.most, rest.tight))
    return [*lines, _line(TOTAL, total)]


def _not_claimed(bound: Bound) -> Bound:
    """The bounds of a place whose content is not known any more: none of its discs to all of them."""
    return replace(bound, least=0, most=bound.pieces, chance=None, tight=False)


def _place_name(held: ContainerBound) -> str:
    if held.shipped:
        return "shipped"
    if held.consignee:
        return "loading"
    return f"{held.kind} {held.status}".rstrip()


def _line(name: str, bound: Bound) -> PlaceTotal:
    return PlaceTotal(name, bound.pieces, bound.least, bound.most, bound.tight)
