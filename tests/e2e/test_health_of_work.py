"""What a monitor is told of slow answers, statements that run for long, gauges and readings that are due."""

import threading
import time

import psycopg
import pytest
from support_cli import run
from support_lab import add_to, lab_floor
from support_ledgers import filled, packing_line
from support_plant import LAB, LINE, n

from runout import HealthLimits, Severity, open_ledger
from tracelink.services.upkeep import asking_like_stations
from tracelink.services.upkeep.measuring import health
from tracelink.store.ledger import Ledger

LONGEST_S = 300
SLOW = {
    "slow_test": [
        {
            "name": "play wear",
            "readings": [{"label": "10 hours", "days": 1}, {"label": "50 hours", "days": 3}],
        }
    ]
}


@pytest.fixture(scope="module")
def packing(tmp_path_factory):
    """A line in the middle of a carton."""
    return filled(tmp_path_factory.mktemp("health") / "packing.db", packing_line)


@pytest.fixture(scope="module")
def lab(tmp_path_factory):
    """A lab with two gauges, and a slow test of which two readings are due a day and three days after sample 1."""
    floor = lab_floor()
    add_to(floor, SLOW)
    floor.scan(LAB, "SLOWTEST", "S1", '"play wear')
    return floor.saved(tmp_path_factory.mktemp("lab") / "lab.db")


def of(found, key, subject=""):
    [one] = [each for each in found.measured if (each.measure.key, each.subject) == (key, subject)]
    return one


def due(place, at):
    with Ledger.open(str(place), read_only=True) as ledger:
        return health(ledger, HealthLimits(), at)


def measured(place, **limits):
    with open_ledger(place, read_only=True) as ledger:
        return ledger.upkeep.health(HealthLimits(**limits))


class TestAnswers:
    def test_every_station_and_kind_of_thing_is_asked_about(self, packing):
        found = of(measured(packing, answer_ms=60_000), "slowest_answer")
        assert (found.severity, found.sentence) == (Severity.WITHIN, "")
        with Ledger.open(str(packing), read_only=True) as ledger, ledger.reading() as conn:
            questions = [named for named, _ask in asking_like_stations._questions(conn)]
        assert f"what station {LINE} waits for" in questions
        assert [each.split()[1] for each in questions if "hold" in each] == ["lot", "spindle", "carton"]

    def test_the_slowest_is_named_and_the_quickest_try_counts(self, packing, monkeypatch):
        asked, real = [], asking_like_stations.waits_at

        def slow(conn, station, at):
            asked.append(station)
            if station == LINE:
                time.sleep(0.2)
            return real(conn, station, at)

        monkeypatch.setattr(asking_like_stations, "waits_at", slow)
        found = of(measured(packing, answer_ms=100), "slowest_answer")
        assert asked.count(LINE) == 3
        assert found.severity is Severity.LOOK
        assert found.value >= 200
        assert found.sentence.startswith("the ledger takes ")
        assert found.sentence.endswith(" that stations ask: expected 100 at most")

    def test_it_ends_after_a_while(self, packing, monkeypatch):
        monkeypatch.setattr(asking_like_stations, "LONGEST_S", -1)
        with Ledger.open(str(packing), read_only=True) as ledger, ledger.reading() as conn:
            assert asking_like_stations.slowest_answer(conn).asked == 1


def test_a_station_whose_clock_is_ahead_is_told(packing, monkeypatch):
    monkeypatch.setattr("runout._upkeep.utc_now", lambda: "2031-03-03T06:00:00Z")
    found = of(measured(packing, answer_ms=60_000), "last_scan_age", LINE)
    assert (found.value, found.severity) == (-3600, Severity.LOOK)
    assert found.sentence == (
        f"station {LINE}: its last scan was at 2031-03-03T08:00:00+01:00, which is still to come by the clock of this machine: set its clock"
    )


class TestDue:
    @pytest.mark.parametrize(
        ("day", "scale", "tester"), [("2031-03-02", 0, -304), ("2031-03-03", 1, -303), ("2032-01-02", 306, 2)]
    )
    def test_a_calibration_that_ended_is_told(self, lab, day, scale, tester):
        found = due(lab, f"{day}T12:00:00Z")
        for gauge, days in ((n("G2"), scale), (n("G1"), tester)):
            one = of(found, "calibration_overdue", gauge)
            assert (one.value, one.severity) == (days, Severity.LOOK if days > 0 else Severity.WITHIN)
        if scale == 1:
            assert (
                f"gauge {n('G2')} (scale): its calibration held until 2031-03-02; what it measures since is marked as overdue"
                in found.sentences
            )

    def test_a_gauge_without_a_calibration_by_then_is_told(self, lab):
        found = of(due(lab, "2031-01-05T12:00:00Z"), "calibration_overdue", n("G1"))
        assert found.sentence.startswith(f"gauge {n('G1')} (groove tester) has no calibration yet")

    @pytest.mark.parametrize(("day", "late"), [("2031-03-04", 0), ("2031-03-05", 1), ("2031-03-07", 2)])
    def test_a_reading_that_was_not_taken_on_its_day_is_late(self, lab, day, late):
        found = due(lab, f"{day}T12:00:00Z")
        assert of(found, "readings_late").value == late
        told = [each for each in found.sentences if "of slow tests should have been taken" in each]
        assert len(told) == (late > 0)

    def test_a_gauge_is_named_as_one_for_a_monitor(self, lab):
        parser = pytest.importorskip("prometheus_client.openmetrics.parser")
        text = run("health", "--format", "openmetrics", "--answer", "60000", ledger=lab).out
        families = {one.name: one for one in parser.text_string_to_metric_families(text)}
        assert {one.labels["gauge"] for one in families["runout_calibration_overdue_days"].samples} == {
            n("G1"),
            n("G2"),
        }


class TestOnAServer:
    def test_a_statement_that_runs_for_long_is_told(self, pg_grown):
        place = pg_grown.ledger.place
        quick = measured(place, answer_ms=60_000)
        assert of(quick, "running_statement_age").severity is Severity.WITHIN
        assert of(quick, "ledger_size").value > 1 << 20
        with psycopg.connect(place.replace("+psycopg", ""), autocommit=True) as other:

            def sleep():
                with pytest.raises(psycopg.errors.QueryCanceled):
                    other.execute("SELECT pg_sleep(600)")

            sleeper = threading.Thread(target=sleep)
            sleeper.start()
            until = time.monotonic() + LONGEST_S
            try:
                while (found := of(measured(place, statement_s=0), "running_statement_age")).value < 1:
                    assert time.monotonic() < until
            finally:
                other.cancel()
                sleeper.join(LONGEST_S)
        assert found.severity is Severity.LOOK
        assert found.sentence.startswith("a statement has been running on the server for ")
