"""What a monitor is told of a ledger, and how soon somebody is to look."""

import json
import os
import re
import shutil
from collections import namedtuple
from datetime import UTC, datetime, timedelta

import pytest
from support_cli import run
from support_ledgers import filled, initialised, packing_line
from support_plant import LINE, TOOL, raw

from runout import HealthLimits, Severity, open_ledger
from tracelink.services.upkeep import measuring
from tracelink.store.ledger import Ledger

DISK = namedtuple("DISK", ["free"])  # noqa: PYI024  what the standard library gives has more


@pytest.fixture
def place(tmp_path):
    """A plant with a signed checkpoint; nobody scanned yet."""
    made = initialised(tmp_path)
    signed = run("audit", "checkpoint", ledger=made)
    assert signed.code == 0, signed.err
    return made


@pytest.fixture
def packing(tmp_path):
    """A line in the middle of a carton, years ahead."""
    return filled(tmp_path / "packing.db", packing_line)


def found(place, **limits):
    with open_ledger(place, read_only=True) as ledger:
        return ledger.upkeep.health(HealthLimits(**limits))


def of(health, key, subject=""):
    [one] = [each for each in health.measured if (each.measure.key, each.subject) == (key, subject)]
    return one


def at_time(monkeypatch, time):
    monkeypatch.setattr("runout._upkeep.utc_now", lambda: time)


def later(days):
    return (datetime.now(UTC) + timedelta(days=days)).strftime("%Y-%m-%dT%H:%M:%SZ")


class TestMeasures:
    def test_a_new_ledger_is_within_its_limits(self, place):
        health = found(place)
        assert (health.severity, health.sentences) == (Severity.WITHIN, ())
        assert of(health, "entries").value > 10
        assert 0 <= of(health, "last_entry_age").value < 600
        assert of(health, "checkpoint_behind").value == 0
        assert of(health, "ledger_size").value == place.stat().st_size
        assert of(health, "free_room").value > 0
        told = run("health", ledger=place)
        assert (told.code, told.err) == (0, "")

    def test_people_are_told_long_times_and_large_files_in_large_units(self, place, monkeypatch):
        at_time(monkeypatch, later(3))
        told = run("health", ledger=place).out
        assert re.search(r"since the last entry +[23] +days ", told)
        assert re.search(r"free on its disk +[\d\u202f]+ +[GM]iB ", told)
        listed = run("health", "--format", "csv", ledger=place).out
        assert re.search(r",last_entry_age,2\d{5},seconds,", listed)

    def test_the_last_scan_of_a_station_has_an_age(self, place, monkeypatch):
        with open_ledger(place) as ledger:
            ledger.scan(TOOL, raw("P1"))
        assert 0 <= of(found(place), "last_scan_age", TOOL).value < 600
        at_time(monkeypatch, later(1))
        assert found(place).severity is Severity.WITHIN, "no limit unless asked"
        quiet = found(place, quiet_minutes=30)
        assert quiet.severity is Severity.LOOK
        [told] = quiet.sentences
        assert re.fullmatch(
            f"station {TOOL}: somebody is signed on, and the last scan was 1\u202f44[01] minutes ago: expected one within 30",
            told,
        )
        with open_ledger(place) as ledger:
            ledger.scan(TOOL, raw("SIGNOFF"))
        assert found(place, quiet_minutes=30).severity is Severity.WITHIN, "nobody is there"

    def test_scans_that_wait_for_long_are_told(self, packing, monkeypatch):
        at_time(monkeypatch, "2031-03-03T09:00:00Z")
        health = found(packing)
        assert of(health, "spooled_scans", LINE).value == 6
        assert of(health, "spooled_age", LINE).severity is Severity.WITHIN
        assert of(health, "units_since_check", LINE).value == 3
        at_time(monkeypatch, "2031-03-09T09:00:00Z")
        waiting = of(found(packing), "spooled_age", LINE)
        assert waiting.severity is Severity.LOOK
        assert waiting.sentence.startswith(
            f"station {LINE}: 6 scans of what it has open, the oldest of 2031-03-03T"
        )

    def test_a_check_that_is_due_is_told(self, packing):
        with Ledger.open(str(packing)) as ledger, ledger.transaction() as conn:
            conn.exec_driver_sql("UPDATE setting SET value = 3 WHERE name = 'check_units'")
        due = of(found(packing), "units_since_check", LINE)
        assert (due.severity, due.sentence) == (
            Severity.LOOK,
            f"station {LINE}: CHECK is due, 3 units since the last one (setting check_units 3)",
        )

    def test_a_clock_behind_the_last_entry_is_urgent(self, place, monkeypatch):
        at_time(monkeypatch, later(-1))
        health = found(place)
        assert health.severity is Severity.URGENT
        assert health.sentences[0].endswith(
            "after the time of this machine: set all clocks by one time server"
        )

    @pytest.mark.parametrize(
        ("free", "severity", "code"),
        [(1 << 30, "within", 0), ((1 << 30) - 1, "look", 1), (100 << 20, "urgent", 7)],
    )
    def test_room_on_the_disk(self, place, monkeypatch, free, severity, code):
        monkeypatch.setattr(shutil, "disk_usage", lambda _folder: DISK(free))
        assert of(found(place), "free_room").severity == severity
        assert run("health", ledger=place).code == code

    def test_a_large_write_ahead_log_is_told(self, place, monkeypatch):
        monkeypatch.setattr(measuring, "_LARGE_LOG", 0)
        with open_ledger(place) as ledger:
            ledger.scan(TOOL, raw("P1"))
            assert of(found(place), "log_size").severity is Severity.LOOK

    def test_the_last_checkpoint_ages_and_is_compared(self, place, tmp_path):
        memory = place.with_name(f"{place.name}.key.last")
        with open_ledger(place) as ledger:
            for _ in range(3):
                ledger.scan(TOOL, raw("no code"))
        assert of(found(place), "checkpoint_behind").value == 3
        old = datetime.now(UTC).timestamp() - 8 * 86400
        os.utime(memory, (old, old))
        assert found(place).sentences == (
            "the last checkpoint was signed 8 days ago: expected one every 7 days (runout audit checkpoint)",
        )
        assert found(place, checkpoint_days=9).severity is Severity.WITHIN
        text = memory.read_text().split("\n")
        memory.write_text("\n".join([text[0], str(int(text[1]) - 1), *text[2:]]))
        assert found(place).severity is Severity.URGENT
        assert found(place).sentences[0].startswith("the last checkpoint does not fit the ledger: ")
        memory.unlink()
        assert found(place).sentences == (
            "no checkpoint was signed here: expected one every 7 days (runout audit checkpoint)",
        )

    def test_it_changes_nothing(self, place):
        before = place.read_bytes()
        assert run("--read-only", "health", ledger=place).code == 0
        assert place.read_bytes() == before


