"""Which tests touch a line of the program, and how long each takes: recorded once, asked for every mutant.

The record is a file of coverage.py whose contexts are the tests, and beside it the seconds each of them took. What a
fixture did that serves many tests is recorded with the first of them as `TEST|setup`: then all tests of that file touch it.
"""

import json
import time
from collections.abc import Iterable, Iterator
from functools import cached_property
from pathlib import Path

import coverage
import pytest

SETUP = "|setup"


class Recorder:
    """A plugin of pytest that tells coverage.py which test runs."""

    def __init__(self, folders: Iterable[str], file: Path) -> None:
        """Record what tests touch in some folders of the tree that is the working folder."""
        self._measured = coverage.Coverage(
            data_file=str(file), config_file=False, include=[f"{folder}/*" for folder in folders]
        )
        self._measured.set_option("run:relative_files", True)
        self._seconds: dict[str, float] = {}
        self._file = file

    def pytest_sessionstart(self) -> None:
        self._measured.erase()
        self._measured.start()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        self._began = time.perf_counter()
        result = yield
        self._measured.switch_context("")
        return result

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        # Those that fail or are skipped without any change notice nothing: they are not chosen.
        if report.when == "call" and report.passed:
            self._seconds[report.nodeid] = round(time.perf_counter() - self._began, 3)

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_setup(self, item: pytest.Item) -> None:
        self._measured.switch_context(item.nodeid + SETUP)

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_call(self, item: pytest.Item) -> None:
        self._measured.switch_context(item.nodeid)

    def pytest_sessionfinish(self) -> None:
        self._measured.stop()
        self._measured.save()
        seconds_of(self._file).write_text(json.dumps(self._seconds), encoding="utf-8")


def seconds_of(file: Path) -> Path:
    """Return the file beside a record that holds the seconds."""
    return file.with_name(f"{file.name}.seconds.json")


class Recorded:
    """A record, read."""

    def __init__(self, file: Path) -> None:
        """Read a record."""
        self._data = coverage.CoverageData(str(file))
        self._data.read()
        self._by_module: dict[str, dict[int, list[str]]] = {}
        self.seconds: dict[str, float] = json.loads(seconds_of(file).read_text(encoding="utf-8"))

    @cached_property
    def _of_file(self) -> dict[str, list[str]]:
        found: dict[str, list[str]] = {}
        for test in self.seconds:
            found.setdefault(test.partition("::")[0], []).append(test)
        return found

    def touching(self, module: str, first: int, last: int) -> list[str]:
        """Return the tests that ran a line from first to last, the quickest first; those by a fixture after the others."""
        contexts = self._contexts(module)
        ran = {test for line in range(first, last + 1) for test in contexts.get(line, ()) if test}
        called = {test for test in ran if not test.endswith(SETUP)}
        served = {
            test for one in ran - called for test in self._of_file.get(one.partition("::")[0], ())
        } - called
        return [*self._quickest(called), *self._quickest(served)]

    def _contexts(self, module: str) -> dict[int, list[str]]:
        if module not in self._by_module:
            self._by_module[module] = self._data.contexts_by_lineno(module)
        return self._by_module[module]

    def _quickest(self, tests: set[str]) -> list[str]:
        return sorted(tests & self.seconds.keys(), key=lambda test: (self.seconds[test], test))
