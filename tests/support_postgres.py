"""A PostgreSQL server of its own for a test session, thrown away afterwards."""

import os
import shutil
import socket
import subprocess
import tempfile
import uuid
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    # Not imported before a test needs it: this file is loaded at the start of every run.
    from support_plant import Floor


@pytest.fixture(scope="session")
def pg_server() -> Iterator[str]:
    """URL of a running server, without a database name."""
    pytest.importorskip("psycopg", reason="the extra `postgres` is not installed")
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if not found:
        pytest.skip("PostgreSQL server is not installed (Debian: postgresql)")
    programs, folder, prefix = found[-1].parent, tempfile.mkdtemp(prefix="pg"), []
    if os.geteuid() == 0:
        # The server refuses to run as root.
        shutil.chown(folder, "postgres", "postgres")
        prefix = ["setpriv", "--reuid=postgres", "--regid=postgres", "--init-groups"]
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]

    def run(*words: object) -> None:
        command = [*prefix, *map(str, words)]
        subprocess.run(command, check=True, cwd=folder, stdout=subprocess.DEVNULL)

    run(
        programs / "initdb",
        "-D",
        f"{folder}/data",
        "-U",
        "app",
        "-A",
        "trust",
        "-E",
        "UTF8",
        "--locale=C.UTF-8",
        "--no-sync",
    )
    options = f"-p {port} -k {folder} -c listen_addresses=127.0.0.1 -c fsync=off"
    run(programs / "pg_ctl", "-D", f"{folder}/data", "-l", f"{folder}/log", "-w", "-o", options, "start")
    yield f"postgresql+psycopg://app@127.0.0.1:{port}"
    run(programs / "pg_ctl", "-D", f"{folder}/data", "-m", "immediate", "stop")
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def pg_place(pg_server: str) -> str:
    """URL of an empty database."""
    return _new_database(pg_server)


@pytest.fixture
def pg_plant(pg_server: str) -> "Iterator[Floor]":
    """The small plant, without tools."""
    yield from _copied(pg_server, grown=False)


@pytest.fixture
def pg_grown(pg_server: str) -> "Iterator[Floor]":
    """The small plant whose tools are all grown."""
    yield from _copied(pg_server, grown=True)


def _copied(server: str, *, grown: bool) -> "Iterator[Floor]":
    floor = _opened(_new_database(server, _template(server, grown=grown)))
    yield floor
    floor.ledger.close()


@cache
def _template(server: str, *, grown: bool) -> str:
    """Return the URL of a database to be copied: all migrations and the scans of all tools take seconds."""
    if grown:
        place = _new_database(server, _template(server, grown=False))
        floor = _opened(place)
        floor.tools()
    else:
        from support_plant import Floor  # noqa: PLC0415  see above

        place = _new_database(server)
        floor = Floor.new(place)
    floor.ledger.close()
    return place


def _opened(place: str) -> "Floor":
    from support_plant import Floor  # noqa: PLC0415  see above

    from tracelink.store.ledger import Ledger  # noqa: PLC0415

    return Floor(Ledger.open(place))


def _new_database(server: str, template: str | None = None) -> str:
    import psycopg  # noqa: PLC0415  an extra

    name = f"t_{uuid.uuid4().hex}"
    of = f" TEMPLATE {template.rpartition('/')[2]}" if template else ""
    with psycopg.connect(server.replace("+psycopg", "") + "/postgres", autocommit=True) as conn:
        conn.execute(f"CREATE DATABASE {name}{of}")
    return f"{server}/{name}"
