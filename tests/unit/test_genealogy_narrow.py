"""Narrowing by hand-made evidence, and the published and computed values of tests/vectors/containment.json."""

import itertools
import json
from pathlib import Path

import pytest
from support_genealogy_plant import judged

from tracelink.genealogy.flow.pool_bounds import chance_of_none
from tracelink.genealogy.model.shapes import Shape, TierName
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.suspects.closure import Axis, Stretch
from tracelink.genealogy.suspects.evidence import brackets, counts_as, judged_on, pass_by_chance
from tracelink.genealogy.suspects.narrow import narrow

VECTORS = json.loads((Path(__file__).parents[1] / "vectors" / "containment.json").read_text(encoding="utf-8"))


def of_kind(kind):
    return [pytest.param(case, id=case["id"]) for case in VECTORS if case["kind"] == kind]


def life(last=1000):
    """The life of a stamper that pressed one lot from its first stroke on."""
    return Axis("T4", "stamper", (Stretch("L1", StrokeSet.between(1, last), 0),), ordered=True)


def remounted():
    """Strokes 1-400 of its life in lot L1, 401-700 as strokes 1-300 of lot L2."""
    stretches = (
        Stretch("L1", StrokeSet.between(1, 400), 0),
        Stretch("L2", StrokeSet.between(1, 300), 400),
    )
    return Axis("T4", "stamper", stretches, ordered=True)


def tiers(axis, shape, judgements, window=NO_STROKES, defect=None):
    result = narrow(axis, shape, judged_on(axis, judgements, defect), window)
    found = {}
    for part in result.parts:
        found[part.tier.value] = found.get(part.tier.value, NO_STROKES) | part.positions
    return {name: str(strokes) for name, strokes in found.items()}, result


@pytest.mark.parametrize("case", of_kind("containment_bracket"))
def test_brackets(case):
    given, expected = case["input"], case["expected"]
    tested = [(int(piece), verdict == "pass") for piece, verdict in given["samples"].items()]
    found = brackets(given["first_piece"], given["last_piece"], sorted(tested))
    suspect = expected["suspect"] if isinstance(expected["suspect"][0], list) else [expected["suspect"]]
    assert [[one.suspect.first, one.suspect.last] for one in found] == suspect, case["source"]
    assert sum(len(one.suspect) for one in found) == expected["count"], case["source"]
    if "last_good" in expected:
        (one,) = found
        names = ("last_good", "first_bad", "last_bad", "next_good")
        assert {name: getattr(one, name) for name in names} == {name: expected[name] for name in names}


@pytest.mark.parametrize("case", of_kind("containment_bracket"))
def test_from_onset_never_clears_what_lies_in_a_bracket(case):
    """The bracket assumes that the fault ends by itself; damage does not, so our scope is at least as wide."""
    given = case["input"]
    judgements = [
        judged(f"S{piece}", "L1", int(piece), verdict == "pass")
        for piece, verdict in given["samples"].items()
    ]
    result = narrow(life(given["last_piece"]), Shape.FROM_ONSET, judged_on(life(), judgements, None))
    cleared = NO_STROKES
    for part in result.parts:
        if part.tier == "cleared":
            cleared |= part.positions
    tested = sorted((int(piece), verdict == "pass") for piece, verdict in given["samples"].items())
    for one in brackets(given["first_piece"], given["last_piece"], tested):
        assert not cleared & one.suspect
    assert bool(result.contradictions) == (case["id"] != "bracket-open-end")


@pytest.mark.parametrize("case", of_kind("prob_pass_by_chance"))
def test_chance_that_a_check_passes_in_a_bad_stretch(case):
    given = case["input"]
    found = pass_by_chance(given["fault_rate"], given["pieces_per_check"])
    assert found == pytest.approx(case["expected"], abs=case["tolerance"]), case["source"]


@pytest.mark.parametrize("case", of_kind("c0_hypergeometric"))
def test_hypergeometric_chance_of_none(case):
    """The smallest sample that finds at least one of the bad pieces with the confidence asked for."""
    given = case["input"]
    allowed = 1 - given["confidence"]
    found = case["expected"]
    # The tables round 1 - 0.9 as people do; one part in 10^12 is the price of floats.
    assert chance_of_none(given["lot"], given["defectives"], found) <= allowed + 1e-12, case["source"]
    assert chance_of_none(given["lot"], given["defectives"], found - 1) > allowed, case["source"]


def test_from_onset_runs_across_a_remount():
    evidence = [judged("S1", "L1", 300, True), judged("S2", "L2", 50, False)]
    found, result = tiers(remounted(), Shape.FROM_ONSET, evidence)
    assert found == {"cleared": "1-300", "possible": "301-449", "proven": "450-700"}
    by_lot = [
        (part.tier.value, lot, str(strokes))
        for part in result.parts
        for lot, strokes in remounted().lots(part.positions)
    ]
    assert by_lot == [
        ("cleared", "L1", "1-300"),
        ("possible", "L1", "301-400"),
        ("possible", "L2", "1-49"),
        ("proven", "L2", "50-300"),
    ]
    assert [part.reason for part in result.parts] == [
        "up to the last good disc, sample S1 (lot L1, stroke 300) at stroke 300 of stamper T4, for shape from-onset",
        "between the last good and the first bad disc",
        "from the first bad disc on, sample S2 (lot L2, stroke 50) at stroke 450 of stamper T4",
    ]


