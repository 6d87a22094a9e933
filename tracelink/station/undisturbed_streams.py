"""Which steady streams of lines stand, scan by scan, while other stations scan and book between.

Theory of operation
-------------------
Scans of logs come in the order of their times, those of several stations mixed. Between two entries a scan changes nothing that
another line is judged by, but for the discs that wait on a spindle. So a stream stands until

- its own line scans anything that is not the next line of it, or not in time;
- another line matches a disc from one of its spindles;
- an entry of whatever station or command changes a row that a unit is judged by.

What an entry changes says its body (`changes`): most go into tables that no question about a unit asks (`UNASKED`), or into
rows of things that the stream has nothing to do with (`_BY_THING`). Any other change ends every stream.
tests/unit/test_station_undisturbed_streams.py notes the tables that are asked while units are judged.
"""

from collections.abc import Callable, Iterable
from datetime import datetime

from tracelink.ledger.changes import Change, Insert
from tracelink.ledger.packs import RawScan
from tracelink.ledger.times import instant
from tracelink.station.common.outcome import Spooled
from tracelink.station.common.queries import StationQueries
from tracelink.station.common.station_facts import LastScan
from tracelink.station.line.scanned_unit import ScannedUnit
from tracelink.station.station_states import StationState, evolve_spooled
from tracelink.station.steady_stream import SteadyStream, after_units, stream_after

UNASKED = frozenset(
    {
        "carton",
        "carton_item",
        "carton_sleeve",
        "finding",
        "hold_back",
        "judgement",
        "measurement",
        "nesting",
        "pallet",
        "sample",
        "shipment",
        "tool",
    }
)
"""Tables that no question about a unit without a number asks."""

_BY_THING = {"stock": "place", "movement": "target", "run_segment": "lot", "lot": "code", "spindle": "code"}
"""Table -> the column by whose value it is asked about a unit: a spindle or a lot of the unit."""


class StandingStream:
    """One line's stream, and how far it has come."""

    def __init__(self, stream: SteadyStream) -> None:
        self._stream = stream
        self._left = stream.units
        self._next = tuple(zip((scan.raw for scan in stream.unit.scans), stream.unit.came_to, strict=True))
        self._last = stream.unit.last
        self._moment: datetime = instant(stream.unit.last.at)
        self._finished_at = stream.unit.last.at
        self._begun: list[tuple[RawScan, Spooled]] = []
        """Scans of the unit that is not finished."""
        self.things = frozenset({*stream.unit.spindles, *stream.unit.lots})
        """Spindles and lots that the discs come from."""
        self.stands = True

    @property
    def last_scan(self) -> LastScan:
        """What its line read last."""
        return LastScan(self._last.raw, self._last.at, refused=False)

    def take(self, scan: RawScan) -> tuple[RawScan, Spooled] | None:
        """Return a scan of the line with what it comes to, or end the stream.

        Args:
            scan: with the turn that it gets.
        """
        raw, came_to = self._next[len(self._begun)]
        is_next = scan.raw == raw and scan.number == self._last.number + 1 and self._left > 0
        moment = instant(scan.at)
        if not (self.stands and is_next and self._stream.in_time(self._moment, moment)):
            self.stands = False
            return None
        self._last, self._moment = scan, moment
        self._begun.append((scan, came_to))
        if len(self._begun) == len(self._next):
            self._begun.clear()
            self._left -= 1
            self._finished_at = scan.at
        return scan, came_to

    def state_after(self, state: StationState) -> StationState:
        """Return the state after what was taken, from the one before the stream."""
        units = self._stream.units - self._left
        if units:
            state = after_units(state, units, self._stream.unit, self._finished_at)
        for scan, came_to in self._begun:
            state = evolve_spooled(state, came_to.fact, scan.at)
        return state


class UndisturbedStreams:
    """The streams of all lines, within one transaction."""

    def __init__(self) -> None:
        self._of: dict[str, StandingStream] = {}

    def begin(
        self, code: str, state: StationState, unit: ScannedUnit, coming: str, queries: StationQueries
    ) -> None:
        """Let a stream of a line stand, if its next line begins the unit again that was just finished.

        Args:
            code: the line.
            state: what it has in hand.
            unit: the one that it finished with its last scan.
            coming: its next line.
            queries: the ledger, as that scan was judged by it.
        """
        if unit.scans[0].raw != coming:
            return
        stream = stream_after(state, code, unit, queries)
        if stream is not None:
            # No two streams take discs from one spindle, as each counts them for itself.
            self.end(unit.spindles)
            self._of[code] = StandingStream(stream)

    def take(self, code: str, scan: RawScan) -> tuple[RawScan, Spooled] | None:
        """Return a scan with what it comes to, if a stream of its station goes on with it; see `StandingStream.take`."""
        stream = self._of.get(code)
        return None if stream is None else stream.take(scan)

    def taken_back(self, code: str) -> StandingStream | None:
        """Return the stream of a station, which has ended now; None if it has none."""
        return self._of.pop(code, None)

    def end(self, things: Iterable[str | None] | None = None) -> None:
        """End all streams, or those that take discs from a spindle or of a lot."""
        for stream in self._of.values():
            if things is None or not stream.things.isdisjoint(things):
                stream.stands = False

    def entry_written(self, changes: Callable[[], Iterable[Change]]) -> None:
        """End each stream whose next unit may come to something else after an entry.

        Args:
            changes: tells what it does to the tables; asked if there is any stream.
        """
        if not any(stream.stands for stream in self._of.values()):
            return
        for change in changes():
            if change.table in UNASKED:
                continue
            row = change.row if isinstance(change, Insert) else change.key
            thing = row.get(_BY_THING.get(change.table, ""))
            self.end(None if thing is None else (thing,))
