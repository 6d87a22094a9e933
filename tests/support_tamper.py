"""Changing a ledger behind its back, in every way somebody could, and seeing what `examine` says about it.

A trial copies a small ledger, changes it in one way, and verifies it. It is *told* if anything at all is said,
*placed* if a sentence names the very entry, raw scans, row and field. What is not told must be shown to be
*harmless*: every row of every table, and the schema, read as before; then no question to the ledger has another
answer. Anything else is a *miss*.
"""

import random
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from unittest import mock

import pysqlite3
from sqlalchemy import Connection
from support_journal import canonical_at, journal_rows, to_store
from support_plant import LAB, LINE, TOOL, Floor
from support_schema import lay_down_tables

from tracelink.errors import LedgerError
from tracelink.ledger.entry import entry_hash
from tracelink.ledger.proof.kept import KeptHead
from tracelink.store.database import scratch
from tracelink.store.database.engine import open_engine, open_scratch
from tracelink.store.database.tables import SHADOW
from tracelink.store.journal import journal, rebuild, subtrees, verify
from tracelink.store.ledger import Ledger

Rows = dict[tuple[str, tuple[object, ...]], dict[str, object]]
"""Table and key -> the row."""

APPEND_ONLY = ("journal", "journal_pack")


@dataclass(frozen=True)
class Changed:
    """What a trial did, as far as it can be placed."""

    table: str | None = None
    key: tuple[object, ...] = ()
    column: str | None = None
    words: tuple[str, ...] = ()
    """Texts of which one must be in a sentence."""


@dataclass
class Tally:
    """What came of the trials of one class."""

    trials: int = 0
    told: int = 0
    placed: int = 0
    placeable: int = 0
    harmless: Counter = field(default_factory=Counter)
    misses: list[str] = field(default_factory=list)
    badly_placed: list[str] = field(default_factory=list)


