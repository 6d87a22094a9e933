"""How long genealogy and containment take in plants of 1, 10 and 100 million discs, next to one row per disc.

Run by hand: python tests/bench/containment_scale.py [MILLIONS ...]     (1 and 10 unless told otherwise)
For each size it builds the ledger (tables, journal and raw scans; tables alone above 20 million discs) and, on the
same disk with the same SQLite, a schema with one row per disc: (a) with keys like the ledger's own (up to 20 million
discs), (l) as lean as whole numbers make it. Then it asks, for a stamper, a mother, a father and a compound lot: the
hand-written recursive query over the discs, (b) the bare recursive query over the ledger's own tables, our walk, our
full scope with bounds. All of them fetch what they find. Each time is the median of several runs after one that warms
the cache; ratios are within this run.
"""

import gc
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
sys.path.insert(0, str(Path(__file__).resolve().parent))

import scale_plant as plant
from scale_bulk import tally_anew
from scale_rows import Rows
from sqlalchemy import Connection, text
from support_asking import contain
from support_plant import Floor

from tracelink.cli import COLLECT_AFTER
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.totals.totals import totals_of
from tracelink.genealogy.walk.walk import trace_back, trace_forward
from tracelink.store.journal.subtrees import rebuild_tree
from tracelink.store.records.sql_records import SqlRecords

MILLION = 1_000_000
JOURNAL_UP_TO = 20 * MILLION
EDGES = ("movement", "nesting", "run_segment", "tool", "spindle", "carton", "stock", "lot")
"""The tables that stand for the items and edges of (a), with their indexes; (a) knows no sleeves."""

# CROSS JOIN keeps the order written: left to itself SQLite scans all segments, whatever the cause.
_BARE_FORWARD = text("""
WITH RECURSIVE tools(code) AS (
    SELECT :root UNION SELECT t.code FROM tools f CROSS JOIN tool t ON t.parent = f.code
), segments(lot, "first", "last") AS (
    SELECT g.lot, g."first", g."last" FROM tools t CROSS JOIN run_segment g ON g.stamper_a = t.code
    UNION SELECT g.lot, g."first", g."last" FROM tools t CROSS JOIN run_segment g ON g.stamper_b = t.code
    UNION SELECT g.lot, g."first", g."last" FROM run_segment g WHERE g.compound = :root
), places(lot, place) AS (
    SELECT m.lot, m.target FROM segments s CROSS JOIN movement m
        ON m.lot = s.lot AND m.source = 'counter' AND m."first" <= s."last" AND m."last" >= s."first"
    UNION SELECT m.lot, m.target FROM places p CROSS JOIN movement m ON m.lot = p.lot AND m.source = p.place
), nests(code) AS (
    SELECT place FROM places UNION SELECT n.parent FROM nests k CROSS JOIN nesting n ON n.child = k.code
) SELECT code, NULL FROM nests UNION ALL SELECT lot, place FROM places UNION ALL SELECT code, NULL FROM tools
""")
_BARE_BACK = text("""
WITH RECURSIVE places(lot, place) AS (
    SELECT lot, :root FROM movement WHERE target = :root
    UNION SELECT m.lot, m.source FROM places p CROSS JOIN movement m ON m.target = p.place AND m.lot = p.lot
), tools(code) AS (
    SELECT g.stamper_a FROM places p CROSS JOIN run_segment g ON g.lot = p.lot
    UNION SELECT g.stamper_b FROM places p CROSS JOIN run_segment g ON g.lot = p.lot
    UNION SELECT t.parent FROM tools k CROSS JOIN tool t ON t.code = k.code WHERE t.parent IS NOT NULL
) SELECT code, NULL FROM tools UNION ALL SELECT lot, place FROM places
""")


def main() -> None:
    gc.set_threshold(COLLECT_AFTER)  # as the command does
    sizes = [int(word) for word in sys.argv[1:]] or [1, 10]
    for millions in sizes:
        with tempfile.TemporaryDirectory() as folder:
            _measure(Path(folder), millions * MILLION)


