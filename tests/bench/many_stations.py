"""What each engine carries: packing lines that scan as fast as they can, side by side on one ledger.

Run by hand: python tests/bench/many_stations.py [--seconds N] [--stations 1,2,4,8,16] [--engine sqlite|postgresql]
Each line is a process of its own, as in a plant, and scans disc, sleeve, disc, sleeve ..., a carton of 25 after the other;
every scan is durable before its verdict is shown. Prints for each number of lines how many scans a second the ledger took,
and how long a line waited for a verdict: the median, the 99th percentile, and the longest wait of all.
PostgreSQL is a server of its own on the same disk, which waits for the disk at each commit, as SQLite does.
"""

import argparse
import multiprocessing
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support_plant import (
    PRESS,
    START,
    Floor,
    add_kits,
    carton_sscc,
    code,
    gtin,
    plant_data,
    raw_disc,
    raw_sleeve,
    raw_sscc,
)
from support_plantfile import read_plant_file
from support_server import server

from tracelink.ledger.entry import Stamp
from tracelink.store.ledger import Ledger, utc_now

CARTON = 25
MOST = 16
FIRST_LINE = 20
ENGINES = ("sqlite", "postgresql")


@dataclass(frozen=True)
class Carried:
    """What an engine carried in one run."""

    engine: str
    stations: int
    seconds: float
    waits: list[float]
    """Seconds of each scan, from the scan to its verdict."""

    @property
    def rate(self) -> float:
        """Scans a second, of all lines together."""
        return len(self.waits) / self.seconds

    def row(self) -> str:
        """A row of the table."""
        p50, p99 = statistics.median(self.waits), statistics.quantiles(self.waits, n=100)[98]
        cells = f"{p50 * 1e3:.1f} | {p99 * 1e3:.1f} | {p99 / p50:.1f} | {max(self.waits) * 1e3:.0f}"
        return f"| {self.engine} | {self.stations} | {self.rate:.0f} | {cells} |"


HEAD = (
    "| engine | lines | scans a second | median, ms | 99th percentile, ms | 99th to median | longest, ms |\n"
    "|---|---|---|---|---|---|---|"
)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--seconds", type=float, default=5)
    parser.add_argument("--stations", default="1,2,4,8,16")
    parser.add_argument("--engine", choices=ENGINES)
    given = parser.parse_args()
    print(HEAD)
    for engine in ENGINES if given.engine is None else (given.engine,):
        for stations in map(int, given.stations.split(",")):
            with place_of(engine) as place:
                print(carried(engine, place, stations, given.seconds).row(), flush=True)


@contextmanager
def place_of(engine: str) -> Iterator[str]:
    """A place for a new ledger."""
    if engine == "sqlite":
        with tempfile.TemporaryDirectory() as folder:
            yield f"{folder}/plant.db"
    else:
        with server(sync=True) as running:
            yield running.database()


def carried(engine: str, place: str, stations: int, seconds: float) -> Carried:
    """Let so many lines scan for so long."""
    fill(place, stations)
    context = multiprocessing.get_context("spawn")
    barrier = context.Barrier(stations)
    with context.Pool(stations, _share, (barrier,)) as pool:
        found = pool.starmap(pack, [(place, line, seconds) for line in range(stations)], chunksize=1)
    with Ledger.open(place) as ledger:
        ledger.verify()
    return Carried(engine, stations, seconds, [wait for waits in found for wait in waits])


def fill(place: str, stations: int) -> None:
    """Make a plant whose lines are open, each with a spindle of its own that lasts."""
    data: dict[str, Any] = plant_data()
    add_kits(data)
    data["plant"]["settings"] = {"line_reasons": 0, "double_read_seconds": 0}
    data["station"] += [
        {"code": code("W", FIRST_LINE + line), "area": "line", "name": f"line {line}"} for line in range(MOST)
    ]
    data["product"][0]["carton_size"] = CARTON
    data["lot"][0]["quantity"] = 20_000 * MOST
    data["sleeves"][0]["quantity"] = data["sscc"][0]["last_serial"] = 1_000_000
    ledger = Ledger.create(place)
    with ledger.writing() as booking:
        for body in read_plant_file(data, new_ledger=True):
            booking.record(body, Stamp(START, utc_now()))
    floor = Floor(ledger)
    floor.tools()
    floor.press(1, strokes=20_000 * stations, stacks=stations, press=PRESS)
    for line in range(stations):
        floor.open_line(1, [11 + line], first_carton(line), code("W", FIRST_LINE + line))
    bad = [one for one in floor.verdicts if one.finding is not None]
    assert not bad, bad
    ledger.close()


def first_carton(line: int) -> int:
    return 1 + line * 10_000


_AT_ONCE: list[Any] = []


def _share(barrier: Any) -> None:
    _AT_ONCE.append(barrier)


def pack(place: str, line: int, seconds: float) -> list[float]:
    """Scan at one line for so many seconds, and return how long each scan waited."""
    station, waits, end = code("W", FIRST_LINE + line), [], 0.0
    raws = endless(raw_disc(gtin(1), 1, 1), raw_sleeve(gtin(1)), first_carton(line))
    with Ledger.open(place) as ledger:
        ledger.scan(station, next(raws), START)
        # Begun when every line has its program and its connection.
        _AT_ONCE[0].wait(120)
        end = time.perf_counter() + seconds
        while (asked := time.perf_counter()) < end:
            verdict = ledger.scan(station, next(raws), START)
            waits.append(time.perf_counter() - asked)
            assert verdict.finding is None, verdict
    return waits


def endless(disc: str, sleeve: str, carton: int) -> Iterator[str]:
    while True:
        for _ in range(CARTON):
            yield disc
            yield sleeve
        carton += 1
        # The carton closes by itself when it is full.
        yield raw_sscc(carton_sscc(carton))


if __name__ == "__main__":
    main()
