"""How long a packer waits for a verdict, next to a bare insert and commit of the same bytes.

Run by hand: python tests/bench/line_latency.py [MATCHES [PAIRS [ENGINE]]]
Builds a ledger that already holds MATCHES matches (a million unless told otherwise), then scans live what a shift scans: of twenty units
sixteen are a disc and its sleeve, three a numbered set of two discs at another line, and once a code is scanned that is refused. A verdict
is shown when it is durable, so a disc and its sleeve are two commits, and a set is four. In the same run, on the same disk, the same raw bytes are inserted and
committed once, into a bare table through the same driver with the same settings. Prints both and their ratio, of all and by kind, and
how many statements a scan of each kind sent. ENGINE is sqlite, or postgresql: a server of its own that waits for the disk at each commit.
"""

import statistics
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from unittest.mock import patch

import pysqlite3

from tracelink.ledger.closed_sets import DiscPlace

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support_plant import (
    LINE,
    LINE_2,
    PRESS_2,
    Floor,
    carton_sscc,
    code,
    gtin,
    raw_disc,
    raw_numbered_sleeve,
    raw_sleeve,
    raw_sscc,
)
from support_server import server

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
SETS = code("B", 901)


@dataclass
class Waits:
    """Seconds until the verdict was shown, and those of a bare insert and commit of the same bytes, by kind."""

    live: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    bare: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    statements: dict[str, list[int]] = field(default_factory=lambda: defaultdict(list))

    def of_all(self, which: dict[str, list[float]]) -> list[float]:
        return [each for of_kind in which.values() for each in of_kind]

    def told(self) -> Iterator[str]:
        for kind in (*self.live, ""):
            live = self.live[kind] if kind else self.of_all(self.live)
            bare = self.bare[kind] if kind else self.of_all(self.bare)
            middle = statistics.median(live) / statistics.median(bare)
            sent = f"; {statistics.median(self.statements[kind]):.0f} statements" if kind else ""
            yield (
                f"{kind or 'all'} ({len(live)}): median {statistics.median(live) * 1e3:.2f} ms and {statistics.median(bare) * 1e3:.2f} bare, "
                f"{middle:.2f} x; 99th {p99(live) * 1e3:.2f} and {p99(bare) * 1e3:.2f}, {p99(live) / p99(bare):.2f} x{sent}"
            )


def main() -> None:
    matches = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    pairs = int(sys.argv[2]) if len(sys.argv) > 2 else 2000
    engine = sys.argv[3] if len(sys.argv) > 3 else "sqlite"
    with ExitStack() as opened:
        folder = opened.enter_context(tempfile.TemporaryDirectory())
        if engine == "sqlite":
            floor, bare = Floor.new(f"{folder}/bench.db"), BareFile(Path(folder, "bare.db"))
        else:
            running = opened.enter_context(server(sync=True))
            floor, bare = Floor.new(running.database()), BareServer(running.database())
        began = time.perf_counter()
        fill(floor, matches, pairs)
        print(f"ledger with {matches:,} matches on {engine}: built in {time.perf_counter() - began:.0f} s")
        for line in mixed(floor, bare, pairs).told():
            print(line)
        floor.ledger.close()
        bare.close()


class BareFile:
    """A table in a file, written with the settings of a ledger."""

    def __init__(self, file: Path) -> None:
        self._conn = pysqlite3.connect(file, isolation_level=None)
        for pragma in ("journal_mode=WAL", "synchronous=FULL"):
            self._conn.execute(f"PRAGMA {pragma}")
        self._conn.execute("CREATE TABLE scan (n INTEGER PRIMARY KEY, raw TEXT NOT NULL) STRICT")

    def put(self, number: int, raw: str) -> None:
        self._conn.execute("INSERT INTO scan VALUES (?, ?)", (number, raw))

    def close(self) -> None:
        self._conn.close()


class BareServer:
    """A table on the same server."""

    def __init__(self, place: str) -> None:
        import psycopg  # noqa: PLC0415  an extra

        self._conn = psycopg.connect(place.replace("+psycopg", ""))
        self._conn.execute("CREATE TABLE scan (n integer PRIMARY KEY, raw text NOT NULL)")
        self._conn.commit()

    def put(self, number: int, raw: str) -> None:
        self._conn.execute("INSERT INTO scan VALUES (%s, %s)", (number, raw))
        self._conn.commit()

    def close(self) -> None:
        self._conn.close()


