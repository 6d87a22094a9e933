"""Plant files: read whole, recorded whole or not at all."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tracelink.clock import local_now, utc_now
from tracelink.errors import UsageError
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.plant.plantfile import read_plant_file
from tracelink.store.database.engine import plant_file_sentences
from tracelink.store.ledger import Ledger
from tracelink.store.stations.booking import Booking


def bodies_of(file: str | Path, *, new_ledger: bool) -> list[EntryBody]:
    """Read what a plant file says.

    Args:
        file: path of the plant file.
        new_ledger: whether it must describe a whole plant.

    Raises:
        UsageError: it cannot be read, or names what is wrong in it.
    """
    return list(read_plant_file(_parsed(file), new_ledger=new_ledger))


def record_all(booking: Booking, bodies: Sequence[EntryBody]) -> None:
    """Record what a plant file says, in the transaction of `booking`.

    Raises:
        UsageError: something is in the ledger already, or names something that is not.
    """
    for body in bodies:
        with plant_file_sentences(body):
            booking.record(body, Stamp(local_now(), utc_now()))


def add(ledger: Ledger, file: str | Path) -> int:
    """Add to a ledger what a plant file says; returns the number of entries.

    Raises:
        UsageError: as `bodies_of` and `record_all`; nothing of the file was taken.
    """
    bodies = bodies_of(file, new_ledger=False)
    with ledger.writing() as booking:
        record_all(booking, bodies)
    return len(bodies)


def _parsed(file: str | Path) -> dict[str, Any]:
    try:
        # Some editors begin a file with a byte order mark.
        return tomllib.loads(Path(file).read_text(encoding="utf-8-sig"))
    except UnicodeDecodeError as problem:
        raise UsageError(
            f"plant file {file} is not UTF-8 text: byte {problem.start} cannot be read"
        ) from None
    except OSError as problem:
        raise UsageError(f"plant file {file} cannot be read: {problem.strerror}") from None
    except tomllib.TOMLDecodeError as problem:
        raise UsageError(f"plant file {file} is not TOML: {problem}") from None
