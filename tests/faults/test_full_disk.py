"""A disk that is full under the file of a ledger, with more and with less room left: what was shown is booked, once.

The same of a database server: `test_server_fails.py`. `RUNOUT_CAMPAIGN=20` tries twenty times as much. Prints with `-s` what was tried.
"""

import random
import shutil
from pathlib import Path

from support_full_disk import NEEDS_ROOT, filled_again_and_again, small_disk
from support_ledgers import filled
from support_open_carton import open_carton

SEED = 15


@NEEDS_ROOT
def test_a_full_disk_under_a_file_books_nothing_and_the_next_scan_works(tmp_path):
    """With more and with less room, so that it fills at another operation each time."""
    with small_disk(tmp_path / "small", "root") as disk:
        place = str(Path(disk, "plant.db"))
        shutil.copy(filled(tmp_path / "plant.db", open_carton), place)
        told = filled_again_and_again(place, disk, random.Random(SEED))
    print(f"seed {SEED}: {told}")
