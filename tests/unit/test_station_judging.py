"""What follows from judged discs: waivers by two people, parts of lots, sorted stacks; and tests that take weeks."""

import pytest
from support_bundle import PLANT, checkpoint, seal
from support_lab import add_to, lab_floor
from support_plant import LAB, LINE, n
from support_plantfile import read_plant_file

from tracelink.balance.lot import lot_balance
from tracelink.errors import UsageError
from tracelink.services.audit_bundle import ProvingCheckpoint, make_bundle
from tracelink.services.desks.lab_results import readings_due
from tracelink.services.place_holds import things_held
from tracelink.store.bundle.bundle_facts import Wishes
from tracelink.store.bundle.bundle_scope import bundle_scope
from tracelink.store.journal import journal, subtrees
from tracelink.store.records.balance_facts import lot_records
from tracelink.store.records.sql_records import SqlRecords
from tracelink.store.stations.judge_again import judge_again

WEAR = {
    "name": "play wear",
    "readings": [{"label": "10 hours played", "days": 2}, {"label": "50 hours played", "days": 21}],
}


@pytest.fixture
def floor():
    made = lab_floor()
    add_to(made, {"slow_test": [WEAR]})
    return made


def judged_again(floor):
    with floor.ledger.reading() as conn:
        return judge_again(conn).unforced


class TestAValueOutsideItsLimit:
    def test_that_nobody_judged_stops_a_release(self, floor):
        floor.play(
            LAB,
            f"""
            MEASURE | S1 | "noise=-52.1 dB | "A | G1 -> STOP value-outside
            RELEASE | L1 -> NEXT
            "fine -> STOP value-outside; 1 sample of lot {n("L1")} with a value outside its limit not judged: {n("S1")}. Judge first: scan CANCEL, then BAD.
            CANCEL | BAD | S1 | "surface noise -> DONE
            RELEASE | L1 -> NEXT
            "fine -> STOP bad-samples
            """,
        )


class TestAWaiver:
    def test_of_two_people_lets_the_lot_go_and_the_disc_stay_bad(self, floor):
        floor.play(
            LAB,
            f"""
            WAIVE -> NEXT; Scan the sample tag.
            S1 -> STOP not-judged; Sample {n("S1")} is not judged bad: there is nothing to waive. Scan the tag of a bad one, or CANCEL.
            CANCEL | BAD | S1 | "surface noise -> DONE
            WAIVE | S1 | "customer agreed -> NEXT; Scan the badge of the second person.
            P1 -> STOP same-person
            P2 -> DONE; Sample {n("S1")} (surface noise) is waived by two people: it does not stand against lot {n("L1")}. It stays bad in every question.
            WAIVE -> NEXT
            S1 -> STOP already-judged; Sample {n("S1")} is waived already.
            CANCEL | RELEASE | L1 | "waived -> DONE; Ada released lot {n("L1")}: 1 sample judged, none bad.
            """,
        )
        with floor.ledger.reading() as conn:
            assert [each.good for each in SqlRecords(conn).judgements_of(n("L1"))] == [False]
        assert judged_again(floor) is None


class TestARejectedLot:
    def test_is_on_hold_wherever_it_is_until_two_people_lift_it(self, floor):
        floor.scan(LAB, "RELEASE", "L1", '"good')
        floor.open_line(1, [12], 1)
        floor.match(1, 2)
        floor.play(LAB, 'REJECT | L1 | "louder -> DONE')
        with floor.ledger.reading() as conn:
            [held] = things_held(conn, lifted=False).things
            assert (held.hold, held.subject, held.first, held.last) == (n("H1"), n("L1"), None, None)
        floor.play(LINE, "disc 1.1 -> STOP on-hold\nSTOP -> DONE\nK11 -> STOP on-hold")
        floor.play(LAB, 'LIFT | L1 | "heard again | P2 | OVERRULE | L1 | "it is the cut | P2 -> DONE')
        floor.play(LINE, "disc 1.1 | sleeve 1 -> MATCH")
        assert judged_again(floor) is None


