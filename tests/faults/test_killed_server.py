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
from support_packer import Packer
from support_plant import LINE, Floor
from support_server import server

from runout import copy_ledger, open_ledger
from tracelink.store.journal.verify import examine
from tracelink.store.ledger import Ledger

SEED = 4
KILLS = tries(2)


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
