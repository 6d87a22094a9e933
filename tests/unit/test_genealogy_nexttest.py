"""Which disc to look at next, against every onset; what samples show; discs that speak for untested stampers."""

import random
from fractions import Fraction

import pytest
from support_asking import contain
from support_each import each
from support_genealogy_plant import C4, judged, move, small_plant

from tracelink.genealogy.containment.next_test import next_tests
from tracelink.genealogy.model.facts import ContainerFact, JudgementFact
from tracelink.genealogy.model.shapes import Shape, TierName
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.genealogy.suspects.closure import Axis, Stretch
from tracelink.genealogy.suspects.evidence import judged_on
from tracelink.genealogy.suspects.lookat import FetchableDiscs
from tracelink.genealogy.suspects.narrow import narrow

ONSET = Shape.FROM_ONSET


def random_life(rng):
    """A stamper mounted for two lots, with a gap between, and a hidden onset that the judged discs agree with."""
    cut, gap, rest = rng.randint(1, 8), rng.randint(0, 3), rng.randint(1, 8)
    stretches = (
        Stretch("L1", StrokeSet.between(1, cut), 0),
        Stretch("L2", StrokeSet.between(1, rest), cut + gap),
    )
    axis = Axis("T1", "stamper", stretches, ordered=True)
    life = list(axis.positions)
    onset = rng.choice([*life, life[-1] + 1])
    tested = [verdict(axis, place, place < onset) for place in rng.sample(life, rng.randint(0, 3))]
    return axis, tested


def verdict(axis, position, good):
    ((lot, strokes),) = axis.lots(StrokeSet.between(position, position))
    return JudgementFact(f"S{position}", lot, strokes.first, good, None if good else "scratch", position)


def left(axis, judgements):
    """Discs that are possible, by the rules themselves."""
    parts = narrow(axis, ONSET, judged_on(axis, judgements, None)).parts
    return {place for part in parts if part.tier is TierName.POSSIBLE for place in part.positions}


def expected_by_enumeration(axis, judgements, position):
    """Every onset that agrees with the judgements, each as likely: how many discs stay possible on average."""
    life = list(axis.positions)
    agreeing = [
        onset
        for onset in [*life, life[-1] + 1]
        if all((axis.position(one.lot, one.stroke) < onset) == one.good for one in judgements)
    ]
    after = [len(left(axis, [*judgements, verdict(axis, position, position < onset)])) for onset in agreeing]
    return Fraction(sum(after), len(agreeing))


@each("seed", range(150))
def test_the_ranking_is_that_of_trying_every_onset_for_every_disc(seed):
    rng = random.Random(seed)
    axis, tested = random_life(rng)
    possible = left(axis, tested)
    kept = []
    for place in rng.sample(sorted(possible), rng.randint(0, len(possible))):
        ((lot, strokes),) = axis.lots(StrokeSet.between(place, place))
        kept.append(FetchableDiscs(lot, strokes, f"K{place}", "spindle", "stacked", (), known=True))
    found = next_tests([axis], [narrow(axis, ONSET, judged_on(axis, tested, None))], ONSET, kept, 100)
    assert len(found.tests) == len(kept)
    by_enumeration = {one.place: expected_by_enumeration(axis, tested, int(one.place[1:])) for one in kept}
    for test in found.tests:
        position = axis.position(test.lot, test.stroke)
        assert test.expected == pytest.approx(float(by_enumeration[test.place]))
        assert test.reduction == pytest.approx(len(possible) - test.expected)
        assert test.if_good == len(left(axis, [*tested, verdict(axis, position, good=True)]))
        assert test.if_bad == len(left(axis, [*tested, verdict(axis, position, good=False)]))
    ranked = [test.expected for test in found.tests]
    assert ranked == sorted(ranked)


