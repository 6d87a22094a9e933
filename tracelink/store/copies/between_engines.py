"""Moving a ledger from one database engine to another: a copy of every row, proven in the transaction that makes it.

Theory of operation
-------------------
The source is read in one transaction and so in one state. The target's schema is made by the same migrations as any ledger's,
and filled, in one transaction of its own; before that is committed, every table of the target is read back beside the
source's, row by row, and the whole target is verified as `audit verify` does: chain, tree, and a replay of its journal beside
its tables. What is killed, cut off or not equal leaves nothing behind: a file is written under another name until it is whole,
a server takes the transaction back.
"""

from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from itertools import zip_longest
from pathlib import Path

from sqlalchemy import URL, Connection, Engine, Table, inspect, select

from tracelink.errors import ProjectionDiffers, UsageError
from tracelink.facts.upkeep.copied_ledger import CopiedLedger
from tracelink.ledger.proof.chain import Head
from tracelink.store.copies.part_file import require_free, written_whole
from tracelink.store.database.engine import ledger_url, open_engine
from tracelink.store.database.schema import upgrade
from tracelink.store.database.storage_errors import storage_sentences
from tracelink.store.database.tables import DESK, SHADOW, SIGNED, TREE, TRUTH
from tracelink.store.journal import compare_tables, journal
from tracelink.store.journal.verify import verify_ledger
from tracelink.store.ledger import Ledger
from tracelink.store.only_reading import require_writable
from tracelink.store.stations.written import TURNS

ALL = (*TRUTH, *TREE, *SHADOW, *DESK, *SIGNED)
"""Parents before children."""

_AT_A_TIME = 1000

Progress = Callable[[int], None]


def copy_between(source: str, target: str, progress: Progress = lambda _seq: None) -> CopiedLedger:
    """Copy a ledger into an empty place, of the same database engine or another, and prove that both are equal.

    Args:
        source: path or URL of the ledger; it is only read.
        target: path of a file that does not exist, or URL of an empty database.
        progress: called with each sequence number verified in the copy.

    Raises:
        UsageError: the target is not empty.
        JournalError: the source does not verify, or the copy is not equal; nothing is left.
        LedgerError: as `Ledger.open`, or the target cannot be written; nothing is left.
        BookingUnknown: the answer of the target's server to the commit was lost: it is whole there, or empty.
    """
    require_writable(target)
    with Ledger.open(source, read_only=True) as ours:
        with ours.reading() as live, _empty(target) as engine, storage_sentences(target):
            counted: list[int] = []
            found: list[Head] = []

            def take_in(fresh: Connection) -> None:
                counted.extend(_copied(live, fresh, table) for table in ALL)
                for table in ALL:
                    _require_equal(live, fresh, table)
                found.append(_verified(fresh, progress))

            upgrade(engine, take_in)
            taken = live.execute(TURNS).scalar() or 0
        with ours.reading() as later:
            missed = journal.head(later).seq - found[0].seq, (later.execute(TURNS).scalar() or 0) - taken
    return CopiedLedger(target, found[0].seq, found[0].hash, len(ALL), sum(counted), *missed)


@contextmanager
def _empty(target: str) -> Iterator[Engine]:
    """Open the place of a copy, if nothing is there."""
    url = ledger_url(target)
    with ExitStack() as opened, storage_sentences(target):
        if url.get_backend_name() == "sqlite":
            if not url.database:
                raise UsageError(f"{target} names no file: a ledger in memory cannot be kept")
            require_free(Path(url.database))
            part = opened.enter_context(written_whole(Path(url.database)))
            url = URL.create("sqlite", database=str(part))
        engine = open_engine(url, must_exist=False)
        # Before the file gets its name: what was written last lies beside it until the last connection is closed.
        opened.callback(engine.dispose)
        _require_no_tables(engine, target)
        yield engine


def _require_no_tables(engine: Engine, target: str) -> None:
    with engine.connect() as conn:
        tables = inspect(conn).get_table_names()
    if tables:
        raise UsageError(
            f"{target} is not empty: it has {len(tables)} tables, such as {min(tables)}. A copy goes into a database without "
            "any and overwrites nothing"
        )


def _copied(live: Connection, fresh: Connection, table: Table) -> int:
    """Copy the rows of a table, and return how many there are."""
    # A row may name another of its own table, which was made before it.
    order = [table.c.seq] if "seq" in table.c else []
    query = select(table).order_by(*order, *table.primary_key).execution_options(yield_per=_AT_A_TIME)
    rows = 0
    for part in live.execute(query).mappings().partitions():
        fresh.execute(table.insert(), [dict(row) for row in part])
        rows += len(part)
    return rows


def _require_equal(live: Connection, fresh: Connection, table: Table) -> None:
    # Both end where all is equal; else the first row of them, or a later one, is apart.
    for mine, other in zip_longest(*compare_tables.first_apart(live, fresh, table)):
        if mine != other:
            row = mine or other
            assert row is not None
            raise ProjectionDiffers(
                f"the copy is not what was copied: table {table.name}, row {compare_tables.shown(row[1])}; nothing of it was kept"
            )


def _verified(fresh: Connection, progress: Progress) -> Head:
    head, faults = verify_ledger(fresh, progress)
    if faults:
        raise ProjectionDiffers(
            f"the ledger does not verify ({faults[0]}), and is not copied; `runout audit verify` lists all"
        )
    return head
