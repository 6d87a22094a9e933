"""A packer at a line whose ledger has no room, on a small disk that is filled: of a file, or of a database server."""

import itertools
import os
import shutil
import subprocess
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest
from support_campaign import tries
from support_clock import station_clock
from support_packer import Packer
from support_plant import LINE, TOOL, Floor

from runout import open_ledger
from tracelink.errors import StorageFailed
from tracelink.store.journal.verify import examine
from tracelink.store.ledger import Ledger

DISK_MB = 40
LEFT_KB = (0, 64, 8, 200)
"""Room on the full disk."""
NEEDS_ROOT = pytest.mark.skipif(os.geteuid() != 0, reason="mounting a small disk needs root")


def last_number(place, station):
    with Ledger.open(place, read_only=True) as ledger:
        return Floor(ledger).read("station", "last_number", code=station)[0][0]


@contextmanager
def packing(place, by=None):
    """A packer at a line in the middle of a carton; all that it was shown is in the ledger at the end."""
    before = last_number(place, LINE)
    with station_clock(), open_ledger(by or place) as opened, opened.stations.live(LINE) as here:
        packer = Packer(here)
        yield packer
        # So that what was in doubt last is settled.
        packer.scan()
    assert last_number(place, LINE) - before == packer.booked
    with Ledger.open(place) as ledger:
        assert Floor(ledger).spooled_matches() == packer.booked // 2
        with ledger.reading() as conn:
            assert examine(conn).faults == []


@contextmanager
def small_disk(folder, owner, size_mb=DISK_MB):
    """A disk of its own in a folder, if this machine lets root mount one."""
    folder.mkdir()
    if subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={size_mb}m", "tmpfs", str(folder)], check=False
    ).returncode:
        pytest.skip("this machine does not let root mount")
    try:
        shutil.chown(folder, owner, owner)
        yield folder
    finally:
        subprocess.run(["umount", "-l", str(folder)], check=True)


def fill(disk, left_kb):
    """Leave so much room on a disk; returns the file that fills it."""
    file = Path(disk) / "filler"
    room = os.statvfs(disk)
    with file.open("wb") as opened:
        os.posix_fallocate(opened.fileno(), 0, max(4096, room.f_bavail * room.f_bsize - left_kb * 1024))
    return file


def fill_up(bench, rng):
    """Scan long texts, which are refused and kept as they came, until the disk is full; returns how many were booked."""
    booked = 0
    with suppress(StorageFailed):
        while booked < 5000:
            assert bench.scan(f"]C0{rng.randbytes(450).hex()}").finding is not None
            booked += 1
    with pytest.raises(StorageFailed, match="is full: nothing was booked; make room and scan again"):
        bench.scan(f"]C0{rng.randbytes(450).hex()}")
    return booked


def filled_again_and_again(place, disk, rng):
    """Fill the disk under a ledger while a line and a bench scan on it, each time with other room left; returns in words what was tried."""
    full, texts, before = 0, 0, last_number(place, TOOL)
    with packing(place) as packer, open_ledger(place) as other, other.stations.live(TOOL) as bench:
        for left_kb, _again in itertools.product(LEFT_KB[: tries(2)], range(max(1, tries(1) // 4))):
            filler = fill(disk, left_kb)
            texts += fill_up(bench, rng)
            full += 1
            for _ in range(9):
                packer.tries()
            filler.unlink()
            packer.scan()
            assert bench.scan("]C0again").finding is not None
            texts += 1
    assert last_number(place, TOOL) - before == texts
    return (
        f"{full} times full, {packer.booked + texts} scans booked, {packer.refused + full} refused, {packer.doubtful} in doubt, 0 lost, "
        "0 doubled"
    )
