"""How fast a journal is verified, how large and how fast proofs are, and what the tree costs an entry.

Run by hand: python tests/bench/evidence_speed.py [ENTRIES [LEAVES]], or with the file of a ledger: then that ledger is
verified as `runout audit verify` does it, with every table, by one process and by two, next to its journal alone and to a
bare chain of its rows; a copy of it is rebuilt, next to bare inserts of the same rows.
1. A ledger of ENTRIES refused scans (20,000 unless told otherwise) is verified: chain, raw scans and tree, read from
   its file. In the same run the same rows are read and chained with bare SHA-256. Prints both and the ratio, by the
   processor time of this program, so that others on the machine do not count.
2. A tree over LEAVES made-up hashes (10,000,000 unless told otherwise) is stored; proofs from it are timed.
3. The same entries are appended with the tree and without it, in turns; processor time as well.
"""

import hashlib
import random
import resource
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from unittest import mock

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from sqlalchemy import Table, text
from support_merkle import verify_consistency
from support_plant import TOOL, Floor

from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.warehouse import LocationNamed
from tracelink.ledger.proof.chain import inspect_chain
from tracelink.ledger.proof.merkle import Frontier
from tracelink.ledger.proof.merkle_proofs import verify_inclusion
from tracelink.store.database.scratch import scratch_ledger
from tracelink.store.database.tables import SHADOW
from tracelink.store.journal import journal, rebuild, subtrees, verify
from tracelink.store.ledger import Ledger, read_ledger

STAMP = Stamp("2031-03-03T10:00:00+01:00", "2031-03-03T09:00:00Z")


