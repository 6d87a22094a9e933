"""What a rule of a station refuses, told to somebody who is at no station."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from tracelink.errors import RefusedByRule
from tracelink.station.common.outcome import Refused


@contextmanager
def of_the_station() -> Iterator[None]:
    """Tell what a rule of the station refuses as a command or a page tells it.

    Raises:
        RefusedByRule: the rule refuses.
    """
    try:
        yield
    except Refused as refused:
        raise RefusedByRule(refused.finding.sentence) from None
