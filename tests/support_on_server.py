"""Tests that work on a ledger in a file, on a PostgreSQL server instead: `RUNOUT_TEST_ENGINE=postgresql`.

Every plant that tests scan on in memory lies on a server then (`support_plant.Floor.copy`), and every command that a test types
into a file is typed into a copy of it on the server; what the command wrote is brought back into the file, where the test looks
for it. `sh tests/on_server.sh` runs all of them, and says at its end how many commands were typed where.
"""

import atexit
import os
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from functools import cache
from pathlib import Path

import pysqlite3
from sqlalchemy import Engine
from sqlalchemy.exc import SQLAlchemyError
from support_schema import lay_down_tables
from support_server import Server

from tracelink.errors import LedgerError
from tracelink.store.copies.between_engines import ALL, _copied
from tracelink.store.database.engine import ledger_url, open_engine
from tracelink.store.database.schema import upgrade

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


@cache
def shared_server() -> Server:
    """Return the one server of this process, running."""
    # Ledgers that no test closes keep their connections.
    running = Server("max_connections=2000", "shared_buffers=256MB")
    running.start()
    atexit.register(running.remove)
    return running


@cache
def _empty() -> str:
    place = shared_server().database()
    engine = open_engine(ledger_url(place), must_exist=False)
    upgrade(engine)
    engine.dispose()
    return place


def copied_file(place: str, file: Path) -> Path:
    """Write what a ledger on the server holds to a new file, as it is."""
    part = file.with_name(f"{file.name}.copy")
    engine = open_engine(ledger_url(str(part)), must_exist=False)
    lay_down_tables(engine)
    _copy(place, engine)
    # One file and no log beside it, whatever lay there.
    for ending in ("", "-wal", "-shm"):
        file.with_name(file.name + ending).unlink(missing_ok=True)
    part.rename(file)
    return file


def copied_there(place: str) -> str:
    """Return the address of a new copy of a ledger, which may be a file or lie on the server."""
    copy = shared_server().database(_empty())
    _copy(place, open_engine(ledger_url(copy)))
    return copy


def _copy(source: str, target: Engine) -> None:
    ours = open_engine(ledger_url(source), read_only=True)
    try:
        with ours.connect() as live, target.begin() as fresh:
            for table in ALL:
                _copied(live, fresh, table)
    finally:
        ours.dispose()
        target.dispose()


_KNOWN: dict[Path, tuple[object, str]] = {}
"""The copy on the server of each file, and what the file looked like then."""


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
    try:
        place = _there(file)
    except (LedgerError, SQLAlchemyError, pysqlite3.Error, OSError) as problem:
        typed[f"in the file: {type(problem).__name__} before"] += 1
        yield None
        return
    typed["on the server"] += 1
    before, mark = _transactions(place), _look(file)
    with _environment("RUNOUT_PIN_KEY", f"{file}.pin-key"):
        yield place
    if _transactions(place) == before:
        return
    assert _look(file) == mark, "the command wrote into the file and on the server"
    rights = file.stat().st_mode
    copied_file(place, file).chmod(rights)
    _KNOWN[file] = _look(file), place


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


def _there(file: Path) -> str:
    look = _look(file)
    if file in _KNOWN and _KNOWN[file][0] == look:
        return _KNOWN[file][1]
    place = copied_there(str(file))
    _KNOWN[file] = _look(file), place
    return place


def _look(file: Path) -> object:
    seen = []
    for ending in ("", "-wal"):
        with suppress(FileNotFoundError):
            found = file.with_name(file.name + ending).stat()
            seen.append((found.st_ino, found.st_size, found.st_mtime_ns))
    return tuple(seen)


def _transactions(place: str) -> int:
    """Return how many transactions that write were begun on the server, in any of its databases."""
    import psycopg  # noqa: PLC0415  an extra

    with psycopg.connect(place.replace("+psycopg", ""), autocommit=True) as conn:
        row = conn.execute("SELECT pg_snapshot_xmax(pg_current_snapshot())::text::bigint").fetchone()
    assert row is not None
    return int(row[0])
