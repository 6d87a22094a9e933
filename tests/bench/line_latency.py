"""How long a packer waits for a verdict, next to a bare insert and commit of the same bytes.

Run by hand: python tests/bench/line_latency.py [MATCHES [PAIRS]]
Builds a ledger that already holds MATCHES matches (a million unless told otherwise), then scans pairs live:
disc in, sleeve in, verdict out, durable. In the same run, on the same disk, the same raw bytes are inserted
and committed into a bare table through the same driver with the same settings. Prints both and their ratio.
"""

import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import pysqlite3

from tracelink.ledger.closed_sets import DiscPlace

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support_plant import LINE, Floor, carton_sscc, code, gtin, raw_disc, raw_sleeve

from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.line import CartonClosed, CartonOpened, DiscsSleeved
from tracelink.ledger.kinds.press import Reading, StackTaken
from tracelink.ledger.kinds.setup import SleevesReceived, SsccIssued
from tracelink.ledger.packs import RawScan
from tracelink.store.journal import journal

STACK = 100
CARTON = 25
AT = "2031-03-03T10:00:00+01:00"
STAMP = Stamp(AT, "2031-03-03T09:00:00Z")
BATCH = code("B", 900)


def main() -> None:
    matches = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    pairs = int(sys.argv[2]) if len(sys.argv) > 2 else 2000
    with tempfile.TemporaryDirectory() as folder:
        floor = Floor.new(f"{folder}/bench.db")
        began = time.perf_counter()
        fill(floor, matches, pairs)
        took = time.perf_counter() - began
        size = Path(folder, "bench.db").stat().st_size
        print(f"ledger with {matches:,} matches: built in {took:.0f} s, {size / 1e6:.0f} MB")
        live, bare = measure(floor, Path(folder, "bare.db"), pairs)
    report("pair, verdict shown, durable", live)
    report("bare insert and commit", bare)
    print(
        f"ratio: median {statistics.median(live) / statistics.median(bare):.2f}, 99th {p99(live) / p99(bare):.2f}"
    )


def fill(floor: Floor, matches: int, pairs: int) -> None:
    """Append what `matches` matches leave behind: stacks, cartons, sealed runs with their raw scans."""
    floor.tools()
    floor.scan(code("W", 2), "P1", "SETUP", "L1", "T4", "T14", "C1", "E1", "E2")
    floor.scan(code("W", 2), "START", '"EX-101-A', '"EX-101-B')
    # In the lot of the live scans as well, so that its history is as long as it gets.
    strokes = matches + 2 * pairs + STACK
    with floor.ledger.transaction() as conn:
        head = journal.head(conn)
        for body in (
            SleevesReceived(BATCH, gtin(1), matches, None, None, False),
            SsccIssued("carton", "2", 1, matches),
        ):
            _entry, head = journal.append(conn, journal.NewEntry(body, STAMP), head)
        for number in range(strokes // STACK):
            first, last = number * STACK + 1, (number + 1) * STACK
            card = code("K", number + 1)
            moved = Moved(code("L", 1), STACK, DiscPlace.COUNTER, card, first, last)
            body = StackTaken(card, Reading(code("L", 1), 1, first - 1, last), (moved,))
            _entry, head = journal.append(conn, journal.NewEntry(body, STAMP), head)
        for number in range(matches // CARTON):
            for written in carton(number):
                _entry, head = journal.append(conn, written, head)


def carton(number: int) -> list[journal.NewEntry]:
    from tracelink.identity.gs1.sscc import Sscc  # noqa: PLC0415

    sscc = str(Sscc.build("2", "9520000", number + 1))
    spindle = code("K", number * CARTON // STACK + 1)
    pair = (raw_disc(gtin(1), 1, 1), raw_sleeve(gtin(1)))
    scans = [RawScan(number * 2 * CARTON + n + 1, AT, pair[n % 2]) for n in range(2 * CARTON)]
    run = DiscsSleeved(
        BATCH,
        gtin(1),
        sscc,
        CARTON,
        AT,
        AT,
        (Moved(code("L", 1), CARTON, spindle, sscc, None, None),),
        (),
        None,
        (),
    )
    return [
        journal.NewEntry(CartonOpened(sscc, gtin(1)), Stamp(AT, "2031-03-03T09:00:00Z", LINE)),
        journal.NewEntry(run, STAMP, scans=scans),
        journal.NewEntry(CartonClosed(sscc, CARTON), STAMP),
    ]


def measure(floor: Floor, bare_file: Path, pairs: int) -> tuple[list[float], list[float]]:
    """Scan pairs live and insert bare rows in turns, so that both meet the same disk."""
    disc, sleeve = raw_disc(gtin(1), 1, 1), raw_sleeve(gtin(1))
    floor.at = "2031-03-03T12:00:00+01:00"
    free = last_spindles(floor)
    floor.scan(LINE, "P1", "CLEAR", "P2", "B1", free.pop(), carton_sscc(1))
    bare = pysqlite3.connect(bare_file, isolation_level=None)
    for pragma in ("journal_mode=WAL", "synchronous=FULL"):
        bare.execute(f"PRAGMA {pragma}")
    bare.execute("CREATE TABLE scan (n INTEGER PRIMARY KEY, raw TEXT NOT NULL) STRICT")
    live: list[float] = []
    plain: list[float] = []
    for n in range(pairs):
        if n and n % (STACK - 5) == 0:
            floor.scan(LINE, free.pop())
        live.append(timed(lambda: floor.scan(LINE, disc, sleeve)))
        assert floor.verdicts[-1].word.value == "MATCH", floor.verdicts[-9:]
        plain.append(timed(lambda n=n: bare.execute("INSERT INTO scan VALUES (?, ?)", (n, disc + sleeve))))
        if n % 5 == 4:
            floor.scan(LINE, "CLOSE", carton_sscc(n // 5 + 2))
    return live, plain


def last_spindles(floor: Floor, most: int = 40) -> list[str]:
    with floor.ledger.reading() as conn:
        rows = conn.exec_driver_sql(
            "SELECT s.code FROM spindle s JOIN stock k ON k.place = s.code WHERE k.quantity = 100 "
            f"ORDER BY s.seq DESC LIMIT {int(most)}"
        )
        return [row.code for row in rows]


def timed(act: Callable[[], object]) -> float:
    began = time.perf_counter()
    act()
    return time.perf_counter() - began


def p99(times: list[float]) -> float:
    return statistics.quantiles(times, n=100)[98]


def report(name: str, times: list[float]) -> None:
    print(
        f"{name}: median {statistics.median(times) * 1e3:.3f} ms, 99th percentile {p99(times) * 1e3:.3f} ms"
    )


if __name__ == "__main__":
    main()
