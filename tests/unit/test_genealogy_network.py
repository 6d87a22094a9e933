"""Bounds through the whole network: small cases worked out by hand, named after what happens on the floor."""

from types import SimpleNamespace

import pytest
from support_genealogy_plant import move
from support_network import holdings_of

from tracelink.errors import NotCertified
from tracelink.genealogy.flow import solve
from tracelink.genealogy.flow.conflict import Conflict, conflicts_of
from tracelink.genealogy.flow.exact import LEAST, MOST
from tracelink.genealogy.flow.network import NetworkStep
from tracelink.genealogy.flow.proof import ceiling, stocks
from tracelink.genealogy.flow.read_network import network_of
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet


def held(*movements, pressed, proven=(), possible=()):
    return holdings_of(pressed, movements, proven, possible)


def numbers(holdings, *places):
    bound = holdings.bound(places)
    assert bound.tight
    return bound.least, bound.most


TABLE = (
    move(1, "L1", 10, "counter", "K1", 1, 10),
    move(2, "L1", 10, "counter", "K2", 11, 20),
    move(3, "L1", 4, "K1", "R1"),
    move(4, "L1", 4, "K2", "R1"),
    move(5, "L1", 3, "R1", "C1"),
    move(6, "L1", 5, "R1", "C2"),
)
"""A rework table with discs of two spindles on it, emptied into two cartons."""


def test_a_rework_table_mixes_what_was_put_on_it():
    """Of 8 suspects on K1 four discs went to the table: 2 to 4 suspects, and 3 of its 8 discs went into C1."""
    found = held(*TABLE, pressed=20, proven=range(1, 9))
    assert numbers(found, "C1") == (0, 3)
    assert numbers(found, "C2") == (0, 4)
    assert numbers(found, "C1", "C2") == (2, 4)
    # What is in C1 is not on K1 any more: the sum of their bounds, 4 to 9, would be too wide.
    assert numbers(found, "C1", "K1") == (4, 8)


def test_part_cartons_that_are_merged():
    found = held(
        move(1, "L1", 10, "counter", "K1", 1, 10),
        move(2, "L1", 10, "counter", "K2", 11, 20),
        move(3, "L1", 5, "K1", "C1"),
        move(4, "L1", 5, "K2", "C2"),
        move(5, "L1", 5, "C2", "C1"),
        move(6, "L1", 4, "C1", "C3"),
        pressed=20,
        proven=range(1, 7),
    )
    assert numbers(found, "C1", "C3") == (1, 5)
    assert numbers(found, "C3") == (0, 4)
    # Six in the carton: with 4 of the 5 discs of K1 taken out and only one of them suspect, none need be left.
    assert numbers(found, "C1") == (0, 5)
    # The five left on K1 hold what the cartons do not.
    assert numbers(found, "C1", "C3", "K1") == (6, 6)


def test_two_stations_pick_from_one_spindle_while_it_is_stacked():
    steps = (
        move(1, "L1", 20, "counter", "K1", 1, 20),
        move(2, "L1", 5, "K1", "C1"),
        move(3, "L1", 5, "K1", "C2"),
        move(4, "L1", 10, "counter", "K1", 21, 30),
        move(5, "L1", 5, "K1", "C3"),
        move(6, "L1", 5, "K1", "C1"),
    )
    late = held(*steps, pressed=30, proven=range(21, 31))
    assert numbers(late, "C2") == (0, 0)
    assert numbers(late, "C1") == (0, 5)
    assert numbers(late, "C1", "C3") == (0, 10)
    assert numbers(late, "K1") == (0, 10)
    early = held(*steps, pressed=30, proven=range(1, 19))
    # Of the first 20 at most 2 are clean: five picked from them alone hold at least 3.
    assert numbers(early, "C2") == (3, 5)
    # Ten were picked before the rest was stacked, so 8 of those; the five of C1 that came later may all be clean.
    assert numbers(early, "C1", "C2") == (8, 15)


