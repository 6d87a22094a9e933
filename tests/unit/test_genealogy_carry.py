"""A compound lot through the hopper of a press: how far it is followed, and what ends it."""

import math

import pytest
from support_asking import contain
from support_genealogy_plant import judged
from support_memory import MemoryRecords
from support_vectors import by_id, load

from tracelink.genealogy.model.facts import LotFact, SegmentFact
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.suspects.carry_over import carried_over


def segment(lot, first, last, compound, seq, *, press="W1"):
    return SegmentFact(lot, first, last, press, "T1", "T2", first - 1, first - 1, compound, "E1", "E2", seq)


def plant(*segments, hopper=25000, disc=160, permille=10, tanks=1, emptied=()):
    lots = {}
    for one in segments:
        lots[one.lot] = max(lots.get(one.lot, 0), one.last)
    return MemoryRecords(
        lots=[
            LotFact(lot, "9520000012342", 1, "Moth Parliament", "W1", last, "pressed")
            for lot, last in lots.items()
        ],
        segments=list(segments),
        settings={"hopper_g": hopper, "disc_g": disc, "carry_over_permille": permille, "hopper_tanks": tanks},
        emptyings=[("W1", lot, after) for lot, after in emptied],
    )


def followed(records, compound="C1"):
    return [(one.press, one.lot, str(one.strokes)) for one in carried_over(records, compound).carried]


@pytest.mark.parametrize("case", load("quality", "hopper_lot_trace"), ids=by_id)
def test_the_worked_example_disc_by_disc(case):
    """25 kg and 160 g: below 1 % after 720 discs; first in, first out it ends at 157."""
    records = plant(segment("L1", 1, 100, "C1", 1), segment("L1", 101, 2000, "C2", 2))
    (one,) = carried_over(records, "C1").carried
    assert one.strokes.first == 101
    assert len(one.strokes) == case["expected"]["pieces_until_below"], case["source"]
    assert one.largest == pytest.approx(math.exp(-160 / 25000))
    assert one.smallest < 0.01 < math.exp(-719 * 160 / 25000)
    assert one.first_out == 100 + 157
    assert one.reason == (
        "pressed on W1 after compound C1: a stirred hopper of 25 000 g and discs of 160 g leave 99.4 % of it in the first "
        "of these discs and 1.0 % in the last; first in, first out it would end at stroke 257"
    )


def test_a_hopper_like_three_tanks_gives_the_old_lot_longer_at_first_and_ends_sooner():
    """Three tanks leave 1 % at 16.812 / 2 thirds of a filling: 16.812 is the 99 % point of chi-squared with 6 degrees of
    freedom, in every table of it. 16.812 / 2 / 3 x 156.25 discs of a filling = 437.8."""
    records = plant(segment("L1", 1, 100, "C1", 1), segment("L1", 101, 2000, "C2", 2), tanks=3)
    (one,) = carried_over(records, "C1").carried
    through = 3 * 438 * 160 / 25000
    left = math.exp(-through) * (1 + through + through**2 / 2)
    assert len(one.strokes) == 438
    assert (one.tanks, one.smallest, one.first_out) == (3, pytest.approx(left), 257)
    assert one.reason == (
        "pressed on W1 after compound C1: a hopper of 25 000 g, like 3 stirred tanks in a row, and discs of 160 g leave "
        "100.0 % of it in the first of these discs and 1.0 % in the last; first in, first out it would end at stroke 257"
    )


def test_it_goes_on_into_the_next_lots_and_changes_of_the_same_press_only():
    records = plant(
        segment("L1", 1, 100, "C1", 1),
        segment("L1", 101, 300, "C2", 2),
        segment("L2", 1, 400, "C3", 3),
        segment("L3", 1, 500, "C3", 4),
        segment("L9", 1, 500, "C3", 5, press="W2"),
    )
    assert followed(records) == [("W1", "L1", "101-300"), ("W1", "L2", "1-400"), ("W1", "L3", "1-120")]
    first, second, third = carried_over(records, "C1").carried
    assert (first.first_out, second.first_out, third.first_out) == (257, None, None)
    assert second.reason.endswith("first in, first out it would have ended before")
    assert followed(records, "C3") == []


