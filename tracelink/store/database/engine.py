"""Opening a ledger: the database engine and its transactions.

SQLite is driven through pysqlite3, which bundles a SQLite without the WAL-reset fault of 3.7.0 to 3.51.2
(committed transactions could be lost when two connections checkpoint at once). Should an older one turn up,
the ledger falls back to a rollback journal, which that fault does not touch.

Writers take the write lock when they begin (BEGIN IMMEDIATE; an advisory lock on PostgreSQL), so that what a station has
read is still true when it writes. One writes at a time, so their transactions are serial; whoever reads sees one state.
"""

import os
import re
from functools import partial
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pysqlite3
from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError
from sqlalchemy.pool import StaticPool

from tracelink.errors import LedgerDamaged, LedgerMissing, RefusedByRule, StorageFailed, UsageError
from tracelink.store.database.server_engine import BUSY_TIMEOUT_MS, server_engine, take_server_lock
from tracelink.store.only_reading import require_writable
from tracelink.store.statements import kept_rows

FIXED_SQLITE = (3, 51, 3)
"""First SQLite release without the WAL-reset fault (also mended in 3.50.7 and 3.44.6)."""

_SERVER = "postgresql+psycopg"
_EXPECTED = f"expected the path of a file, or {_SERVER}://USER@HOST/DATABASE"

_LIKE_A_SERVER = (
    re.compile(r"\s*postgres(ql)?(\+\w+)?(:/[^/]|//)", re.IGNORECASE),
    re.compile(r"(?!.*://)(.*\s)?password\s*=", re.IGNORECASE | re.DOTALL),
    re.compile(r"\s*postgres[^:]*://[^/?]*\s[^/?]*@", re.IGNORECASE),
)
"""A URL with one slash or without its colon, the words of psql, a password with a space: as nobody names a file."""


def ledger_url(place: str) -> URL:
    """Return the database URL of a ledger given as a file path or as a URL.

    Raises:
        UsageError: the text looks like a URL and is not one, or names a database that keeps no ledger.
    """
    if any(form.match(place) for form in _LIKE_A_SERVER):
        # Not shown: the password in it cannot be told from the rest.
        raise UsageError(
            f"the ledger that was given looks like a database on a server and is no URL of one: {_EXPECTED}; a space in a user name "
            "or password is written %20"
        )
    if "://" not in place:
        return _by_its_own_name(URL.create("sqlite", database=str(Path(place))))
    try:
        url = make_url(place)
    except (ArgumentError, ValueError):
        raise UsageError(f"ledger {place!r} is not a database URL and not a file: {_EXPECTED}") from None
    if place.partition("?")[0].count("@") > 1:
        # Half of a password would be taken for the name of the host, and shown.
        raise UsageError(f"ledger {place}: a @ in a user name or password is written %40")
    if url.drivername == "postgresql":
        return url.set(drivername=_SERVER)
    if url.drivername not in {"sqlite", "sqlite+pysqlite", _SERVER}:
        raise UsageError(
            f"ledger {place}: a database of the kind {url.drivername} is not supported: {_EXPECTED}"
        )
    return _by_its_own_name(url)


def _by_its_own_name(url: URL) -> URL:
    """Name a file without symbolic links: what lies beside the ledger (keys, locks) has one place, whatever the path."""
    if url.get_backend_name() != "sqlite" or not url.database:
        return url
    real = os.path.realpath(url.database)
    return url if real == os.path.abspath(url.database) else url.set(database=real)  # noqa: PTH100  resolves no link


def _require_whole_pages(file: Path) -> None:
    """Refuse a file that is cut inside its last page: SQLite reads what is missing as zeros, and need not notice.

    Raises:
        LedgerDamaged: it is.
    Source:
        https://www.sqlite.org/fileformat2.html, sections 1.2 "Pages" and 1.3.2 "Page Size".
    """
    if any(_has_content(file.with_name(file.name + ending)) for ending in ("-wal", "-journal")):
        # What is missing may lie there.
        return
    with file.open("rb") as opened:
        head = opened.read(18)
        size = os.fstat(opened.fileno()).st_size
    if not head.startswith(b"SQLite format 3\0") or len(head) < 18:
        return
    page = int.from_bytes(head[16:18])
    page = 65536 if page == 1 else page
    if page and size % page:
        raise LedgerDamaged(
            f"the ledger {file} is damaged: it is cut after {size} bytes, inside a page of {page}. Keep the file as it is, and "
            "compare it with a backup"
        )


def _has_content(file: Path) -> bool:
    return file.exists() and file.stat().st_size > 0


def _require_one_name(file: Path) -> None:
    """Refuse to write to a file that has a second name, whose programs would keep another write-ahead log beside it.

    Raises:
        RefusedByRule: it has.
    Source:
        https://www.sqlite.org/howtocorrupt.html, "Multiple links to the same file".
    """
    names = file.stat().st_nlink
    if names > 1:
        raise RefusedByRule(
            f"the file {file} has {names} names (hard links): expected one. Two programs that open a ledger by different names "
            "do not see each other and damage it. Remove the other names, or make the copy that was meant with `runout backup`"
        )


