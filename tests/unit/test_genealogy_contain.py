"""Containment of the hand-written plant: each kind of cause, the places, the groups, the holds, the gaps."""

import json
from dataclasses import replace

import pytest
from support_asking import contain
from support_genealogy_plant import C1, C2, C3, C4, P1, judged, move, small_plant

from tracelink.errors import UnknownCode, UsageError
from tracelink.genealogy.containment.held import PlaceTotal
from tracelink.genealogy.containment.scope import bounds_of
from tracelink.genealogy.containment.wanted_holds import HoldItem, holds_for, shipped_with
from tracelink.genealogy.flow.pool_bounds import Bound
from tracelink.genealogy.model.facts import ContainerFact, NestFact, SegmentFact
from tracelink.genealogy.model.shapes import Shape, TierName

GOOD = judged("S1", "L1", 200, True)
BAD = judged("S2", "L2", 50, False, defect="scratch")


def plant(*judgements):
    records = small_plant()
    records.judgements = list(judgements)
    return records


def tiers(scope):
    return [(tier.name.value, tier.lot, str(tier.strokes)) for tier in scope.tiers]


def held(scope, code, lot="L1"):
    return next(one for one in scope.containers if (one.code, one.lot) == (code, lot))


def test_a_stamper_from_its_onset_across_two_lots():
    scope = contain(plant(GOOD, BAD), "T4", Shape.FROM_ONSET)
    assert tiers(scope) == [
        ("cleared", "L1", "1-200"),
        ("possible", "L1", "201-400"),
        ("possible", "L2", "1-49"),
        ("proven", "L2", "50-300"),
    ]
    assert {one.code: (one.pieces, one.least, one.most) for one in scope.containers} == {
        "K1": (159, 0, 0),
        "K2": (135, 0, 135),
        "K3": (90, 0, 0),
        "S1": (1, 0, 0),
        C1: (40, 0, 0),
        C2: (70, 0, 60),
        C3: (100, 51, 100),
    }
    assert scope.co_affected == ("L1", "L2")
    assert (scope.contradictions, scope.gaps, scope.head) == ((), (), (99, "ab" * 32))


def test_the_places_add_up_to_what_was_pressed():
    scope = contain(plant(GOOD, BAD), "T4", Shape.FROM_ONSET)
    assert scope.places == (
        PlaceTotal("carton closed", Bound(100, 51, 100, None, tight=True)),
        PlaceTotal("sample", Bound(1, 0, 0, None, tight=True)),
        PlaceTotal("shipped", Bound(110, 0, 60, None, tight=True)),
        PlaceTotal("spindle", Bound(384, 0, 135, None, tight=True)),
        PlaceTotal("scrap", Bound(5, 0, 5, None, tight=True)),
        PlaceTotal("unaccounted", Bound(200, 200, 200, None, tight=True)),
        PlaceTotal("total", Bound(800, 251, 500, None, tight=True)),
    )


def test_a_count_that_does_not_fit_shows_as_unaccounted_with_its_sign():
    records = plant()
    records.movements.append(move(70, "L3", 3, "K5", C4))
    scope = contain(records, "T7", Shape.WHOLE_LIFE)
    assert [(place.place, place.pieces) for place in scope.places] == [
        ("carton closed", 53),
        ("scrap", 0),
        ("unaccounted", -3),
        ("total", 50),
    ]
    assert scope.contradictions == (
        (
            f"Lot L3: entry 70 takes 3 from K5 to {C4}, but only 0 can be there (brought there by entries 65, taken by "
            f"entries 66). Count again or look for a late entry."
        ),
    )
    assert not held(scope, C4, "L3").tight
    assert "the bounds hold, but may be wider" in scope.gaps[0]


def test_groups_are_bounded_together():
    scope = contain(plant(GOOD, BAD), "T4", Shape.FROM_ONSET)
    assert [(one.kind, one.code, one.bound.pieces, one.bound.most, one.shipped) for one in scope.groups] == [
        ("pallet", P1, 110, 60, True),
        ("shipment", "D1", 110, 60, True),
        ("consignee", "Example Shop 1", 110, 60, True),
        ("order", "O1", 110, 60, True),
        ("country", "NO", 110, 60, True),
    ]
    assert bounds_of(scope, [P1, C1, C2]) == bounds_of(scope, ["Example Shop 1"])
    assert bounds_of(scope, ["NO", C1]) == bounds_of(scope, ["O1"]) == bounds_of(scope, [C1, C2])
    assert bounds_of(scope, ["K2", C2]) == Bound(205, 0, 195, 1.0, tight=True)
    assert bounds_of(scope, ["K2", C2, "scrap"]).most == 195
    assert bounds_of(scope, ["K9"]) == Bound(0, 0, 0, 0.0, tight=True)


