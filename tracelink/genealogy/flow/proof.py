"""What shows that a bound is right: an assignment that reaches it, and prices that nothing can beat.

Theory of operation. *Reaching*: follow the counts of an assignment through the steps of a part. If each step
carried its number, and no class ever left a place in which it was not, the assignment fits the records, and
the suspects it leaves in the places in question are a number that can be.

*Not beating*: put a price on each disc that a step carries; a step's discs pay price times count together,
whoever they are. So the sum over all steps is the same in every assignment, and what the suspects in the
places are worth is at most that sum plus what each disc could gain at best on its own, which is the dearest of its
ways through time, found by going through its futures once (futures.py). Any prices give a valid ceiling; a bound is
shown when some prices give exactly it. Where only suspect and clean matter, such prices are a minimum cut of
the flow network: 1 on the movements of the cut, 0 elsewhere. They are the dual of the linear program, so
whoever checks them need not know how they were found.
"""

from __future__ import annotations

from collections.abc import Mapping

from tracelink.errors import NotCertified
from tracelink.genealogy.flow.futures import futures_of
from tracelink.genealogy.flow.network import Network
from tracelink.ledger.closed_sets import DiscPlace

Moved = Mapping[tuple[int, int], int]
"""(step, class) -> discs of the class that went with the step; pairs left out are 0, whole classes are implied."""

Prices = Mapping[int, int]
"""Step -> price of each disc it carries, in units of 1 / per; steps left out are free."""


def stocks(network: Network, part: int, moved: Moved) -> dict[str, int]:
    """Follow an assignment of one part; return how many suspects it leaves in each place.

    Raises:
        NotCertified: a step carried another number than recorded, or discs that were not there.
    """
    for (step, number), count in moved.items():
        if count < 0:
            raise NotCertified(f"{_named(network, step)}: {count} of class {number} went, expected 0 or more")
    carried = dict.fromkeys(network.parts[part].steps, 0)
    used: set[tuple[int, int]] = set()
    left: dict[str, int] = {}
    for number in network.parts[part].classes:
        stock = _follow(network, number, moved, carried, used)
        if network.classes[number].suspect:
            for place, count in stock.items():
                left[place] = left.get(place, 0) + count
    for step, count in carried.items():
        if network.rest[step] is not None and count != network.rest[step]:
            raise NotCertified(
                f"{_named(network, step)}: the open classes send {count}, expected {network.rest[step]}"
            )
    foreign = [pair for pair, count in moved.items() if count and pair not in used]
    if foreign:
        step, number = min(foreign)
        raise NotCertified(f"{_named(network, step)}: no disc of class {number} can have gone")
    return left


def _follow(
    network: Network, number: int, moved: Moved, carried: dict[int, int], used: set[tuple[int, int]]
) -> dict[str, int]:
    """Move the discs of one class; add up in `carried` what each step took, and note the pairs used."""
    one = network.classes[number]
    stock: dict[str, int] = {DiscPlace.COUNTER: len(one.strokes)}
    for event in one.events:
        step = network.steps[event.step]
        here = stock.get(step.source, 0)
        if not event.goes:
            gone = 0
        elif event.whole:
            gone = len(one.strokes)
        else:
            gone = moved.get((event.step, number), 0)
            carried[network.counted_at(event.step)] += gone
            used.add((event.step, number))
        if gone > here or (event.empties and gone < here):
            raise NotCertified(
                f"{_named(network, event.step)}: {gone} discs of strokes {one.strokes} leave {step.source}, where "
                f"{here} are"
            )
        stock[step.source] = here - gone
        stock[step.target] = stock.get(step.target, 0) + gone
    return stock


def ceiling(  # noqa: PLR0913, PLR0917 - a bound and its proof, each value on its own
    network: Network, part: int, prices: Prices, per: int, places: frozenset[str], sign: int
) -> int:
    """The greatest number of suspects that prices allow in the places, times `sign`, rounded down.

    Args:
        network: the movements.
        part: the part looked at.
        prices: for steps of that part.
        per: what a price of 1 disc is worth; 1 or more.
        places: where suspects count.
        sign: 1 for the most; -1 for the least, of which the negative is bounded from above.
    """
    # A step that may carry any number has no count that a price could be multiplied with.
    priced = {step: price for step, price in prices.items() if network.rest[step] is not None}
    total = sum(price * (network.rest[step] or 0) for step, price in priced.items())
    futures = futures_of(network, part)
    best: list[int] = []
    for step, stay, go, place in futures.known:
        if step is None or go is None:
            best.append(per * sign if place in places else 0)
        else:
            gone = best[go] - priced.get(network.counted_at(step), 0)
            best.append(gone if stay is None else max(gone, best[stay]))
    return (total + sum(discs * best[first] for first, discs in futures.discs.items())) // per


def _named(network: Network, step: int) -> str:
    if not 0 <= step < len(network.steps):
        return f"Step {step}"
    return f"Entry {network.steps[step].seq}"
