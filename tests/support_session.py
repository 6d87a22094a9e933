"""What the workers of one test run share: made by whichever needs it first, kept in a folder that all of them see."""

import fcntl
import json
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest


def shared_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of this run: each worker's own lies below it."""
    base = tmp_path_factory.getbasetemp()
    return base.parent if "PYTEST_XDIST_WORKER" in os.environ else base


@contextmanager
def alone(file: Path) -> Iterator[None]:
    """Keep the other workers away from what this file stands for, and wait while one of them is at it."""
    with file.with_suffix(".lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def noted(tmp_path_factory: pytest.TempPathFactory, name: str, find: Callable[[], Any]) -> Any:
    """Return a value that is found out once in a run; it must go through JSON unchanged but for tuples."""
    file = shared_folder(tmp_path_factory) / f"{name}.json"
    with alone(file):
        if not file.exists():
            file.write_text(json.dumps(find()), encoding="utf-8")
        return json.loads(file.read_text(encoding="utf-8"))