def main() -> None:
    if len(sys.argv) > 1 and not sys.argv[1].isdigit():
        of_file(sys.argv[1])
        return
    entries = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    leaves = int(sys.argv[2]) if len(sys.argv) > 2 else 10_000_000
    with tempfile.TemporaryDirectory() as folder:
        verifying(Path(folder), entries)
        proofs(Path(folder), leaves)
        appending(Path(folder), max(entries // 4, 64))


def verifying_rates(folder: Path, entries: int) -> tuple[float, float]:
    """Entries verified a second, and those of the bare chain over the same rows."""
    with _refused(folder, entries).reading() as conn:
        count = conn.execute(text("SELECT COUNT(*) FROM journal")).scalar_one()
        ours, bare = [], []
        for _ in range(5):
            ours.append(timed(lambda: verified(conn), time.process_time))
            bare.append(timed(lambda: chained(conn), time.process_time))
    return count / min(ours), count / min(bare)


def _refused(folder: Path, entries: int) -> Ledger:
    floor = Floor.copy()
    with floor.ledger.writing() as booking:
        from tracelink.ledger.packs import RawScan  # noqa: PLC0415

        first = booking.last_number(TOOL) + 1
        for number in range(first, first + entries):
            booking.book(TOOL, RawScan(number, STAMP.event_time, f"]C0K{number:07d}X"))
    return Ledger.open(str(floor.saved(folder / "journal.db")), read_only=True)


def verifying(folder: Path, entries: int) -> None:
    with _refused(folder, entries).reading() as conn:
        count, size = conn.execute(text("SELECT COUNT(*), SUM(LENGTH(stored)) FROM journal")).one()
        ours, bare = [], []
        for _ in range(5):
            ours.append(timed(lambda: verified(conn), time.process_time))
            bare.append(timed(lambda: chained(conn), time.process_time))
        memory = chained_in_memory([row.canonical for row in journal.rows(conn)])
    print(f"{count:,} entries of {size / count:.0f} stored bytes")
    for name, times in (("chain, raw scans and tree", ours), ("the same rows, bare SHA-256 chain", bare)):
        print(f"{name}: {count / min(times):,.0f} entries a second")
    print(f"bare SHA-256 chain without reading: {count / memory:,.0f} entries a second")
    print(f"ratio: {min(bare) / min(ours):.2f} of the bare chain over the same rows")


def of_file(file: str) -> None:
    """Verify a ledger that is there, each way in turns with the bare chain, and rebuild a copy of it."""
    ways: dict[str, Callable[[journal.Connection], object]] = {
        "bare SHA-256 chain": chained,
        "journal": verified,
        "journal and tables, one process": examined_alone,
        "journal and tables, two processes": examined_by_two,
    }
    times: dict[str, list[float]] = {name: [] for name in ways}
    waits: dict[str, list[float]] = {name: [] for name in ways}
    with read_ledger(file) as conn:
        for _ in range(3):
            for name, way in ways.items():
                began = time.perf_counter()
                times[name].append(timed(lambda: way(conn), processor_time))  # noqa: B023
                waits[name].append(time.perf_counter() - began)
        count = journal.head(conn).seq
    bare = min(times["bare SHA-256 chain"])
    for name, taken in times.items():
        print(
            f"{name}: {count / min(taken):,.0f} entries a second, {min(taken) / bare:.1f} x the bare chain; "
            f"by the clock {count / min(waits[name]):,.0f}"
        )
    took, inserts, rows = rebuilding(file)
    print(
        f"rebuilt: {count / took:,.0f} entries a second, {took / inserts:.0f} x bare inserts of its {rows:,} rows"
    )


def table_rates(file: str) -> tuple[float, float]:
    """Entries of a ledger verified a second with every table, and those of the bare chain over the same rows."""
    ours, bare = [], []
    with read_ledger(file) as conn:
        for _ in range(3):
            ours.append(timed(lambda: examined(conn), processor_time))
            bare.append(timed(lambda: chained(conn), time.process_time))
        count = journal.head(conn).seq
    return count / min(ours), count / min(bare)


def processor_time() -> float:
    """Seconds of the processor that this process and those that it began and that ended have used."""
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(each.ru_utime + each.ru_stime for each in used)


def rebuilding(file: str) -> tuple[float, float, int]:
    """Seconds of the processor in which a copy of a ledger is rebuilt, and its rows inserted bare, and how many these are."""
    with tempfile.TemporaryDirectory() as folder:
        place = f"{folder}/copy.db"
        shutil.copy(file, place)
        ledger = Ledger.open(place)
        took, bare = [], []
        for _ in range(3):
            with ledger.transaction() as conn:
                took.append(timed(lambda: rebuild.rebuild(conn), time.process_time))
            with ledger.reading() as conn, scratch_ledger() as fresh, fresh.begin() as target:
                tables = {table: [tuple(row) for row in conn.execute(table.select())] for table in SHADOW}
                bare.append(timed(lambda: inserted(target, tables), time.process_time))  # noqa: B023
        ledger.close()
    return min(took), min(bare), sum(map(len, tables.values()))


def inserted(target: journal.Connection, tables: dict[Table, list[tuple[object, ...]]]) -> None:
    raw = target.connection.driver_connection
    for table, rows in tables.items():
        marks = ",".join("?" * len(table.columns))
        raw.executemany(f"INSERT INTO {table.name} VALUES ({marks})", rows)


def examined_alone(conn: journal.Connection) -> None:
    with mock.patch.object(verify, "pays", return_value=False):
        examined(conn)


def examined_by_two(conn: journal.Connection) -> None:
    with mock.patch.object(verify, "pays", return_value=True):
        examined(conn)


def examined(conn: journal.Connection) -> None:
    assert not verify.examine(conn).faults


def verified(conn: journal.Connection) -> None:
    grown = Frontier()
    for item in inspect_chain(journal.rows(conn)):
        assert not item.faults
        grown.add(bytes.fromhex(item.leaf))
    assert grown.root() == subtrees.root(conn, grown.size)


def chained(conn: journal.Connection) -> None:
    head = bytes(32)
    for row in journal.rows(conn):
        head = hashlib.sha256(head + row.canonical).digest()
    assert head


def chained_in_memory(canonical: list[bytes]) -> float:
    def chain() -> None:
        head = bytes(32)
        for data in canonical:
            head = hashlib.sha256(head + data).digest()

    return min(timed(chain, time.process_time) for _ in range(3))


def proofs(folder: Path, leaves: int) -> None:
    ledger = Ledger.create(str(folder / "subtrees.db"))
    began = time.perf_counter()
    with ledger.transaction() as conn:
        filled(conn, leaves)
    print(f"tree of {leaves:,} leaves: stored in {time.perf_counter() - began:.0f} s")
    rng = random.Random(1)
    sizes, included, consistent, checked = [], [], [], []
    with ledger.reading() as conn:
        rows = conn.execute(text("SELECT COUNT(*) FROM tree_node")).scalar_one()
        root = subtrees.root(conn, leaves)
        for _ in range(300):
            seq, old = rng.randrange(1, leaves + 1), rng.randrange(1, leaves)
            proof: list[tuple[bytes, ...]] = []
            included.append(timed(lambda: proof.append(subtrees.inclusion(conn, seq, leaves))))  # noqa: B023
            consistent.append(timed(lambda: proof.append(subtrees.consistency(conn, old, leaves))))  # noqa: B023
            sizes.append(len(proof[0]))
            leaf = made_up(seq - 1)
            checked.append(timed(lambda: verify_inclusion(leaf, seq - 1, leaves, root, proof[0])))  # noqa: B023
            verify_consistency(old, leaves, subtrees.root(conn, old), root, proof[1])
    print(f"rows stored of it: {rows:,}, {rows / leaves:.4f} for an entry")
    print(f"inclusion proof: {max(sizes)} hashes at most, {32 * max(sizes)} bytes")
    for name, times in (
        ("inclusion proof", included),
        ("consistency proof", consistent),
        ("checking one", checked),
    ):
        print(f"{name}: median {statistics.median(times) * 1e3:.2f} ms, slowest {max(times) * 1e3:.2f} ms")


def made_up(index: int) -> bytes:
    return hashlib.sha256(b"%d" % index).digest()


def filled(conn: journal.Connection, leaves: int) -> None:
    """Rows as `append` would write them, but for the entries: those hold nothing."""
    raw = conn.connection.driver_connection
    nodes: list[tuple[int, int, bytes]] = []
    grown = Frontier(completed=lambda level, position, digest: nodes.append((level, position, digest)))
    for first in range(0, leaves, 100_000):
        hashes = [made_up(n) for n in range(first, min(first + 100_000, leaves))]
        raw.executemany(
            "INSERT INTO journal (seq, hash, kind, stored) VALUES (?, ?, 'x', x'')",
            ((first + n, one) for n, one in enumerate(hashes, 1)),
        )
        for one in hashes:
            grown.add(one)
        raw.executemany("INSERT INTO tree_node VALUES (?, ?, ?)", nodes)
        nodes.clear()


def appending(folder: Path, entries: int) -> None:
    with_tree, without = [], []
    ledger = Ledger.create(str(folder / "append.db"))
    for turn in range(8):
        bodies: list[EntryBody] = [LocationNamed(f"Y{turn}{n:06d}", f"rack {n}") for n in range(entries // 8)]
        with_tree.append(timed(lambda: appended(ledger, bodies), time.process_time))  # noqa: B023
        others: list[EntryBody] = [LocationNamed(f"Z{turn}{n:06d}", f"rack {n}") for n in range(entries // 8)]
        with mock.patch.object(subtrees, "grow"):
            without.append(timed(lambda: appended(ledger, others), time.process_time))  # noqa: B023
        with ledger.transaction() as conn:
            # The part left out is made up for, so that the next turn finds what it needs.
            subtrees.rebuild_tree(conn)
    each = [sum(times) / len(times) / max(entries // 8, 1) * 1e6 for times in (with_tree, without)]
    print(
        f"appending: {each[0]:.0f} us an entry with the tree, {each[1]:.0f} us without; ratio {each[0] / each[1]:.2f}"
    )


def appended(ledger: Ledger, bodies: list[EntryBody]) -> None:
    with ledger.transaction() as conn:
        head = journal.head(conn)
        for body in bodies:
            _entry, head = journal.append(conn, journal.NewEntry(body, STAMP), head)


def timed(act: Callable[[], object], clock: Callable[[], float] = time.perf_counter) -> float:
    began = clock()
    act()
    return clock() - began


if __name__ == "__main__":
    main()
