"""Writers of a SQLite ledger wait in turn; one that was killed keeps nobody, and a file that is odd stops nobody."""

import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from support_plant import TOOL, Floor, raw

from tracelink.errors import LedgerBusy
from tracelink.store.database import write_turn as turns
from tracelink.store.database.engine import ledger_url
from tracelink.store.database.write_turn import write_turn
from tracelink.store.ledger import Ledger


@pytest.fixture
def place(tmp_path):
    return str(tmp_path / "plant.db")


def turn(place):
    return write_turn(ledger_url(place), place)


def waiting(place):
    """How many numbers were drawn so far."""
    return int.from_bytes(Path(f"{place}-turn").read_bytes()[:8], "little")


class InLine:
    """Writers that come one after the other and wait."""

    def __init__(self, place):
        self._place = place
        self.served = []
        self._threads = []

    def comes(self, name):
        before = waiting(self._place)
        self._threads.append(threading.Thread(target=self._wait, args=(name,)))
        self._threads[-1].start()
        while waiting(self._place) == before:
            time.sleep(0.001)

    def _wait(self, name):
        with turn(self._place):
            self.served.append(name)
            time.sleep(0.002)

    def end(self):
        for one in self._threads:
            one.join(timeout=30)
        return self.served


def test_whoever_comes_first_writes_first(place):
    line = InLine(place)
    with turn(place):
        for name in range(12):
            line.comes(name)
        assert line.served == []
    assert line.end() == list(range(12))


def test_one_that_is_killed_in_its_turn_lets_the_next_one_on(place):
    program = (
        "import sys, time\nfrom tracelink.store.database.engine import ledger_url\n"
        "from tracelink.store.database.write_turn import write_turn\n"
        f"with write_turn(ledger_url({place!r}), ''):\n    print('mine', flush=True)\n    time.sleep(60)\n"
    )
    with subprocess.Popen([sys.executable, "-c", program], stdout=subprocess.PIPE) as holder:
        assert holder.stdout.readline() == b"mine\n"
        line = InLine(place)
        line.comes("next")
        assert line.served == []
        holder.send_signal(signal.SIGKILL)
    assert line.end() == ["next"]


def test_it_is_not_waited_for_without_end(place, monkeypatch):
    monkeypatch.setattr(turns, "BUSY_TIMEOUT_MS", 20)
    with (
        turn(place),
        pytest.raises(LedgerBusy, match="is locked by another program: nothing was booked"),
        turn(place),
    ):
        pytest.fail("two at once")
    with turn(place):
        pass


@pytest.mark.parametrize(
    "content", [b"", b"odd", b"\xff" * 8, b"\x00" * 8, (1 << 62).to_bytes(8, "little"), b"x" * 99]
)
def test_a_file_that_holds_something_else_keeps_nobody(place, content):
    Path(f"{place}-turn").write_bytes(content)
    with turn(place):
        line = InLine(place)
        line.comes("next")
    assert line.end() == ["next"]


def test_where_no_number_can_be_drawn_writers_go_on(place, monkeypatch):
    def full(*_given):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "pwrite", full)
    with turn(place), turn(place):
        pass


def test_where_no_file_can_be_made_writers_go_on(tmp_path):
    place = str(tmp_path / "nowhere" / "plant.db")
    with turn(place), turn(place):
        pass


def test_a_ledger_on_a_server_or_in_memory_needs_none(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for place in ("sqlite://", "postgresql://u@h/d"):
        with turn(place), turn(place):
            pass
    assert list(tmp_path.iterdir()) == []


def test_a_scan_is_booked_in_its_turn(tmp_path):
    place = str(Floor.copy().saved(tmp_path / "plant.db"))
    with Ledger.open(place) as ledger:
        floor = Floor(ledger)
        floor.scan(TOOL, "P1")
        before = waiting(place)
        booked = threading.Thread(target=lambda: ledger.scan(TOOL, raw("no code"), floor.at))
        with turn(place):
            booked.start()
            while waiting(place) < before + 2:
                time.sleep(0.001)
            assert floor.count("finding") == 0
        booked.join(timeout=30)
        assert floor.count("finding") == 1


def test_a_ledger_in_memory_leaves_no_file(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for place in (":memory:", "sqlite://", "sqlite:///:memory:"):
        with Ledger.create(place) as ledger, ledger.writing():
            pass
    assert list(tmp_path.iterdir()) == []
