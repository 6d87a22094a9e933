"""Random histories on SQLite and on PostgreSQL: every verdict, every entry and every row is the same.

On the server each station is a program of its own, as in a plant: what one of them keeps in mind must not outlive what
another one books.
"""

import pytest
from support_campaign import seeds
from support_histories import history

from runout import copy_ledger
from tracelink.store.copies.between_engines import ALL
from tracelink.store.journal.rebuild import rebuild
from tracelink.store.journal.verify import examine
from tracelink.store.ledger import Ledger, read_ledger

SEEDS = seeds((5,))
SCANS = 80
NOW = "2031-03-03T07:00:00Z"


def rows(conn):
    return {each.name: sorted((tuple(row) for row in conn.execute(each.select())), key=repr) for each in ALL}


@pytest.mark.parametrize("seed", SEEDS)
def test_a_history_is_the_same_on_both(seed, pg_place, tmp_path):
    made = history(seed)
    copy_ledger(made.floor.saved(tmp_path / "plant.db"), pg_place)
    scanned = []
    scan = made.floor.ledger.scan

    def noted(station, raw, at):
        scanned.append((station, raw, at, scan(station, raw, at)))
        return scanned[-1][-1]

    made.floor.ledger._now = lambda: NOW
    made.floor.ledger.scan = noted
    made.run(SCANS)
    stations = {
        station: Ledger.open(pg_place, now=lambda: NOW) for station in {station for station, *_ in scanned}
    }
    for number, (station, raw, at, verdict) in enumerate(scanned):
        assert stations[station].scan(station, raw, at) == verdict, (seed, number, made.shown())
    for each in stations.values():
        each.close()
    with made.floor.ledger.reading() as here, read_ledger(pg_place) as there:
        ours = rows(here)
        assert rows(there) == ours
        assert examine(there).faults == []
    with Ledger.open(pg_place) as there, there.transaction() as conn:
        rebuild(conn)
        assert rows(conn) == ours
