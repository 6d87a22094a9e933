"""A database server whose disk is full, or whose connection breaks at the n-th message: what was shown is booked, once.

`RUNOUT_CAMPAIGN=20` tries twenty times as much. Prints with `-s` what was tried.
"""

import random
import time
from contextlib import suppress
from pathlib import Path

import psycopg
import pytest
from sqlalchemy import make_url
from support_cable import BreakingCable
from support_campaign import tries
from support_full_disk import NEEDS_ROOT, fill, filled_again_and_again, packing, small_disk
from support_ledgers import filled
from support_open_carton import open_carton
from support_packer import PATIENCE_S
from support_server import MISSING, programs, server

from runout import copy_ledger

SEED = 15
MESSAGES = 14
"""More than a scan sends, so that a break falls into each and between two."""
LOG_DISK_MB = 200


@pytest.fixture
def place(pg_place, tmp_path):
    copy_ledger(filled(tmp_path / "plant.db", open_carton), pg_place)
    return pg_place


@pytest.mark.parametrize("whole", [False, True], ids=["one connection", "all connections"])
def test_a_connection_that_breaks_at_the_n_th_message_loses_and_doubles_nothing(place, whole):
    """At every message there and at every answer back."""
    url, rng = make_url(place), random.Random(SEED)
    broken = tries(4)
    with BreakingCable(url.host, url.port) as cable:
        by = url.set(port=cable.port).render_as_string(hide_password=False)
        with packing(place, by) as packer:
            for place_of in range(broken):
                # In turn there and back; where in a scan, by chance.
                cable.breaks(rng.randint(1, MESSAGES), arrives=bool(place_of % 2), whole=whole)
                while cable.is_set:
                    packer.scan()
    print(
        f"seed {SEED}: {broken} breaks, {packer.booked} scans booked, {packer.refused} refused, "
        f"{packer.doubtful} in doubt and settled, 0 lost, 0 doubled"
    )


@NEEDS_ROOT
def test_a_full_disk_of_a_server_books_nothing_and_the_next_scan_works(tmp_path):
    """With more and with less room, so that it fills at another operation each time."""
    if programs() is None:
        pytest.skip(MISSING)
    # A tablespace must lie where the server's user may look.
    with server() as running, small_disk(Path(running.folder, "small"), "postgres") as disk:
        place = running.database()
        running.move(place, disk)
        copy_ledger(filled(tmp_path / "plant.db", open_carton), place)
        told = filled_again_and_again(place, disk, random.Random(SEED))
    print(told)


def use_up(place, kb):
    """Write so much into the log of transactions of a server, and nothing into the ledger; says whether it could."""
    try:
        with psycopg.connect(place.replace("+psycopg", ""), autocommit=True, connect_timeout=10) as conn:
            conn.execute("SELECT pg_logical_emit_message(true, 'filler', repeat('x', %s))", (kb * 1024,))
    except psycopg.OperationalError:
        return False
    return True


def told_to_server(place, setting, *then):
    """Change a setting of a server, and do more once it goes by it."""
    with psycopg.connect(place.replace("+psycopg", ""), autocommit=True) as conn:
        for each in (setting, "SELECT pg_reload_conf()", "SELECT pg_sleep(0.5)", *then):
            conn.execute(each)


def come_back(running, place):
    """Start a server that went down; one that comes back by itself is waited for."""
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        if not running.is_up:
            running.start()
        with (
            suppress(psycopg.OperationalError),
            psycopg.connect(place.replace("+psycopg", ""), connect_timeout=10),
        ):
            return
        time.sleep(0.2)
    raise AssertionError("the server did not come back")


@NEEDS_ROOT
def test_a_server_whose_log_of_transactions_has_no_room_loses_nothing(tmp_path):
    """It goes down with all connections; started again with room, it has what was shown."""
    if programs() is None:
        pytest.skip(MISSING)
    rng, full = random.Random(SEED), 0
    with (
        server("min_wal_size=32MB", "checkpoint_timeout=1h") as running,
        small_disk(Path(running.folder, "small"), "postgres", LOG_DISK_MB) as disk,
    ):
        running.move_log(disk)
        place = running.database()
        copy_ledger(filled(tmp_path / "plant.db", open_carton), place)
        with packing(place) as packer:
            for _again in range(tries(1)):
                # Made small first; then, without a checkpoint, no part of it is used again, and it grows until the disk is full.
                told_to_server(place, "ALTER SYSTEM SET max_wal_size = '32MB'", "CHECKPOINT")
                told_to_server(place, "ALTER SYSTEM SET max_wal_size = '4GB'")
                filler = fill(disk, rng.choice((0, 64, 17_000)))
                while running.is_up and use_up(place, rng.choice((1000, 4000, 8000))):
                    packer.tries()
                full += 1
                for _ in range(3):
                    packer.tries()
                told = Path(running.folder, "log").read_text(encoding="utf-8")
                assert told.count("PANIC:  could not write to file") >= full, told[-2000:]
                filler.unlink()
                come_back(running, place)
                packer.scan()
    print(
        f"seed {SEED}: {full} times no room for the log, {packer.booked} scans booked, {packer.refused} refused, "
        f"{packer.doubtful} in doubt and settled, 0 lost, 0 doubled"
    )