class TestPartOfALot:
    def test_is_rejected_and_held_and_the_rest_released(self, floor):
        floor.play(
            LAB,
            f"""
            BAD | S2 | "surface noise -> DONE
            REJECTPART | L1 -> NEXT; Key the first stroke that is rejected, such as #120.
            #0 -> STOP no-such-stroke; Stroke 0 of lot {n("L1")}: expected 1 to 20. Read the stroke again.
            #11 -> NEXT
            #5 -> STOP no-such-stroke; Stroke 5 of lot {n("L1")}: expected 11 to 20. Read the stroke again.
            #20 | "louder and louder -> DONE; Strokes 11 to 20 of lot {n("L1")} are rejected and on hold, with 1 stack or carton that may hold one of them (hold {n("H1")}).
            RELEASE | L1 | "the rest is good -> DONE
            """,
        )
        floor.play(LINE, "P1 | CLEAR | P2 | B1 | K11 -> DONE\nK12 -> STOP on-hold")
        assert judged_again(floor) is None

    def test_is_held_in_cartons_too_and_in_matches_that_are_not_sealed(self, floor):
        floor.scan(LAB, "RELEASE", "L1", '"good')
        floor.open_line(1, [12], 1)
        floor.match(1, 2)
        floor.scan(LAB, "REJECTPART", "L1", "#15", "#16", '"louder')
        items = floor.read("hold_item", "subject", "first", "last", order="line")
        assert items == [(n("L1"), 15, 16), (n("carton 1"), None, None), (n("K12"), None, None)]
        assert floor.scan(LINE, "disc 1.1").finding == "on-hold"

    def test_a_bad_disc_elsewhere_still_stops_a_release(self, floor):
        floor.play(
            LAB,
            """
            BAD | S1 | "surface noise -> DONE
            REJECTPART | L1 | #11 | #20 | "louder -> DONE
            RELEASE | L1 | "the rest -> STOP bad-samples
            """,
        )


class TestSorting:
    def test_counts_all_of_a_stack_and_throws_the_bad_ones_out(self, floor):
        floor.play(
            LAB,
            f"""
            SORT -> NEXT; Scan the spindle card or carton that was sorted, or key the number of its return, such as #3.
            K99 -> STOP unknown-code
            K11 -> NEXT; Key how many discs were looked at: all of them.
            #10 -> STOP wrong-count; The system shows 9 discs on spindle {n("K11")}, and 10 were looked at. Every disc there is looked at; if the count differs, scan CANCEL, then COUNT.
            #9 -> NEXT; Key how many of them were bad and thrown out; #0 if none.
            #10 -> STOP wrong-count; 10 bad of 9 looked at on spindle {n("K11")}. Count again.
            #2 | "Surface noise -> DONE; Spindle {n("K11")}: 9 discs sorted by surface noise, 2 bad and thrown out, 7 left. A hold or a rejection stays until two people end it.
            SORT | K12 | #9 | #0 | "surface noise -> DONE
            """,
        )
        assert floor.read("sorting", "spindle", "looked_at", "bad", "defect", order="seq") == [
            (n("K11"), 9, 2, "surface noise"),
            (n("K12"), 9, 0, "surface noise"),
        ]
        assert floor.discs_by_place()[n("K11")] == 7
        assert floor.discs_by_place()["scrap"] == 2
        assert judged_again(floor) is None


class TestSortingOfACarton:
    def test_takes_the_bad_units_out_with_their_sleeves(self, floor):
        floor.scan(LAB, "RELEASE", "L1", '"good')
        floor.open_line(1, [12], 1)
        floor.match(1, 5)
        floor.play(LAB, "SORT -> NEXT\ncarton 1 -> STOP carton-open\nCANCEL -> DONE")
        floor.play(LINE, "CLOSE | carton 2 -> DONE")
        floor.play(
            LAB,
            f"""
            SORT | carton 1 -> NEXT
            #4 -> STOP wrong-count; The system shows 5 discs in carton {n("carton 1")}, and 4 were looked at. Every disc there is looked at; if the count differs, scan CANCEL, then COUNT.
            #5 | #6 -> STOP wrong-count; 6 bad of 5 looked at in carton {n("carton 1")}. Count again.
            #1 | "Ticks -> DONE; Carton {n("carton 1")}: 5 discs sorted by ticks, 1 bad and thrown out, 4 left. A hold or a rejection stays until two people end it.
            SORT | carton 1 | #4 | #0 | "ticks | SORT | K11 | #9 | #2 | "ticks -> DONE
            """,
        )
        rows = floor.read("place_sorting", "place", "looked_at", "bad", order="seq")
        assert rows == [(n("carton 1"), 5, 1), (n("carton 1"), 4, 0)]
        assert floor.read("carton", "units", sscc=n("carton 1")) == [(4,)]
        assert floor.discs_by_place()[n("carton 1")] == 4
        with floor.ledger.reading() as conn:
            found = lot_balance(lot_records(conn, n("L1")))
            size = journal.head(conn).seq
            note = checkpoint(size, subtrees.root(conn, size), PLANT)
            proving = ProvingCheckpoint(note, PLANT.key, seal=seal)
            files = make_bundle(conn, bundle_scope(conn, n("L1")), proving, Wishes())
        assert [
            (term.name, term.quantity) for line in found.lines if line.name == "scrap" for term in line.came
        ] == [("sorted out", 3)]
        assert [line.difference for line in found.lines if line.name in {"scrap", "sleeved"}] == [0, 0]
        told = files["tables/deviations.csv"].decode()
        assert f"5 of {n('L1')} in {n('carton 1')} sorted by ticks, 1 bad and thrown out" in told
        assert judged_again(floor) is None


