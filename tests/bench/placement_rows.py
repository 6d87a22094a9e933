"""What placements cost: a stretch of boards and positions as one row, next to one row for each placement.

    python tests/bench/placement_rows.py --units 1000000 --single 10000

Units of 300 parts, each of another kind, off reels of 5,000; a machine is counted every 100 boards. Stretches are rows of the
ledger's own table with its indexes; single placements are rows (reel, position, build order, piece) with an index for each way
they are asked. Prints rows, bytes and seconds of both, and what the second would come to at the size of the first.
"""

import argparse
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import pysqlite3
from support_plant import START, code

from tracelink.store.ledger import Ledger
from tracelink.store.records.sql_records import SqlRecords

KINDS, REEL, COUNTED = 300, 5_000, 100
ORDER = code("N", 1)
_INTO = (
    "INSERT INTO part_move (seq, line, reel, quantity, source, target, first, last, at, build, from_piece, to_piece, per_piece, "
    "lead) VALUES (?, ?, ?, ?, 'counter', ?, ?, ?, ?, ?, ?, ?, 1, 0)"
)


def stretches(units: int) -> Iterator[tuple[Any, ...]]:
    """One row for every kind and count: 5,000 is a multiple of 100, so no count runs over the end of a reel."""
    for seq, first in enumerate(range(1, units + 1, COUNTED), 1):
        last = min(first + COUNTED - 1, units)
        target = f"{ORDER} {first}-{last}"
        for kind in range(KINDS):
            at = (first - 1) % REEL + 1
            yield (
                seq,
                kind,
                reel_of(kind, first),
                last - first + 1,
                target,
                at,
                at + last - first,
                START,
                ORDER,
                first,
                last,
            )


def reel_of(kind: int, piece: int) -> str:
    """The reel of a kind from which a board took its part."""
    return f"F{kind * 1000 + (piece - 1) // REEL:07d}X"


def singles(units: int) -> Iterator[tuple[Any, ...]]:
    """One row for every placement."""
    for piece in range(1, units + 1):
        for kind in range(KINDS):
            yield reel_of(kind, piece), (piece - 1) % REEL + 1, ORDER, piece


def bytes_of(conn: Any) -> int:
    """The size of a database, as its pages are filled."""
    pages, size = (
        conn.execute("PRAGMA page_count").fetchone()[0],
        conn.execute("PRAGMA page_size").fetchone()[0],
    )
    return int(pages * size)


def fill(place: Path, query: str, rows: Iterator[tuple[Any, ...]]) -> tuple[int, int, float]:
    """Write rows in one transaction: how many, their bytes, and seconds of this process."""
    conn = pysqlite3.connect(place)
    conn.execute("PRAGMA foreign_keys=OFF")
    before, began = bytes_of(conn), time.process_time()
    written = conn.executemany(query, rows).rowcount
    conn.commit()
    spent = time.process_time() - began
    grown = bytes_of(conn) - before
    conn.close()
    return written, grown, spent


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--units", type=int, default=10_000)
    parser.add_argument("--single", type=int, default=1_000)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder, "hall.db")
        Ledger.create(str(place)).close()
        rows, size, spent = fill(place, _INTO, stretches(given.units))
        told(f"{given.units:,} units as stretches", rows, size, spent)
        with Ledger.open(str(place)) as ledger, ledger.reading() as conn:
            records, began = SqlRecords(conn), time.process_time()
            moves = records.movements_of(reel_of(7, given.units // 2))
            asked = time.process_time() - began
        print(f"where one reel went: {len(moves)} stretches, {asked * 1e3:.1f} ms")
        single = Path(folder, "single.db")
        conn = pysqlite3.connect(single)
        conn.execute(
            "CREATE TABLE placement (reel TEXT NOT NULL, position INTEGER NOT NULL, build TEXT NOT NULL, piece INTEGER NOT NULL, "
            "PRIMARY KEY (reel, position)) STRICT"
        )
        conn.execute("CREATE INDEX ix_placement_piece ON placement (build, piece)")
        conn.commit()
        conn.close()
        many, wide, took = fill(single, "INSERT INTO placement VALUES (?, ?, ?, ?)", singles(given.single))
        told(f"{given.single:,} units, one row a placement", many, wide, took)
        times = given.units / given.single
        told(f"  the same for {given.units:,} units", int(many * times), int(wide * times), took * times)
        print(
            f"rows {many * times / rows:.0f}, bytes {wide * times / size:.0f}, seconds {took * times / spent:.0f} times as many"
        )


def told(what: str, rows: int, size: int, seconds: float) -> None:
    print(f"{what}: {rows:,} rows, {size / 1e6:,.1f} MB, {seconds:,.1f} s", flush=True)


if __name__ == "__main__":
    main()
