"""Discs with the same future are one: against the program with one unknown for each class, and by what it adds up."""

import random

import pytest
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array
from support_campaign import tries
from support_genealogy import wild_floor
from support_network import holdings_of, middle_floor, suspects_of

from tracelink.genealogy.flow.by_count import counts_of, offers, prices_of
from tracelink.genealogy.flow.exact import LEAST, MOST
from tracelink.genealogy.flow.futures import futures_of
from tracelink.genealogy.flow.proof import ceiling, stocks
from tracelink.ledger.closed_sets import DiscPlace

FLOORS = tries(12)


def networks(seed, floors=FLOORS):
    """(network, part, sign, some places) of random histories."""
    rng = random.Random(seed)
    for number in range(floors):
        floor = (wild_floor, middle_floor)[number % 2](rng)
        held = holdings_of(floor.discs, floor.movements, *suspects_of(rng, floor.discs))
        ends = sorted(set(floor.where.values()))
        for sign in (LEAST, MOST):
            lot = held.exact.network(sign)
            for part in range(len(lot.network.parts)):
                yield lot, part, sign, frozenset(rng.sample(ends, rng.randint(1, min(4, len(ends)))))


def by_classes(network, part, places, sign):
    """The most or the least with one unknown for each class, step and place: what the records say, word by word."""
    rows, sides, columns, goal = [], [], 0, {}

    def unknown():
        nonlocal columns
        columns += 1
        return columns - 1

    carried = {step: [] for step in network.parts[part].steps}
    for number in network.parts[part].classes:
        one = network.classes[number]
        start = unknown()
        rows.append({start: 1})
        sides.append(len(one.strokes))
        stock = {DiscPlace.COUNTER: start}
        for event in one.events:
            step = network.steps[event.step]
            here = stock.get(step.source)
            if here is None:
                here = unknown()
                rows.append({here: 1})
                sides.append(0)
            if not event.goes:
                rows.append({here: 1})
                sides.append(0)
                continue
            went, left = unknown(), unknown()
            rows.append({here: 1, went: -1, left: -1})
            sides.append(0)
            if event.empties:
                rows.append({left: 1})
                sides.append(0)
            if event.whole:
                rows.append({went: 1})
                sides.append(len(one.strokes))
            else:
                carried[event.step].append(went)
            now = unknown()
            rows.append({now: -1, went: 1, **({stock[step.target]: 1} if step.target in stock else {})})
            sides.append(0)
            stock |= {step.source: left, step.target: now}
        if one.suspect:
            goal |= {column: -sign for place, column in stock.items() if place in places}
    for step, each in carried.items():
        if network.rest[step] is not None:
            rows.append(dict.fromkeys(each, 1))
            sides.append(network.rest[step])
    found = [(number, column, factor) for number, row in enumerate(rows) for column, factor in row.items()]
    at, across, factors = zip(*found, strict=True)
    matrix = csr_array((factors, (at, across)), shape=(len(rows), columns), dtype=float)
    result = milp(
        [goal.get(column, 0) for column in range(columns)],
        constraints=LinearConstraint(matrix, sides, sides),
        integrality=[1] * columns,
        bounds=Bounds(0, 100),
    )
    assert result.status == 0
    return round(-result.fun * sign)


@pytest.mark.parametrize("seed", [4100, 4200])
def test_a_part_is_bounded_alike_with_an_unknown_for_each_class(seed):
    for lot, part, sign, places in networks(seed):
        extreme = lot._solver.extreme(part, places, sign)
        assert extreme.value == by_classes(lot.network, part, places, sign), lot.network.steps
        # By class again, the assignment fits every record and leaves the suspects that it says it leaves.
        left = stocks(lot.network, part, extreme.moved)
        assert {place: count for place, count in left.items() if count} == extreme.reached.left


def test_prices_by_count_add_up_to_what_the_counts_say():
    """Also with any other places priced than those that are worth it, and for places that nothing was counted in."""
    rng = random.Random(4300)
    for lot, part, sign, places in networks(4300):
        counts = counts_of(lot.network, part)
        for wanted in (
            places,
            places & lot.network.parts[part].ends,
            frozenset(rng.sample(sorted(places), 1)),
        ):
            for most, priced in offers(counts, wanted, sign):
                prices = prices_of(counts, priced, sign)
                assert ceiling(lot.network, part, prices, 1, wanted, sign) == most, (
                    lot.network.steps,
                    wanted,
                )


def test_futures_come_after_those_they_lead_to_and_none_stands_twice():
    for lot, part, _, _ in networks(4400, 6):
        known = futures_of(lot.network, part).known
        assert len(set(known)) == len(known)
        for number, future in enumerate(known):
            assert all(other < number for other in (future.stay, future.go) if other is not None)
