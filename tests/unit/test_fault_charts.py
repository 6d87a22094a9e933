"""A rising fault at one position warns at the test station, and names the stage before it to look at."""

import pytest
from support_assembly import BENCH, BOARD, MACHINE, assembly_floor, play
from support_lab import add_to
from support_plant import LAB, n

from tracelink.errors import UsageError
from tracelink.facts.hall.fault_log import FaultBy, FaultsAsked
from tracelink.ledger.chart_words import fault_in, is_fault
from tracelink.report.pages.hall_text import pace_picture, pace_sentences
from tracelink.services.badge_proof import Badge
from tracelink.services.desks.charts.chart_baselines import BaselineAsked, freeze_baseline
from tracelink.services.desks.charts.charted_values import ChartAsked
from tracelink.services.desks.charts.lab_charts import lab_chart
from tracelink.services.hall.fault_counts import fault_log
from tracelink.services.hall.pace import line_pace
from tracelink.store.stations.judge_again import judge_again

P_CHART = ChartAsked("fault R2", "p", 5)
PARTS = """
RECEIVE | M1 | "EX-1001 | "1 | "SL-77 | "3105 | #200 | TESTLOT | M1 | #5 | #0 -> DONE
RECEIVE | M2 | "EX-1002 | "1 | "SL-78 | "3106 | #90 | TESTLOT | M2 | #90 | #0 -> DONE
TAPE | F1 | M1 | #60 | TAPE | F2 | M2 | #90 | TAPE | F3 | M1 | #60 -> DONE
"""


def charted():
    """Boards 1 to 30 took reel 1, boards 31 to 60 reel 3; thirty were tested, one in ten with a bad R2, and charted."""
    made = assembly_floor(chart_baseline_points=6)
    add_to(made, {})
    play(made, PARTS)
    play(
        made,
        f"""
        BUILD | N1 | "{BOARD} | U101 | #60 | #1 | SETUP | N1 | LOAD | J1 | F1 | LOAD | J2 | F2 | PLACED | #30 -> DONE
        SPLICE | J1 | F3 | PLACED | #60 -> DONE
        """,
    )
    for number in range(1, 31):
        booked(made, number, bad=number % 10 == 3)
    made.play(LAB, "P1 -> DONE")
    freeze_baseline(made.ledger, BOARD, BaselineAsked(P_CHART), "as usual", Badge(n("P1")))
    return made


def rise(floor):
    """Test boards 31 to 35, all but one bad, and return the verdicts."""
    return [booked(floor, number, bad=number != 32) for number in range(31, 36)]


@pytest.fixture(scope="module")
def floor():
    """The floor before the rise; no test changes it."""
    return charted()


@pytest.fixture(scope="module")
def reworked():
    """The floor after the rise, and after board 31 came back from rework; with what was charted before it did."""
    made = charted()
    rise(made)
    before = len(_charted(made))
    booked(made, 31, bad=False)
    return made, before


def booked(floor, number, *, bad):
    scans = ["PASS", f"U{100 + number}", '"board 1.4']
    if bad:
        scans = ["FAIL", f"U{100 + number}", '"board 1.4', '"no signal', '"r2']
    return floor.scan(BENCH, *scans)


def test_a_fault_is_told_by_position_or_symptom_whatever_the_capitals():
    assert is_fault("fault")
    assert is_fault("fault R2")
    assert not is_fault("faulty")
    assert fault_in("fault R2", "no signal", "r2")
    assert fault_in("fault no signal", "No signal", None)
    assert fault_in("fault", None, None)
    assert not fault_in("fault R2", "no signal", "R21")


def test_a_rise_at_one_position_warns_and_names_the_reel_before_it():
    """Four of five boards of the new reel: the baseline of one in ten has a limit of three at a point of five."""
    floor = charted()
    verdicts = rise(floor)
    assert [verdict.finding for verdict in verdicts[:4]] == [
        "test-failed",
        None,
        "test-failed",
        "test-failed",
    ]
    told = verdicts[-1]
    assert told.finding == "test-failed"
    assert (
        "A warning: the number of pieces with fault R2 is a signal on the chart of EX-3000" in told.sentence
    )
    assert f"Look at EX-1001 reel {n('F3')}, which changed with it." in told.sentence
    [found] = floor.read("finding", "subject", "finding", finding="chart-signal")
    assert found == (BOARD, "chart-signal")
    with floor.ledger.reading() as conn:
        judged = judge_again(conn)
        chart = lab_chart(conn, BOARD, P_CHART)
    assert (judged.unforced, judged.not_judged, judged.left) == (None, 0, 0)
    assert chart.found.signalled == (7,)
    floor.ledger.verify()


def test_what_comes_back_from_rework_is_not_counted_again(reworked):
    floor, before = reworked
    assert before == 35
    assert len(_charted(floor)) == before


