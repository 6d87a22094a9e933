"""The search for a common cause: who stands out, what cannot be told apart, what is left out."""

import pytest
from support_genealogy import AT
from support_genealogy_plant import judged
from support_memory import MemoryRecords

from tracelink.errors import UsageError
from tracelink.genealogy.commoncause.compare import common_cause
from tracelink.genealogy.commoncause.exposure import judged_pieces
from tracelink.genealogy.model.facts import ActFact, LotFact, ReadingFact, SegmentFact, ToolFact
from tracelink.genealogy.model.step_facts import StepFact, StepItemFact, StepOutputFact
from tracelink.ledger.closed_sets import StepInput
from tracelink.quality.fourfold import half_added_odds, stratified_greater
from tracelink.report.pages.common_cause_text import as_json, by_chance, common_text, rows


def plant():
    """Press W1: lots L1 (T1, then T2) and L2 (T2); press W2: L3 (T3). T1 and T2 of mother M1, T3 of M2."""
    return MemoryRecords(
        tools=[
            ToolFact("F1", "father", None, "", "A", ""),
            ToolFact("M1", "mother", "F1", "", "A", ""),
            ToolFact("M2", "mother", "F1", "", "A", ""),
            ToolFact("T1", "stamper", "M1", "", "A", ""),
            ToolFact("T2", "stamper", "M1", "", "A", ""),
            ToolFact("T3", "stamper", "M2", "", "A", ""),
            ToolFact("T9", "stamper", None, "", "B", ""),
        ],
        lots=[
            LotFact(lot, "9520000012342", 1, "Moth Parliament", "W1", 100, "") for lot in ("L1", "L2", "L3")
        ],
        segments=[
            SegmentFact("L1", 1, 60, "W1", "T1", "T9", 0, 0, "C1", "E1", "E2", 1),
            SegmentFact("L1", 61, 100, "W1", "T2", "T9", 0, 60, "C1", "E1", "E2", 2),
            SegmentFact("L2", 1, 100, "W1", "T2", "T9", 40, 100, "C2", "E1", "E2", 3),
            SegmentFact("L3", 1, 100, "W2", "T3", "T9", 0, 200, "C2", "E1", "E2", 4),
        ],
    )


BAD = [("L1", 25), ("L1", 30), ("L1", 40), ("L1", 50), ("L1", 60)]
GOOD = [
    *(("L1", stroke) for stroke in (5, 10, 15, 20, 61, 70, 80, 90, 100)),
    *(("L2", stroke) for stroke in range(5, 100, 5)),
    *(("L3", stroke) for stroke in range(5, 100, 5)),
]
READINGS = [
    ActFact(5, "stack-taken", "W1", "P1", AT, AT, ReadingFact("L1", 0, 60)),
    ActFact(6, "press-stopped", "W1", "P2", AT, AT, ReadingFact("L1", 60, 100)),
]


def given(bad=BAD, good=GOOD, defect="scratch"):
    return [
        *(judged(f"S{lot}{stroke}", lot, stroke, False, defect=defect) for lot, stroke in bad),
        *(judged(f"S{lot}{stroke}", lot, stroke, True) for lot, stroke in good),
    ]


def found(judgements=None, defect=None, stratum="press"):
    discs = judged_pieces(plant(), given() if judgements is None else judgements, READINGS, defect)
    return common_cause(discs, stratum)


def candidate(result, kind, code):
    return next(one for one in result.candidates if (one.kind, one.code) == (kind, code))


def test_the_stamper_that_made_the_bad_discs_stands_first():
    result = found()
    first = result.candidates[0]
    assert (first.kind, first.code, first.table) == ("stamper", "T1", ((5, 4), (0, 43)))
    assert first.significant
    assert first.odds == half_added_odds(((5, 4), (0, 43)))
    # 5 bad of 52: all five among the nine of T1, C(9,5)/C(52,5).
    assert first.p == pytest.approx(126 / 2598960)
    assert first.adjusted == pytest.approx(first.p * len(result.candidates) / 2)
    assert (first.onset.after, first.onset.first) == ("L1:20", "L1:25")
    assert first.onset.p == pytest.approx(1 / 126)


def test_who_ran_the_press_is_who_read_its_counter_next():
    result = found()
    assert candidate(result, "operator", "P1").table == ((5, 4), (0, 43))
    assert candidate(result, "stamper", "T1").aliases == ("operator P1",)
    assert candidate(result, "operator", "P1").aliases == ("stamper T1",)


def test_a_thing_that_made_every_judged_disc_cannot_be_compared():
    assert found().shared == ("stamper T9", "father F1", "label E1", "label E2")


def test_what_stands_out_only_through_the_first_is_told_so():
    lot = candidate(found(), "lot", "L1")
    assert (lot.table[0], lot.apart, lot.significant) == ((5, 9), 0, True)
    assert "more stand out only through the first" in common_text(found(), "scratch")
    other = found(given(bad=[*BAD, ("L2", 7)]))
    assert (other.candidates[0].code, candidate(other, "press", "W1").apart) == ("T1", 1)


def test_within_strata_only_those_with_and_without_it_count():
    result = found(stratum="lot")
    within = candidate(result, "stamper", "T1").within
    # Only lot L1 has discs of T1 and of another stamper.
    assert (within.strata, within.p) == (1, pytest.approx(stratified_greater([((5, 4), (0, 5))])))
    assert within.ratio is None
    assert candidate(result, "press", "W2").within is None
    assert candidate(result, "lot", "L1").within is None


