"""Tests that work on a ledger in a file, on a PostgreSQL server instead: `RUNOUT_TEST_ENGINE=postgresql`.

Every plant that tests scan on in memory lies on a server then (`support_plant.Floor.copy`), and every command that a test types
into a file is typed into a copy of it on the server; what the command wrote is brought back into the file, where the test looks
for it. `sh tests/on_server.sh` runs all of them, and says at its end how many commands were typed where.
"""

import os
import re
from collections import Counter, OrderedDict
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager, suppress
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

import pysqlite3
from sqlalchemy import Table
from support_schema import empty_ledger
from support_server import Server

from tracelink.errors import LedgerError
from tracelink.store.copies.between_engines import ALL
from tracelink.store.database.engine import ledger_url, open_engine
from tracelink.store.database.schema import SCHEMA_VERSION, upgrade
from tracelink.store.journal.keys import held_key

IS_ASKED_FOR = os.environ.get("RUNOUT_TEST_ENGINE") == "postgresql"

OF_FILES = frozenset(
    [
        "agreement",
        "backup",
        "browser",
        "code",
        "copy",
        "demo",
        "gauge-study",
        "group",
        "guide",
        "init",
        "label",
        "restore",
        "serve",
        "upgrade",
    ]
)
"""Commands that open no ledger, that are about files, or that are given the address of a ledger as a word."""

typed: Counter[str] = Counter()
"""How many commands were typed where, and why not on the server."""


_TESTS = Path(__file__).parent
LIST = _TESTS / "not_on_server.txt"


def same_on_both(item: Any) -> bool:
    """Return whether a test has nothing to show on a server: it is listed, starts its own, or asks nothing of this module."""
    listed = item.nodeid.partition("[")[0] in left_out()
    return listed or item.path.stem.endswith("_postgres") or not _asks(item.path)


@cache
def left_out() -> dict[str, str]:
    """Return the tests that are about the file itself, each with why: `not_on_server.txt`."""
    tests, why = {}, ""
    for line in LIST.read_text(encoding="utf-8").splitlines():
        if line.startswith("#"):
            why = line.removeprefix("# ")
        elif line:
            tests[line] = why
    return tests


@cache
def _asks(file: Path) -> bool:
    imported = re.findall(
        r"^\s*(?:from|import) (support_\w+)", file.read_text(encoding="utf-8"), re.MULTILINE
    )
    return any(name == __name__ or _asks(_TESTS / f"{name}.py") for name in imported)


_SETTINGS = (
    # Ledgers that no test closes keep their connections.
    "max_connections=1000",
    "shared_buffers=256MB",
    # Its databases live as long as a test: nothing is kept through a crash of the machine, and nothing is worth tidying up.
    "synchronous_commit=off",
    "full_page_writes=off",
    "autovacuum=off",
    "max_wal_size=4GB",
    "checkpoint_timeout=1h",
)
_IN_MEMORY, _ROOM = Path("/dev/shm"), 3_000_000_000

_running: list[Server] = []


@cache
def shared_server() -> Server:
    """Return the one server of this process, running; `end` removes it."""
    running = Server(*_SETTINGS, below=_memory())
    _running.append(running)
    running.start()
    return running


def _memory() -> str | None:
    """Return a folder in memory with room for a server's data; a database is copied there in a third of the time."""
    with suppress(OSError):
        free = os.statvfs(_IN_MEMORY)
        if free.f_bavail * free.f_frsize > _ROOM:
            return str(_IN_MEMORY)
    return None


def end() -> None:
    """Remove the server, if one was started."""
    if _desk.cache_info().currsize:
        _desk().close()
    for running in _running:
        running.remove()


@cache
def _desk() -> Any:
    """Return a connection for what is about whole databases."""
    return _connected(f"{shared_server().url}/postgres")


def _connected(place: str) -> Any:
    import psycopg  # noqa: PLC0415  an extra

    return psycopg.connect(place.replace("+psycopg", ""), autocommit=True)


_left: list[str] = []