def test_holds_name_what_is_in_the_plant_and_leave_out_what_left():
    scope = contain(plant(GOOD, BAD), "T4", Shape.FROM_ONSET)
    assert holds_for(scope) == [
        HoldItem("K2", None, None),
        HoldItem(C3, None, None),
        HoldItem("T4", None, None),
        HoldItem("L1", 201, 400),
        HoldItem("L2", 1, 300),
    ]
    assert [one.code for one in shipped_with(scope)] == [C2]


def test_what_is_being_loaded_is_not_shipped_and_is_held():
    records = plant(GOOD, BAD)
    records.containers = [
        one._replace(status="loading") if one.code in (P1, "D1") else one for one in records.containers
    ]
    scope = contain(records, "T4", Shape.FROM_ONSET)
    assert {HoldItem(code, None, None) for code in (C2, P1, "D1")} <= set(holds_for(scope))
    assert shipped_with(scope) == []
    assert [place.place for place in scope.places][:2] == ["carton closed", "loading"]


def test_a_mother_is_read_stamper_by_stamper():
    scope = contain(plant(GOOD, judged("S4", "L1", 450, False)), "T3", Shape.FROM_ONSET)
    assert tiers(scope) == [
        ("cleared", "L1", "1-400"),
        ("proven", "L1", "401-500"),
        ("cleared", "L2", "1-300"),
    ]
    assert scope.reasons == (
        (
            "T3 is a mother: a stamper grown from it after the fault began is wrong for its whole life, so each stamper is "
            "read as whole-life and judged by its own discs only."
        ),
    )
    assert scope.suspects == ("T3", "T5")
    assert HoldItem("T5", None, None) in holds_for(scope)


def test_a_stamper_that_pressed_nothing_yet_is_suspect_with_its_mother():
    records = plant(judged("S4", "L1", 450, False))
    records.tools.append(type(records.tools[4])("T8", "stamper", "T3", "EX-101 A", "A", "in store"))
    assert "T8" in contain(records, "T3", Shape.WHOLE_LIFE).suspects


def test_an_untested_stamper_under_a_bad_mother_stays_possible():
    scope = contain(plant(BAD), "T1", Shape.WHOLE_LIFE)
    assert ("possible", "L3", "1-50") in tiers(scope)
    assert ("proven", "L2", "1-300") in tiers(scope)


def test_compound_and_labels_let_no_disc_speak_for_another():
    scope = contain(plant(BAD), "M2", Shape.WHOLE_LIFE)
    assert tiers(scope) == [
        ("possible", "L2", "1-49, 51-300"),
        ("proven", "L2", "50"),
        ("possible", "L3", "1-50"),
    ]
    assert scope.reasons == (
        (
            "A compound is not one thing that makes disc after disc: shape whole-life is read as intermittent, so that no "
            "judged disc speaks for another."
        ),
    )
    assert scope.suspects == ()


def test_a_press_counts_on_from_lot_to_lot():
    scope = contain(plant(judged("S1", "L1", 450, True), BAD), "W1", Shape.FROM_ONSET)
    assert tiers(scope) == [
        ("cleared", "L1", "1-400"),
        ("cleared", "L1", "401-450"),
        ("possible", "L1", "451-500"),
        ("possible", "L2", "1-49"),
        ("proven", "L2", "50-300"),
    ]


@pytest.mark.parametrize(
    ("window", "expected"),
    [
        ((25, 30), [("cleared", "L1", "1-400"), ("possible", "L1", "401-500"), ("cleared", "L2", "1-300")]),
        ((1, 19), [("possible", "L1", "1-400"), ("cleared", "L1", "401-500"), ("cleared", "L2", "1-300")]),
        ((30, 50), [("cleared", "L1", "1-400"), ("possible", "L1", "401-500"), ("possible", "L2", "1-300")]),
    ],
)
def test_a_window_on_a_press_is_journal_time(window, expected):
    assert tiers(contain(plant(), "W1", Shape.WINDOW, window=window)) == expected


def test_a_window_on_a_stamper_is_its_own_life():
    scope = contain(plant(), "T4", Shape.WINDOW, window=(390, 410))
    assert tiers(scope) == [
        ("cleared", "L1", "1-389"),
        ("possible", "L1", "390-400"),
        ("possible", "L2", "1-10"),
        ("cleared", "L2", "11-300"),
    ]
    assert HoldItem("T4", None, None) not in holds_for(scope)


