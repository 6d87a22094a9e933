"""Logs that are replayed together: two of one station hold different scans, or none is booked."""

import json

import pytest
from support_plant import LAB, LINE, Floor, raw

from tracelink.devices.stationlog import FORMAT, VERSION
from tracelink.errors import UsageError
from tracelink.services.floor import log_replay
from tracelink.store.ledger import Ledger


def log(folder, name, first, last, station=LINE):
    """Write a log in which somebody signs on again and again."""
    head = {"format": FORMAT, "version": VERSION, "station": station}
    scans = [
        {"n": number, "at": f"2031-03-03T09:00:{number:02}+01:00", "raw": raw("P1")}
        for number in range(first, last + 1)
    ]
    file = folder / name
    file.write_text(
        "".join(json.dumps(line) + "\n" for line in [head, *scans, {"end": last}]), encoding="utf-8"
    )
    return file


def replayed(*files):
    """Replay logs on a ledger of their own in the folder of the first."""
    with Ledger.open(str(Floor.copy().saved(files[0].with_name("plant.db")))) as ledger:
        return log_replay.replay(ledger, files, lambda _done, _of: None)


def test_a_log_cut_in_two_is_booked_whole(tmp_path):
    done = replayed(log(tmp_path, "b", 4, 6), log(tmp_path, "a", 1, 3))
    assert (done.booked, done.skipped) == (6, 0)


@pytest.mark.parametrize(("first", "last", "both"), [(3, 6, 3), (1, 3, 1), (2, 2, 2), (1, 9, 1)])
def test_two_logs_of_a_station_with_the_same_scan_are_refused(tmp_path, first, last, both):
    one, other = log(tmp_path, "a", 1, 3), log(tmp_path, "b", first, last)
    with pytest.raises(UsageError) as told:
        replayed(one, other)
    assert str(told.value) == f"{other} and {one} both hold scan {both} of station {LINE}: give one of them"


def test_the_same_numbers_at_another_station_are_other_scans(tmp_path):
    assert replayed(log(tmp_path, "a", 1, 3), log(tmp_path, "b", 1, 3, LAB)).booked == 6


def test_a_log_given_twice_is_booked_once(tmp_path):
    file = log(tmp_path, "a", 1, 3)
    assert replayed(file, file).booked == 3
