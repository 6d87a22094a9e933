"""Several causes in one scope, and what a station or a person did in a period."""

from dataclasses import replace

import pytest
from support_asking import contain, contain_several
from support_genealogy_plant import C1, C2, C3, P1, judged, small_plant

from tracelink.errors import UnknownCode, UsageError
from tracelink.genealogy.containment.causes import CauseQuery
from tracelink.genealogy.containment.wanted_holds import holds_for
from tracelink.genealogy.model.facts import ActFact, MovementFact, ReadingFact
from tracelink.genealogy.model.shapes import Shape, TierName
from tracelink.genealogy.suspects.activity import Period

ONSET, LIFE, ANY = Shape.FROM_ONSET, Shape.WHOLE_LIFE, Shape.INTERMITTENT


def at(clock):
    return f"2031-03-04T{clock}:00+01:00"


def plant(*judgements):
    """The small plant with its press room's and packing line's entries; the press is W1, the line W5, the dock W6."""
    records = small_plant()
    records.judgements = list(judgements)
    records.stations = {"W1": "press", "W2": "press", "W5": "line", "W6": "dock", "W8": "line"}
    records.people = {"P7": "Ada", "P8": "Ben", "P9": "Cleo"}
    records.acts = [
        ActFact(1, "press-set-up", "W1", "P7", at("06:00"), at("06:00")),
        ActFact(10, "stack-taken", "W1", "P7", at("07:00"), at("07:00"), ReadingFact("L1", 0, 200)),
        ActFact(11, "sample-drawn", "W4", "P8", at("07:30"), at("07:30"), ReadingFact("L1", 200, 250)),
        ActFact(15, "stack-taken", "W1", "P8", at("08:00"), at("08:00"), ReadingFact("L1", 250, 400)),
        ActFact(20, "run-changed", "W1", "P8", at("08:10"), at("08:10"), ReadingFact("L1", 400, 400)),
        ActFact(22, "stack-taken", "W1", "P8", at("09:00"), at("09:00"), ReadingFact("L1", 400, 500)),
        ActFact(30, "discs-sleeved", "W5", "P7", at("10:30"), at("10:00")),
        ActFact(31, "discs-sleeved", "W5", "P7", at("11:30"), at("11:00")),
        ActFact(32, "discs-sleeved", "W5", "P9", at("12:00"), at("11:40")),
        ActFact(50, "carton-palletised", "W6", "P9", at("13:00"), at("13:00")),
        ActFact(51, "carton-palletised", "W6", "P9", at("13:05"), at("13:05")),
    ]
    return records


def scope(records, *clauses, shape=ONSET, period=None, **more):
    asked = CauseQuery(
        tuple(tuple(clause.split()) for clause in clauses), period and Period(*map(at, period))
    )
    return contain_several(records, asked, shape, **more)


def tiers(found):
    return [(tier.name.value, tier.lot, str(tier.strokes)) for tier in found.tiers]


def most(found):
    return {one.code: (one.least, one.most) for one in found.containers if one.most}


