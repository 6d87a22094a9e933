"""A steady stream at a line: how many further units come to the same as the unit before, unjudged.

Theory of operation
-------------------
All day a line scans the same lines, a disc and its sleeve, or the discs of a set. What such a unit comes to depends on

- its lines, which are the same again;
- what the line has in hand, where each unit changes nothing but its counts;
- answers of the ledger that only an entry changes (holds, decisions, batches, kits): `undisturbed_streams.py` ends a stream
  with an entry that may change one of them;
- what was set up, as it holds at the time of the scan;
- the time since the scan before.

So after a unit that was judged the next one is judged once more, by the rules themselves and as of the scan that finished
it, and what can end the stream is counted: the carton is full, the run is sealed for its length, a spindle is empty,
something set up is another from a time on, or too much time passes. Each limit comes from the function that the rule goes
by. A unit with a number is no stream: no number comes twice.

A rule that looks at a count or a time which is not named here would be passed over: it needs a limit of its own, and a case
in tests/unit/test_station_steady_stream.py in which the stream stops in time.
"""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from tracelink.errors import IdentifierError
from tracelink.identity.reading import read_scan
from tracelink.ledger.kinds.packing import ItemCount
from tracelink.ledger.times import instant
from tracelink.station import clock_check, sign_off
from tracelink.station.common.forms import Given, ScanContext
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries import StationQueries
from tracelink.station.decide import with_size
from tracelink.station.line import holdback, insertion, machine
from tracelink.station.line.scanned_unit import ScannedUnit
from tracelink.station.line.state import LineState
from tracelink.station.line.state_changes import evolve_spooled
from tracelink.station.station_states import StationState


@dataclass(frozen=True, slots=True)
class SteadyStream:
    """How far a stream goes on after a unit."""

    unit: ScannedUnit
    """The one before it."""
    units: int
    """Further units that come to the same, 1 or more."""
    pause: timedelta
    """Most time from one scan to the next."""
    until: datetime | None
    """From when on something set up is another; None if that is not known of anything."""

    def in_time(self, before: datetime, moment: datetime) -> bool:
        """Say whether a scan may follow another by their times."""
        in_time = timedelta() <= moment - before <= self.pause
        return in_time and (self.until is None or moment < self.until)


def stream_after(
    state: StationState, station: str, unit: ScannedUnit, queries: StationQueries
) -> SteadyStream | None:
    """Return how far a stream goes on; None if it does not.

    Args:
        state: what the station has in hand after the unit.
        station: its code.
        unit: its last scans.
        queries: the ledger, as the last scan was judged by it.
    """
    if _has_number(unit):
        # Judging it again would say that the number is used: this spares asking.
        return None
    state = with_size(state, queries)
    person = queries.person(state.person) if state.person else None
    if not isinstance(state, LineState) or person is None:
        return None
    units = _units(state, unit, ScanContext(queries, station, person, unit.last.at))
    if units < 1:
        return None
    _back, ahead = clock_check.limits(queries)
    signed_on = sign_off.longest_pause(state, queries)
    change = queries.next_change()
    return SteadyStream(
        unit,
        units,
        ahead if signed_on is None else min(ahead, signed_on),
        None if change is None else instant(change),
    )


def _has_number(unit: ScannedUnit) -> bool:
    return any(spooled.fact.get("number") is not None for spooled in unit.came_to)


def _units(state: LineState, unit: ScannedUnit, context: ScanContext) -> int:
    """Return for how many further units the counts of a line and its spindles last."""
    assert state.job is not None
    try:
        if not _comes_again(state, unit, context):
            return 0
        return min(
            insertion.room(state, state.job),
            insertion.left_of_run(state, context) // unit.spindles.total(),
            *(
                insertion.usable(opened, context).remaining // unit.spindles[opened.spindle]
                for opened in state.spindles
                if opened.spindle in unit.spindles
            ),
        )
    except (Refused, IdentifierError):
        return 0


def _comes_again(state: LineState, unit: ScannedUnit, context: ScanContext) -> bool:
    """Say whether the lines of a unit come to the same once more, and seal nothing."""
    for scan, spooled in zip(unit.scans, unit.came_to, strict=True):
        reading = read_scan(scan.raw)
        if not holdback.is_piece(reading):
            return False
        again = machine.decide(state, Given(scan.raw, reading, None), context)
        if again.acts or again.spooled != spooled:
            return False
        state = evolve_spooled(state, spooled.fact, scan.at)
    return True


def after_units(state: StationState, units: int, unit: ScannedUnit, at: str) -> LineState:
    """Return the state once further units of a stream lie in the spool, as if each of their scans had been folded.

    Args:
        state: after the unit.
        units: how many more.
        unit: the one before them.
        at: local time of the last scan.
    """
    assert isinstance(state, LineState)
    run, spindles, items = state.run, unit.spindles, unit.items
    run = replace(
        run,
        takes=tuple(replace(take, count=take.count + units * spindles[take.spindle]) for take in run.takes),
        items=tuple(ItemCount(each.item, each.count + units * items[each.item]) for each in run.items),
        last_at=at,
        units=run.units + units,
        scans=run.scans + units * len(unit.scans),
    )
    return replace(state, run=run)