class TestForms:
    def test_json_is_what_the_package_answers(self, place, monkeypatch):
        at_time(monkeypatch, later(0))
        monkeypatch.setattr(shutil, "disk_usage", lambda _folder: DISK(1 << 40))
        assert json.loads(run("health", "--format", "json", ledger=place).out) == found(place).to_dict()

    def test_openmetrics_is_read_by_a_reader_of_others(self, packing):
        """Source: the OpenMetrics reader of prometheus_client, an independent library."""
        parser = pytest.importorskip("prometheus_client.openmetrics.parser")
        text = run("health", "--format", "openmetrics", ledger=packing).out
        families = {one.name: one for one in parser.text_string_to_metric_families(text)}
        assert families["runout_last_entry_age_seconds"].unit == "seconds"
        samples = families["runout_spooled_scans"].samples
        assert {one.labels["station"]: one.value for one in samples}[LINE] == 6
        health = found(packing)
        keys = {one.measure.key for one in health.measured}
        named = {re.sub("^runout_|_(milliseconds|seconds|bytes)$", "", name) for name in families}
        assert named == {*keys, "severity"}
        [severity] = families["runout_severity"].samples
        assert severity.value == list(Severity).index(health.severity)

    def test_the_table_says_in_sentences_what_is_past_its_limit(self, packing):
        told = run("health", ledger=packing)
        assert told.code in {1, 7}
        assert (
            "no checkpoint was signed here: expected one every 7 days (runout audit checkpoint).\n"
            in told.err
        )


class TestLog:
    def lines(self, text):
        return [json.loads(line) for line in text.splitlines()]

    def test_an_error_is_one_object(self, place):
        told = run("--log-format", "json", "trace", "T0000019", ledger=place)
        [line] = self.lines(told.err)
        assert (told.code, told.out, sorted(line), line["level"]) == (2, "", ["at", "level", "text"], "error")
        assert not line["text"].startswith("runout: ")

    def test_a_slip_of_the_command_line_is_objects_too(self, place):
        told = run("--log-format=json", "trace", ledger=place)
        assert told.code == 2
        assert [line["level"] for line in self.lines(told.err)]

    def test_a_note_is_one_object(self, packing, monkeypatch):
        monkeypatch.setenv("RUNOUT_LOG_FORMAT", "json")
        told = run("health", ledger=packing)
        assert {line["level"] for line in self.lines(told.err)} == {"note"}

    def test_nothing_said_is_nothing_written(self, place):
        assert run("--log-format", "json", "health", ledger=place).err == ""
