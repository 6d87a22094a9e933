"""Built pieces as samples of the lab: drawn, tested for weeks, measured, judged, and never used again."""

import pytest
from support_assembly import BENCH, BOARD, UNIT, built_floor, play
from support_lab import LAB_DATA, add_to
from support_plant import LAB, carton_sscc, n
from support_schema import empty_ledger

from tracelink.errors import RefusedByRule
from tracelink.services.desks.lab_results import readings_due
from tracelink.store.journal import journal
from tracelink.store.journal.rebuild import differences, replay
from tracelink.store.records.sql_records import SqlRecords
from tracelink.store.stations.judge_again import judge_again

DROP = {
    "name": "drop test",
    "readings": [{"label": "1 drop", "days": 0}, {"label": "10 drops", "days": 14}],
}
UNITS = f"""
BUILD | N2 | "{UNIT} | U201 | #5 | #1 -> DONE
JOIN | U201 | U101 | F4 | PASS | U201 | "final 2.1 | JOIN | U202 | U102 | F4 | PASS | U202 | "final 2.1 -> DONE
JOIN | U203 | U103 | F4 | PASS | U203 | "final 2.1 -> DONE
"""


@pytest.fixture
def floor():
    made = built_floor()
    add_to(made, {**LAB_DATA, "slow_test": [DROP]})
    play(made, UNITS, BENCH)
    made.play(LAB, "P1 -> DONE")
    return made


def all_forced(floor):
    with floor.ledger.reading() as conn:
        judged = judge_again(conn)
    return (judged.unforced, judged.not_judged, judged.left) == (None, 0, 0)


class TestADrawnUnit:
    def test_is_a_sample_under_its_own_label_and_used_no_more(self, floor):
        play(
            floor,
            f"""
            U201 -> STOP unknown-code; {n("U201")} is no sample of the lab. Scan CANCEL, then DRAWUNIT.
            DRAWUNIT -> NEXT; Scan the serial label of the piece.
            U101 -> STOP used-already; {n("U101")} is in {n("U201")}. Scan the serial label of {n("U201")}: the whole of it goes \
to the lab.
            U201 -> DONE; {n("U201")}, {UNIT}, turntable, piece 1 of build order {n("N2")}, is with the lab. Its serial label is \
its sample tag from now on.
            U201 -> DONE; Sample {n("U201")} is piece 1 of build order {n("N2")}, not judged yet.
            DRAWUNIT | U201 -> STOP already-sampled; {n("U201")} is with the lab already. Scan CANCEL.
            CANCEL | DRAWUNIT | U104 -> DONE
            12:00 BENCH
            JOIN | U204 | U104 -> STOP already-sampled; {n("U104")} is with the lab as a sample: what was done to it there stays \
in it. Give it back to the lab and take another one.
            CANCEL | PACK | carton 1 | U201 -> STOP already-sampled
            CANCEL -> DONE
            U201 -> DONE; {n("U201")}, {UNIT}, turntable, piece 1 of build order {n("N2")}: passed, 5 parts in it, with the lab.
            """,
            LAB,
        )
        assert floor.read("sample", "code", "lot", "stroke", order="seq") == [
            (n("U201"), n("N2"), 1),
            (n("U104"), n("N1"), 4),
        ]
        assert all_forced(floor)

    def test_out_of_a_carton_leaves_one_unit_less_in_it(self, floor):
        play(floor, "PACK | carton 1 | U201 | U202 | carton 1 -> DONE", BENCH)
        play(
            floor,
            f"""
            DRAWUNIT | U202 -> DONE; {n("U202")}, {UNIT}, turntable, piece 2 of build order {n("N2")}, is with the lab, out of \
carton {carton_sscc(1)}. Its serial label is its sample tag from now on.
            """,
            LAB,
        )
        assert floor.read("carton", "units", sscc=carton_sscc(1)) == [(1,)]
        assert floor.read("nesting", "child", parent=carton_sscc(1), closed_seq=None) == [(n("U201"),)]
        assert all_forced(floor)

    def test_is_measured_by_the_limits_of_its_product(self, floor):
        play(
            floor,
            f"""
            DRAWUNIT | U201 | DRAWUNIT | U104 -> DONE
            MEASURE -> NEXT; Scan the sample tag, or the serial label of a unit.
            U201 | "mass=150.1 g | G2 -> STOP value-outside
            GOOD | U201 -> STOP value-outside
            CANCEL | BAD | U201 | "too heavy -> DONE; Sample {n("U201")} (build order {n("N2")}, piece 1) is bad: too heavy.
            WAIVE | U201 | "scale was wet | P2 -> DONE; Sample {n("U201")} (too heavy) is waived by two people: it does not stand \
against build order {n("N2")}. It stays bad in every question.
            MEASURE | U104 | "mass=139.0 g | G2 -> DONE
            """,
            LAB,
        )
        assert all_forced(floor)


class TestASlowTestOfAUnit:
    def test_is_due_on_its_days_and_a_failure_is_evidence(self, floor):
        play(
            floor,
            f"""
            DRAWUNIT | U201 | SLOWTEST | U201 | "drop test -> DONE; Sample {n("U201")} begins drop test: 2 readings, the first on \
{floor.at[:10]}.
            READING | U201 | "good -> DONE; Sample {n("U201")}, drop test, 1 drop: good. 1 reading left.
            READING | U201 -> STOP not-ready
            CANCEL -> DONE
            """,
            LAB,
        )
        with floor.ledger.reading() as conn:
            [due] = readings_due(conn, floor.at[:10]).readings
        assert (due.sample, due.what, due.lot, due.stroke, due.days_late) == (
            n("U201"),
            f"{UNIT}, turntable",
            n("N2"),
            1,
            -14,
        )
        floor.at = "2031-03-20T08:00:00+01:00"
        floor.play(
            LAB,
            f"""
            READING | U201 | "arm loose -> DONE; Sample {n("U201")}, drop test, 10 drops: bad: arm loose. It counts about all \
that it was built of. It was the last reading.
            """,
        )
        with floor.ledger.reading() as conn:
            [found] = SqlRecords(conn).judgements_of(n("N2"))
        assert (found.sample, found.stroke, found.good, found.defect) == (n("U201"), 1, False, "arm loose")
        assert all_forced(floor)

    def test_replays_into_the_same_tables(self, floor):
        play(floor, "PACK | carton 1 | U201 | U202 | carton 1 -> DONE", BENCH)
        play(floor, 'DRAWUNIT | U202 | SLOWTEST | U202 | "drop test | READING | U202 | "cracked -> DONE', LAB)
        floor.ledger.verify()
        with floor.ledger.reading() as live, empty_ledger().begin() as fresh:
            replay(fresh, journal.rows(live), [])
            assert differences(live, fresh) == []


def test_a_board_that_was_never_handled_becomes_a_piece_when_it_is_drawn(floor):
    play(floor, f"DRAWUNIT | U130 -> DONE; {n('U130')}, {BOARD}, motor board, piece 30 ...", LAB)
    assert floor.read("piece", "number", "status", code=n("U130")) == [(30, "built")]


def test_a_disc_and_a_unit_never_share_a_row(floor):
    """The table refuses what no act can book: a sample of neither a lot nor a build order."""
    told = "a sample is of a lot, or a piece of a build order"
    with pytest.raises(RefusedByRule, match=told), floor.ledger.transaction() as conn:
        conn.exec_driver_sql("INSERT INTO sample VALUES ('SX', 'NX', 1, 'now', 1)")