class TestAnd:
    def test_only_discs_of_both_are_in_question(self):
        found = scope(plant(), "T4", "M1")
        assert tiers(found) == [("possible", "L1", "1-400")]
        assert found.tiers[0].reason == "touched by stamper T4 and compound M1; no judged disc decides"
        assert (found.cause, found.kind, found.clauses) == ("T4 and M1", "several", (("T4",), ("M1",)))
        assert found.co_affected == ("L1",)

    def test_a_good_disc_clears_only_what_lies_before_it_in_both(self):
        """By T4 alone disc 200 clears 1-200; with the compound it may be good for want of that."""
        found = scope(plant(judged("S1", "L1", 200, True)), "T4", "M1")
        assert tiers(found) == [("possible", "L1", "1-199, 201-400"), ("cleared", "L1", "200")]
        both_onset = scope(plant(judged("S1", "L1", 200, True)), "T4", "L1")
        assert tiers(both_onset) == [("cleared", "L1", "1-200"), ("possible", "L1", "201-400")]

    def test_a_bad_disc_proves_what_lies_after_it_in_both(self):
        found = scope(plant(judged("S1", "L1", 200, False, defect="pit")), "T4", "L1")
        assert tiers(found) == [("possible", "L1", "1-199"), ("proven", "L1", "200-400")]

    def test_a_bad_disc_of_one_cause_only_is_no_evidence_and_named(self):
        found = scope(plant(judged("S1", "L1", 450, False, defect="pit")), "T4", "L1")
        assert tiers(found) == [("possible", "L1", "1-400")]
        assert any("not all of the causes touched it: it says nothing here" in gap for gap in found.gaps)

    def test_no_tool_is_held_for_what_it_does_only_together(self):
        found = scope(plant(), "T4", "L1")
        assert found.suspects == ()
        assert "T4" not in {item.subject for item in holds_for(found)}

    def test_any_of_several_in_a_clause(self):
        found = scope(plant(), "T4", "M2 L3")
        assert str(CauseQuery((("T4",), ("M2", "L3")))) == "T4 and (M2 or L3)"
        assert tiers(found) == [("possible", "L2", "1-300")]


class TestOr:
    def test_discs_of_either_are_in_question_with_their_own_reason(self):
        found = scope(plant(), "T4 L3")
        assert [(str(tier.strokes), tier.lot, tier.reason.split(";")[0]) for tier in found.tiers] == [
            ("1-400", "L1", "touched by stamper T4"),
            ("1-300", "L2", "touched by stamper T4"),
            ("1-50", "L3", "touched by lot L3"),
        ]
        assert found.suspects == ("T4",)

    def test_a_bad_disc_of_both_proves_only_what_follows_from_each(self):
        """Disc 300 of lot L1 was made with T4; the fault may be the stamper's or the lot's."""
        found = scope(plant(judged("S1", "L1", 300, False, defect="pit")), "T4 L1")
        assert tiers(found) == [
            ("possible", "L1", "1-299"),
            ("proven", "L1", "300-400"),
            ("possible", "L1", "401-500"),
            ("possible", "L2", "1-300"),
        ]

    def test_a_good_disc_lets_the_other_cause_stand_alone(self):
        """Disc 450 is good, so the lot had no fault up to there: disc 300 is T4's, and so is all after it."""
        evidence = plant(judged("S1", "L1", 300, False, defect="pit"), judged("S2", "L1", 450, True))
        assert tiers(scope(evidence, "T4 L1")) == [
            ("possible", "L1", "1-299"),
            ("proven", "L1", "300-400"),
            ("cleared", "L1", "401-450"),
            ("possible", "L1", "451-500"),
            ("proven", "L2", "1-300"),
        ]

    def test_discs_that_contradict_every_cause_clear_only_themselves(self):
        evidence = plant(judged("S1", "L1", 100, False, defect="pit"), judged("S2", "L1", 300, True))
        found = scope(evidence, "T4 T5")
        assert [tier.name for tier in found.tiers] == [
            TierName.POSSIBLE,
            TierName.PROVEN,
            TierName.CLEARED,
            TierName.POSSIBLE,
            TierName.POSSIBLE,
        ]
        assert [str(tier.strokes) for tier in found.tiers if tier.name is TierName.CLEARED] == ["300"]
        assert found.contradictions[0].startswith(
            "Sample S1 (lot L1, stroke 100) was bad, but good discs leave no cause"
        )