def test_a_disc_read_after_it_was_mixed_is_followed_by_itself():
    found = held(
        move(1, "L1", 4, "counter", "K1", 1, 4),
        move(2, "L1", 4, "counter", "K2", 5, 8),
        move(3, "L1", 2, "K1", "C1"),
        move(4, "L1", 2, "K2", "C1"),
        move(5, "L1", 2, "C1", "R1"),
        move(6, "L1", 1, "R1", "S1", 1, 1),
        pressed=8,
        proven=range(5, 9),
    )
    # Disc 1 is one of the two from K1, so one of K1 and both of K2 are what C1 and the table share.
    assert numbers(found, "C1", "R1") == (2, 2)
    assert numbers(found, "R1") == (0, 1)
    assert numbers(found, "C1") == (1, 2)
    assert numbers(found, "S1") == (0, 0)


def test_a_range_that_is_wider_than_its_count():
    """Two of strokes 1 to 4 were taken for scrap out of a stack of 6: four of 1 to 6 are left, at least two of 1 to 4."""
    found = held(
        move(1, "L1", 6, "counter", "K1", 1, 6),
        move(2, "L1", 3, "K1", "C1"),
        move(3, "L1", 2, "C1", "scrap", 1, 4),
        pressed=6,
        proven=(5, 6),
    )
    assert numbers(found, "C1") == (0, 1)
    assert numbers(found, "K1") == (1, 2)


READ = (
    move(1, "L1", 4, "counter", "K1", 1, 4),
    move(2, "L1", 4, "counter", "K2", 5, 8),
    move(3, "L1", 2, "K1", "C1"),
    move(4, "L1", 2, "K2", "C1"),
    move(5, "L1", 3, "C1", "R1"),
    move(6, "L1", 1, "R1", "S1", 1, 1),
    move(7, "L1", 1, "R1", "S2", 2, 2),
    move(8, "L1", 1, "R1", "S3", 3, 3),
)
"""Three discs of K1 are read on a table that only two of them can have reached."""


def test_reads_that_no_assignment_allows_are_named():
    found = held(*READ, pressed=8, proven=(5,))
    assert found.history.conflicts == []
    assert found.conflicts == (
        (
            "Lot L1: these movements cannot all be true, whatever all others carried: entry 2 (4 from counter to K2, "
            "strokes 5-8); entry 3 (2 from K1 to C1); entry 6 (1 from R1 to S1, strokes 1); entry 7 (1 from R1 to S2, "
            "strokes 2); entry 8 (1 from R1 to S3, strokes 3); any one of them taken back would resolve it. Count again "
            "or look for a late entry."
        ),
    )
    assert not found.bound(["C1"]).tight


def test_two_conflicts_of_one_lot_are_both_named():
    steps = [
        NetworkStep.of(one)
        for one in (
            move(1, "L1", 4, "counter", "K1", 1, 4),
            move(2, "L1", 5, "K1", "C1"),
            move(3, "L1", 1, "K2", "C2"),
        )
    ]
    assert conflicts_of(StrokeSet.between(1, 4), steps) == [
        Conflict((1,), irreducible=True),
        Conflict((2,), irreducible=True),
    ]


def test_past_its_limits_the_answer_is_valid_and_not_called_tight(monkeypatch):
    found = held(*TABLE, pressed=20, proven=range(1, 9))
    monkeypatch.setattr(solve, "FUTURES_AT_MOST", 0)
    bound = found.bound(["C1", "K1"])
    # The arithmetic of pools says 9; there are but 8 suspects.
    assert (bound.least, bound.most, bound.tight) == (4, 8, False)


def test_a_solver_out_of_time_leaves_a_valid_bound_and_is_not_asked_again(monkeypatch):
    found = held(*TABLE, pressed=20, proven=range(1, 9))
    calls = []

    def out_of_time(model, goal, seconds):
        calls.append(goal)
        # What scipy returns when the time limit of HiGHS is reached.
        return SimpleNamespace(status=1)

    monkeypatch.setattr(solve, "_linear", out_of_time)
    bound = found.bound(["C1", "K1"])
    assert (bound.least, bound.most, bound.tight) == (4, 8, False)
    assert not found.bound(["C2", "K1"]).tight
    # One network for each side, and each is given up at the first try.
    assert len(calls) <= 2