class TestASlowTest:
    def test_that_goes_bad_weeks_later_reaches_its_lot(self, floor):
        floor.play(
            LAB,
            f"""
            GOOD | S1 -> DONE
            SLOWTEST | S1 -> NEXT; Type " and then the name of the slow test.
            "heat -> STOP unknown-test; "heat" is no slow test of this plant. Expected play wear.
            "play wear -> DONE; Sample {n("S1")} begins play wear: 2 readings, the first on 2031-03-05.
            SLOWTEST -> NEXT
            S1 -> STOP measured-already; Sample {n("S1")} has begun a slow test before. Take another disc: what was done to this one stays in it.
            CANCEL | READING -> NEXT
            S1 -> STOP not-ready; Reading play wear, 10 hours played of sample {n("S1")} is due on 2031-03-05, and today is 2031-03-03. Wait until then.
            CANCEL -> DONE
            """,
        )
        floor.at = "2031-03-06T08:00:00+01:00"
        floor.play(
            LAB,
            f"""
            MEASURE | S1 | "noise=-57.0 dB | "A | G1 -> DONE
            READING | S1 | "good -> DONE; Sample {n("S1")}, play wear, 10 hours played: good. 1 reading left.
            """,
        )
        floor.at = "2031-03-28T08:00:00+01:00"
        floor.play(
            LAB,
            f"""
            MEASURE | S1 | "noise=-56.0 dB | "A | G1 -> DONE
            READING | S1 | "groove wear -> DONE; Sample {n("S1")}, play wear, 50 hours played: bad: groove wear. It counts for its lot like any bad sample. It was the last reading.
            READING -> NEXT
            S1 -> STOP not-measured
            """,
        )
        with floor.ledger.reading() as conn:
            found = SqlRecords(conn).judgements_of(n("L1"))
        assert [(each.stroke, each.good, each.defect) for each in found] == [(3, False, "groove wear")]
        assert floor.read("lab_result", "reading", order="seq") == [
            ("play wear, 10 hours played",),
            ("play wear, 50 hours played",),
        ]
        assert judged_again(floor) is None

    def test_has_its_readings_in_order(self):
        wrong = {**WEAR, "readings": [{"label": "a", "days": 3}, {"label": "b", "days": 1}]}
        with pytest.raises(
            UsageError, match="readings after \\[3, 1\\] days: expected one or more, in order"
        ):
            list(read_plant_file({"slow_test": [wrong]}, new_ledger=False))


def test_readings_are_listed_by_the_day_they_are_due(floor):
    floor.scan(LAB, "SLOWTEST", "S1", '"play wear', "SLOWTEST", "S2", '"play wear')
    with floor.ledger.reading() as conn:
        due = readings_due(conn, "2031-03-06")
    found = [(each.sample, each.reading, each.due, each.days_late, each.stroke) for each in due.readings]
    assert found == [
        (n("S1"), "10 hours played", "2031-03-05", 1, 3),
        (n("S2"), "10 hours played", "2031-03-05", 1, 12),
        (n("S1"), "50 hours played", "2031-03-24", -18, 3),
        (n("S2"), "50 hours played", "2031-03-24", -18, 12),
    ]
    assert due.late == 2
    with floor.ledger.reading() as conn, pytest.raises(UsageError, match="expected YYYY-MM-DD"):
        readings_due(conn, "tomorrow")
