"""What holds for the whole run: compiled files are kept, one server is enough, property tests have one profile."""

import gc
import os
import sys

import pytest
from hypothesis import settings
from support_campaign import tries

# Here, so that a whole run has one server: a fixture that a test file imports is that file's own.
pytest_plugins = ["support_postgres"]

settings.register_profile("runout", deadline=None, max_examples=tries(60))
settings.load_profile("runout")

# Some machines are told to keep no compiled files. Then every worker compiles all tests anew, and every command that a
# test starts the whole program.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

# Looking for cycles among all that thousands of tests keep is a tenth of the time; memory is not what is short here.
gc.set_threshold(100_000, 50, 100)


@pytest.fixture(scope="session", autouse=True)
def tables_made_once():
    """Let new ledgers, and those that verifying replays into, copy their tables: a process migrates once."""
    from support_schema import migrate_once  # noqa: PLC0415  not before compiled files are kept

    from tracelink.store import ledger  # noqa: PLC0415
    from tracelink.store.database import scratch  # noqa: PLC0415

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(scratch, "upgrade", migrate_once)
        patched.setattr(ledger, "upgrade", migrate_once)
        yield


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the tests that need a database server first, side by side: one worker gets them all, and starts one."""
    items.sort(key=lambda item: "pg_server" not in getattr(item, "fixturenames", ()))
