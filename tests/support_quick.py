"""Which tests the quick run leaves out, and what each test costs: for `tests/conftest.py` and `sh tests/run.sh`.

`long_tests.txt` lists the test functions that take the most processor time, by measurement: file, class if there is
one, function. The quick run leaves them out; the whole run, and a run of a file that is named, has them all. `python tests/support_quick.py COSTS ...` writes
the list anew from what `--costs` recorded, and prints what the quick run would cost.
"""

import json
import os
import sys
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import pytest

LIST = Path(__file__).with_name("long_tests.txt")
SECONDS = 0.25
"""A test function whose examples together take more processor time than this is long."""
DEAR = {"demo", "played"}
"""Fixtures that take long: so does every test that asks for one."""
ALWAYS = ("tests/unit/test_station_", "tests/unit/test_rooms.py", "tests/e2e/test_public_package.py")
"""Tests that are worth their time at every change: what stops wrong goods comes first."""


def long_tests(items: Sequence[pytest.Item]) -> list[pytest.Item]:
    """Return those that the quick run leaves out."""
    long = frozenset(LIST.read_text(encoding="utf-8").split())
    return [
        item
        for item in items
        if _function_of(item.nodeid) in long or not DEAR.isdisjoint(getattr(item, "fixturenames", ()))
    ]


def processor_seconds() -> float:
    """Return the processor time of this process and of the programs that it started and that have ended."""
    return sum(os.times()[:4])


def record(file: Path, test: str, seconds: float) -> None:
    """Append what a test cost; several workers may write into one file."""
    with file.open("a", encoding="utf-8") as out:
        out.write(json.dumps([test, round(seconds, 3)]) + "\n")


def _function_of(test: str) -> str:
    return test.partition("[")[0]


def _costs(files: list[str]) -> Counter[str]:
    costs = Counter[str]()
    for file in files:
        of_file = Counter[str]()
        for line in Path(file).read_text(encoding="utf-8").splitlines():
            test, seconds = json.loads(line)
            of_file[_function_of(test)] += seconds
        for test, cost in of_file.items():
            # What a fixture costs falls on the first test that asks for it, which another run may leave out.
            costs[test] = max(costs[test], cost)
    return costs


def main() -> None:
    """Write the list anew."""
    costs = _costs(sys.argv[1:])
    chosen = {test for test, cost in costs.items() if cost > SECONDS and not test.startswith(ALWAYS)}
    LIST.write_text("".join(f"{test}\n" for test in sorted(chosen)), encoding="utf-8")
    rest = sum(cost for test, cost in costs.items() if test not in chosen)
    print(
        f"{len(chosen)} of {len(costs)} test functions are long: {costs.total() - rest:.0f} s; the others: {rest:.0f} s"
    )


if __name__ == "__main__":
    main()
