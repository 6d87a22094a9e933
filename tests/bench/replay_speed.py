"""How many recorded scans a second of processor time are judged and booked, next to inserting their lines into a bare table.

Run by hand: python tests/bench/replay_speed.py [SCANS]
Writes the log of a packing line that fills carton after carton (20,000 scans unless told otherwise) and replays it as
`runout replay` does; then the logs of two lines with as many scans together, whose scans come in turn. In the same run, in as
many transactions, the same lines are inserted into a bare table through the same driver with the same settings. Processor
time of this program, so that others on the machine do not count as much.
"""

import json
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import pysqlite3

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from line_latency import CARTON, STACK, fill, last_spindles
from support_plant import LINE, LINE_2, Floor, carton_sscc, gtin, raw, raw_disc, raw_sleeve

from tracelink.devices.stationlog import FORMAT, VERSION
from tracelink.services.floor import log_replay

TRANSACTION = 1000
"""Scans to one in the bare table."""


def main() -> None:
    scans = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    for name, lines in LOGS.items():
        ours, bare = rates(scans, lines)
        print(f"{name}: bare insert: {bare:,.0f} lines a second")
        print(f"{name}: judged and booked: {ours:,.0f} scans a second, {bare / ours:.1f} x the bare insert")


LOGS = {"a line": (LINE,), "two lines merged": (LINE, LINE_2)}


def rates(scans: int, stations: Sequence[str] = (LINE,)) -> tuple[float, float]:
    """Return how many scans a second are judged and booked, and how many lines are inserted into a bare table.

    Args:
        scans: of all lines together, about.
        stations: the lines whose logs are replayed together.
    """
    each = scans // len(stations)
    with tempfile.TemporaryDirectory() as folder:
        floor = Floor.new(f"{folder}/bench.db", carton_size=CARTON)
        fill(floor, STACK, scans)
        floor.at = "2031-03-03T12:00:00+01:00"
        needed = each // (2 * (STACK - 5)) + 3
        free, logs, lines = last_spindles(floor, needed * len(stations)), [], []
        for place, station in enumerate(stations):
            label = 1 + place * (each // (2 * CARTON) + 2)
            own = free[place * needed : (place + 1) * needed]
            floor.scan(station, "P1", "CLEAR", "P2", "B1", own.pop(), carton_sscc(label))
            logs.append(Path(folder, f"{station}.jsonl"))
            lines += written(logs[-1], floor, Packing(station, own, label), each)
        lines = [(place, at, text) for place, (_number, at, text) in enumerate(lines)]
        for _ in range(2):
            bare = timed(lambda: inserted(lines, Path(folder, "bare.db")))
        ours = timed(lambda: replayed(floor, logs, len(lines)))
    return len(lines) / ours, len(lines) / bare


@dataclass
class Packing:
    """What a line packs with."""

    station: str
    free: list[str]
    """Spindles that it opens one after the other."""
    label: int
    """Number of the label of its first carton."""


def written(log: Path, floor: Floor, packs: Packing, scans: int) -> list[tuple[int, str, str]]:
    """Write the log of a line, and return number, time and raw text of each scan."""
    with floor.ledger.writing() as booking:
        first = booking.last_number(packs.station) + 1
    pair, raws = (raw_disc(gtin(1), 1, 1), raw_sleeve(gtin(1))), []
    for unit in range(scans // 2):
        if unit and unit % (STACK - 5) == 0:
            raws.append(raw(packs.free.pop()))
        raws += pair
        if unit % CARTON == CARTON - 1:
            raws += [raw("CLOSE"), raw(carton_sscc(packs.label + unit // CARTON + 1))]
    lines = [(first + place, moment(place), text) for place, text in enumerate(raws)]
    with log.open("w", encoding="utf-8") as file:
        records = [{"format": FORMAT, "version": VERSION, "station": packs.station}]
        records += [{"n": number, "at": at, "raw": text} for number, at, text in lines]
        for record in [*records, {"end": lines[-1][0]}]:
            print(json.dumps(record), file=file)
    return lines


def moment(place: int) -> str:
    seconds = 3 * place
    day, rest = divmod(seconds, 36_000)
    return f"2031-03-{4 + day:02}T{8 + rest // 3600:02}:{rest // 60 % 60:02}:{rest % 60:02}+01:00"


def inserted(lines: list[tuple[int, str, str]], file: Path) -> None:
    bare = pysqlite3.connect(file, isolation_level=None)
    for pragma in ("journal_mode=WAL", "synchronous=FULL"):
        bare.execute(f"PRAGMA {pragma}")
    bare.execute("DROP TABLE IF EXISTS scan")
    bare.execute("CREATE TABLE scan (n INTEGER PRIMARY KEY, at TEXT NOT NULL, raw TEXT NOT NULL) STRICT")
    for start in range(0, len(lines), TRANSACTION):
        bare.execute("BEGIN IMMEDIATE")
        for line in lines[start : start + TRANSACTION]:
            bare.execute("INSERT INTO scan VALUES (?, ?, ?)", line)
        bare.execute("COMMIT")
    bare.close()


def replayed(floor: Floor, logs: list[Path], lines: int) -> None:
    done = log_replay.replay(floor.ledger, logs, lambda _done, _of: None)
    assert done.booked == lines, done
    assert not done.stopped, done.outcomes


def timed(act: Callable[[], None]) -> float:
    began = time.process_time()
    act()
    return time.process_time() - began


if __name__ == "__main__":
    main()
