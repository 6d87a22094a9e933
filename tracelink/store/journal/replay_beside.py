"""A journal replayed in a process of its own, while this one checks chain, tree and scans of the same lines.

Theory of operation
-------------------
What an entry does to the tables needs none of its hashes, and the chain needs no tables, so on two processors both go on at once.
The child is a copy of this process (fork). It never touches the ledger: it is sent the stored lines as its parent reads them, so
that both see one state of it on every engine, projects them into tables of its own, and leaves these in a file in the end.

It checks nothing, and nobody is told where it stumbles. Whoever uses it does everything again in one process where either finds
anything, so that what is wrong is told as ever, in the same order.
"""

import gc
import os
import pickle
import signal
import tempfile
import threading
from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from typing import Any, BinaryIO, Final, NoReturn

import pysqlite3
from sqlalchemy import Connection, func, select
from sqlalchemy.exc import DBAPIError

from tracelink.errors import ProjectionDiffers
from tracelink.ledger.entry import Entry
from tracelink.store.compact.stored_rows import entries_said
from tracelink.store.database.engine import open_scratch
from tracelink.store.database.scratch import scratch_ledger
from tracelink.store.database.tables_journal import journal
from tracelink.store.journal.rebuild import Replaying

LEAST: Final = 3000
"""Entries of a journal from which on a second process saves more time than it takes to begin."""

_LENGTH: Final = select(func.max(journal.c.seq))
_DONE: Final = b"1"


def pays(live: Connection) -> bool:
    """Return whether a journal is long enough, a second processor has nothing to do, and this process can be copied.

    One with several threads cannot: what another thread holds at that moment would stay held in the copy for ever. Both together
    take a third more of the processors than one alone, which is lost where all are busy.
    """
    try:
        entries: int = live.execute(_LENGTH).scalar() or 0
    except DBAPIError:
        # Whoever reads it says so.
        return False
    return entries >= LEAST and threading.active_count() == 1 and _has_idle_processor()


def _has_idle_processor() -> bool:
    if not (hasattr(os, "fork") and hasattr(os, "sched_getaffinity")):
        return False
    try:
        busy = os.getloadavg()[0]
    except OSError:
        return False
    return busy <= len(os.sched_getaffinity(0)) - 1


class ReplayBeside:
    """Takes the place of `Replaying`, for whoever sends it the lines of the journal as well."""

    target: Connection | None = None
    """The tables of the replay, from `finish` on."""

    def __init__(self, sink: BinaryIO, answer: BinaryIO, file: Path, open_until: ExitStack) -> None:
        """Args: what a child reads and answers, where it leaves its tables, and what holds these open."""
        self._sink, self._answer, self._file, self._open_until = sink, answer, file, open_until

    def send(self, lines: Iterable[tuple[Any, ...]]) -> None:
        """Send stored lines of the journal, in order: number, hash, stored form, and what stands beside it."""
        self._send([bytes(line[2]) for line in lines])

    def entry(self, entry: Entry) -> None:
        """Do nothing: its line was sent when it was read."""

    def finish(self, spooled: Iterable[dict[str, Any]]) -> None:
        """Send the scans that wait in the spool, and open what all comes to.

        Raises:
            ProjectionDiffers: the child stumbled over something.
        """
        self._send([])
        self._send([*spooled])
        _closed(self._sink)
        if self._answer.read() != _DONE:
            raise ProjectionDiffers("the journal cannot be replayed in a process of its own")
        engine = open_scratch(str(self._file))
        self._open_until.callback(engine.dispose)
        self.target = self._open_until.enter_context(engine.connect())

    def _send(self, what: list[Any]) -> None:
        # A child that stumbled takes no more; it is asked at the end.
        with suppress(BrokenPipeError):
            pickle.dump(what, self._sink)


@contextmanager
def replay_beside() -> Iterator[ReplayBeside]:
    """Begin a child that replays what it is sent, and end it, whatever happens.

    Raises:
        OSError: there is no room for another process or its files.
    """
    with ExitStack() as open_until:
        file = Path(open_until.enter_context(tempfile.TemporaryDirectory(prefix="runout-")), "replayed.db")
        lines, sink = _pipe(open_until)
        answer, told = _pipe(open_until)
        child = os.fork()
        if child == 0:
            # Of its own copies, so that each of the two sees when the other is gone.
            sink.close()
            answer.close()
            _work(lines, told, file)
        open_until.callback(_end, child)
        lines.close()
        told.close()
        yield ReplayBeside(sink, answer, file, open_until)


def _pipe(open_until: ExitStack) -> tuple[BinaryIO, BinaryIO]:
    source, sink = os.pipe()
    ends = os.fdopen(source, "rb"), os.fdopen(sink, "wb")
    for end in ends:
        open_until.callback(_closed, end)
    return ends


def _closed(end: BinaryIO) -> None:
    # What it still holds may be for a child that is gone.
    with suppress(BrokenPipeError):
        end.close()


def _end(child: int) -> None:
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)


def _work(lines: BinaryIO, told: BinaryIO, file: Path) -> NoReturn:
    """Replay in the child, and end it, whatever happens, before anything that the parent owns is touched."""
    try:
        # Not even collected: a connection that is closed says so to its server.
        gc.freeze()
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        _replay(lines, file)
        told.write(_DONE)
        told.close()
    finally:
        os._exit(0)


def _replay(lines: BinaryIO, file: Path) -> None:
    with scratch_ledger() as fresh, fresh.connect() as target:
        with target.begin():
            replaying = Replaying(target)
            while stored := pickle.load(lines):  # noqa: S301  sent by this program, a moment ago
                for entry in entries_said(stored):
                    replaying.entry(entry)
            replaying.finish(pickle.load(lines))  # noqa: S301  likewise
        raw: Any = target.connection.driver_connection
        copy = pysqlite3.connect(str(file))
        copy.execute("PRAGMA synchronous=OFF")
        raw.backup(copy)
        copy.close()
