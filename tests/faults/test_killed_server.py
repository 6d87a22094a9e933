"""A database server that is killed and started again under a live line: every verdict that was shown is booked, once.

`RUNOUT_CAMPAIGN=20` kills twenty times as often. Prints with `-s` what was tried.
"""

import random
import threading
import time

import pytest
from support_campaign import tries
from support_clock import station_clock
from support_ledgers import filled
from support_open_carton import open_carton
from support_plant import LINE, Floor, raw
from support_server import server

from runout import copy_ledger, open_ledger
from tracelink.errors import BookingUnknown, StorageFailed
from tracelink.ledger.finding_codes import FindingCode
from tracelink.store.journal.verify import examine
from tracelink.store.ledger import Ledger

SEED = 4
KILLS = tries(2)
LINES = ("disc 1.1", "sleeve 1")
PATIENCE_S = 120


class Packer:
    """Scans disc and sleeve in turn, does after each error what the station says, and counts what was shown."""

    def __init__(self, here):
        self._here = here
        self.booked = 0
        self.refused = 0
        self.doubtful = 0

    def scan(self):
        """Make the next scan, and return once it is known to be booked or not."""
        until = time.monotonic() + PATIENCE_S
        while time.monotonic() < until:
            try:
                verdict = self._here.scan(raw(LINES[self.booked % 2]))
            except BookingUnknown:
                self.doubtful += 1
            except StorageFailed:
                self.refused += 1
                time.sleep(0.05)
            else:
                self._take(verdict)
                return
        raise AssertionError("the station did not come back")

    def _take(self, verdict):
        if verdict.finding is FindingCode.NOT_BOOKED:
            # What it says is of the scan before; this one has to be made again, or the next.
            self.booked += verdict.sentence.startswith("The scan before was booked.")
            return
        assert verdict.finding is None, verdict
        self.booked += 1


def kill_and_start(running, after, down):
    time.sleep(after)
    running.kill()
    time.sleep(down)
    running.start()


@pytest.fixture
def running():
    with server() as made:
        yield made


def test_nothing_that_was_shown_is_lost_and_nothing_is_booked_twice(running, tmp_path):
    rng = random.Random(SEED)
    place = running.database()
    copy_ledger(filled(tmp_path / "plant.db", open_carton), place)
    with Ledger.open(place) as ledger:
        [(before,)] = Floor(ledger).read("station", "last_number", code=LINE)
    with station_clock(), open_ledger(place) as opened, opened.stations.live(LINE) as here:
        packer = Packer(here)
        for _ in range(KILLS):
            gone = threading.Thread(
                target=kill_and_start, args=(running, rng.uniform(0.02, 0.5), rng.uniform(0, 0.3))
            )
            gone.start()
            while gone.is_alive():
                packer.scan()
            gone.join()
        for _ in range(4):
            packer.scan()
    with Ledger.open(place) as ledger:
        floor = Floor(ledger)
        [(after,)] = floor.read("station", "last_number", code=LINE)
        assert after - before == packer.booked
        assert floor.spooled_matches() == packer.booked // 2
        with ledger.reading() as conn:
            assert examine(conn).faults == []
    print(
        f"seed {SEED}: {KILLS} kills, {packer.booked} scans booked, {packer.refused} refused, "
        f"{packer.doubtful} in doubt and settled, 0 lost, 0 doubled"
    )