def let_go(place: str) -> None:
    """Note a database that nobody uses any more, to be dropped when the test is over."""
    _left.append(place)


def tidy_up() -> None:
    """Drop the databases that nobody uses any more."""
    while _left:
        _drop(_left.pop())


def _drop(place: str) -> None:
    _desk().execute(f"DROP DATABASE {place.rpartition('/')[2]} WITH (FORCE)")


def new_database(template: str) -> str:
    """Return the address of a new copy of a database that nobody has open."""
    return shared_server().database(template)


@cache
def _empty() -> str:
    place = shared_server().database()
    engine = open_engine(ledger_url(place), must_exist=False)
    upgrade(engine)
    engine.dispose()
    return place


_FILLED = """
    SELECT relname FROM pg_class
    WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace AND pg_relation_size(oid) > 0
"""
"""Tables in which rows lie, or lay: asking the others takes most of the time."""


@cache
def _empty_tables() -> Any:
    return empty_ledger().raw_connection().driver_connection


def copied_file(place: str, file: Path) -> Path:
    """Write what a ledger on the server holds to a file, as it is; whoever has the file open sees it."""
    with closing(pysqlite3.connect(":memory:")) as made:
        _empty_tables().backup(made)
        for table, rows in _held_there(place):
            marks = ", ".join("?" for _ in table.columns)
            made.executemany(f"INSERT INTO {table.name} ({_names(table)}) VALUES ({marks})", rows)
        made.commit()
        with closing(pysqlite3.connect(file)) as here:
            here.execute("PRAGMA synchronous=OFF")
            made.backup(here)
    return file


def _held_there(place: str) -> list[tuple[Table, list[Any]]]:
    """Return the rows of every table that has some."""
    with _connected(place) as there:
        names = {*there.execute(_FILLED)}
        filled = [table for table in ALL if (table.name,) in names]
        with there.pipeline():
            asked = [there.execute(_all_of(table)) for table in filled]
        return [
            (table, rows) for table, answer in zip(filled, asked, strict=True) if (rows := answer.fetchall())
        ]


def _held_here(file: str) -> list[tuple[Table, list[Any]]]:
    """Return the rows of every table that has some.

    Raises:
        LedgerError: the file is of another schema.
    """
    with closing(pysqlite3.connect(f"file:{file}?mode=ro", uri=True)) as here:
        version = here.execute("SELECT version_num FROM alembic_version").fetchone()[0]
        if version != SCHEMA_VERSION:
            raise LedgerError(f"{file} is of schema {version}")
        held = [(table, here.execute(_all_of(table)).fetchall()) for table in ALL]
        return [(table, rows) for table, rows in held if rows]


def copied_there(place: str) -> str:
    """Return the address of a new copy of a ledger, which may be a file or lie on the server.

    Raises:
        LedgerError, pysqlite3.Error, psycopg.Error: the tables of the server cannot hold what the file holds.
    """
    held = _held_there(place) if place.startswith("postgresql") else _held_here(place)
    copy = new_database(_empty())
    try:
        with _connected(copy) as target, target.transaction():
            for table, rows in held:
                into = f"COPY {table.name} ({_names(table)}) FROM STDIN"
                with target.cursor() as cursor, cursor.copy(into) as lines:
                    for row in rows:
                        lines.write_row(row)
    except BaseException:
        _drop(copy)
        raise
    return copy


def _names(table: Table) -> str:
    return ", ".join(f'"{column.name}"' for column in table.columns)


def _all_of(table: Table) -> str:
    # A row may name another of its own table, which was made before it.
    order = [column.name for column in (*(c for c in table.c if c.name == "seq"), *table.primary_key)]
    return f"SELECT {_names(table)} FROM {table.name} ORDER BY " + ", ".join(f'"{name}"' for name in order)


_KEPT = 24
_PLACES: OrderedDict[bytes, str] = OrderedDict()
"""A database for what a file holds, by its bytes."""