def test_a_lot_a_spindle_and_a_sample_as_the_cause():
    assert tiers(contain(plant(), "L3", Shape.WHOLE_LIFE)) == [("possible", "L3", "1-50")]
    assert contain(plant(), "L3", Shape.WHOLE_LIFE).co_affected == ()
    spindle = contain(plant(), "K3", Shape.INTERMITTENT)
    assert tiers(spindle) == [("possible", "L1", "401-500")]
    assert (held(spindle, C2).least, held(spindle, C2).most) == (0, 10)
    assert tiers(contain(plant(GOOD), "S1", Shape.INTERMITTENT)) == [("cleared", "L1", "200")]


def test_one_disc_with_both_stampers_from_the_cause_takes_the_stronger_tier():
    records = plant(judged("S4", "L3", 10, False))
    records.segments[3] = replace(records.segments[3], stamper_b="T4", life_b=700)
    scope = contain(records, "T1", Shape.WHOLE_LIFE)
    assert [one for one in tiers(scope) if one[1] == "L3"] == [("proven", "L3", "1-50")]


def test_a_carton_is_contained_by_place_and_not_by_stroke():
    scope = contain(plant(), C2, Shape.INTERMITTENT)
    assert [(one.code, one.least, one.most) for one in scope.containers] == [(C2, 0, 70)]
    assert scope.tiers == ()
    assert bounds_of(scope, [C2, C1]) == Bound(70, 0, 70, None, tight=True)
    assert [(place.place, place.pieces) for place in scope.places] == [
        ("shipped", 70),
        ("scrap", 0),
        ("unaccounted", 0),
        ("total", 70),
    ]


def test_a_sleeve_batch_touches_its_cartons_and_a_pallet_also_what_was_taken_off():
    batch = contain(plant(), "B1", Shape.INTERMITTENT)
    assert {one.code for one in batch.containers} == {C1, C4}
    assert holds_for(batch) == [HoldItem(C4, None, None)]
    assert {one.code for one in contain(plant(), "D1", Shape.INTERMITTENT).containers} == {C1, C2, C3}


def test_nestings_that_run_in_a_circle_end():
    records = plant()
    records.nests.append(NestFact("D1", P1, 60, None))
    scope = contain(records, P1, Shape.INTERMITTENT)
    assert {one.code for one in scope.containers} == {C1, C2, C3}
    assert contain(records, "T5", Shape.WHOLE_LIFE).containers[-1].parents == (P1, "D1", P1)


def test_discs_that_left_a_carton_are_named():
    records = plant()
    records.movements.append(move(80, "L3", 2, C4, "K9"))
    assert contain(records, C4, Shape.INTERMITTENT).gaps == (
        f"Entry 80 took 2 of lot L3 from {C4} to K9; they are not counted here. Follow K9.",
    )


def test_gaps_say_what_the_records_do_not():
    records = plant(BAD, judged("S3", "L1", 480, False, defect="scratch"), judged("S5", "L2", 60, False))
    records.segments[0] = replace(records.segments[0], last=390)
    records.segments[2] = replace(records.segments[2], last=310)
    records.segments.append(SegmentFact("L9", 1, 5, "W1", "T4", "T9", 705, 0, "M1", "E1", "E2", 80))
    records.movements.append(move(81, "L2", 1, "K4", "K9", 1, 1))
    scope = contain(records, "T4", Shape.FROM_ONSET, defect="scratch")
    assert scope.gaps == (
        (
            "Strokes 391-400 of lot L1 were counted, but no record says with which stampers, compound and labels. They are "
            "in no tier; look into them."
        ),
        "Strokes 301-310 of lot L2 are in run segments, but the press counted 300 only.",
        "Lot L9 is named by a run segment but is not in the records itself.",
        (
            "Strokes 706-710 in the life of stamper T4 are recorded twice, the second time for lot L9. Check its stroke "
            "count."
        ),
        "Strokes 391-400 in the life of stamper T4 are in no recorded lot.",
        "Sample S3 (lot L1, stroke 480) was judged bad, but T4 did not touch it. Look for another cause as well.",
        "Sample S5 (lot L2, stroke 60) was judged bad without a named defect; it counts as scratch. Ask the lab.",
        (
            "In lot L2 movements conflict, or more is open than was worked out: the bounds hold, but may be wider than the "
            "records force."
        ),
        "Discs of lot L2 were moved into K9, which no record describes. Find out what it is.",
    )


def test_two_open_parents_are_a_gap():
    records = plant()
    records.nests.append(NestFact(C2, "952000000000000009", 60, None))
    records.containers.append(ContainerFact("952000000000000009", "pallet", "open", ""))
    scope = contain(records, "T5", Shape.WHOLE_LIFE)
    assert scope.gaps == (
        f"The records show {C2} in {P1} and 952000000000000009 at once; the last entry is used. Look for it.",
    )
    assert not held(scope, C2).shipped