class TestPlaces:
    def test_a_carton_and_a_stamper(self):
        """C2 holds 60 of K2 and 10 of K3: as a place any of the 70; T4 made those of K2."""
        either = scope(plant(judged("S1", "L1", 400, True)), f"T4 {C2}")
        assert most(either)[C2] == (0, 70)
        both = scope(plant(judged("S1", "L1", 400, True)), "T4", C2)
        # The good disc may be good for want of the carton, so it clears itself only: 60 stay possible.
        assert most(both) == {C2: (0, 60)}
        assert not next(one for one in both.containers if one.code == C2).tight

    def test_sums_of_places_are_bounded_together(self):
        both = scope(plant(), "T4", C2)
        (total,) = [place for place in both.places if place.place == "total"]
        assert (total.least, total.most) == (0, 70)
        assert sum(place.pieces for place in both.places[:-1]) == total.pieces

    def test_a_bad_disc_beside_a_place_proves_only_itself(self):
        found = scope(plant(judged("S1", "L1", 200, False, defect="pit")), f"T4 {C2}")
        assert ("proven", "L1", "200") in tiers(found)

    def test_under_and_with_a_place_nothing_is_proven(self):
        found = scope(plant(judged("S1", "L1", 200, False, defect="pit")), "T4", C2)
        # Nothing of lot L2, which T4 made as well, was ever in the carton.
        assert tiers(found) == [("possible", "L1", "1-400")]
        assert all(one.least == 0 for one in found.containers)


class TestPress:
    def test_strokes_between_readings_that_meet_the_period(self):
        """07:10 to 07:20 lies between the readings of 07:00 and 08:00: strokes 201 to 400, the lab's reading too."""
        found = scope(plant(), "W1", period=("07:10", "07:20"))
        assert tiers(found) == [("possible", "L1", "201-400")]
        assert found.period == (at("07:10"), at("07:20"))
        assert "a reading of a counter brings all strokes since the one before" in found.reasons[0]

    def test_a_stack_taken_in_the_period_is_touched_whole(self):
        found = scope(plant(), "W1", period=("08:00", "08:00"))
        assert tiers(found) == [("possible", "L1", "201-400")]
        wider = scope(plant(), "W1", period=("07:00", "08:59"))
        assert tiers(wider) == [("possible", "L1", "1-500")]

    def test_samples_narrow_along_the_press(self):
        found = scope(plant(judged("S1", "L1", 300, True)), "W1", period=("07:10", "07:20"))
        assert tiers(found) == [("cleared", "L1", "201-300"), ("possible", "L1", "301-400")]

    def test_discs_that_only_the_lab_has_counted_yet_were_pressed_after_the_last_reading(self):
        records = plant()
        records.lots[0] = replace(records.lots[0], pressed=520)
        assert tiers(scope(records, "W1", period=("15:00", "16:00"))) == [("possible", "L1", "501-520")]
        assert tiers(scope(records, "W1", period=("08:20", "08:30"))) == [("possible", "L1", "401-500")]

    def test_a_window_is_the_period(self):
        found = scope(
            plant(judged("S1", "L1", 300, True)), "W1", shape=Shape.WINDOW, period=("07:10", "07:20")
        )
        assert tiers(found) == [("possible", "L1", "201-299, 301-400"), ("cleared", "L1", "300")]


class TestLineAndDock:
    def test_what_a_line_packed_is_bounded_by_place(self):
        found = scope(plant(), "W5", period=("10:10", "10:20"), shape=ANY)
        assert most(found) == {C1: (0, 40)}
        assert found.tiers == ()
        assert found.reasons[-1].startswith("What was packed, put on pallets or loaded is followed by place")

    def test_a_run_that_only_touches_the_period_counts_whole(self):
        assert most(scope(plant(), "W5", period=("11:30", "11:35"), shape=ANY)) == {C2: (0, 60)}

    def test_all_that_was_in_a_carton_when_it_was_palletised(self):
        found = scope(plant(), "W6", period=("13:00", "13:01"), shape=ANY)
        assert most(found) == {C1: (0, 40)}

    def test_discs_are_followed_out_of_the_carton(self):
        records = plant()
        records.movements.append(MovementFact(70, 0, "L1", 30, C1, C3, None, None, at("14:00")))
        found = scope(records, "W5", period=("10:10", "10:20"), shape=ANY)
        assert most(found) == {C1: (0, 10), C3: (0, 30)}

    def test_loose_discs_that_customers_send_back_may_be_among_them(self):
        records = plant()
        records.movements.append(
            MovementFact(70, 0, "L1", 3, "customers", "returned", None, None, at("14:00"))
        )
        found = scope(records, "W5", period=("10:10", "10:20"), shape=ANY)
        assert most(found) == {C1: (0, 40), "returned": (0, 3)}
        assert found.places[-1].most == 40

    def test_matches_in_the_spool_count_by_their_own_time(self):
        records = plant()
        late = MovementFact(100, 0, "L1", 1, "K3", C3, None, None, at("14:00"))
        records.movements.append(late)
        records.spooled = [("W8", "P7", late)]
        assert most(scope(records, "W8", period=("13:59", "14:01"), shape=ANY)) == {C3: (0, 1)}
        assert most(scope(records, "W8", period=("14:01", "14:02"), shape=ANY)) == {}

    def test_a_lab_touches_the_discs_it_drew_and_pressed_none(self):
        records = plant()
        records.stations["W4"] = "lab"
        assert tiers(scope(records, "W4", shape=ANY)) == [("possible", "L1", "200")]


