"""A placing machine at a real terminal: what is typed by a scanner is booked, and the verdict fills the screen."""

import os
import pty
import select
import subprocess
import sys
import time

import pytest
from support_assembly import MACHINE, PARTS, assembly_data, play
from support_plant import START, Floor, n, raw
from support_plantfile import read_plant_file

from tracelink.ledger.entry import Stamp
from tracelink.store.ledger import utc_now


def hall_in_a_file(place):
    floor = Floor.new(str(place))
    # Before now, because the machine goes by the clock.
    floor.at = "2021-03-03T08:00:00+01:00"
    with floor.ledger.writing() as booking:
        for body in read_plant_file(assembly_data(), new_ledger=False):
            booking.record(body, Stamp(START, utc_now()))
    floor.play(MACHINE, "P51 -> DONE")
    play(floor, PARTS)
    floor.ledger.close()


class Terminal:
    """A station in a terminal of its own; what it shows is read until something stands in it."""

    def __init__(self, ledger):
        self._master, slave = pty.openpty()
        program = "from tracelink.cli import main; main()"
        command = [sys.executable, "-c", program, "--ledger", str(ledger), "assembly"]
        # On a terminal that only prints, and is wide: elsewhere an instruction is drawn in large letters, or broken.
        plain = {**os.environ, "TERM": "dumb", "COLUMNS": "300", "LINES": "24"}
        self._station = subprocess.Popen(
            [*command, "--station", MACHINE],
            stdin=slave,
            stdout=slave,
            stderr=slave,
            close_fds=True,
            env=plain,
        )
        os.close(slave)

    def scan(self, line, wanted):
        os.write(self._master, f"{line}\n".encode())
        return self.shows(wanted)

    def shows(self, wanted):
        shown, until = "", time.monotonic() + 60
        while wanted not in " ".join(shown.split()):
            ready, _, _ = select.select([self._master], [], [], max(0.0, until - time.monotonic()))
            if not ready:
                pytest.fail(f"{wanted!r} did not come in: {shown[-2000:]!r}")
            shown += os.read(self._master, 65536).decode(errors="replace")
        return shown

    def close(self):
        os.close(self._master)
        self._station.kill()
        self._station.wait(timeout=30)


def test_a_machine_is_set_up_runs_and_is_stopped_by_a_wrong_reel(tmp_path):
    place = tmp_path / "hall.db"
    hall_in_a_file(place)
    at = Terminal(place)
    try:
        at.scan(raw("BUILD"), "Scan a new build order card.")
        at.scan(raw("N1"), "part number of what is built")
        at.scan('"EX-3000', "Scan the first serial label.")
        at.scan(raw("U101"), "Key how many")
        at.scan("#10", "in a panel")
        at.scan("#1", "10 pieces of EX-3000")
        at.scan(raw("SETUP"), "Scan the build order card.")
        at.scan(raw("N1"), "Load slot 1: EX-1001")
        at.scan(raw("LOAD"), "Scan the tag of the slot.")
        at.scan(raw("J1"), "Scan the reel.")
        at.scan(raw("F2"), "Put it back and take the right reel.")
        at.scan(raw("F1"), "40 parts.")
        at.scan(raw("LOAD"), "Scan the tag of the slot.")
        at.scan(raw("J2"), "Scan the reel.")
        at.scan(raw("F2"), "59 parts.")
        at.scan(raw("PLACED"), "Key what the machine has done")
        at.scan("#10", "Pieces 1 to 10 of 10")
        at.scan(raw("CHECK"), "Scan the tag of the slot.")
        at.scan(raw("J1"), "Scan the reel that is in it.")
        at.scan(raw("F3"), f"are held back (hold {n('H1')})")
    finally:
        at.close()