def test_a_press_with_bad_lots_does_not_make_its_tools_look_bad():
    """Simpson's case: T2 is bad on one press only, where everything is; within the press nothing is left."""
    judgements = given(
        bad=[("L1", stroke) for stroke in (5, 15, 25, 35, 65, 75, 85)]
        + [("L2", stroke) for stroke in (5, 15, 25, 35)],
        good=[("L1", stroke) for stroke in (45, 55)]
        + [("L2", 45), ("L2", 55)]
        + [("L3", n) for n in range(5, 100, 5)],
    )
    stamper = candidate(found(judgements), "stamper", "T2")
    assert stamper.p < 0.05
    assert stamper.within.p > 0.5


def test_other_defects_and_unmade_discs_are_left_out_and_counted():
    judgements = [
        *given(),
        judged("S8", "L2", 7, False, defect="warp"),
        judged("S9", "L7", 7, False, defect="scratch"),
    ]
    result = found(judgements, defect="scratch")
    assert (result.bad, result.good) == (5, 47)
    assert any(
        text.startswith("Judged discs that were bad for another defect only") and text.endswith(": 1.")
        for text in result.cautions
    )
    assert "For 1 judged discs no record says what they were made with." in result.cautions


def test_a_disc_judged_good_and_bad_is_one_bad_disc():
    result = found([*given(), judged("again", "L1", 5, False, defect="scratch")])
    assert (result.bad, result.good) == (6, 46)


def test_without_a_bad_disc_there_is_nothing_to_compare():
    result = found(given(bad=[]))
    assert result.candidates == ()
    assert "Without a bad disc there is nothing to compare." in common_text(result, None)
    assert found([]).candidates == ()


def test_nothing_stands_out_where_bad_discs_are_everywhere():
    result = found(given(bad=[("L1", 5), ("L2", 5), ("L3", 5)], good=[("L1", 70), ("L2", 70), ("L3", 70)]))
    assert not any(one.significant for one in result.candidates)
    assert "No candidate stands out after the correction" in common_text(result, None)


def test_the_text_names_the_rise_and_what_cannot_be_told_apart():
    text = common_text(found(), "scratch")
    assert text.startswith(
        "5 of 52 judged discs are bad, defect scratch.\nStamper T1: 5 of 9 discs made with it are bad"
    )
    # p is 0.0079.
    assert "Bad discs become more frequent between L1:20 and L1:25; by chance: about 1 in 130." in text
    assert "The judged discs do not tell it from operator P1." in text
    assert "An association is not proof" in text
    assert "Every judged disc was made with stamper T9" in text


@pytest.mark.parametrize(
    ("p", "said"),
    [
        (1, "often"),
        (0.51, "often"),
        (0.5, "about 1 in 2"),
        (0.048, "about 1 in 21"),
        (0.0079, "about 1 in 130"),
        (1 / 4321, "about 1 in 4\u202f000"),
        (2.5e-7, "about 1 in 4 million"),
        (1.2e-9, "about 1 in 800 million"),
        (1e-12, "less than 1 in 1000 million"),
        (0, "less than 1 in 1000 million"),
    ],
)
def test_a_chance_is_told_in_words_and_never_as_a_certainty(p, said):
    assert by_chance(p) == said


def test_the_screen_has_counts_and_no_statistics():
    text = common_text(found(), "scratch")
    assert "T1" in text
    assert "5 of 9" in text
    assert not any(word in text for word in ("odds", "corrected p", "p within"))
    assert "The statistics of all are in --format csv." in text


def test_json_and_rows_say_the_same():
    result = found()
    plain = as_json(result, {"defect": "scratch"})
    assert (plain["defect"], plain["judged"]) == ("scratch", {"bad": 5, "good": 47})
    assert [one["code"] for one in plain["candidates"]] == [row["code"] for row in rows(result)]
    assert plain["candidates"][0]["onset"]["after"] == "L1:20"
    assert plain["shared"] == list(result.shared)


def test_an_unknown_stratum_is_refused():
    with pytest.raises(UsageError, match="stratum 'moon': expected one of press, lot, compound, operator"):
        found(stratum="moon")


def washed(lot, first, last, seq):
    item = StepItemFact(seq, AT, StepInput.STROKES, lot, lot, first, last, None)
    return StepFact(f"X{seq}", "wash", "V1", seq, AT, AT, (item,), ())


def test_a_bath_that_bad_discs_of_two_presses_went_through_stands_out():
    records = plant()
    records.steps = [washed("L1", 20, 50, 8), washed("L3", 20, 50, 9)]
    bad = [(lot, stroke) for lot in ("L1", "L3") for stroke in (22, 27, 33, 48)]
    good = [(lot, stroke) for lot in ("L1", "L2", "L3") for stroke in range(55, 100, 5)]
    discs = judged_pieces(records, given(bad, good), READINGS, "scratch")
    first = common_cause(discs).candidates[0]
    assert (first.kind, first.code, first.aliases) == ("equipment", "V1", ())


def test_a_blend_is_compared_by_what_it_was_blended_of():
    records = plant()
    part = StepItemFact(1, AT, StepInput.MATERIAL, "C7", None, None, None, 5)
    dried = StepItemFact(0, AT, StepInput.MATERIAL, "C7", None, None, None, 5)
    records.steps = [
        StepFact("X0", "drying", "V3", 0, AT, AT, (dried,), ()),
        StepFact("X1", "blending", "V2", 1, AT, AT, (part,), (StepOutputFact(2, "C1", 5),)),
    ]
    [piece, other] = judged_pieces(records, given([("L1", 5)], [("L2", 5)]), READINGS, "scratch").pieces
    named = {("equipment", "V2"), ("equipment", "V3"), ("compound", "C7")}
    assert named <= piece.places.keys()
    assert not named & other.places.keys()
