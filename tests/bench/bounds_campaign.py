"""Bounds of random histories against every assignment and against an integer program of single discs, as long as wished.

Run by hand: python tests/bench/bounds_campaign.py [SECONDS [SEED]]
Prints how many bounds were compared in each way and called exact, and of the parts they were added up from how many
needed the integer program and how many have no prices that prove them. It ends at the first difference, with the
history that shows it.
"""

import random
import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support_days import LOT, booked_order, endings, random_day, records_of
from support_genealogy import assignments, extremes, wild_floor
from support_network import (
    SingleDiscs,
    holdings_of,
    loose_assignments,
    loose_plant,
    middle_floor,
    suspects_of,
)

from tracelink.genealogy.containment.holdings import lot_holdings
from tracelink.genealogy.flow.exact import LEAST, MOST
from tracelink.genealogy.model.strokes import StrokeSet

found: Counter[str] = Counter()


def compare(held, places, expected, kind, history):
    bound = held.bound(places)
    assert (bound.least, bound.most) == expected, (history, places, bound, expected)
    found[f"{kind}: bounds equal"] += 1
    found[f"{kind}: called exact"] += bound.tight
    for sign in (LEAST, MOST):
        side = held.exact.side(frozenset(places), sign)
        for _, extreme in side.parts if side else ():
            found[f"{kind}: parts"] += 1
            found[f"{kind}: parts without prices"] += extreme.prices is None


def small(rng):
    floor = wild_floor(rng)
    proven, possible = suspects_of(rng, floor.discs)
    held = holdings_of(floor.discs, floor.movements, proven, possible)
    states = assignments(floor.discs, floor.movements)
    ends = sorted(set(floor.where.values()))
    for _ in range(6):
        places = rng.sample(ends, rng.randint(1, min(3, len(ends))))
        compare(
            held, places, extremes(states, places, proven, proven | possible), "enumerated", floor.movements
        )


def loose(rng):
    records, discs, sent = loose_plant(rng)
    proven, possible = suspects_of(rng, discs)
    held = lot_holdings(records, "L1", StrokeSet.from_strokes(proven), StrokeSet.from_strokes(possible))
    states = loose_assignments(discs, records.movements, sent)
    ends = sorted({place for state in states for place in state})
    places = rng.sample(ends, rng.randint(1, len(ends)))
    compare(held, places, extremes(states, places, proven, proven | possible), "loose", records.movements)


def day(rng):
    """A day with samples from anywhere, several returns, loose ones, undos, booked in any order."""
    one = random_day(rng)
    records = records_of(one, booked_order(one, rng))
    proven, possible = suspects_of(rng, one.discs)
    held = lot_holdings(records, LOT, StrokeSet.from_strokes(proven), StrokeSet.from_strokes(possible))
    assert held.conflicts == (), one.events
    states = endings(one)
    ends = sorted({place for state in states for place in state})
    for _ in range(4):
        places = rng.sample(ends, rng.randint(1, min(3, len(ends))))
        found["days: bounds not called exact"] += not held.bound(places).tight
        compare(held, places, extremes(states, places, proven, proven | possible), "days", one.events)


def middle(rng):
    floor = middle_floor(rng)
    proven, possible = suspects_of(rng, floor.discs)
    held = holdings_of(floor.discs, floor.movements, proven, possible)
    single = SingleDiscs(floor.discs, floor.movements)
    ends = sorted(set(floor.where.values()))
    places = rng.sample(ends, rng.randint(1, min(3, len(ends))))
    expected = single.best(places, proven, -1), single.best(places, proven | possible, 1)
    compare(held, places, expected, "single discs", floor.movements)


def main():
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 60.0
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    rng = random.Random(seed)
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        for one in (small, loose, middle, day):
            one(rng)
            found[f"histories of {one.__name__}"] += 1
    for name, count in sorted(found.items()):
        print(f"{count:8d}  {name}")


if __name__ == "__main__":
    main()