def test_a_search_for_whole_discs_out_of_time_is_not_asked_again_either(monkeypatch):
    """The program in fractions was solved, and no solution of it is whole; the search for one ended at its limit."""
    found = held(*TABLE, pressed=20, proven=range(1, 9))
    # The holdings were shown to be possible when they were made; that assignment would serve.
    found.exact.network(MOST)._tried[0].assignments.clear()
    calls = []

    def out_of_time(model, goal, seconds):
        calls.append(goal)
        return SimpleNamespace(status=1, x=None)

    monkeypatch.setattr(solve.Solver, "_whole", lambda *_: None)
    monkeypatch.setattr(solve, "_integer", out_of_time)
    bound = found.bound(["C1", "K1"])
    assert (bound.least <= 4, bound.most >= 8, bound.tight) == (True, True, False)
    assert calls
    asked = len(calls)
    assert not found.bound(["C2", "K1"]).tight
    assert len(calls) == asked <= 2


def test_an_integer_program_out_of_time_leaves_the_ceiling_of_the_prices(monkeypatch):
    found = held(*TABLE, pressed=20, proven=range(1, 9))
    # The holdings were shown to be possible when they were made; that assignment would serve.
    found.exact.network(MOST)._tried[0].assignments.clear()
    monkeypatch.setattr(solve.Solver, "_whole", lambda *_: None)
    monkeypatch.setattr(solve, "_integer", lambda *_: SimpleNamespace(status=1, x=None))
    side = found.exact.side(frozenset({"C1", "K1"}), MOST)
    assert (side.value, side.tight) == (8, False)
    assert side.parts[0][1].prices is not None


class TestProofs:
    """What a check relies on."""

    def network(self, suspects=range(1, 9)):
        steps = [NetworkStep.of(one) for one in TABLE]
        return network_of(StrokeSet.between(1, 20), steps, StrokeSet.from_strokes(suspects))

    def test_discs_that_lie_in_the_same_ranges_are_one_class(self):
        network = self.network()
        assert [(str(one.strokes), one.suspect) for one in network.classes] == [
            ("1-8", True),
            ("9-10", False),
            ("11-20", False),
        ]
        [part] = network.parts
        assert (part.classes, part.steps) == ((0, 1, 2), (2, 3, 4, 5))

    def test_prices_are_a_ceiling_whatever_they_are(self):
        network = self.network()
        places = frozenset({"C1", "K1"})
        assert ceiling(network, 0, {}, 1, places, MOST) == 8
        assert ceiling(network, 0, {4: 1}, 1, frozenset({"C1"}), MOST) == 3
        # Silly prices give a valid ceiling as well, only a high one.
        assert ceiling(network, 0, {2: -5, 4: 7}, 1, places, MOST) >= 8
        assert -ceiling(network, 0, {2: 1, 3: 0}, 1, frozenset({"C1", "C2"}), LEAST) <= 2

    def test_an_assignment_is_followed_step_by_step(self):
        network = self.network()
        fits = {(2, 0): 3, (2, 1): 1, (3, 2): 4, (4, 0): 3, (5, 1): 1, (5, 2): 4}
        left = stocks(network, 0, fits)
        assert left["C1"] + left["K1"] == 8

    @pytest.mark.parametrize(
        ("change", "sentence"),
        [
            ({(4, 0): 4}, "Entry 5: 4 discs of strokes 1-8 leave R1, where 3 are"),
            ({(2, 1): 2}, "Entry 6: 1 discs of strokes 9-10 leave R1, where 2 are"),
            ({(3, 2): 5}, "Entry 6: 4 discs of strokes 11-20 leave R1, where 5 are"),
            ({(2, 0): -1}, "Entry 3: -1 of class 0 went, expected 0 or more"),
            ({(3, 0): 1}, "Entry 4: no disc of class 0 can have gone"),
            ({(9, 0): 1}, "Step 9: no disc of class 0 can have gone"),
            ({(2, 0): 2, (4, 0): 2}, "Entry 3: the open classes send 3, expected 4"),
        ],
    )
    def test_what_does_not_fit_is_named(self, change, sentence):
        fits = {(2, 0): 3, (2, 1): 1, (3, 2): 4, (4, 0): 3, (5, 1): 1, (5, 2): 4}
        with pytest.raises(NotCertified) as caught:
            stocks(self.network(), 0, {**fits, **change})
        assert str(caught.value) == sentence

    def test_what_cannot_be_read_on_is_known_without_solving(self):
        steps = [
            NetworkStep.of(move(1, "L1", 3, "counter", "K1", 1, 3)),
            NetworkStep.of(move(2, "L1", 1, "K1", "S1", 5, 5)),
        ]
        assert network_of(StrokeSet.between(1, 6), steps, NO_STROKES).wrong == 1
