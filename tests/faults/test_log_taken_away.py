"""The log and its index taken away from a line that scans on: unlinked, emptied, overwritten with zeros, replaced by an older copy.

Whatever SQLite makes of it, what was shown as booked is in the ledger afterwards, or `audit verify` says that it is not. By default
a few ways; with `RUNOUT_CAMPAIGN` over 1 all of them, with another program at the ledger and without. Prints with `-s` what came of it.
"""

import faulthandler
import os
import subprocess
import sys
from itertools import product
from pathlib import Path

import pytest
from support_campaign import tries
from support_cli import run
from support_ledgers import filled
from support_open_carton import open_carton
from support_plant import LAB, LINE, raw

from runout import open_ledger
from tracelink.errors import LedgerError, StationTaken
from tracelink.store.beside.acknowledged import lock_file

PAIR = raw("disc 1.1"), raw("sleeve 1")
EIGHT = 8
WAYS = ("unlink", "empty", "zeros", "replace", "overwrite")
ENDINGS = (("-wal",), ("-shm",), ("-wal", "-shm"))
FEW = (
    ("unlink", ("-wal",), False),
    ("empty", ("-wal",), False),
    ("empty", ("-wal", "-shm"), False),
    ("zeros", ("-wal",), True),
    ("overwrite", ("-shm",), False),
)
CASES = [*product(WAYS, ENDINGS, (False, True))] if tries(1) > 1 else FEW
SCAN = """
from runout import open_ledger
with open_ledger({place!r}) as ledger:
    ledger.stations.scan({station!r}, {line!r})
"""


def taken_away(file, way, older):
    if way == "unlink":
        file.unlink()
    elif way == "empty":
        os.truncate(file, 0)
    elif way == "zeros":
        with file.open("r+b") as opened:
            opened.write(bytes(file.stat().st_size))
    elif way == "replace":
        other = file.with_name("other")
        other.write_bytes(older)
        other.replace(file)
    else:
        with file.open("r+b") as opened:
            opened.write(older)
            opened.truncate(len(older))


def scanning_line(place, told, go):
    """Scan eight times, wait, eight times, wait, and eight times more; tell of each how it ended."""
    with open_ledger(place) as ledger, ledger.stations.live(LINE) as here:
        for number in range(3 * EIGHT):
            if number in (EIGHT, 2 * EIGHT):
                os.write(told, b"?\n")
                os.read(go, 1)
            try:
                here.scan(PAIR[number % 2])
            except StationTaken as problem:
                os.write(told, f"ended {problem}\n".encode())
                return
            os.write(told, b"booked\n")


class Line:
    """A line in a process of its own."""

    def __init__(self, place):
        self._told, told = os.pipe()
        go, self._go = os.pipe()
        self._process = os.fork()
        if self._process == 0:
            # Whoever holds an end of a pipe keeps it open: neither would notice that the other is gone.
            os.close(self._told)
            os.close(self._go)
            # A memory that is no longer there ends it with a signal, which is nothing to print.
            faulthandler.disable()
            try:
                scanning_line(place, told, go)
            except BaseException as problem:  # noqa: BLE001  the child ends here, whatever happens
                os.write(told, f"fault {problem!r}\n".encode())
            finally:
                os._exit(0)
        os.close(told)
        os.close(go)
        self.booked, self.ended = 0, ""
        self._lines = os.fdopen(self._told)

    def goes_on(self):
        """Read what it tells until it waits or ends."""
        for line in self._lines:
            if line == "?\n":
                return
            if line.startswith(("ended", "fault")):
                self.ended = line.strip()
            self.booked += line == "booked\n"

    def may_go_on(self):
        os.write(self._go, b"g")
        self.goes_on()

    def ends(self):
        self._lines.close()
        os.close(self._go)
        return os.waitstatus_to_exitcode(os.waitpid(self._process, 0)[1])


def booked_in(place):
    with open_ledger(place, read_only=True) as ledger, ledger.stations._ledger.reading() as conn:
        return conn.exec_driver_sql(f"SELECT last_number FROM station WHERE code = '{LINE}'").scalar()