def test_the_evidence_of_another_defect_is_not_used():
    assert tiers(contain(plant(BAD), "T4", Shape.FROM_ONSET, defect="warp")) == [
        ("possible", "L1", "1-400"),
        ("possible", "L2", "1-300"),
    ]


def test_evidence_may_be_given():
    scope = contain(plant(), "T4", Shape.FROM_ONSET, [GOOD])
    assert tiers(scope)[:2] == [("cleared", "L1", "1-200"), ("possible", "L1", "201-400")]


def test_nothing_is_followed_when_everything_is_cleared_for_the_shape():
    scope = contain(plant(GOOD), "T4", Shape.WHOLE_LIFE)
    assert {tier.name.value for tier in scope.tiers} == {"cleared"}
    assert scope.containers == ()
    assert scope.suspects == ("T4",)


@pytest.mark.parametrize(
    ("cause", "shape", "window", "sentence"),
    [
        (
            "T4",
            Shape.WINDOW,
            None,
            "--shape window asks between which two points: give --window FIRST-LAST, such as 400-520",
        ),
        (
            "T4",
            Shape.INTERMITTENT,
            (1, 2),
            "--window 1-2 goes with --shape window only, found --shape intermittent",
        ),
        (
            "T3",
            Shape.WINDOW,
            (1, 2),
            "a window needs a stamper, a lot or a press as its cause, found a mother",
        ),
        ("T4", Shape.WINDOW, (5, 2), "window 5 to 2: expected 1 <= first <= last"),
    ],
)
def test_shape_and_window_must_fit(cause, shape, window, sentence):
    with pytest.raises(UsageError) as caught:
        contain(plant(), cause, shape, window=window)
    assert str(caught.value) == sentence


def test_an_unknown_cause_is_refused():
    with pytest.raises(UnknownCode):
        contain(plant(), "T99", Shape.WHOLE_LIFE)


def test_json_is_plain_and_has_the_documented_keys():
    scope = contain(plant(GOOD, BAD), "T4", Shape.FROM_ONSET)
    plain = json.loads(json.dumps(scope.to_json()))
    assert list(plain) == [
        "cause",
        "kind",
        "shape",
        "defect",
        "window",
        "reasons",
        "tiers",
        "containers",
        "groups",
        "places",
        "contradictions",
        "gaps",
        "co_affected",
        "suspects",
        "head",
        "samples",
        "level",
        "carried_over",
        "clauses",
        "period",
        "next_tests",
        "cut_short",
    ]
    assert plain["tiers"][1] == {
        "name": "possible",
        "lot": "L1",
        "strokes": [[201, 400]],
        "reason": "between the last good and the first bad disc",
        "most": None,
        "share_permille": None,
    }
    assert plain["containers"][-1] == {
        "code": C3,
        "kind": "carton",
        "status": "closed",
        "lot": "L2",
        "pieces": 100,
        "least": 51,
        "most": 100,
        "chance": 1.0,
        "tight": True,
        "parents": [],
        "consignee": "",
        "shipped": False,
    }
    assert plain["groups"][0]["most"] == 60
    assert plain["head"] == {"seq": 99, "hash": "ab" * 32}


def test_a_lot_whose_tools_were_changed_has_no_one_life():
    """One good disc of one stamper says nothing about the discs of the next one."""
    records = plant(GOOD)
    changed = next(lot.code for lot in records.lots if len(records.segments_of(lot.code)) > 1)
    scope = contain(records, changed, Shape.WHOLE_LIFE)
    count = len(records.segments_of(changed)) - 1
    reason = (
        f"Lot {changed} was pressed with changes on the way ({count}): it has no one life, so shape whole-life is read "
        "as intermittent, and no judged disc speaks for another."
    )
    assert scope.reasons == (reason,)
    cleared = [tier for tier in scope.tiers if tier.name is TierName.CLEARED]
    assert sum(len(tier.strokes) for tier in cleared) == len(
        [one for one in records.judgements_of(changed) if one.good]
    )


def test_a_stamper_of_side_b_is_narrowed_along_its_own_life_and_not_along_that_of_side_a():
    """T9 made side B of every lot, while side A began a new life twice: with the life of side A, L3 would be cleared."""
    records = plant(judged("S8", "L2", 10, True), judged("S9", "L2", 200, False))
    assert [segment.life_a for segment in records.segments] == [0, 0, 400, 0]
    assert [segment.life_b for segment in records.segments] == [0, 400, 500, 800]
    assert tiers(contain(records, "T9", Shape.FROM_ONSET)) == [
        ("cleared", "L1", "1-400"),
        ("cleared", "L1", "401-500"),
        ("cleared", "L2", "1-10"),
        ("possible", "L2", "11-199"),
        ("proven", "L2", "200-300"),
        ("proven", "L3", "1-50"),
    ]
