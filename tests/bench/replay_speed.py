"""How many recorded scans a second of processor time are judged and booked, next to inserting their lines into a bare table.

Run by hand: python tests/bench/replay_speed.py [SCANS]
Writes the log of a packing line that fills carton after carton (20,000 scans unless told otherwise) and replays it as
`runout replay` does. In the same run, in as many transactions, the same lines are inserted into a bare table through the
same driver with the same settings. Processor time of this program, so that others on the machine do not count as much.
"""

import json
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import pysqlite3

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from line_latency import CARTON, STACK, fill, last_spindles
from support_plant import LINE, Floor, carton_sscc, gtin, raw, raw_disc, raw_sleeve

from tracelink.devices.stationlog import FORMAT, VERSION
from tracelink.services.floor import log_replay

TRANSACTION = 1000
"""Scans to one in the bare table."""


def main() -> None:
    ours, bare = rates(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000)
    print(f"bare insert: {bare:,.0f} lines a second")
    print(f"judged and booked: {ours:,.0f} scans a second, {bare / ours:.1f} x the bare insert")


def rates(scans: int) -> tuple[float, float]:
    """Return how many scans a second are judged and booked, and how many lines are inserted into a bare table."""
    with tempfile.TemporaryDirectory() as folder:
        floor = Floor.new(f"{folder}/bench.db", carton_size=CARTON)
        fill(floor, STACK, scans)
        floor.at = "2031-03-03T12:00:00+01:00"
        free = last_spindles(floor, scans // (2 * (STACK - 5)) + 3)
        floor.scan(LINE, "P1", "CLEAR", "P2", "B1", free.pop(), carton_sscc(1))
        log = Path(folder, "line.jsonl")
        lines = written(log, floor, free, scans)
        for _ in range(2):
            bare = timed(lambda: inserted(lines, Path(folder, "bare.db")))
        ours = timed(lambda: replayed(floor, log, len(lines)))
    return len(lines) / ours, len(lines) / bare


def written(log: Path, floor: Floor, free: list[str], scans: int) -> list[tuple[int, str, str]]:
    """Write the log of a line, and return number, time and raw text of each scan."""
    with floor.ledger.writing() as booking:
        first = booking.last_number(LINE) + 1
    pair, raws = (raw_disc(gtin(1), 1, 1), raw_sleeve(gtin(1))), []
    for unit in range(scans // 2):
        if unit and unit % (STACK - 5) == 0:
            raws.append(raw(free.pop()))
        raws += pair
        if unit % CARTON == CARTON - 1:
            raws += [raw("CLOSE"), raw(carton_sscc(unit // CARTON + 2))]
    lines = [(first + place, moment(place), text) for place, text in enumerate(raws)]
    with log.open("w", encoding="utf-8") as file:
        records = [{"format": FORMAT, "version": VERSION, "station": LINE}]
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


def replayed(floor: Floor, log: Path, lines: int) -> None:
    done = log_replay.replay(floor.ledger, [log], lambda _done, _of: None)
    assert done.booked == lines, done
    assert not done.stopped, done.outcomes


def timed(act: Callable[[], None]) -> float:
    began = time.process_time()
    act()
    return time.process_time() - began


if __name__ == "__main__":
    main()