def _measure(folder: Path, discs: int) -> None:
    print(f"== {discs:,} discs", flush=True)
    floor = Floor.new(str(folder / "ledger.db"))
    build_ledger(floor, folder / "ledger.db", discs)
    baselines = {"(l)": Rows(folder / "lean.db", lean=True)}
    if discs <= JOURNAL_UP_TO:
        baselines = {"(a)": Rows(folder / "rows.db", lean=False), **baselines}
    for name, rows in baselines.items():
        took = rows.build(discs // plant.LOT)
        print(f"{name} one row per disc: {rows.size() / 1e6:,.0f} MB, built in {took:,.0f} s", flush=True)
    _sizes(folder / "ledger.db", {name: rows.size() for name, rows in baselines.items()})
    with floor.ledger.reading() as conn:
        _forward(conn, baselines, discs // plant.LOT // 2)
        _back(conn, baselines, discs // plant.LOT // 2)


def build_ledger(floor: Floor, place: Path, discs: int) -> None:
    began = time.perf_counter()
    with floor.ledger.transaction() as conn:
        for name in ("cache_size=-65536",):
            conn.exec_driver_sql(f"PRAGMA {name}")
        for done in plant.fill(conn, discs, keeps_journal=discs <= JOURNAL_UP_TO):
            if done % MILLION == 0:
                print(
                    f"\r{done // MILLION} million, {time.perf_counter() - began:,.0f} s",
                    end="",
                    file=sys.stderr,
                )
        rebuild_tree(conn)
        tally_anew(conn)
    print(file=sys.stderr)
    with floor.ledger.reading() as conn:
        entries = conn.exec_driver_sql("SELECT MAX(seq) FROM journal").scalar()
    with floor.ledger.transaction() as conn:
        conn.exec_driver_sql("ANALYZE")
    size = place.stat().st_size / 1e6
    took = time.perf_counter() - began
    print(f"ledger: {size:,.0f} MB, {entries:,} entries chained, built in {took:,.0f} s", flush=True)


def size_of_edges(place: Path) -> int | None:
    """Bytes of the tables of items and edges; None where that cannot be told."""
    by_table = _by_table(place)
    return None if by_table is None else sum(by_table.get(name, 0) for name in EDGES)


def _by_table(place: Path) -> dict[str, int] | None:
    # The SQLite that comes with the ledger's driver cannot count pages by table; that of most Pythons can.
    with closing(sqlite3.connect(f"file:{place}?mode=ro", uri=True)) as db:
        try:
            used = dict(db.execute("SELECT name, SUM(pgsize) FROM dbstat GROUP BY name").fetchall())
        except sqlite3.OperationalError:
            return None
        owner = dict(db.execute("SELECT name, tbl_name FROM sqlite_master").fetchall())
    by_table: dict[str, int] = {}
    for name, size in used.items():
        by_table[owner.get(name, name)] = by_table.get(owner.get(name, name), 0) + size
    return by_table


def _sizes(place: Path, theirs: dict[str, int]) -> None:
    for name, size in theirs.items():
        print(f"whole ledger to {name}: {place.stat().st_size / size:.2f}")
    by_table, edges = _by_table(place), size_of_edges(place)
    if by_table is None or edges is None:
        print("sizes by table: not told, this Python's SQLite has no dbstat", flush=True)
        return
    for name, size in sorted(by_table.items(), key=lambda pair: -pair[1])[:10]:
        print(f"    {name:<16}{size / 1e6:>10,.1f} MB")
    times = ", ".join(f"{name} is {size / edges:.1f} times that" for name, size in theirs.items())
    print(f"edge and item tables: {edges / 1e6:,.0f} MB, {times}", flush=True)


def forward_of(conn: Connection, lot: int) -> Iterator[tuple[str, float, float]]:
    """Yield a question, its milliseconds, and those of the bare query over the same tables."""
    for kind, code in (("stamper", plant.stamper(lot, 0)), ("father", plant.father(lot, 0))):
        asked = ContainmentQuery(code, Shape.INTERMITTENT)
        acts: dict[str, Callable[[], object]] = {
            "walk": lambda code=code: trace_forward(SqlRecords(conn), code),
            "scope": lambda code=code: contain(SqlRecords(conn), code, Shape.INTERMITTENT),
            "totals": lambda asked=asked: totals_of(SqlRecords(conn), asked),
        }
        for name, act in acts.items():
            took, bare = _in_turns(act, lambda code=code: conn.execute(_BARE_FORWARD, {"root": code}).all())
            yield f"{name} of a {kind}, processor", took, bare


def _in_turns(act: Callable[[], object], base: Callable[[], object]) -> tuple[float, float]:
    """Milliseconds of the processor for each, the least of nine in turns: others on the machine sway both alike."""
    took: dict[Callable[[], object], list[float]] = {act: [], base: []}
    for _ in range(9):
        for one, times in took.items():
            began = time.process_time()
            one()
            times.append(time.process_time() - began)
    return min(took[act]) * 1e3, min(took[base]) * 1e3


def _forward(conn: Connection, baselines: dict[str, Rows], lot: int) -> None:
    causes = {
        "stamper": plant.stamper(lot, 0),
        "mother": plant.mother(lot, 0),
        "father": plant.father(lot, 0),
        "compound": plant.compound(lot),
    }
    for kind, code in causes.items():
        rows = {
            name: _time(lambda base=base, kind=kind: base.forward(base.key(kind, lot)))
            for name, base in baselines.items()
        }
        bare = _time(lambda code=code: conn.execute(_BARE_FORWARD, {"root": code}).all())
        walk = _time(lambda code=code: trace_forward(SqlRecords(conn), code))
        scope = _time(lambda code=code: contain(SqlRecords(conn), code, Shape.FROM_ONSET))
        asked = ContainmentQuery(code, Shape.FROM_ONSET)
        totals = _time(lambda asked=asked: totals_of(SqlRecords(conn), asked))
        told = ", ".join(f"{name} {took:.1f} ms" for name, took in rows.items())
        faster = ", ".join(f"{name}/walk {took / walk:.2f}" for name, took in rows.items())
        print(
            f"{kind}: {told}, (b) {bare:.1f} ms, walk {walk:.1f} ms, scope {scope:.1f} ms, totals {totals:.1f} ms"
        )
        print(
            f"    totals/(b) {totals / bare:.1f}, {faster}, walk/(b) {walk / bare:.1f}, scope/(b) {scope / bare:.1f}",
            flush=True,
        )


def _back(conn: Connection, baselines: dict[str, Rows], lot: int) -> None:
    carton = lot * 40 + 7
    ours = plant.carton(carton)
    rows = {
        name: _time(lambda base=base: base.back(base.key("carton", carton)))
        for name, base in baselines.items()
    }
    bare = _time(lambda: conn.execute(_BARE_BACK, {"root": ours}).all())
    walk = _time(lambda: trace_back(SqlRecords(conn), ours))
    told = ", ".join(f"{name} {took:.1f} ms" for name, took in rows.items())
    print(f"back from a carton: {told}, (b) {bare:.1f} ms, walk {walk:.1f} ms", flush=True)


def _time(act: Callable[[], object]) -> float:
    """Milliseconds, the median of five after one that warms up."""
    act()
    times = []
    for _ in range(5):
        began = time.perf_counter()
        act()
        times.append(time.perf_counter() - began)
    return statistics.median(times) * 1e3


if __name__ == "__main__":
    main()
