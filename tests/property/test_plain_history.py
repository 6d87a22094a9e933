"""Lots whose movements are read as rows give the answers of lots that are followed movement by movement."""

import random
from unittest.mock import patch

from support_campaign import tries
from support_genealogy import one_stage_floor, wild_floor
from support_mixed_plant import CARTONS, LOTS, PALLETS, PRESS, mixed_plant

from tracelink.genealogy.certificate.write_certificate import certificate_of
from tracelink.genealogy.containment.contain import contain
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.flow.follow import history_of, replay
from tracelink.genealogy.flow.plain_history import plain_history
from tracelink.genealogy.model.facts import row_of
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.genealogy.walk.walk import trace_back, trace_forward
from tracelink.ledger.closed_sets import DiscPlace


def _packed_floor(rng):
    """Stacked at the press, then picked from the stacks into cartons and scrap: mostly nothing else."""
    floor = one_stage_floor(rng)
    if rng.random() < 0.2 and (left := floor.at("K1")):
        # What is left goes all at once.
        floor.pick("K1", rng.choice(["C1", "C3"]), len(left))
    return floor


def test_a_plain_lot_is_what_following_its_movements_says():
    plain = parted = 0
    for seed in range(tries(200)):
        rng = random.Random(seed)
        floor = (wild_floor if seed % 4 == 0 else _packed_floor)(rng)
        pressed = StrokeSet.between(1, floor.discs + rng.choice([0, 0, 2]))
        followed = replay("L1", pressed, floor.movements)
        rows = [row_of(move) for move in floor.movements]
        history = plain_history("L1", pressed, rows, lambda followed=followed: followed.followed)
        if history is None:
            continue
        plain += 1
        parted += bool(history.pools)
        assert not followed.conflicts, seed
        # The order counts as well: scopes list containers in it, and pools are told apart by number.
        assert list(history.at.items()) == list(followed.at.items()), seed
        assert history.pools == followed.pools, seed
        assert history.passages == followed.passages, seed
        assert list(history.targets()) == list(dict.fromkeys(followed.targets())), seed
        assert history.ever() == followed.ever() | {DiscPlace.COUNTER}, seed
        assert history.at_press() == followed.at_press(), seed
    assert plain > tries(200) / 4
    assert parted > tries(200) / 10


def test_movements_that_say_more_are_followed():
    """Each of these alone makes a lot one that is followed."""
    stacked = (1, 0, "L1", 10, "counter", "K1", 1, 10, "", None)
    picked = (2, 0, "L1", 4, "K1", "C1", None, None, "", None)
    pressed = StrokeSet.between(1, 20)
    assert plain_history("L1", pressed, [stacked, picked], list) is not None
    for more in (
        (3, 0, "L1", 7, "K1", "C2", None, None, "", None),  # more than is left
        (3, 0, "L1", 1, "K1", "C2", 5, 5, "", None),  # read one by one
        (3, 0, "L1", 1, "C1", "K1", None, None, "", "taken-back"),
        (3, 0, "L1", 1, "C1", "C2", None, None, "", None),  # out of a carton
        (3, 0, "L1", 1, "customers", "R1", None, None, "", None),
        (3, 0, "L1", 5, "counter", "K1", 11, 15, "", None),  # on top of a stack that was picked from
        (3, 0, "L1", 5, "counter", "K2", 10, 14, "", None),  # a stroke that went already
        (3, 0, "L1", 5, "counter", "K2", 19, 23, "", None),  # strokes that were never pressed
        (3, 0, "L1", 4, "counter", "K2", 11, 15, "", None),  # some of a range
        (3, 0, "L1", 4, "counter", "scrap", None, None, "", None),
        (3, 0, "L1", 0, "K1", "C2", None, None, "", None),  # none
        (3, 0, "L1", 1, "K1", "K1", None, None, "", None),
        (3, 0, "L1", 1, "K1", "counter", None, None, "", None),
    ):
        assert plain_history("L1", pressed, [stacked, picked, more], list) is None, more


def _answers(records):
    for cause, shape in (
        (PRESS, Shape.FROM_ONSET),
        ("T1", Shape.INTERMITTENT),
        ("L1", Shape.WHOLE_LIFE),
        (CARTONS["C1"], Shape.INTERMITTENT),
    ):
        if cause in CARTONS.values() and not records.movements_into(cause):
            continue
        scope = contain(records, ContainmentQuery(cause, shape))
        yield scope.to_json(), scope.groups, scope.gaps, certificate_of(scope)
        yield trace_forward(records, cause)
    for code in (*LOTS, *CARTONS.values(), *PALLETS, "K1L1"):
        if records.container(code) is None and code not in LOTS:
            continue
        yield trace_back(records, code)
        yield trace_forward(records, code)


def test_scopes_certificates_and_walks_are_those_of_lots_that_were_followed():
    plain = 0
    for seed in range(tries(3)):
        records = mixed_plant(random.Random(seed))
        read = list(_answers(records))
        with patch("tracelink.genealogy.flow.follow.plain_history", return_value=None):
            followed = list(_answers(records))
        assert read == followed, seed
        plain += sum(history_of(records, lot).plain is not None for lot in LOTS)
    assert tries(3) < plain < tries(3) * len(LOTS)
