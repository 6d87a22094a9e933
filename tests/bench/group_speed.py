"""What following a plant costs: the first copy, taking it, keeping up, and a question here and there.

Run by hand: python tests/bench/group_speed.py LEDGER.db STAMPER
Two servers of its own: the ledger is copied to the plant's, and a group follows it. Rates are by the clock; sizes are the
databases' own.
"""

import sys
import time
from pathlib import Path

import psycopg

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support_server import server

from runout import PlantGroup, PlantLink, copy_ledger, open_ledger, publish_journal
from tracelink.store.group.group_database import GroupDatabase


def main() -> None:
    source, stamper = sys.argv[1:3]
    with server("wal_level=logical") as first, server() as here:
        plant = first.database()
        copy_ledger(source, plant)
        publish_journal(plant)
        group_place = here.database()
        group = PlantGroup(group_place)
        with open_ledger(plant, read_only=True) as ledger:
            entries, head = ledger.head
        begun = time.monotonic()
        group.add("one", plant)
        while (now := group.standings()[0]).link is PlantLink.FIRST_COPY or now.waiting < entries:
            time.sleep(0.02)
        print(f"first copy: {entries:,} entries in {time.monotonic() - begun:.1f} s")
        begun, used = time.monotonic(), time.process_time()
        [taken] = group.take()
        took, cpu = time.monotonic() - begun, time.process_time() - used
        assert (taken.head.seq, taken.head.hash) == (entries, head), taken
        print(f"taken: {entries / took:,.0f} entries a second, {entries / cpu:,.0f} of processor")
        sizes = [
            size(place.partition("?")[0]) / entries
            for place in (plant, GroupDatabase(group_place).plant_url("one"))
        ]
        print(f"bytes an entry: plant {sizes[0]:,.0f}, group {sizes[1]:,.0f}")
        with open_ledger(plant) as ledger:
            alone = timed(lambda: ledger.trace(stamper))
        print(
            f"trace of {stamper}: plant {alone:.3f} s, group {timed(lambda: group.trace(f'one:{stamper}')):.3f} s"
        )


def size(place: str) -> int:
    """Return the bytes of a database."""
    with psycopg.connect(place.replace("+psycopg", "")) as conn:
        [found] = conn.execute("SELECT pg_database_size(current_database())").fetchone() or [0]
    return int(found)


def timed(act) -> float:
    """Return the seconds of the second time; the first reads what the server has to have in memory."""
    act()
    begun = time.monotonic()
    act()
    return time.monotonic() - begun


if __name__ == "__main__":
    main()