@pytest.mark.parametrize(
    ("way", "endings", "another"),
    CASES,
    ids=lambda case: (
        case if isinstance(case, str) else "".join(case) if isinstance(case, tuple) else str(case)
    ),
)
def test_what_was_shown_as_booked_is_there_or_told_as_lost(tmp_path, way, endings, another):
    place = filled(tmp_path / "plant.db", open_carton)
    before = booked_in(place)
    line = Line(place)
    line.goes_on()
    older = {ending: Path(f"{place}{ending}").read_bytes() for ending in endings}
    line.may_go_on()
    for ending in endings:
        taken_away(Path(f"{place}{ending}"), way, older[ending])
    if another:
        other = SCAN.format(place=str(place), station=LAB, line=raw("P1"))
        subprocess.run([sys.executable, "-c", other], check=False, capture_output=True, timeout=60)
    line.may_go_on()
    signal = line.ends()
    assert not line.ended.startswith("fault"), line.ended
    assert line.booked >= 2 * EIGHT
    found = run("audit", "verify", ledger=place)
    try:
        there = booked_in(place) - before
    except LedgerError:
        there = None
    print(
        f"{way} {' '.join(endings)}: {line.booked} shown, {there} there, verify {found.code}, {-signal or line.ended}"
    )
    # Never more than was shown: nothing is doubled.
    assert there is None or there <= line.booked
    # A file that SQLite filled from a log of zeros is damaged, whatever single rows still say.
    assert found.code == 3 or (found.code, there) == (0, line.booked)
    if there is not None and there < line.booked and "is damaged" not in found.err:
        lost = f"station {LINE}: scans {before + there + 1} to {before + line.booked} were booked and their verdicts shown"
        assert any(told.startswith(lost) for told in found.err.splitlines()), found.err


@pytest.mark.parametrize("way", ["unlink", "empty", "replace"])
def test_a_line_whose_log_is_taken_away_stops_before_its_next_verdict(tmp_path, way):
    place = filled(tmp_path / "plant.db", open_carton)
    line = Line(place)
    line.goes_on()
    older = Path(f"{place}-wal").read_bytes()
    line.may_go_on()
    taken_away(Path(f"{place}-wal"), way, older)
    line.may_go_on()
    line.ends()
    assert line.booked == 2 * EIGHT
    assert line.ended == (
        f"ended station {LINE}: the ledger's write-ahead log was taken away, emptied or replaced while the station was open. Nothing "
        "more is booked from here: end this one, find out who did it, and open the station again: it says whether scans are missing"
    )


def test_a_station_says_once_that_its_ledger_went_back_and_then_goes_on(tmp_path):
    """An older copy in the place of the file; `audit verify` tells the gap as long as the station's file is there."""
    place = filled(tmp_path / "plant.db", open_carton)
    copy = place.read_bytes()
    with open_ledger(place) as ledger, ledger.stations.live(LINE) as here:
        for number in range(EIGHT):
            here.scan(PAIR[number % 2])
    assert run("audit", "verify", ledger=place).code == 0
    for ending in ("-wal", "-shm"):
        Path(f"{place}{ending}").unlink(missing_ok=True)
    place.write_bytes(copy)
    before = booked_in(place)
    with open_ledger(place) as ledger:
        with (
            pytest.raises(
                StationTaken, match=f"the ledger's last scan here is {before}, and later ones were"
            ),
            ledger.stations.live(LINE),
        ):
            pytest.fail("it opened in silence")
        with ledger.stations.live(LINE) as here:
            for number in range(2 * EIGHT):
                here.scan(PAIR[number % 2])
    found = run("audit", "verify", ledger=place)
    assert found.code == 3
    [told] = [line for line in found.err.splitlines() if line.startswith("station")]
    assert told.startswith(
        f"station {LINE}: scans {before + 1} to {before + EIGHT} were booked and their verdicts shown, and the ledger did not hold"
    )
    lock_file(place, LINE).unlink()
    assert run("audit", "verify", ledger=place).code == 0


def test_a_station_whose_ledger_goes_back_under_it_says_so(tmp_path):
    """It is not told that another terminal was there."""
    place = filled(tmp_path / "plant.db", open_carton)
    with open_ledger(place) as ledger, ledger.stations.live(LINE) as here:
        for number in range(EIGHT):
            here.scan(PAIR[number % 2])
        with ledger.stations._ledger.transaction() as conn:
            last = conn.exec_driver_sql(f"SELECT last_number FROM station WHERE code = '{LINE}'").scalar()
            conn.exec_driver_sql(f"DELETE FROM spool WHERE station = '{LINE}' AND number > {last - 2}")
            conn.exec_driver_sql(f"UPDATE station SET last_number = {last - 2} WHERE code = '{LINE}'")
        with pytest.raises(
            StationTaken,
            match=f"the ledger's last scan here is {last - 2}, and scan {last} was booked and shown",
        ):
            here.scan(PAIR[0])


@pytest.mark.parametrize("kept", [b"", b"x" * 40, b"99999999999999999999\n", b"-5", b"\xff\n", b"\n" * 30])
def test_a_file_of_a_station_that_says_nothing_loses_nothing(tmp_path, kept):
    place = filled(tmp_path / "plant.db", open_carton)
    lock_file(place, LINE).write_bytes(kept)
    assert run("audit", "verify", ledger=place).code == 0
    with open_ledger(place) as ledger, ledger.stations.live(LINE) as here:
        here.scan(PAIR[0])
    assert run("audit", "verify", ledger=place).code == 0
