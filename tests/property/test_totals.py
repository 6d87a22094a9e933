"""Totals by sums are the totals of a scope whose movements were followed one by one."""

import random

from support_campaign import tries
from support_mixed_plant import CARTONS, LOTS, PRESS, mixed_plant

from tracelink.genealogy.containment.contain import contain
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.flow.follow import pressed_of
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.totals.plain_lots import plain_lot
from tracelink.genealogy.totals.totals import totals_in, totals_of


def _told(totals):
    def numbers(bound):
        chance = None if bound.chance is None else round(bound.chance, 9)
        return bound.pieces, bound.least, bound.most, chance, bound.tight

    return {
        "discs": (totals.certain, totals.possible, totals.cleared),
        "who": sorted((one.kind, one.code, one.shipped, numbers(one.bound)) for one in totals.recipients),
        "where": [(one.place, numbers(one.bound)) for one in totals.places],
        "said": (totals.reasons, totals.contradictions, sorted(totals.gaps), totals.suspects, totals.head),
    }


def test_totals_by_sums_are_those_of_the_scope():
    plain = lots = affected = 0
    for seed in range(tries(15)):
        rng = random.Random(seed)
        records = mixed_plant(rng)
        for cause, shape in (
            (PRESS, Shape.FROM_ONSET),
            ("T1", Shape.INTERMITTENT),
            ("L1", Shape.WHOLE_LIFE),
            (CARTONS["C1"], Shape.INTERMITTENT),
        ):
            query = ContainmentQuery(cause, shape)
            if cause in CARTONS.values() and not records.movements_into(cause):
                continue
            whole, counted = totals_in(contain(records, query)), totals_of(records, query)
            assert _told(counted) == _told(whole), (seed, cause)
            affected += counted.possible > 0
        sums = records.sums_of(LOTS)
        plain += sum(plain_lot(pressed_of(records, lot), sums[lot]) is not None for lot in sums)
        lots += len(sums)
    # Lots of both kinds must come up, and discs in question, or the test shows nothing about them.
    assert 0.2 * lots < plain < 0.95 * lots
    assert affected > tries(15)
