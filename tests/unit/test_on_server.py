"""The run of all tests on a database server: what it leaves out is there, and has its reason."""

import re
from pathlib import Path

import pytest
from support_on_server import left_out, same_on_both

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("test", sorted(left_out()))
def test_what_is_left_out_is_a_test_and_has_a_reason(test):
    file, *names = test.split("::")
    text = (ROOT / file).read_text(encoding="utf-8")
    assert all(re.search(rf"^\s*(def|class) {name}\b", text, re.MULTILINE) for name in names)
    assert len(left_out()[test]) > 20


class Item:
    def __init__(self, test):
        self.nodeid, self.path = test, ROOT / test.partition("::")[0]


@pytest.mark.parametrize(
    ("test", "is_same"),
    [
        ("tests/unit/test_station_line.py::any", False),
        ("tests/e2e/test_case.py::any[1]", False),
        ("tests/unit/test_identity_checkdigit.py::any", True),
        ("tests/e2e/test_chart_postgres.py::any", True),
    ],
)
def test_what_scans_and_types_runs_there_and_what_asks_no_ledger_does_not(test, is_same):
    assert same_on_both(Item(test)) is is_same
