"""The discs in question summed up: by what they stand in, who gets them, and the kind of place they are in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from tracelink.genealogy.containment.held import (
    BACK_LOOSE,
    BEYOND,
    TOTAL,
    UNACCOUNTED,
    AlikeContainers,
    ContainerBound,
    GroupBound,
    Holdings,
    PlaceTotal,
    places_by_code,
)
from tracelink.genealogy.containment.whereabouts import Whereabouts
from tracelink.genealogy.flow.pool_bounds import Bound
from tracelink.ledger.closed_sets import DiscPlace


def groups_of(
    alike: Sequence[AlikeContainers], holdings: Holdings, whereabouts: Whereabouts
) -> Iterator[GroupBound]:
    """Yield the bounds of each pallet, shipment, consignee, order and country together."""
    # Each group is asked as one set of places. Bounds of its cartons do not add up: one suspect disc among 20 in two
    # cartons of 10 gives each of them 0 to 1, and both together exactly 1.
    still_here = {code for some in alike if not some.one.shipped for code in some.codes}
    by_code = places_by_code(alike)
    outer = dict.fromkeys(parent for some in alike for parent in some.one.parents)
    members = {(whereabouts.kind(code), code): by_code[code] for code in outer}
    for kind in BEYOND:
        for some in alike:
            name = whereabouts.bound_for(some.one, kind)
            if name:
                members.setdefault((kind, name), set()).update(some.codes)
    known: dict[frozenset[str], GroupBound] = {}
    for (kind, code), found in members.items():
        places = frozenset(found)
        # A pallet and its shipment, a consignee and the order, often have the very same cartons.
        if places not in known:
            shipped = places.isdisjoint(still_here)
            known[places] = GroupBound(
                kind, code, holdings.bound(places), shipped=shipped, places=tuple(sorted(places))
            )
        yield replace(known[places], kind=kind, code=code)


def places_of(
    alike: Iterable[AlikeContainers], holdings: Holdings, total: Bound, twice: int = 0
) -> list[PlaceTotal]:
    """Sum the discs of the lots in question by kind of place.

    Args:
        alike: every container that holds any.
        holdings: where the discs are.
        total: what the press counted, and how much of it is affected at least and at most.
        twice: discs that are in the records twice, from `back_loose`.
    """
    by_place: dict[str, set[str]] = {}
    for some in alike:
        by_place.setdefault(place_name(some.one), set()).update(some.codes)
    # As for groups, so the lines of least and most need not add up to the total; those of discs do.
    lines = []
    for name, codes in sorted(by_place.items()):
        lines.append(_line(name, holdings.bound(codes)))
    lines.append(_line(DiscPlace.SCRAP, holdings.bound([DiscPlace.SCRAP])))
    if twice:
        lines.append(PlaceTotal(BACK_LOOSE, Bound(-twice, 0, 0, None, tight=True)))
    rest = holdings.bound([DiscPlace.COUNTER])
    found = sum(line.pieces for line in lines)
    # Not what the counter should hold but what is missing from the count: a difference shows with its sign.
    lines.append(_line(UNACCOUNTED, replace(rest, pieces=total.pieces - found)))
    return [*lines, _line(TOTAL, total)]


def place_name(held: ContainerBound) -> str:
    """The line of the places that a container is counted in."""
    if held.shipped:
        return "shipped"
    if held.consignee:
        return "loading"
    return f"{held.kind} {held.status}".rstrip()


def _line(name: str, bound: Bound) -> PlaceTotal:
    # Over many containers the chance of at least one says nothing that a person could act on.
    return PlaceTotal(name, replace(bound, chance=None))
