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
from tempfile import TemporaryDirectory
from typing import Any

import pysqlite3
from support_schema import lay_down_tables
from support_server import Server

from tracelink.errors import LedgerError
from tracelink.store.copies.between_engines import ALL
from tracelink.store.database.engine import ledger_url, open_engine
from tracelink.store.database.schema import SCHEMA_VERSION, upgrade

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


def same_on_both(item: Any) -> bool:
    """Return whether a test is the same on a server: it starts its own, or none of its supports asks this module."""
    return item.path.stem.endswith("_postgres") or not _asks(item.path)


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
def _empty_file() -> bytes:
    with TemporaryDirectory() as folder:
        file = Path(folder, "empty.db")
        engine = open_engine(ledger_url(str(file)), must_exist=False)
        lay_down_tables(engine)
        engine.dispose()
        return file.read_bytes()


def copied_file(place: str, file: Path) -> Path:
    """Write what a ledger on the server holds to a new file, as it is."""
    part = file.with_name(f"{file.name}.copy")
    part.write_bytes(_empty_file())
    with _connected(place) as there, closing(pysqlite3.connect(part)) as here:
        here.execute("PRAGMA synchronous=OFF")
        names = {*there.execute(_FILLED)}
        filled = [table for table in ALL if (table.name,) in names]
        with there.pipeline():
            asked = [there.execute(_all_of(table)) for table in filled]
        for table, rows in zip(filled, asked, strict=True):
            marks = ", ".join("?" for _ in table.columns)
            here.executemany(f"INSERT INTO {table.name} ({_names(table)}) VALUES ({marks})", rows.fetchall())
        here.commit()
    # One file and no log beside it, whatever lay there.
    for ending in ("", "-wal", "-shm"):
        file.with_name(file.name + ending).unlink(missing_ok=True)
    part.rename(file)
    return file


def copied_there(place: str) -> str:
    """Return the address of a new copy of a ledger, which may be a file or lie on the server.

    Raises:
        LedgerError, pysqlite3.Error, psycopg.Error: the tables of the server cannot hold what the file holds.
    """
    if place.startswith("postgresql"):
        copy = new_database(_empty())
        with _connected(place) as source, _connected(copy) as target:
            for table in ALL:
                _take_in(target, table, source.execute(_all_of(table)).fetchall())
        return copy
    with closing(pysqlite3.connect(f"file:{place}?mode=ro", uri=True)) as source:
        version = source.execute("SELECT version_num FROM alembic_version").fetchone()[0]
        if version != SCHEMA_VERSION:
            raise LedgerError(f"{place} is of schema {version}")
        held = [(table, source.execute(_all_of(table)).fetchall()) for table in ALL]
    copy = new_database(_empty())
    try:
        with _connected(copy) as target, target.transaction():
            for table, rows in held:
                _take_in(target, table, rows)
    except BaseException:
        _drop(copy)
        raise
    return copy


def _take_in(target: Any, table: Any, rows: list[tuple[Any, ...]]) -> None:
    if not rows:
        return
    with target.cursor() as cursor, cursor.copy(f"COPY {table.name} ({_names(table)}) FROM STDIN") as lines:
        for row in rows:
            lines.write_row(row)


def _names(table: Any) -> str:
    return ", ".join(f'"{column.name}"' for column in table.columns)


def _all_of(table: Any) -> str:
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
            for name, ending in _BESIDE.items():
                told.enter_context(_environment(name, f"{file}{ending}"))
            yield place
        if _transactions() != mark:
            assert _look(file) == before, "the command wrote into the file and on the server"
            rights = file.stat().st_mode
            copied_file(place, file).chmod(rights)
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


_BESIDE = {
    "RUNOUT_PIN_KEY": ".pin-key",
    "RUNOUT_AUDIT_KEY_KEY_FILE": ".key",
    "RUNOUT_AUDIT_CHECKPOINT_KEY_FILE": ".key",
    "RUNOUT_AUDIT_EXPORT_KEY_FILE": ".key",
}
"""Where keys lie that a command looks for beside a file; to who has a server, the place is said."""


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