def open_engine(url: URL, *, must_exist: bool = True, read_only: bool = False) -> Engine:
    """Return an engine whose every connection is set up for a ledger.

    Args:
        url: as `ledger_url` gave it; `sqlite://` without a database is an in-memory ledger for tests.
        must_exist: refuse a SQLite file that is not there, rather than make an empty one.
        read_only: open the database so that it cannot be written through this engine.

    Raises:
        LedgerMissing: there is no such file.
        UsageError: the driver of a database server is not installed.
        RefusedByRule: it would be opened for writing in an auditor's session.
    """
    is_server = url.get_backend_name() != "sqlite"
    if not read_only and (is_server or url.database):
        # A ledger in memory is this program's own and may always be written.
        require_writable(url.render_as_string(hide_password=True) if is_server else str(url.database))
    if is_server:
        return server_engine(url, read_only=read_only)
    if url.database and must_exist and not Path(url.database).is_file():
        raise LedgerMissing(
            f"there is no ledger at {url.database}: make one with `runout init`, or name it with --ledger"
        )
    if url.database and not read_only and Path(url.database).exists():
        _require_one_name(Path(url.database))
    if url.database and must_exist:
        _require_whole_pages(Path(url.database))
    options: dict[str, Any] = {} if url.database else {"poolclass": StaticPool}
    place = _read_only_url(url) if read_only and url.database else url
    engine = create_engine(place, module=pysqlite3.dbapi2, **options)
    _set_up_sqlite(engine, read_only=read_only)
    return engine


def open_scratch(file: str = "") -> Engine:
    """Return an engine for one database that is thrown away.

    Args:
        file: where another process left it, to be read; without one, an empty database in a temporary file that vanishes when it is closed,
            and that SQLite keeps in memory as long as it is small.
    """
    engine = create_engine(
        "sqlite://",
        module=pysqlite3.dbapi2,
        poolclass=StaticPool,
        creator=partial(_connected_to_scratch, file),
    )
    _set_up_sqlite(engine, read_only=bool(file))
    return engine


def _connected_to_scratch(file: str) -> Any:
    # As many statements are kept ready as a replay has: a journal of all areas comes to more than the usual hundred.
    raw = pysqlite3.connect(file, check_same_thread=False, cached_statements=512)
    # A whole journal is written into it at once: with the 2 MB that is usual its pages go out and in all the time.
    raw.execute("PRAGMA cache_size=-32768")
    return raw


def _read_only_url(url: URL) -> URL:
    """Return the URL that opens a ledger's file for reading only, even from a medium that cannot be written.

    Raises:
        StorageFailed: what was committed last lies in a write-ahead log that cannot be read from here.
    """
    file = Path(str(url.database)).resolve()
    mode = {"mode": "ro", "uri": "true"}
    if not os.access(file.parent, os.W_OK):
        # SQLite reads a write-ahead log only where it may make its index beside it.
        log = file.with_name(file.name + "-wal")
        if log.exists() and log.stat().st_size:
            raise StorageFailed(
                f"{file} was not closed before it was copied: make a copy with `runout backup`"
            )
        mode["immutable"] = "1"
    return url.set(database=f"file:{quote(str(file))}", query=mode)


def _set_up_sqlite(engine: Engine, *, read_only: bool) -> None:
    @event.listens_for(engine, "connect")
    def connect(dbapi: Any, _record: Any) -> None:
        # The driver must not begin transactions by itself: it would begin deferred ones.
        dbapi.isolation_level = None
        fixed = pysqlite3.sqlite_version_info >= FIXED_SQLITE
        journal_mode = "WAL" if fixed else "DELETE"
        pragmas = [
            f"busy_timeout={BUSY_TIMEOUT_MS}",
            "foreign_keys=ON",
            "trusted_schema=OFF",
            "cell_size_check=ON",
        ]
        if read_only:
            pragmas.append("query_only=ON")
        else:
            pragmas += [f"journal_mode={journal_mode}", f"synchronous={'FULL' if fixed else 'EXTRA'}"]
        for pragma in pragmas:
            dbapi.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def begin(conn: Connection) -> None:
        reads = read_only or conn.get_execution_options().get("read_only")
        # Straight to the driver: this runs before every scan, and needs nothing of the layers between.
        raw = conn.connection.driver_connection
        assert raw is not None
        raw.execute("BEGIN" if reads else "BEGIN IMMEDIATE")
        kept_rows.begin_file(conn, raw, writes=not reads)

    event.listen(engine, "rollback_savepoint", kept_rows.taken_back)

    @event.listens_for(engine, "before_cursor_execute")
    def ask(conn: Connection, _cursor: Any, statement: str, *_others: object) -> None:
        if "spool" in statement:
            kept_rows.spool_is_asked(conn)


def take_write_lock(conn: Connection) -> None:
    """Make this transaction the only writer; the first statement in it, so that it sees all that came before.

    SQLite took the lock when the transaction began.
    """
    if conn.dialect.name == "postgresql":
        take_server_lock(conn)