class TestPerson:
    def test_who_read_a_counter_in_the_lab_pressed_nothing_by_that(self):
        records = plant()
        records.stations["W4"] = "lab"
        # Ben read the press's counter at eight and nine, set up what came after eight, and drew disc 200.
        assert tiers(scope(records, "P8", shape=ANY)) == [("possible", "L1", "200-500")]

    def test_what_a_badge_pressed_set_up_and_packed(self):
        found = scope(plant(), "P7", shape=ANY)
        assert tiers(found) == [("possible", "L1", "1-400")]
        assert most(found)[C1] == (0, 40)
        assert (
            "Judgements, releases and holds under the badge touch no disc and are not followed."
            in found.reasons
        )

    def test_with_a_period(self):
        found = scope(plant(), "P9", period=("11:50", "12:30"), shape=ANY)
        assert (tiers(found), most(found)) == ([], {C2: (0, 10)})


@pytest.mark.parametrize(
    ("clauses", "shape", "period", "sentence"),
    [
        (
            ["T4"],
            ONSET,
            ("10:00", "11:00"),
            (
                "--from and --to say when a station or a person did something, or what was in equipment: expected one of "
                "them, found stamper"
            ),
        ),
        (
            ["T4 L1"],
            Shape.WINDOW,
            None,
            (
                "shape window with several causes: expected only stations, equipment and persons with --from or --to, which is the "
                "window"
            ),
        ),
        (["W8"], ANY, None, "station W8 is known, but nothing was ever recorded there: it touched no disc"),
    ],
)
def test_questions_that_say_nothing_are_refused(clauses, shape, period, sentence):
    with pytest.raises(UsageError) as refused:
        scope(plant(), *clauses, shape=shape, period=period)
    assert str(refused.value) == sentence


def test_an_unknown_cause_among_several_is_refused():
    with pytest.raises(UnknownCode):
        scope(plant(), "T4 T99")


def test_a_cause_that_touched_nothing_is_said_so():
    records = plant()
    records.tools.append(replace(records.tools[3], code="T8"))
    assert contain(records, "T8", ONSET).reasons == ("Stamper T8 is in the records, but touched no disc.",)
    assert "Stamper T8 is in the records, but touched no disc." in scope(records, "T4 T8").reasons


def test_one_cause_in_a_clause_is_that_cause():
    """Asked through either door, one stamper has the same tiers, containers and groups."""
    evidence = plant(judged("S1", "L1", 200, True), judged("S2", "L2", 50, False, defect="pit"))
    alone, several = contain(evidence, "T4", ONSET), scope(evidence, "T4")
    assert tiers(several) == tiers(alone)
    assert several.containers == alone.containers
    assert [group.bound for group in several.groups] == [group.bound for group in alone.groups]
    assert P1 in {group.code for group in several.groups}
    assert several.places == alone.places