_MASTERS: OrderedDict[bytes, str | None] = OrderedDict()
"""One that is only copied, for what was asked for twice; None for what was asked for once."""


@contextmanager
def served_instead(words: tuple[object, ...], ledger: "Path | str | None") -> Iterator[str | None]:
    """Give the address of a copy of the ledger on the server, for one command; None if it cannot be typed there.

    Args:
        words: of the command.
        ledger: a path, or the URL of a database.
    """
    why = _why_not(words, ledger)
    if why:
        typed[why] += 1
        yield None
        return
    assert ledger is not None
    file = Path(ledger).resolve()
    before = _look(file)
    try:
        place = _PLACES.pop(before, None) or _copy_of(file, before)
    except _not_held() as problem:
        typed[f"in the file: {type(problem).__name__} before"] += 1
        yield None
        return
    typed["on the server"] += 1
    mark, after = _transactions(), before
    try:
        with ExitStack() as told:
            for name, value in _beside(file):
                told.enter_context(_environment(name, value))
            yield place
        # What was taken back, or only tried, leaves the file as it is.
        if _transactions() != mark and _held_there(place) != _held_here(str(file)):
            assert _look(file) == before, "the command wrote into the file and on the server"
            copied_file(place, file)
            after = _look(file)
    finally:
        _keep(_PLACES, after, place)


def _not_held() -> tuple[type[Exception], ...]:
    import psycopg  # noqa: PLC0415  an extra

    return LedgerError, pysqlite3.Error, psycopg.Error, OSError


def _copy_of(file: Path, content: bytes) -> str:
    master = _MASTERS.pop(content, "")
    if master == "":
        _keep(_MASTERS, content, None)
        return copied_there(str(file))
    master = master or copied_there(str(file))
    _keep(_MASTERS, content, master)
    return new_database(master)


def _keep(kept: "OrderedDict[bytes, Any]", content: bytes, place: str | None) -> None:
    """Keep a database for later, and let go the one that was not asked for longest."""
    earlier = kept.pop(content, None)
    kept[content] = place
    oldest = kept.popitem(last=False)[1] if len(kept) > _KEPT else None
    for each in (earlier, oldest):
        if each is not None:
            let_go(each)


def _beside(file: Path) -> Iterator[tuple[str, str]]:
    """Yield where the keys of a file are, which a command looks for beside it; who has a server says it."""
    key = Path(f"{file}.key")
    yield "RUNOUT_PIN_KEY", f"{file}.pin-key"
    for command in ("KEY", "CHECKPOINT", "EXPORT"):
        yield f"RUNOUT_AUDIT_{command}_KEY_FILE", str(key)
    with suppress(LedgerError), held_key(key) as held:
        public = str(held.key.verifier)
        yield "RUNOUT_AUDIT_VERIFY_KEYS", public
        yield "RUNOUT_AUDIT_WITNESS_LOG", public


@contextmanager
def _environment(name: str, value: str) -> Iterator[None]:
    """Set a variable for a while where the test set none."""
    if name in os.environ:
        yield
        return
    os.environ[name] = value
    try:
        yield
    finally:
        del os.environ[name]


def _why_not(words: tuple[object, ...], ledger: "Path | str | None") -> str:
    if ledger is None or "://" in str(ledger):
        return "no file is given"
    first = next((str(word) for word in words if not str(word).startswith("-")), "")
    if first in OF_FILES:
        return f"in the file: {first}"
    if not Path(ledger).is_file():
        return "in the file: there is none"
    return ""


def _look(file: Path) -> bytes:
    """Return the hash of all that a file holds, with the log beside it."""
    seen = sha256()
    for ending in ("", "-wal"):
        with suppress(FileNotFoundError):
            seen.update(file.with_name(file.name + ending).read_bytes())
        seen.update(ending.encode())
    return seen.digest()


def _transactions() -> int:
    """Return how many transactions that write were begun on the server, in any of its databases."""
    row = _desk().execute("SELECT pg_snapshot_xmax(pg_current_snapshot())::text::bigint").fetchone()
    return int(row[0])