class Ledgers:
    """A base ledger, and copies of it to be changed."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        floor = Floor.copy()
        floor.press(1)
        floor.open_line(1, [11], 1)
        floor.match(1, 3)
        floor.scan(LINE, "CLOSE", "carton 2")
        floor.match(1, 2)
        floor.scan(LAB, "P1", "SAMPLE", "L1", "S1", "#3", "K11", "GOOD", "S1", "HOLD", "K12", '"warped')
        floor.scan(TOOL, *["no code"] * 60)
        floor.scan(LINE, '"a word')
        floor.match(1, 1)
        self.base = floor.saved(folder / "base.db")
        with Ledger.open(str(self.base), read_only=True).reading() as conn:
            size = conn.exec_driver_sql("SELECT MAX(seq) FROM journal").scalar_one()
            self.size = size
            self.kept = [
                KeptHead(f"of {n}", n, root=subtrees.root(conn, n)) for n in (size // 3, size * 2 // 3, size)
            ]
        self.rows, self.schema = read(self.base)
        self.bytes = self.base.read_bytes()

    def copy(self) -> Path:
        place = self.folder / "changed.db"
        for ending in ("", "-wal", "-shm", "-journal"):
            Path(f"{place}{ending}").unlink(missing_ok=True)
        place.write_bytes(self.bytes)
        return place

    def sentences(self, place: Path, kept: list[KeptHead]) -> list[str]:
        """Everything that verifying says, an error that ends it included."""

        try:
            ledger = Ledger.open(str(place), read_only=True)
            try:
                with ledger.reading() as conn, mock.patch.object(scratch, "lay_down_schema", lay_down_tables):
                    return verify.examine(conn, kept).faults
            finally:
                ledger.close()
        except LedgerError as problem:
            return [f"{type(problem).__name__}: {problem}"]


def read(place: Path) -> tuple[Rows, list[tuple[object, ...]]]:
    """Every row of every table, and the schema, read past every check."""
    conn = pysqlite3.connect(f"file:{place}?mode=ro", uri=True)
    conn.text_factory = bytes
    try:
        schema = conn.execute("SELECT type, name, tbl_name, sql FROM sqlite_master ORDER BY 1, 2").fetchall()
        found: Rows = {}
        for [name] in conn.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall():
            table = name.decode()
            columns = conn.execute(f'PRAGMA table_info("{table}")').fetchall()
            keys = [column[1].decode() for column in columns if column[5]] or [columns[0][1].decode()]
            names = [column[1].decode() for column in columns]
            for number, values in enumerate(conn.execute(f'SELECT * FROM "{table}"')):
                row = dict(zip(names, values, strict=True))
                key = tuple(row[one] for one in keys)
                # A damaged table may have one key twice.
                found[table, key if (table, key) not in found else (*key, number)] = row
        return found, schema
    finally:
        conn.close()


def forge(place: Path, act: Callable[[pysqlite3.Connection], object]) -> object:
    """Change a ledger with its triggers and checks switched off, and put the triggers back."""
    conn = pysqlite3.connect(place, isolation_level=None)
    for pragma in (
        "foreign_keys=OFF",
        "ignore_check_constraints=ON",
        "journal_mode=DELETE",
        "synchronous=OFF",
    ):
        conn.execute(f"PRAGMA {pragma}")
    made = conn.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    try:
        conn.execute("BEGIN")
        for name, _sql in made:
            conn.execute(f"DROP TRIGGER {name}")
        found = act(conn)
        for _name, sql in made:
            conn.execute(sql)
        conn.execute("COMMIT")
    finally:
        conn.close()
    return found


def one_byte(ledgers: Ledgers, place: Path, rng: random.Random) -> Changed:
    data = bytearray(ledgers.bytes)
    at = rng.randrange(len(data))
    data[at] ^= rng.randrange(1, 256)
    place.write_bytes(data)
    return Changed(words=(f"byte {at}",))


def one_field(ledgers: Ledgers, place: Path, rng: random.Random, tables: list[str] | None = None) -> Changed:
    """One value of one row becomes another; tables and columns alike often."""
    while True:
        table = rng.choice(tables or sorted({name for name, _key in ledgers.rows} - {"alembic_version"}))
        key = rng.choice([key for name, key in ledgers.rows if name == table])
        row = ledgers.rows[table, key]
        column = rng.choice(list(row))
        value = _other(row[column], rng)
        try:
            forge(place, lambda conn: _set(conn, table, key, column, value))  # noqa: B023  called at once
        except pysqlite3.IntegrityError:
            # The key is another row's, or of another type: STRICT and UNIQUE stop that much.
            place = ledgers.copy()
            continue
        return placed(table, key, column, moved=column in _keys(ledgers, table))


def _other(value: object, rng: random.Random) -> object:
    if value is None:
        return rng.choice([1, "x"])
    if isinstance(value, int):
        return value + rng.choice([-1, 1, 7])
    data = bytearray(value)
    if not data:
        return b"x"
    at = rng.randrange(len(data))
    data[at] = rng.choice([ch for ch in b"0123456789ABCabc" if ch != data[at]])
    return bytes(data)


def _set(conn: pysqlite3.Connection, table: str, key: tuple[object, ...], column: str, value: object) -> None:
    names = [row[1] for row in conn.execute(f'PRAGMA table_info("{table}")') if row[5]]
    kinds = {row[1]: row[2] for row in conn.execute(f'PRAGMA table_info("{table}")')}
    where = " AND ".join(f"{name} = {_as(kinds[name])}" for name in names)
    conn.execute(f'UPDATE "{table}" SET {column} = {_as(kinds[column])} WHERE {where}', (value, *key))


def _as(kind: str) -> str:
    return "CAST(? AS TEXT)" if kind == "TEXT" else "?"


def _keys(ledgers: Ledgers, table: str) -> set[str]:
    conn = pysqlite3.connect(ledgers.base)
    found = {row[1] for row in conn.execute(f'PRAGMA table_info("{table}")') if row[5]}
    conn.close()
    return found


def placed(table: str, key: tuple[object, ...], column: str | None, *, moved: bool = False) -> Changed:
    """What a sentence must say to name this row, and this field of it."""
    shown = [part.decode() if isinstance(part, bytes) else str(part) for part in key]
    if table == "journal":
        words = [f"entry {shown[0]} "]
    elif table == "journal_pack":
        words = [f"beside entry {shown[0]} "]
    elif table == "tree_node":
        level, position = int(shown[0]), int(shown[1])
        words = [f"entries {(position << level) + 1} to {(position + 1) << level} "]
    elif table == "spool":
        words = [f"spool {' '.join(shown)}: "]
        if column in (None, "station", "number", "fact"):
            # A row that is gone, or is another one, or cannot be read, shows at its desk.
            words += [f"station {shown[0]}: ", "the spool cannot be read"]
    elif column is None or moved:
        words = [f"{table} {' '.join(shown)}: in the journal but not in the tables"]
    else:
        words = [f"{table} {' '.join(shown)}: {column} is "]
    return Changed(table, key, column, tuple(words))


def one_row_less(ledgers: Ledgers, place: Path, rng: random.Random) -> Changed:
    table = rng.choice(sorted({name for name, _key in ledgers.rows} - {"alembic_version"}))
    key = rng.choice([key for name, key in ledgers.rows if name == table])

    def act(conn):
        info = conn.execute(f'PRAGMA table_info("{table}")').fetchall()
        where = " AND ".join(f"{row[1]} = {_as(row[2])}" for row in info if row[5])
        conn.execute(f'DELETE FROM "{table}" WHERE {where}', key)

    forge(place, act)
    found = placed(table, key, None)
    if table == "journal" and key[0] == ledgers.size:
        return Changed(table, key, None, (f"the journal has no entry {ledgers.size}",))
    return Changed(table, key, None, (f"entry {key[0]} is missing",)) if table == "journal" else found


def two_entries_swapped(ledgers: Ledgers, place: Path, rng: random.Random) -> Changed:
    a, b = sorted(rng.sample(range(1, ledgers.size + 1), 2))

    def act(conn):
        for old, new in ((a, -1), (b, a), (-1, b)):
            conn.execute("UPDATE journal SET seq = ? WHERE seq = ?", (new, old))

    forge(place, act)
    return Changed("journal", (a,), None, (f"entry {a} says it is entry {b}",))


def tail_written_anew(ledgers: Ledgers, place: Path, rng: random.Random) -> Changed:
    """One word of one entry changed, and every hash after it, the tree and the tables made to fit."""
    seqs = [key[0] for table, key in ledgers.rows if table == "journal" and key[0] <= ledgers.size]
    opened = pysqlite3.connect(ledgers.base)
    while True:
        first = rng.choice(seqs)
        text = canonical_at(opened, first)
        at = text.index('"recorded_at":"') + len('"recorded_at":"')
        # The time of recording is in every entry, and nothing but the entry says it.
        changed = text[: at + 3] + rng.choice("6789") + text[at + 4 :]
        if changed != text:
            break
    opened.close()

    def act(conn):
        before = None
        for row in journal_rows(conn, first):
            now = changed if row.seq == first else row.canonical.decode().replace(*before)
            before = entry_hash(row.canonical), entry_hash(now.encode())
            conn.execute(*to_store(now.encode(), before[1], row.seq))

    forge(place, act)
    _mend(place)
    low = max((one.size for one in ledgers.kept if one.size < first), default=0)
    high = min(one.size for one in ledgers.kept if one.size >= first)
    where = f"between {low + 1} and {high}" if low else f"in entries 1 to {high}"
    return Changed("journal", (first,), None, (where,))


def tail_cut_off(ledgers: Ledgers, place: Path, rng: random.Random) -> Changed:
    last = rng.randrange(1, ledgers.size)

    def act(conn):
        for table in APPEND_ONLY:
            conn.execute(f"DELETE FROM {table} WHERE seq > ?", (last,))
        conn.execute("DELETE FROM spool")

    forge(place, act)
    _mend(place)
    return Changed("journal", (last,), None, (f"the journal has no entry {ledgers.size}, only {last}",))


def _mend(place: Path) -> None:
    """Make tables and tree fit the journal as it is now, as somebody careful would."""
    engine = open_engine(Ledger.open(str(place))._engine.url)
    try:
        with engine.begin() as conn:
            rebuild.rebuild(conn)
    except LedgerError:
        # Cut where the spool or a later entry no longer fits; then that is what is found.
        pass
    finally:
        engine.dispose()


def table_of_another_day(ledgers: Ledgers, place: Path, rng: random.Random) -> Changed:
    """All rows of one table as they were when the ledger had fewer entries."""
    with Ledger.open(str(ledgers.base), read_only=True).reading() as conn:
        now = {one.name: _all(conn, one.name) for one in SHADOW}
        earlier = rng.randrange(10, ledgers.size - 70)
        empty = open_scratch()
        lay_down_tables(empty)
        with empty.begin() as fresh:
            rebuild.replay(fresh, (row for row in journal.rows(conn) if row.seq <= earlier), [])
            then = {one.name: _all(fresh, one.name) for one in SHADOW}
        empty.dispose()
    table = rng.choice([name for name, rows in now.items() if rows != then[name]])

    def act(conn):
        conn.execute(f'DELETE FROM "{table}"')
        for row in then[table]:
            conn.execute(f'INSERT INTO "{table}" VALUES ({", ".join("?" * len(row))})', row)

    forge(place, act)
    return Changed(table, (), None, (f"{table} ",))


def _all(conn: Connection, table: str) -> list[tuple[object, ...]]:
    return [tuple(row) for row in conn.exec_driver_sql(f'SELECT * FROM "{table}"')]


def one_spooled(ledgers: Ledgers, place: Path, rng: random.Random) -> Changed:
    return one_field(ledgers, place, rng, ["spool"])


def one_pack_less(ledgers: Ledgers, place: Path, rng: random.Random) -> Changed:
    seq = rng.choice([key[0] for table, key in ledgers.rows if table == "journal_pack"])
    forge(place, lambda conn: conn.execute("DELETE FROM journal_pack WHERE seq = ?", (seq,)))
    return placed("journal_pack", (seq,), None)


CLASSES: dict[str, Callable[[Ledgers, Path, random.Random], Changed]] = {
    "one byte of the file": one_byte,
    "one field of one row": one_field,
    "one row taken out": one_row_less,
    "two entries swapped": two_entries_swapped,
    "tail written anew": tail_written_anew,
    "tail cut off": tail_cut_off,
    "a table of another day": table_of_another_day,
    "one field in the spool": one_spooled,
    "raw scans taken away": one_pack_less,
}


def campaign(ledgers: Ledgers, name: str, trials: int, seed: int) -> Tally:
    """Run trials of one class."""
    rng = random.Random(f"{name} {seed}")
    tally = Tally()
    for _ in range(trials):
        place = ledgers.copy()
        change = CLASSES[name](ledgers, place, rng)
        said = ledgers.sentences(place, ledgers.kept)
        tally.trials += 1
        difference = _difference(ledgers, place)
        if not said:
            why = _harmless(ledgers, change) if difference == {} else None
            if why:
                tally.harmless[why] += 1
            else:
                tally.misses.append(f"{change} {difference}")
            continue
        tally.told += 1
        words = _expected_words(name, change, difference)
        if words is not None:
            tally.placeable += 1
            if any(word in one for word in words for one in said):
                tally.placed += 1
            else:
                tally.badly_placed.append(f"{change}: {said[:3]}")
    return tally


def _difference(ledgers: Ledgers, place: Path) -> Rows | None:
    """Rows that are not as before; None if they cannot be read at all."""
    try:
        rows, schema = read(place)
    except (pysqlite3.Error, UnicodeDecodeError, IndexError):
        return None
    if schema != ledgers.schema:
        return {("sqlite_master", ()): {}}
    both = {key for key in rows.keys() | ledgers.rows.keys() if rows.get(key) != ledgers.rows.get(key)}
    return {key: rows.get(key, {}) for key in both}


def _expected_words(name: str, change: Changed, difference: Rows | None) -> tuple[str, ...] | None:
    """What must be said for the place to be right; None where a place cannot be told."""
    if name != "one byte of the file":
        return change.words
    if difference is None or len(difference) != 1:
        return None
    [((table, key), row)] = difference.items()
    if table in ("sqlite_master", "alembic_version") or not row:
        return None
    return (*placed(table, key, None).words, *(f"{table} {' '.join(_text(part) for part in key)}: ",))


def _text(part: object) -> str:
    return part.decode(errors="replace") if isinstance(part, bytes) else str(part)


def _harmless(ledgers: Ledgers, change: Changed) -> str | None:
    """Where a byte lies that changes no row: only bytes can."""
    if not change.words or not change.words[0].startswith("byte "):
        return "nothing changed"
    at = int(change.words[0].split()[1])
    if at < 100:
        return "header of the file: counters and hints"
    return "unused part of a page"
