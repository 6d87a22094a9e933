"""What counts alone say of a part: ceilings with prices that show them, without solving anything.

Theory of operation. Some of the places are *priced*: each disc that comes to be there costs 1. They hold as many discs
as the movements leave there; so no more suspects are in the places than the priced ones have discs, and the others
suspects that can get there. For the least, clean discs take the part of suspects: the priced places hold at least
their discs less the clean ones that can get there. With no place priced that is how many suspects there are, with all
of them how many discs; in between, a place is priced where it has fewer discs than there are suspects that can
get there.

`ceiling` (proof.py) adds such prices up to the same number. Places that a step took any number into or out of have no
count, and are not priced. A place has one count for the touched discs in it (touched_layers.py) and all others together, and they
are priced alike.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from tracelink.genealogy.flow.network import Network, NetworkStep
from tracelink.genealogy.flow.proof import Prices
from tracelink.genealogy.flow.touched_layers import place_of, touched_in
from tracelink.ledger.closed_sets import DiscPlace


@dataclass(frozen=True, slots=True)
class AlikeDiscs:
    """Discs that can end in the same places."""

    discs: int
    """How many there are."""
    suspect: bool
    """True if they count."""
    ends: frozenset[str]
    """Where they can be at the end."""


@dataclass(slots=True)
class PartCounts:
    """The counts of one part."""

    kinds: tuple[AlikeDiscs, ...]
    """Its discs."""
    left: dict[str, int] = field(default_factory=dict)
    """Place -> discs of the part that are there at the end, where that is counted."""
    able: dict[tuple[bool, str], int] = field(default_factory=dict)
    """(suspect or not, place) -> discs that can be there."""
    no_price: set[str] = field(default_factory=set)
    """Places that have no count."""
    touching: dict[str, list[tuple[int, int]]] = field(default_factory=dict)
    """Place -> (step, 1 for into it or -1 for out of it)."""


def counts_of(network: Network, part: int) -> PartCounts:
    """Count one part."""
    found = PartCounts(tuple(_kinds(network, part)))
    for kind in found.kinds:
        for place in kind.ends:
            found.able[kind.suspect, place] = found.able.get((kind.suspect, place), 0) + kind.discs
    found.left[DiscPlace.COUNTER] = sum(kind.discs for kind in found.kinds)
    for number in network.parts[part].steps:
        rest, step = network.rest[number], network.steps[number]
        source, target = place_of(step.source), place_of(step.target)
        if step.is_beside or source == target:
            # What is counted already, or only touched where it is.
            continue
        if rest is None:
            found.no_price |= {source, target}
            continue
        _move(found, step, rest)
        found.touching.setdefault(source, []).append((number, -1))
        found.touching.setdefault(target, []).append((number, 1))
    for one in network.parts[part].classes:
        for event in network.classes[one].events:
            if event.whole:
                _move(found, network.steps[event.step], len(network.classes[one].strokes))
    return found


def _move(found: PartCounts, step: NetworkStep, count: int) -> None:
    source, target = place_of(step.source), place_of(step.target)
    found.left[source] = found.left.get(source, 0) - count
    found.left[target] = found.left.get(target, 0) + count


def _kinds(network: Network, part: int) -> Iterator[AlikeDiscs]:
    discs: dict[tuple[bool, frozenset[str]], int] = {}
    for number in network.parts[part].classes:
        one = network.classes[number]
        discs[one.suspect, one.ends] = discs.get((one.suspect, one.ends), 0) + len(one.strokes)
    for (suspect, ends), count in discs.items():
        yield AlikeDiscs(count, suspect, ends)


def offers(counts: PartCounts, places: frozenset[str], sign: int) -> Iterator[tuple[int, frozenset[str]]]:
    """Ceilings of `sign` times the suspects in some places, each with the places that are priced for it.

    Args:
        counts: the counts of the part.
        places: where suspects count.
        sign: 1 for the most, -1 for the least.
    """
    can_be = frozenset(place for place in places if place_of(place) not in counts.no_price)
    short = frozenset(place for place in can_be if _is_worth(counts, place, sign))
    for priced in dict.fromkeys((frozenset[str](), short, can_be)):
        yield _ceiling(counts, places, priced, sign), priced


def _is_worth(counts: PartCounts, place: str, sign: int) -> bool:
    there = counts.left.get(place_of(place), 0)
    if sign > 0:
        return there < counts.able.get((True, place), 0)
    return there > counts.able.get((False, place), 0)


def _ceiling(counts: PartCounts, places: frozenset[str], priced: frozenset[str], sign: int) -> int:
    """What `prices_of` add up to: every disc takes the dearest of its ways, on which only its end matters."""
    total = sign * sum(counts.left.get(place_of(place), 0) for place in priced)
    layers = frozenset(layer for place in priced for layer in (place_of(place), touched_in(place_of(place))))
    # For the most, a suspect gains in the places without a price, and a clean disc loses if it can be nowhere but in
    # priced ones; for the least it is the other way round.
    nowhere = frozenset[str]()
    worth = {True: (places - layers, layers - places), False: (nowhere, layers)}
    for kind in counts.kinds:
        gains, loses = worth[kind.suspect] if sign > 0 else reversed(worth[kind.suspect])
        if not kind.ends.isdisjoint(gains):
            total += kind.discs
        elif kind.ends <= loses:
            total -= kind.discs
    return total


def prices_of(counts: PartCounts, priced: frozenset[str], sign: int) -> Prices:
    """The prices that show a ceiling of `offers`."""
    prices: dict[int, int] = {}
    for place in priced:
        for step, into in counts.touching.get(place_of(place), ()):
            prices[step] = prices.get(step, 0) + sign * into
    return {step: price for step, price in prices.items() if price}
