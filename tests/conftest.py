"""What holds for the whole run: compiled files are kept, one server is enough, property tests have one profile."""

import os
import sys

import pytest
from hypothesis import settings

settings.register_profile("runout", deadline=None, max_examples=60)
settings.load_profile("runout")

# Some machines keep no compiled files. Here every worker and every command that a test starts would compile the
# program anew: a third of the whole run.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the tests that need a database server first, side by side: one worker gets them all, and starts one."""
    items.sort(key=lambda item: "pg_server" not in getattr(item, "fixturenames", ()))
