"""Which strokes of a lot are drawn, why, and how far the lab is with them."""

from dataclasses import replace

import pytest
from support_each import each

from tracelink.genealogy.model.facts import SegmentFact
from tracelink.genealogy.sampling.lot_sampling import LotSampling
from tracelink.genealogy.sampling.strokes_to_draw import (
    DrawReason,
    DrawState,
    LabSample,
    LotRun,
    strokes_to_draw,
)
from tracelink.quality.sampling.attribute_plan import SampleOutcome, SamplingPlan, attribute_plan
from tracelink.quality.sampling.attribute_tables import InspectionSeverity
from tracelink.quality.sampling.draw import drawn_strokes
from tracelink.quality.sampling.severity_switching import Switching
from tracelink.report.pages.samples_text import sentences
from tracelink.report.pictures.plan_curve_svg import plan_curve_svg


def segment(first, last, a="A1", b="B1", compound="C1"):
    return SegmentFact("L1", first, last, "W1", a, b, 0, 0, compound, "E1", "E2", first)


def run_of(*segments, ended=True):
    return LotRun(segments, segments[-1].last if segments else 0, ended)


def reasons(found):
    return {one.stroke: [(each.why.value, each.stamper) for each in one.reasons] for one in found}


@each(("lot_size", "size"), [(3400, 13), (500, 500), (500, 1), (7, 3), (1000, 80), (1, 1)])
def test_one_disc_is_drawn_out_of_each_part_of_the_lot(lot_size, size):
    drawn = [*drawn_strokes("any", lot_size, size, lot_size, ended=True)]
    assert len(drawn) == size
    for part, stroke in enumerate(drawn):
        assert part * lot_size // size < stroke <= (part + 1) * lot_size // size


def test_the_draw_follows_from_its_seed_and_does_not_change_while_the_lot_grows():
    whole = [*drawn_strokes("L1 II", 1000, 32, 1000, ended=True)]
    assert [*drawn_strokes("L1 II", 1000, 32, 1000, ended=True)] == whole
    assert [*drawn_strokes("L2 II", 1000, 32, 1000, ended=True)] != whole
    for pressed in (0, 1, 17, 500, 999):
        assert [*drawn_strokes("L1 II", 1000, 32, pressed, ended=False)] == whole
    beyond = [*drawn_strokes("L1 II", 1000, 32, 1300, ended=True)]
    assert beyond[:32] == whole
    assert len(beyond) == 42
    assert beyond[-1] <= 1300


def test_a_lot_that_ended_early_is_drawn_from_up_to_its_last_disc():
    whole = [*drawn_strokes("L1", 1000, 10, 1000, ended=True)]
    short = [*drawn_strokes("L1", 1000, 10, 405, ended=True)]
    assert short[:4] == whole[:4]
    assert len(short) == 5
    assert 401 <= short[-1] <= 405
    assert [*drawn_strokes("L1", 1000, 10, 0, ended=True)] == []


def test_within_its_part_no_disc_is_favoured():
    """Ten discs a part, three thousand draws: each is drawn 300 times, give or take five standard deviations."""
    counts = [0] * 10
    for number in range(3000):
        counts[next(drawn_strokes(f"L{number}", 100, 10, 100, ended=True)) - 1] += 1
    assert all(abs(count - 300) < 5 * (3000 * 0.1 * 0.9) ** 0.5 for count in counts)


def test_the_draw_is_the_same_on_every_machine():
    """Also made with sha256sum: of the seed, a space and the part's number, modulo the 680 discs of a part."""
    drawn = drawn_strokes("L004707P 3400 S-1 2.5 normal", 3400, 5, 3400, ended=True)
    assert [*drawn] == [570, 1351, 1403, 2373, 2901]


def test_first_and_last_discs_of_each_stamper():
    found = strokes_to_draw(
        run_of(segment(1, 60), segment(61, 90, a="A2"), segment(91, 120, a="A2", b="B2")), {}, None, ()
    )
    assert reasons(found) == {
        1: [("first-off", "A1"), ("first-off", "B1")],
        60: [("last-off", "A1")],
        61: [("first-off", "A2")],
        90: [("last-off", "B1")],
        91: [("first-off", "B2")],
        120: [("last-off", "A2"), ("last-off", "B2")],
    }
    assert [one.stampers for one in found][2:4] == [("A2", "B1"), ("A2", "B1")]


def test_after_a_stop_and_not_after_a_change_of_materials():
    stopped = run_of(segment(1, 60), segment(61, 90), segment(91, 99, compound="C2"), ended=False)
    assert reasons(strokes_to_draw(stopped, {}, None, ())) == {
        1: [("first-off", "A1"), ("first-off", "B1")],
        61: [("after-stop", None)],
    }


def test_a_set_up_that_pressed_nothing_has_no_first_disc():
    assert strokes_to_draw(run_of(segment(1, 0), ended=False), {}, None, ()) == ()
    found = strokes_to_draw(run_of(segment(1, 60), segment(61, 60, a="A2"), segment(61, 80)), {}, None, ())
    assert [*reasons(found)] == [1, 61, 80]
    assert strokes_to_draw(run_of(), {}, 5, ()) == ()