@each("seed", range(60))
def test_of_a_whole_stack_the_best_disc_is_named(seed):
    """A place with many discs gives the one that no other of its discs beats."""
    rng = random.Random(1000 + seed)
    axis, tested = random_life(rng)
    possible = sorted(left(axis, tested))
    if not possible:
        return
    stack = rng.sample(possible, rng.randint(1, len(possible)))
    strokes = {}
    for place in stack:
        ((lot, stroke),) = axis.lots(StrokeSet.between(place, place))
        strokes[lot] = strokes.get(lot, StrokeSet()) | stroke
    kept = [
        FetchableDiscs(lot, some, f"K{lot}", "spindle", "stacked", (), known=True)
        for lot, some in strokes.items()
    ]
    best, *_ = next_tests([axis], [narrow(axis, ONSET, judged_on(axis, tested, None))], ONSET, kept, 5).tests
    least = min(expected_by_enumeration(axis, tested, place) for place in stack)
    assert best.expected == pytest.approx(float(least))


def plant(*judgements):
    records = small_plant()
    records.judgements = list(judgements)
    return records


def test_an_unjudged_sample_in_the_middle_is_the_first_choice_and_says_where_it_is():
    records = plant(judged("S1", "L1", 200, True), judged("S2", "L2", 50, False, defect="scratch"))
    records.movements.insert(3, move(16, "L1", 1, "K2", "S7", 310, 310))
    scope = contain(records, "T4", ONSET)
    assert scope.next_tests.sentence == (
        "Ranked by the possible discs that are expected to be left, if the fault is as likely to begin at one "
        "possible disc as at another or after the last."
    )
    (test,) = scope.next_tests.tests
    assert (test.lot, test.stroke, test.place, test.axis) == ("L1", 310, "S7", "T4")
    # 249 discs are possible, 201-400 and 1-49: the 110th of them.
    assert (test.if_good, test.if_bad) == (139, 109)
    assert test.expected == pytest.approx((110 * 109 + 140 * 139) / 250)


def test_discs_that_left_or_are_not_known_one_by_one_are_no_choice():
    records = plant(judged("S1", "L1", 200, True))
    scope = contain(records, "T4", ONSET)
    assert scope.next_tests.tests == ()
    assert scope.next_tests.sentence == (
        "No possible disc can be fetched by its stroke in the plant: no test can be named. What was packed, or picked "
        "from a stack, is not known disc by disc."
    )


def test_shapes_under_which_no_disc_speaks_for_another_name_none():
    scope = contain(plant(), "T4", Shape.INTERMITTENT)
    assert scope.next_tests.sentence == (
        "Under shape intermittent no disc speaks for another: each test proves or clears its own disc only, and none "
        "is better than another."
    )
    assert scope.next_tests.tests == ()


def test_contradicting_discs_come_first():
    records = plant(judged("S1", "L1", 100, False, defect="scratch"), judged("S2", "L1", 300, True))
    assert "settle that first" in contain(records, "T4", ONSET).next_tests.sentence


def test_nothing_possible_needs_no_test():
    scope = contain(plant(judged("S1", "L1", 1, False, defect="scratch")), "T4", ONSET)
    assert scope.next_tests.sentence == "No disc is merely possible: no test would narrow this scope."


def test_under_whole_life_one_disc_of_each_stamper_is_enough():
    records = plant()
    records.movements = [each for each in records.movements if each.source == "counter"]
    scope = contain(records, "T2", Shape.WHOLE_LIFE, tests=10)
    assert {test.stroke for test in scope.next_tests.tests} == {None}
    assert [(test.axis, test.if_good, test.if_bad, test.reduction) for test in scope.next_tests.tests] == [
        ("T4", 0, 0, 700),
        ("T5", 0, 0, 100),
        ("T7", 0, 0, 50),
    ]


def test_as_many_tests_are_named_as_asked_for():
    records = plant()
    records.movements = [each for each in records.movements if each.source == "counter"]
    assert len(contain(records, "T2", Shape.WHOLE_LIFE, tests=2).next_tests.tests) == 2
    assert contain(records, "T2", Shape.WHOLE_LIFE, tests=0).next_tests.tests == ()


