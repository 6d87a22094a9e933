"""Charts at the bench: judged discs warn as measured ones do, and a disc stands where it was pressed."""

from support_drift import DRIFT, TOOL, frozen, measured, quiet_floor
from support_lab import LAB_DATA, add_to
from support_plant import LAB, PRESS, Floor, code, n, stamper

from tracelink.genealogy.charting.charted_discs import ChartedDisc, in_order
from tracelink.ledger.chart_words import JUDGED
from tracelink.report.pages.read_values_text import sentences
from tracelink.report.pages.results_text import on_screen
from tracelink.services.badge_proof import Badge
from tracelink.services.desks.charts.chart_baselines import BaselineAsked, freeze_baseline
from tracelink.services.desks.charts.charted_values import ChartAsked, charted_values
from tracelink.services.desks.charts.lab_charts import lab_chart
from tracelink.services.desks.instrument_files import InstrumentFile, read_results
from tracelink.services.desks.lab_results import lab_results
from tracelink.station.common.queries_lab import MeasuredPoint
from tracelink.store.lab.chart_warnings import ChartSubject, discs_with
from tracelink.store.records.sql_records import SqlRecords
from tracelink.store.stations.judge_again import judge_again

ADA = Badge(n("P1"))
QUIET = [disc in (7, 16) for disc in range(1, 21)]
"""Whether each of twenty discs is bad: two of them, one in ten."""