def test_a_first_or_last_disc_that_is_not_to_be_had_has_its_neighbour():
    run = LotRun(
        (segment(1, 60), segment(61, 61, a="A2"), segment(62, 70)),
        70,
        ended=True,
        missing=frozenset({1, 2, 60, 61}),
    )
    found = strokes_to_draw(run, {}, None, ())
    assert {
        one.stroke: [(each.why.value, each.stamper, each.instead_of) for each in one.reasons] for one in found
    } == {
        3: [("first-off", "A1", 1), ("first-off", "B1", 1)],
        59: [("last-off", "A1", 60)],
        62: [("first-off", "A1", None)],
        70: [("last-off", "A1", None), ("last-off", "B1", None)],
    }


def test_one_in_so_many_and_states():
    samples = [
        LabSample("S1", 5, good=True),
        LabSample("S2", 10, good=False, defect="crackle"),
        LabSample("S3", 15, good=None),
        LabSample("S4", None, good=False, defect="crackle"),
    ]
    found = strokes_to_draw(run_of(segment(1, 22), ended=False), {10: None, 40: None}, 5, samples)
    assert {one.stroke: one.state for one in found} == {
        1: DrawState.OPEN,
        5: DrawState.GOOD,
        10: DrawState.BAD,
        15: DrawState.DRAWN,
        20: DrawState.OPEN,
        40: DrawState.AHEAD,
    }
    assert [reason.why for one in found if one.stroke == 10 for reason in one.reasons] == [
        DrawReason.PLAN,
        DrawReason.ONE_IN,
    ]
    assert [one.stroke for one in found if one.by_plan] == [10, 40]


def sampling(states, plan, others=()):
    """A lot of 100 whose plan drew the first discs, judged as the letters say; `-` is not judged."""
    made = {"G": True, "B": False}
    samples = [LabSample(f"S{n}", n, made[state]) for n, state in enumerate(states, 2) if state != "-"]
    strokes = strokes_to_draw(
        run_of(segment(1, 100), ended=False),
        dict.fromkeys(range(2, len(states) + 2)),
        None,
        [LabSample("S0", 1, good=True), *samples],
    )
    return LotSampling("L1", (1, "00"), 100, 100, plan, "seed", Switching(), strokes, others)


GAP = SamplingPlan(100, 4, 1, 3)


@pytest.mark.parametrize(
    ("states", "outcome", "met"),
    [
        ("GGGG", SampleOutcome.WITHIN, True),
        ("GBGG", SampleOutcome.WITHIN, True),
        ("GBBG", SampleOutcome.BETWEEN, True),
        ("BBB-", SampleOutcome.REACHED, False),
        ("BBBB", SampleOutcome.REACHED, False),
        ("GGG-", None, False),
        ("----", None, False),
    ],
)
def test_a_plan_says_nothing_before_its_discs_are_judged_unless_its_rejection_number_is_reached(
    states, outcome, met
):
    found = sampling(states, GAP)
    assert (found.outcome, found.is_met) == (outcome, met)
    assert (found.judged, found.bad) == (4 - states.count("-"), states.count("B"))


def test_a_bad_disc_that_the_plan_did_not_draw_is_never_lost():
    found = sampling("GGGG", GAP, (LabSample("S77", None, good=False), LabSample("S78", 50, good=True)))
    assert (found.outcome, found.bad, found.bad_apart, found.is_met) == (SampleOutcome.WITHIN, 0, 1, False)
    first = replace(
        found, others=(), strokes=(replace(found.strokes[0], state=DrawState.BAD), *found.strokes[1:])
    )
    assert (first.bad_apart, first.is_met) == (1, False)


def test_without_a_plan_there_is_no_outcome():
    found = replace(sampling("GG", GAP), plan=None, seed=None)
    assert (found.outcome, found.is_met) == (None, True)
    assert "No plan was asked for" in sentences(found)[0]


@pytest.mark.parametrize(
    ("before", "said"),
    [
        (Switching(InspectionSeverity.TIGHTENED), "it is due for tightened inspection"),
        (
            Switching(InspectionSeverity.TIGHTENED, discontinued=True),
            "its inspection has ended until the cause is mended",
        ),
    ],
)
def test_the_severity_that_is_due_is_said(before, said):
    plan = attribute_plan(100, "II", "4.0", InspectionSeverity.NORMAL)
    told = " ".join(sentences(replace(sampling("G" * 20, plan), before=before)))
    assert said in told
    assert "due for" not in " ".join(sentences(sampling("G" * 20, plan)))


@pytest.mark.parametrize(
    ("states", "said"),
    [
        (
            "G" * 20,
            "Ring: the lot, if it is as its sample so far: 0 bad of 20 judged, 0.0 %. Thick: up to 12 bad, with 95 %",
        ),
        ("GB" + "G" * 18, "Cross: the lot, if it is as its sample so far: 1 bad of 20 judged, 5.0 %"),
        ("B" * 20, "Cross: the lot, if it is as its sample so far: 20 bad of 20 judged, 100.0 %"),
    ],
)
def test_the_lot_is_on_the_curve_of_its_plan(states, said):
    plan = attribute_plan(100, "II", "4.0", InspectionSeverity.NORMAL)
    picture = plan_curve_svg(sampling(states, plan), at="2025-03-05T06:13:20+01:00")
    assert said in picture
    assert picture == plan_curve_svg(sampling(states, plan), at="2025-03-05T06:13:20+01:00")