class TestSamples:
    def test_what_a_few_clean_discs_show(self):
        records = plant(judged("S1", "L3", 3, True), judged("S2", "L3", 20, True))
        (touched, possible) = contain(records, "T7", ONSET).samples
        # 2 clean of 50: with 39 bad ones the chance is 55/1225 = 0.045, with 38 it is 66/1225 = 0.054.
        assert (touched.discs, touched.good, touched.bad, touched.most_bad) == (50, 2, 0, 38)
        assert touched.most_share == pytest.approx(1 - 0.05**0.5)
        assert touched.sentence == (
            "Of the 50 discs of lot L3 made with the cause 2 were judged, all good: with 95 % confidence at most 38 "
            "of the 50 are bad, and a process that makes such discs makes at most 77.64 % bad ones. This holds for "
            "discs taken at random."
        )
        assert possible.sentence == (
            "Of the 30 discs of lot L3 in question none was judged: the samples say nothing about how many of them "
            "are bad (30 may be)."
        )

    def test_a_disc_bad_for_another_defect_is_not_counted(self):
        records = plant(judged("S1", "L3", 3, False, defect="warp"), judged("S2", "L3", 3, True))
        (only,) = contain(records, "T7", Shape.INTERMITTENT, defect="scratch").samples[:1]
        assert (only.good, only.bad) == (1, 0)

    def test_the_caution_stands_beside_them_in_json(self):
        plain = contain(plant(), "T7", ONSET).to_json()["samples"]
        assert "clear no disc" in plain["caution"]
        assert plain["lots"][0]["sentence"].startswith(
            "Of the 50 discs of lot L3 in question none was judged"
        )


class TestFamily:
    def test_untested_siblings_come_with_a_disc_that_would_tell(self):
        scope = contain(plant(judged("S2", "L1", 50, False, defect="scratch")), "T4", ONSET)
        assert scope.levels.sentence.startswith("No other stamper of the family of T4 has a judged disc")
        # K3 holds L1 401-500 and nothing else, whichever of them were picked; carton C4 all of L3.
        assert [(each.stamper, each.kept.place, each.stroke) for each in scope.siblings] == [
            ("T5", "K3", None),
            ("T7", C4, None),
        ]
        records = plant(judged("S2", "L1", 50, False, defect="scratch"))
        records.containers.append(ContainerFact("S8", "sample", "in lab", ""))
        records.movements.insert(4, move(23, "L1", 1, "K3", "S8", 450, 450))
        scope = contain(records, "T4", ONSET)
        assert scope.to_json()["level"]["missing_tests"][0] == {
            "stamper": "T5",
            "lot": "L1",
            "stroke": 450,
            "place": "S8",
            "kind": "sample",
            "parents": [],
        }

    def test_a_stamper_of_which_nothing_is_left_is_named_without_a_disc(self):
        records = plant(judged("S2", "L1", 50, False, defect="scratch"))
        records.movements = [each for each in records.movements if each.lot != "L3"]
        records.movements.append(move(70, "L3", 50, "counter", "scrap", 1, 50))
        (_, other) = contain(records, "T4", ONSET).siblings
        assert (other.stamper, other.kept, other.stroke) == ("T7", None, None)

    def test_the_evidence_of_the_question_counts_for_the_level_too(self):
        records = plant()
        given = [judged("given", "L1", 50, False, defect="scratch"), judged("given", "L1", 60, True)]
        scope = contain(records, "T4", ONSET, given)
        assert scope.levels.sentence.startswith("Stamper T4 made good and bad discs")

    def test_a_mother_has_no_such_section(self):
        scope = contain(plant(), "T3", ONSET)
        assert (scope.levels, scope.siblings, scope.to_json()["level"]) == (None, (), None)