@contextmanager
def counted_statements(floor: Floor) -> Iterator[list[str]]:
    """Collect what is sent to the database."""
    sent: list[str] = []
    if floor.ledger._engine.dialect.name == "sqlite":
        with floor.ledger._engine.connect() as conn:
            raw = conn.connection.driver_connection
        raw.set_trace_callback(sent.append)
        yield sent
        raw.set_trace_callback(None)
        return
    import psycopg  # noqa: PLC0415  an extra

    execute = psycopg.Cursor.execute

    def counted(self, query, *given, **how):  # type: ignore[no-untyped-def]
        sent.append(str(query))
        return execute(self, query, *given, **how)

    with patch.object(psycopg.Cursor, "execute", counted):
        yield sent


def mixed(floor: Floor, bare: "BareFile | BareServer", units: int) -> Waits:
    """Scan units of a shift live and insert bare rows in turns, so that both meet the same disk."""
    disc, sleeve = raw_disc(gtin(1), 1, 1), raw_sleeve(gtin(1))
    floor.at = "2031-03-03T12:00:00+01:00"
    free = last_spindles(floor)
    sets = units * 3 // 20 + 1
    open_sets(floor, sets)
    floor.scan(LINE, "P1", "CLEAR", "P2", "B1", free.pop(), carton_sscc(1))
    waits, packed, numbered = Waits(), 0, 0
    with counted_statements(floor) as sent:

        def unit(kind: str, station: str, lines: Sequence[str], words: Sequence[str]) -> None:
            verdicts = len(floor.verdicts)
            del sent[:]
            waits.live[kind].append(timed(lambda: floor.scan(station, *lines)))
            waits.statements[kind].append(len(sent))
            assert [each.word.value for each in floor.verdicts[verdicts:]] == [*words], floor.verdicts[-3:]
            count = sum(map(len, waits.bare.values()))
            waits.bare[kind].append(timed(lambda: bare.put(count, "".join(lines))))

        for number in range(units):
            if number % 20 in (6, 12, 18):
                numbered += 1
                own = raw_numbered_sleeve(gtin(4), str(numbered))
                set_of = (raw_disc(gtin(4), 1, 2), own, raw_disc(gtin(4), 2, 2), own)
                unit("numbered set of two discs", LINE_2, set_of, ("NEXT", "MATCH") * 2)
                if numbered % 2 == 0:
                    floor.scan(LINE_2, "CLOSE", carton_sscc(999 - numbered // 2))
                continue
            if number % 20 == 3:
                unit("refused", LINE, (raw_sscc(carton_sscc(99_999)),), ("STOP",))
                continue
            unit("disc and sleeve", LINE, (disc, sleeve), ("NEXT", "MATCH"))
            packed += 1
            if packed % (STACK - 5) == 0:
                floor.scan(LINE, free.pop())
            if packed % 5 == 0:
                floor.scan(LINE, "CLOSE", carton_sscc(packed // 5 + 2))
    return waits


def open_sets(floor: Floor, sets: int) -> None:
    """Press both discs of a numbered set, and open a line for them."""
    strokes = max(100, sets)
    with floor.ledger.writing() as booking:
        booking.record(SleevesReceived(SETS, gtin(4), strokes, 1, strokes, False), STAMP)
    floor.press(9, strokes=strokes, stacks=1, press=PRESS_2, first_card=90_001)
    floor.press(10, strokes=strokes, stacks=1, press=PRESS_2, first_card=90_002)
    floor.scan(LINE_2, "P1", "CLEAR", "P2", SETS, code("K", 90_001), code("K", 90_002), carton_sscc(1000))


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
    return statistics.quantiles(times, n=100)[98] if len(times) > 1 else times[0]


def report(name: str, times: list[float]) -> None:
    print(
        f"{name}: median {statistics.median(times) * 1e3:.3f} ms, 99th percentile {p99(times) * 1e3:.3f} ms"
    )


if __name__ == "__main__":
    main()
