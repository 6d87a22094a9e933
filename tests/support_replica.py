"""A second server that follows a first one by streaming replication, and answers readers."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager

from support_server import Server


@contextmanager
def replica(first: Server) -> Iterator[Server]:
    """Run a physical replica of all databases of a server for the length of a block."""
    made = Server()
    try:
        # Its own data, made empty, give way to those of the first.
        shutil.rmtree(f"{made.folder}/data")
        at = ("-h", "127.0.0.1", "-p", str(first.port), "-U", "app")
        made._run(
            "pg_basebackup", *at, "-D", f"{made.folder}/data", "-R", "-X", "stream", "--checkpoint=fast"
        )
        made.start()
        yield made
    finally:
        made.remove()


def is_level(first: str, second: str) -> bool:
    """Tell whether a replica has taken in all that the first has written; both as URLs of a database."""
    import psycopg  # noqa: PLC0415  an extra

    with (
        psycopg.connect(first.replace("+psycopg", "")) as ours,
        psycopg.connect(second.replace("+psycopg", "")) as theirs,
    ):
        [written] = ours.execute("SELECT pg_current_wal_lsn()").fetchone() or [None]
        [level] = theirs.execute(
            "SELECT pg_last_wal_replay_lsn() >= %s::pg_lsn", [str(written)]
        ).fetchone() or [False]
    return bool(level)
