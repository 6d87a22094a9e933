"""What holds for the whole run: compiled files are kept, one server is enough, property tests have one profile."""

import gc
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings
from support_campaign import tries
from support_quick import long_tests, processor_seconds, record

# Here, so that a whole run has one server and one browser: a fixture that a test file imports is that file's own.
pytest_plugins = ["support_browser", "support_postgres", "support_served"]
_ONE_WORKER = ("pg_running", "chromium")
_ON_SERVER = os.environ.get("RUNOUT_TEST_ENGINE") == "postgresql"

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
    from support_schema import lay_down_tables, migrate_once  # noqa: PLC0415  not before compiled files are kept

    from tracelink.store import ledger  # noqa: PLC0415
    from tracelink.store.database import scratch  # noqa: PLC0415

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(scratch, "lay_down_schema", lay_down_tables)
        patched.setattr(ledger, "upgrade", migrate_once)
        yield


def pytest_addoption(parser: pytest.Parser) -> None:
    """Options of `sh tests/run.sh`."""
    parser.addoption("--quick", action="store_true", help="leave out the tests of tests/long_tests.txt")
    parser.addoption(
        "--costs", type=Path, help="append to this file what each test costs in processor seconds"
    )


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out long tests if asked to, and put first those that need a server or a browser: one worker starts it."""
    if config.getoption("quick"):
        _leave_out(config, items, long_tests(items))
    if _ON_SERVER:
        from support_on_server import same_on_both  # noqa: PLC0415  its imports are dear

        _leave_out(config, items, [item for item in items if same_on_both(item)])
    items.sort(key=_turn)


def _leave_out(config: pytest.Config, items: list[pytest.Item], left_out: list[pytest.Item]) -> None:
    config.hook.pytest_deselected(items=left_out)
    kept = {*items} - {*left_out}
    items[:] = [item for item in items if item in kept]


def _turn(item: pytest.Item) -> int:
    asked = getattr(item, "fixturenames", ())
    return next((turn for turn, fixture in enumerate(_ONE_WORKER) if fixture in asked), len(_ONE_WORKER))


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[None]:
    """Record what a test costs, if asked to."""
    file, before = item.config.getoption("costs"), processor_seconds()
    result = yield
    if file is not None:
        record(file, item.nodeid, processor_seconds() - before)
    if _ON_SERVER:
        from support_on_server import tidy_up  # noqa: PLC0415  its imports are dear

        tidy_up()
    return result


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Remove the server that tests ran on, and tell what was typed there to whoever counts it for all workers."""
    if _ON_SERVER:
        from support_on_server import end, typed  # noqa: PLC0415  its imports are dear

        if output := getattr(session.config, "workeroutput", None):
            output["typed"] = dict(typed)
        end()


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any) -> None:
    """Add what one worker typed."""
    if _ON_SERVER:
        from support_on_server import typed  # noqa: PLC0415  its imports are dear

        typed.update(getattr(node, "workeroutput", {}).get("typed", {}))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say where commands were typed, if tests run on a server."""
    if _ON_SERVER:
        from support_on_server import typed  # noqa: PLC0415  its imports are dear

        for where, number in typed.most_common():
            terminalreporter.write_line(f"{number:6,d} commands {where}")
