"""A disk that is full under the file of a ledger, with more and with less room left: what was shown is booked, once.

The same of a database server: `test_server_fails.py`. `RUNOUT_CAMPAIGN=20` tries twenty times as much. Prints with `-s` what was tried.
"""

import itertools
import random
import shutil
from pathlib import Path

from support_campaign import tries
from support_full_disk import LEFT_KB, NEEDS_ROOT, fill, fill_up, last_number, packing, small_disk
from support_ledgers import filled
from support_open_carton import open_carton
from support_plant import TOOL

from runout import open_ledger

SEED = 15


@NEEDS_ROOT
def test_a_full_disk_under_a_file_books_nothing_and_the_next_scan_works(tmp_path):
    """With more and with less room, so that it fills at another operation each time."""
    rng, full, texts = random.Random(SEED), 0, 0
    with small_disk(tmp_path / "small", "root") as disk:
        place = str(Path(disk, "plant.db"))
        shutil.copy(filled(tmp_path / "plant.db", open_carton), place)
        before = last_number(place, TOOL)
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
    print(
        f"seed {SEED}: {full} times full, {packer.booked + texts} scans booked, {packer.refused + full} refused, "
        f"{packer.doubtful} in doubt, 0 lost, 0 doubled"
    )
