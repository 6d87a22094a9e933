"""Signing off by itself: whoever has scanned nothing for as long as the plant says is signed on no more.

The time between two scans decides, as they are recorded, so that a replayed log says the same. It shows with the next scan:
that is judged as one of nobody, and what was in hand stays as it is for whoever signs on then.
"""

from datetime import timedelta

from tracelink.ledger.kinds.station import SignedOff
from tracelink.ledger.packs import RawScan
from tracelink.ledger.times import instant
from tracelink.station.common.form_state import FormState
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries import StationQueries
from tracelink.station.line.sealing import seal
from tracelink.station.line.state import LineState


def longest_pause(state: FormState | LineState, queries: StationQueries) -> timedelta | None:
    """Return for how long whoever is signed on may scan nothing; None if that does not matter."""
    minutes = queries.setting("sign_off_minutes") if state.person is not None else 0
    return timedelta(minutes=minutes) if minutes else None


def by_itself(
    state: FormState | LineState, station: str, scan: RawScan, queries: StationQueries
) -> tuple[Act, ...]:
    """Return what is written before a scan because nobody scanned for too long; nothing if it is in time.

    Args:
        state: what the station has in hand.
        station: its code.
        scan: the raw line with its local time.
        queries: the ledger.
    """
    longest = longest_pause(state, queries)
    last = None if longest is None else queries.last_scan(station)
    if longest is None or last is None or instant(scan.at) - instant(last.at) <= longest:
        return ()
    assert state.person is not None
    sealed = seal(state) if isinstance(state, LineState) else ()
    return (*sealed, Act(SignedOff(state.person, by_itself=True), takes=0))
