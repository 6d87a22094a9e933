"""Ledgers in files for tests that write into them: made once in a process, laid down anew for every test."""

import json
import sqlite3
import tempfile
from collections.abc import Callable
from contextlib import closing
from functools import cache
from pathlib import Path
from typing import Any

from support_cli import run, write_plant_file
from support_plant import Floor, plant_data

NAME = "plant.db"

_FILLED: dict[tuple[Callable[[Path], None], bytes], bytes] = {}


def initialised(folder: Path, data: dict[str, Any] | None = None) -> Path:
    """Return the ledger that `runout init` makes of the small plant (or `data`), in a folder with its plant file."""
    for name, content in _made(json.dumps(plant_data() if data is None else data)).items():
        file = folder / name
        file.write_bytes(content)
        if name.endswith(".key"):
            file.chmod(0o600)
    return folder / NAME


@cache
def _made(data: str) -> dict[str, bytes]:
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder, NAME)
        file = write_plant_file(place.with_name("plant.toml"), json.loads(data))
        made = run("init", "--plant", file, ledger=place)
        assert (made.code, made.err) == (0, "")
        everything(place)
        return {file.name: file.read_bytes() for file in Path(folder).iterdir()}


def filled(place: Path, fill: Callable[[Path], None]) -> Path:
    """Let a function fill the ledger at a place; what it came to is laid down when the same is asked again."""
    before = everything(place) if place.exists() else b""
    if (fill, before) in _FILLED:
        place.write_bytes(_FILLED[fill, before])
    else:
        fill(place)
        _FILLED[fill, before] = everything(place)
    return place


def new_plant(place: Path) -> None:
    """Make the small plant, without tools: for `filled`."""
    Floor.new(str(place)).ledger.close()


def packing_line(place: Path) -> None:
    """Make the small plant with a line in the middle of a carton, three units in it: for `filled`."""
    floor = Floor.new(str(place))
    floor.tools()
    floor.press(1)
    floor.open_line(1, [11], 1)
    floor.match(1, 3)
    floor.ledger.close()


def everything(place: Path) -> bytes:
    """Return the bytes of a closed ledger.

    While a connection is open, what was written last may lie in the write-ahead log, and its bytes reach the file at
    some later moment, by nobody's act: two readings of the file alone may differ, or agree although something changed.
    """
    log = place.with_name(f"{place.name}-wal")
    assert not log.exists() or not log.stat().st_size, f"{place} is still open"
    return place.read_bytes()


def content(place: Path) -> str:
    """Return all that a ledger holds, which stays the same whoever has it open: for tests of what writes nothing."""
    with closing(sqlite3.connect(place)) as conn:
        return "\n".join(conn.iterdump())