@pytest.mark.parametrize(
    ("evidence", "expected"),
    [
        ([], {"possible": "1-1000"}),
        ([(500, True)], {"cleared": "1-500", "possible": "501-1000"}),
        ([(500, False)], {"possible": "1-499", "proven": "500-1000"}),
        ([(1, False)], {"proven": "1-1000"}),
        ([(1000, True)], {"cleared": "1-1000"}),
        ([(499, True), (500, False)], {"cleared": "1-499", "proven": "500-1000"}),
    ],
)
def test_from_onset(evidence, expected):
    judgements = [judged(f"S{stroke}", "L1", stroke, good) for stroke, good in evidence]
    found, result = tiers(life(), Shape.FROM_ONSET, judgements)
    assert found == expected
    assert result.contradictions == ()


def test_a_good_disc_after_a_bad_one_widens_and_is_reported():
    judgements = [judged(f"S{s}", "L1", s, good) for s, good in ((200, True), (600, False), (800, True))]
    found, result = tiers(life(), Shape.FROM_ONSET, judgements)
    assert found == {"cleared": "1-200, 800", "possible": "201-599, 601-799, 801-1000", "proven": "600"}
    assert result.contradictions == (
        (
            "Shape from-onset is contradicted: sample S600 (lot L1, stroke 600) at stroke 600 of stamper T4 was bad, but "
            "sample S800 (lot L1, stroke 800) at stroke 800 of stamper T4 was good. Good discs after the first bad one "
            "clear only themselves here. If the fault ended by itself, it lies in strokes 201-799; if it comes and goes, ask again "
            "with shape intermittent."
        ),
    )


def test_one_disc_judged_both_ways_counts_as_bad():
    judgements = [judged("S1", "L1", 300, True), judged("S1", "L1", 300, False)]
    found, result = tiers(life(), Shape.FROM_ONSET, judgements)
    assert found == {"possible": "1-299", "proven": "300-1000"}
    assert result.contradictions == ("Sample S1 was judged both good and bad; it counts as bad.",)


@pytest.mark.parametrize(
    ("evidence", "expected", "contradictions"),
    [
        ([], {"possible": "1-1000"}, 0),
        ([(500, True)], {"cleared": "1-1000"}, 0),
        ([(500, False), (600, False)], {"proven": "1-1000"}, 0),
        (
            [(500, True), (600, False)],
            {"proven": "600", "cleared": "500", "possible": "1-499, 501-599, 601-1000"},
            1,
        ),
    ],
)
def test_whole_life(evidence, expected, contradictions):
    judgements = [judged(f"S{stroke}", "L1", stroke, good) for stroke, good in evidence]
    found, result = tiers(life(), Shape.WHOLE_LIFE, judgements)
    assert found == expected
    assert len(result.contradictions) == contradictions


def test_intermittent_clears_the_tested_disc_only_and_says_why():
    judgements = [judged(f"S{s}", "L1", s, good) for s, good in ((200, True), (400, True), (600, False))]
    found, result = tiers(life(), Shape.INTERMITTENT, judgements)
    assert found == {"cleared": "200, 400", "proven": "600", "possible": "1-199, 201-399, 401-599, 601-1000"}
    assert result.parts[-1].reason == (
        "no judged disc speaks for another: 1 of 3 judged discs were bad, and at that rate a single disc passes by "
        "chance 67 % of the time"
    )


@pytest.mark.parametrize("shape", Shape)
def test_a_disc_judged_good_is_cleared_under_every_shape_and_never_possible(shape):
    """Every way to judge four discs of ten good, bad or not at all."""
    window = StrokeSet.between(3, 6)
    for verdicts in itertools.product((True, False, None), repeat=4):
        tested = [
            judged(f"S{stroke}", "L1", stroke, good)
            for stroke, good in zip((2, 4, 5, 9), verdicts, strict=True)
            if good is not None
        ]
        result = narrow(life(10), shape, judged_on(life(10), tested, None), window)
        tier_of = {stroke: part.tier for part in result.parts for stroke in part.positions}
        assert {tier_of[one.stroke] for one in tested if one.good} <= {TierName.CLEARED}
        assert {tier_of[one.stroke] for one in tested if not one.good} <= {TierName.PROVEN}
        assert sorted(tier_of) == list(range(1, 11))


def test_a_window_is_possible_inside_and_cleared_outside():
    judgements = [judged("S1", "L1", 120, True), judged("S2", "L1", 130, False)]
    found, _ = tiers(life(), Shape.WINDOW, judgements, StrokeSet.between(101, 200))
    assert found == {
        "possible": "101-119, 121-129, 131-200",
        "proven": "130",
        "cleared": "1-100, 120, 201-1000",
    }


def test_a_bad_disc_outside_the_window_leaves_outside_only_good_discs_cleared():
    tested = [judged("S2", "L1", 500, False), judged("S3", "L1", 700, True), judged("S4", "L1", 150, True)]
    found, result = tiers(life(), Shape.WINDOW, tested, StrokeSet.between(101, 200))
    assert found == {
        "possible": "1-149, 151-499, 501-699, 701-1000",
        "proven": "500",
        "cleared": "150, 700",
    }
    assert result.contradictions == (
        (
            "The window is contradicted: sample S2 (lot L1, stroke 500) at stroke 500 of stamper T4 was bad and lies "
            "outside it. Outside the window a good disc clears only itself."
        ),
    )


@pytest.mark.parametrize(
    ("good", "named", "asked", "expected"),
    [
        (True, None, "scratch", True),
        (True, "scratch", "scratch", True),
        (True, "warp", "scratch", None),
        (False, "scratch", "scratch", False),
        (False, "warp", "scratch", None),
        (False, None, "scratch", False),
        (False, "warp", None, False),
    ],
)
def test_a_judgement_speaks_only_for_the_defect_it_names(good, named, asked, expected):
    assert counts_as(judged("S1", "L1", 1, good, defect=named), asked) is expected