def judged_floor(*kinds, size=5):
    """A lot of 40 discs; twenty were judged, and baselines of the stamper are frozen by them, `size` to a point."""
    floor = Floor.copy(chart_baseline_points=20 // size)
    floor.press(1, strokes=40, stacks=1)
    floor.scan(LAB, "P1")
    for disc, bad in enumerate(QUIET, 1):
        judged(floor, disc, bad)
    for kind in kinds:
        asked = BaselineAsked(ChartAsked(JUDGED, kind, size))
        freeze_baseline(floor.ledger, TOOL, asked, "as it always is", ADA)
    return floor


def judged(floor, disc, bad):
    floor.scan(LAB, "SAMPLE", "L1", f"S{disc}", f"#{disc}", "K11")
    scans = ("BAD", f"S{disc}", '"crackle') if bad else ("GOOD", f"S{disc}")
    return floor.scan(LAB, *scans)


def signals(floor):
    return floor.read("finding", "subject", "finding", "found", finding="chart-signal")


class TestJudgedDiscs:
    """Of five discs, one in ten bad, more than three bad have a chance of 0.0005, more than two one of 0.009 (binomial)."""

    def test_warn_when_the_point_is_whole_and_not_before(self):
        floor = judged_floor("p", "np")
        told = [judged(floor, disc, bad) for disc, bad in enumerate((True, True, True, False, True), 21)]
        assert [each.finding for each in told] == [None, None, None, None, "chart-signal"]
        said = f"the number of bad discs is a signal on the chart of {TOOL} (beyond its limit"
        assert told[-1].sentence.count(said) == 2
        assert signals(floor) == [(TOOL, "chart-signal", "0.8"), (TOOL, "chart-signal", "4")]
        with floor.ledger.reading() as conn:
            assert judge_again(conn).unforced is None

    def test_judged_otherwise_count_once(self):
        floor = judged_floor("np")
        for disc, bad in enumerate((True, True, False, True, False), 21):
            judged(floor, disc, bad)
        assert signals(floor) == []
        told = floor.scan(LAB, "REJUDGE", "S25", '"crackle', '"heard again')
        assert told.finding == "chart-signal"
        assert [found for _subject, _finding, found in signals(floor)] == ["4"]
        told = floor.scan(LAB, "REJUDGE", "S25", '"good', '"it was dust')
        assert told.finding is None

    def test_are_put_together_as_in_the_baseline(self):
        floor = judged_floor("p", size=4)
        told = [judged(floor, disc, bad) for disc, bad in enumerate((True, True, True, True), 21)]
        assert [each.finding for each in told] == [None, None, None, "chart-signal"]
        with floor.ledger.reading() as conn:
            chart = lab_chart(conn, TOOL, ChartAsked(JUDGED, "p"))
            assert (chart.found.size, chart.found.signalled) == (4, (6,))
            assert chart.sentences[1:3] == [
                "0.4 bad discs are expected at a point of 4 discs: too few to judge runs of points by; a point warns from 4 on.",
                "For runs take points of 50 discs or more (--size).",
            ]
            assert lab_chart(conn, TOOL, ChartAsked(JUDGED, "p", 6)).found.size == 6

    def test_of_a_stroke_that_nobody_knows_have_no_place(self):
        floor = judged_floor("np")
        floor.scan(LAB, "SAMPLE", "L1", "S31", '"unknown', "K11")
        assert floor.scan(LAB, "BAD", "S31", '"crackle').finding is None


class TestAValueOfASlowTest:
    def test_is_on_no_chart_as_playing_made_it_and_not_the_stamper(self):
        floor = quiet_floor()
        add_to(floor, {"slow_test": [{"name": "played", "readings": [{"label": "10 hours", "days": 2}]}]})
        frozen(floor)
        floor.scan(LAB, "SLOWTEST", "S1", '"played')
        told = floor.scan(LAB, "MEASURE", "S1", '"noise=-56.0 dB', '"A', "G1")
        assert (told.finding, signals(floor)) == (None, [])
        with floor.ledger.reading() as conn:
            discs = charted_values(conn, SqlRecords(conn), TOOL, "noise").discs
            listed = lab_results(conn, n("S1"), "noise").results
        assert [disc.value for disc in discs] == DRIFT[:20]
        assert [(each.value, each.reading) for each in listed] == [
            (f"{DRIFT[0]:.1f}", None),
            ("-56.0", "played, 10 hours"),
        ]
        assert [row["standing"] for row in on_screen(listed)] == ["within", "within, played, 10 hours"]
        measured(floor, 21, -56.0)
        assert [finding for _subject, finding, _found in signals(floor)] == ["chart-signal"]


def test_all_stampers_of_a_mother_are_a_row_of_their_own():
    """Four discs of each of two stampers above the centre: eight on one side for the mother, and four for each stamper."""
    floor = Floor.copy()
    add_to(floor, LAB_DATA)
    a, b, other = stamper("EX-101-A"), stamper("EX-101-B"), stamper("EX-101-A", 2)
    floor.scan(PRESS, "P3", "SETUP", "L1", a, b, "C1", "E1", "E2", "START", '"EX-101-A', '"EX-101-B')
    floor.scan(PRESS, "CHANGE", other, "#24", "STACK", "K11", "#40")
    floor.scan(LAB, "P1")
    for disc, value in enumerate([*DRIFT[:19], -61.6], 1):
        measured(floor, disc, value)
    mother = n("T3")
    freeze_baseline(floor.ledger, mother, BaselineAsked(ChartAsked("noise")), "as it always is", ADA)
    for disc in range(21, 28):
        measured(floor, disc, -60.6)
    assert signals(floor) == []
    told = measured(floor, 28, -60.6)
    assert signals(floor) == [(mother, "chart-signal", "-60.6 dB")]
    assert f"noise is a signal on the chart of {mother} (8 on one side of the centre; " in told
    assert (
        f"Look at stamper A {n(other)}, which changed with it." in told or "Nothing recorded changed" in told
    )
    with floor.ledger.reading() as conn:
        assert judge_again(conn).faults == ()
        assert lab_chart(conn, mother, ChartAsked("noise")).found.signalled == (28,)


def test_the_file_of_an_instrument_tells_its_signals(tmp_path):
    floor = quiet_floor()
    columns = {"sample": "Tag", "side": "Side", "gauge": code("G", 1)}
    values = [{"heading": "Noise", "test": "noise", "unit": "dB"}]
    tester = {"name": "tester", "decimal": "comma", "separator": "semicolon", **columns, "values": values}
    add_to(floor, {"instrument": [tester]})
    frozen(floor)
    for disc in (21, 22):
        floor.scan(LAB, "SAMPLE", "L1", f"S{disc}", f"#{disc}", "K11")
    file = tmp_path / "noise.csv"
    file.write_text(f"Tag;Side;Noise\n{n('S21')};A;-61,1\n{n('S22')};A;-56,0\n", encoding="utf-8")
    answer = read_results(
        floor.ledger, InstrumentFile(file, "tester", "2031-03-03T10:00:00+01:00"), ADA, dry_run=False
    )
    assert [each.signal_on for each in answer.values] == [(), (TOOL,)]
    assert sentences(answer) == [
        "2 values of noise.csv booked.",
        f"1 a signal on a chart. See runout chart {TOOL} --test noise.",
    ]
    assert [finding for _subject, finding, _found in signals(floor)] == ["chart-signal"]


class TestADiscOfAPress:
    def test_stands_where_it_was_pressed_not_at_the_end(self):
        floor = Floor.copy()
        add_to(floor, LAB_DATA)
        floor.press(1, strokes=40, stacks=1)
        floor.scan(LAB, "P1")
        for disc in (1, 2, 4, 5):
            measured(floor, disc, DRIFT[disc])
        with floor.ledger.reading() as conn:
            [segment] = SqlRecords(conn).segments_of(n("L1"))
            point = MeasuredPoint(n("S3"), n("L1"), 3, "noise", "A", "-60.0", n("G1"), outside=False)
            before = [
                (disc.sample, disc.place)
                for disc in discs_with(conn, ChartSubject(n(PRESS), ()), segment, point, 3)
            ]
        measured(floor, 3, -60.0)
        with floor.ledger.reading() as conn:
            after = charted_values(conn, SqlRecords(conn), n(PRESS), "noise").discs
        assert before == [(disc.sample, disc.place) for disc in after]
        assert before == [(n(f"S{disc}"), disc) for disc in range(1, 6)]


def test_what_has_no_stroke_of_a_life_is_counted_behind_those_that_are_not_shown():
    def disc(place):
        return ChartedDisc("S", "L", 1, place, 0.0, False, {})

    assert [one.place for one in in_order([disc(0), disc(0)], 12)] == [13, 14]
    assert [one.place for one in in_order([disc(7), disc(9)], 12)] == [7, 9]
