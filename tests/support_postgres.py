"""A PostgreSQL server for a test session, and ledgers on it."""

import os
from collections.abc import Iterator
from functools import cache
from typing import TYPE_CHECKING

import pytest
import support_server

if TYPE_CHECKING:
    # Not imported before a test needs it: this file is loaded at the start of every run.
    from support_plant import Floor


@pytest.fixture(scope="session")
def pg_running() -> Iterator[support_server.Server]:
    """A running server."""
    if os.environ.get("RUNOUT_TEST_SERVER") == "required":
        assert support_server.programs(), support_server.MISSING
    elif not support_server.programs():
        pytest.skip(support_server.MISSING)
    else:
        pytest.importorskip("psycopg", reason="the extra `postgres` is not installed")
    with support_server.server() as running:
        yield running


@pytest.fixture(scope="session")
def pg_server(pg_running: support_server.Server) -> str:
    """URL of a running server, without a database name."""
    return pg_running.url


@pytest.fixture
def pg_place(pg_running: support_server.Server) -> str:
    """URL of an empty database."""
    return pg_running.database()


@pytest.fixture
def pg_plant(pg_running: support_server.Server) -> "Iterator[Floor]":
    """The small plant, without tools."""
    yield from _copied(pg_running, grown=False)


@pytest.fixture
def pg_grown(pg_running: support_server.Server) -> "Iterator[Floor]":
    """The small plant whose tools are all grown."""
    yield from _copied(pg_running, grown=True)


def _copied(running: support_server.Server, *, grown: bool) -> "Iterator[Floor]":
    floor = _opened(running.database(_template(running, grown=grown)))
    yield floor
    floor.ledger.close()


@cache
def _template(running: support_server.Server, *, grown: bool) -> str:
    """Return the URL of a database to be copied: all migrations and the scans of all tools take seconds."""
    if grown:
        place = running.database(_template(running, grown=False))
        floor = _opened(place)
        floor.tools()
    else:
        from support_plant import Floor  # noqa: PLC0415  see above

        place = running.database()
        floor = Floor.new(place)
    floor.ledger.close()
    return place


def _opened(place: str) -> "Floor":
    from support_plant import Floor  # noqa: PLC0415  see above

    from tracelink.store.ledger import Ledger  # noqa: PLC0415

    return Floor(Ledger.open(place))