def test_the_tests_of_a_station_are_charted_as_well(floor):
    with floor.ledger.reading() as conn:
        every = lab_chart(conn, BENCH, ChartAsked("fault", "c"))
    assert len(every.found.points) == len(_charted(floor))


def _charted(floor):
    with floor.ledger.reading() as conn:
        return [
            disc for point in lab_chart(conn, BOARD, ChartAsked("fault", "c")).found.points for disc in point
        ]


@pytest.mark.parametrize(
    ("subject", "asked", "told"),
    [
        (BOARD, ChartAsked("fault", "xbar-r"), "expected p, np, c or u, which count"),
        (n("N1"), ChartAsked("fault", "p"), "expected a part number or a station"),
    ],
)
def test_a_chart_of_faults_that_cannot_be_is_refused(floor, subject, asked, told):
    with floor.ledger.reading() as conn, pytest.raises(UsageError, match=told):
        lab_chart(conn, subject, asked)


class TestTheLogOfFaults:
    def test_counts_the_most_frequent_first_and_names_what_rose(self, reworked):
        floor, _before = reworked
        with floor.ledger.reading() as conn:
            log = fault_log(conn, FaultBy.POSITION, FaultsAsked(part=BOARD))
        [count] = log.counts
        assert (count.what, count.faults, count.pieces, count.share, count.running) == (
            "EX-3000 R2",
            7,
            7,
            1.0,
            1.0,
        )
        assert count.open == 6  # board 31 passed later
        rose = count.rise
        assert rose is not None
        assert (rose.after, rose.first) == (n("U132"), n("U133"))
        counts = (rose.faults_since, rose.tested_since, rose.faults_before, rose.tested_before)
        assert counts == (3, 3, 4, 32)
        assert rose.chance < 0.05
        assert f"EX-1001 reel {n('F3')}" in rose.look_at

    def test_lists_every_failed_test_of_a_station_newest_first(self, reworked):
        floor, _before = reworked
        with floor.ledger.reading() as conn:
            log = fault_log(conn, FaultBy.SYMPTOM, FaultsAsked(station=BENCH))
            none = fault_log(conn, FaultBy.STATION, FaultsAsked(until="2031-01-01T00:00:00+01:00"))
        assert [one.what for one in log.counts] == ["no signal"]
        assert [fault.piece for fault in log.faults[:2]] == [n("U135"), n("U134")]
        assert log.tested == 36
        assert (none.faults, none.counts, none.tested) == ((), (), 0)

    def test_of_an_unknown_part_is_refused(self, floor):
        with floor.ledger.reading() as conn, pytest.raises(UsageError, match="no part of this number"):
            fault_log(conn, FaultBy.PART, FaultsAsked(part="EX-1"))


class TestThePaceOfTheLine:
    @pytest.fixture(scope="class")
    @staticmethod
    def line():
        """Boards every 30 s at the machine, tests every minute at the bench with a break, no second packing."""
        made = assembly_floor()
        play(made, PARTS)
        play(
            made,
            f'BUILD | N1 | "{BOARD} | U101 | #20 | #1 | SETUP | N1 | LOAD | J1 | F1 | LOAD | J2 | F2 -> DONE',
        )
        for at, done in (("10:00:00", 2), ("10:05:00", 12), ("10:06:00", 14)):
            made.at = f"2031-03-04T{at}+01:00"
            made.scan(MACHINE, "PLACED", f"#{done}")
        for at, number in (
            ("10:10:00", 1),
            ("10:11:00", 2),
            ("10:12:00", 3),
            ("13:00:00", 4),
            ("13:01:00", 5),
        ):
            made.at = f"2031-03-04T{at}+01:00"
            booked(made, number, bad=False)
        return made

    def test_names_the_slowest_station_without_its_breaks(self, line):
        with line.ledger.reading() as conn:
            found = line_pace(conn)
        assert [(one.work, one.station, one.pieces, one.timed, one.busy_s) for one in found.stations] == [
            ("placing", MACHINE, 14, 12, 360),
            ("testing", BENCH, 5, 3, 180),
        ]
        slowest = found.slowest
        assert slowest is not None
        assert (slowest.station, slowest.seconds_each, slowest.per_hour) == (BENCH, 60, 60)
        told = pace_sentences(found)
        assert told == [
            (
                f"The slowest is testing at joining bench, {BENCH}: 60.0 pieces an hour, by the times of 3 pieces. Times over 30 "
                "minutes between two entries count as breaks."
            )
        ]
        assert "60.0, the slowest" in pace_picture(found)

    def test_cannot_tell_of_a_single_piece(self, line):
        with line.ledger.reading() as conn:
            found = line_pace(conn, since="2031-03-04T13:01:00+01:00")
        assert found.slowest is None
        assert pace_sentences(found)[0].startswith("Cannot tell")