def test_a_compound_that_comes_back_starts_anew():
    records = plant(
        segment("L1", 1, 100, "C1", 1),
        segment("L1", 101, 110, "C2", 2),
        segment("L1", 111, 120, "C1", 3),
        segment("L1", 121, 2000, "C2", 4),
    )
    assert followed(records) == [("W1", "L1", "101-110"), ("W1", "L1", "121-840")]
    # And the other one through the ten discs between.
    assert followed(records, "C2") == [("W1", "L1", "111-120")]


@pytest.mark.parametrize(
    ("emptied", "expected"),
    [
        # A disc of the old lot was pressed after it: the hopper had been filled with that lot once more.
        ((("L1", 99),), [("W1", "L1", "101-300"), ("W1", "L2", "1-100")]),
        ((("L1", 100),), []),
        ((("L1", 150),), [("W1", "L1", "101-150")]),
        ((("L1", 300),), [("W1", "L1", "101-300")]),
        ((("L2", 0),), [("W1", "L1", "101-300")]),
        ((("L2", 5), ("L2", 9)), [("W1", "L1", "101-300"), ("W1", "L2", "1-5")]),
    ],
)
def test_a_recorded_emptying_ends_it(emptied, expected):
    records = plant(
        segment("L1", 1, 100, "C1", 1),
        segment("L1", 101, 300, "C2", 2),
        segment("L2", 1, 100, "C2", 3),
        emptied=emptied,
    )
    assert followed(records) == expected


def test_an_emptying_before_the_compound_does_not_help():
    records = plant(
        segment("L1", 1, 50, "C2", 1), segment("L1", 51, 100, "C1", 2), segment("L1", 101, 120, "C2", 3),
        emptied=(("L1", 50),),
    )  # fmt: skip
    assert followed(records) == [("W1", "L1", "101-120")]


@pytest.mark.parametrize(
    "settings",
    [{"hopper": 0}, {"disc": 0}, {"permille": 0}, {"permille": 1000}, {"tanks": 0}, {"tanks": 101}],
)
def test_without_the_settings_it_is_not_followed_and_that_is_a_gap(settings):
    records = plant(segment("L1", 1, 100, "C1", 1), segment("L1", 101, 300, "C2", 2), **settings)
    scope = contain(records, "C1", Shape.INTERMITTENT)
    assert [str(tier.strokes) for tier in scope.tiers] == ["1-100"]
    (gap,) = scope.gaps
    assert gap.startswith("What the hopper of a press holds is not set (hopper_g ")
    assert gap.endswith("may still hold some of it and are in no tier.")


def test_in_a_scope_the_carried_discs_are_possible_with_their_own_reason():
    records = plant(
        segment("L1", 1, 100, "C1", 1), segment("L1", 101, 300, "C2", 2), segment("L2", 1, 900, "C2", 3)
    )
    records.judgements = [judged("S1", "L1", 120, False, defect="pit"), judged("S2", "L1", 130, True)]
    scope = contain(records, "C1", Shape.INTERMITTENT)
    assert [(tier.name.value, tier.lot, str(tier.strokes)) for tier in scope.tiers] == [
        ("possible", "L1", "1-100"),
        ("possible", "L1", "101-119, 121-129, 131-300"),
        ("proven", "L1", "120"),
        ("cleared", "L1", "130"),
        ("possible", "L2", "1-520"),
    ]
    assert scope.tiers[1].reason.startswith("pressed on W1 after compound C1: a stirred hopper of 25 000 g")
    assert scope.gaps == ()
    plain = scope.to_json()["carried_over"]
    assert (plain[0]["strokes"], plain[0]["first_out"], plain[1]["first_out"]) == ([[101, 300]], 257, None)
    assert plain[1]["reason"] == scope.tiers[-1].reason


def test_other_causes_carry_nothing_over():
    records = plant(segment("L1", 1, 100, "C1", 1), segment("L1", 101, 300, "C2", 2))
    assert contain(records, "W1", Shape.INTERMITTENT).carried == ()
    assert contain(records, "T1", Shape.FROM_ONSET).to_json()["carried_over"] == []
