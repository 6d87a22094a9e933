"""The clock of a live station, set to the days of the tests' ledgers: those are invented, and lie in 2031."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from itertools import count
from unittest.mock import patch

from tracelink.services.floor import live_station

SOON = "2031-03-04T09:00:00+01:00"
"""A day after the scans of `support_plant`: no station is told that its clock was set back, or ran ahead."""


@contextmanager
def station_clock(at: str = SOON) -> Iterator[None]:
    """Let the clock of every live station of this process begin at a time and go on a second with each look."""
    begun, looks = datetime.fromisoformat(at), count()

    def local_now() -> str:
        return (begun + timedelta(seconds=next(looks))).isoformat(timespec="milliseconds")

    with patch.object(live_station, "local_now", local_now):
        yield
