"""A steady stream at a line: how many further pairs of disc and sleeve come to the same as the pair before, unjudged.

Theory of operation
-------------------
All day a line scans the same two lines, a disc and its sleeve. What such a pair comes to depends on

- the two lines, which are the same again;
- what the line has in hand, where each unit changes nothing but its counts;
- answers of the ledger that only an entry changes (holds, decisions, batches, kits), and a stream has no entry within it;
- what was set up, as it holds at the time of the scan;
- the time since the scan before.

So after a pair that was judged the next disc is judged once more, by the rules themselves, and what can end the stream is
counted: the carton is full, the run is sealed for its length, the spindle is empty, something set up is another from a time
on, or too much time passes. Each limit comes from the function that the rule goes by. A unit of several scanned pieces or
with a number is no stream: what follows its pieces differs.

A rule that looks at a count or a time which is not named here would be passed over: it needs a limit of its own, and a case
in tests/unit/test_station_steady_stream.py in which the stream stops in time.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import islice
from typing import Any

from tracelink.errors import IdentifierError
from tracelink.identity.reading import DiscRead, SleeveRead, read_scan
from tracelink.ledger.packs import RawScan
from tracelink.ledger.times import instant
from tracelink.station import clock_check, sign_off, withdrawn
from tracelink.station.common.forms import ScanContext
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries import StationQueries
from tracelink.station.decide import with_size
from tracelink.station.line import insertion, kit
from tracelink.station.line.scanned_pair import ScannedPair
from tracelink.station.line.state import LineState
from tracelink.station.line.state_changes import has_nothing_in_hand
from tracelink.station.station_states import StationState


@dataclass(frozen=True, slots=True)
class SteadyStream:
    """How far a stream goes on after a pair."""

    pairs: int
    """Further pairs that come to the same, 1 or more."""
    pause: timedelta
    """Most time from one scan to the next."""
    until: datetime | None
    """From when on something set up is another; None if that is not known of anything."""

    def scans(self, pair: ScannedPair, coming: Iterable[RawScan]) -> list[RawScan]:
        """Return the scans that are of the stream, each with its turn: whole pairs, none if it ends at once.

        Args:
            pair: the one before them.
            coming: what the station scanned next, in order and with nothing between.
        """
        found: list[RawScan] = []
        before, last, in_turn = instant(pair.sleeve.at), pair.sleeve, iter(coming)
        for disc, sleeve in islice(zip(in_turn, in_turn, strict=False), self.pairs):
            if (disc.raw, sleeve.raw) != (pair.disc.raw, pair.sleeve.raw):
                break
            first, second = _follows(last, disc, 1), _follows(last, sleeve, 2)
            if first is None or second is None:
                break
            moment, then = instant(disc.at), instant(sleeve.at)
            if not (self._in_time(before, moment) and self._in_time(moment, then)):
                break
            found += (first, second)
            before, last = then, second
        return found

    def _in_time(self, before: datetime, moment: datetime) -> bool:
        in_time = timedelta() <= moment - before <= self.pause
        return in_time and (self.until is None or moment < self.until)


def _follows(last: RawScan, scan: RawScan, place: int) -> RawScan | None:
    """Return a scan with the turn that comes to it some places behind another; None if it has another number or turn."""
    assert last.turn is not None
    follows = RawScan(last.number + place, scan.at, scan.raw, last.turn + place, last.after)
    return follows if scan.number == follows.number and scan.turn in (None, follows.turn) else None


def stream_after(
    state: StationState, station: str, pair: ScannedPair, queries: StationQueries
) -> SteadyStream | None:
    """Return how far a stream goes on; None if it does not.

    Args:
        state: what the station has in hand after the pair.
        station: its code.
        pair: its last two scans.
        queries: the ledger, as the sleeve was judged by it.
    """
    if not (isinstance(state, LineState) and _is_at_rest(state) and _is_plain(pair.match.fact)):
        return None
    state = with_size(state, queries)
    person = queries.person(state.person) if state.person else None
    if not isinstance(state, LineState) or person is None or not withdrawn.may_act_still(person, state):
        return None
    pairs = _pairs(state, pair, ScanContext(queries, station, person, pair.sleeve.at))
    if pairs < 1:
        return None
    _back, ahead = clock_check.limits(queries)
    signed_on = sign_off.longest_pause(state, queries)
    change = queries.next_change()
    return SteadyStream(
        pairs,
        ahead if signed_on is None else min(ahead, signed_on),
        None if change is None else instant(change),
    )


def _is_at_rest(state: LineState) -> bool:
    """Say whether a unit was finished and nothing else is begun, so that the next scan is a disc."""
    return has_nothing_in_hand(state) and not state.half and not state.items and state.pin is None


def _is_plain(match: Mapping[str, Any]) -> bool:
    """Say whether one disc and one sleeve without a number were a whole unit."""
    return bool(match.get("unit")) and match.get("scans") == 2 and match.get("number", "") is None


def _pairs(state: LineState, pair: ScannedPair, context: ScanContext) -> int:
    """Return for how many further pairs the counts of a line and its spindle last."""
    try:
        disc, sleeve = read_scan(pair.disc.raw), read_scan(pair.sleeve.raw)
        if not (isinstance(disc, DiscRead) and isinstance(sleeve, SleeveRead)):
            return 0
        again = insertion.disc(state, disc, context)
        source = state.spindle_for(disc.piece)
        assert state.job is not None
        assert source is not None
        if again.spooled != pair.taken or source.spindle != pair.match.spindle or again.acts:
            return 0
        counts = (
            insertion.room(state, state.job),
            insertion.left_of_run(state, context),
            insertion.usable(source, context).remaining,
        )
        return min(counts) if kit.is_last(state, context) else 0
    except (Refused, IdentifierError):
        return 0


def after_pairs(state: StationState, pairs: int, pair: ScannedPair, at: str) -> LineState:
    """Return the state once further pairs of a stream lie in the spool, as if each of their scans had been folded.

    Args:
        state: after the pair.
        pairs: how many more.
        pair: the one before them.
        at: local time of the last sleeve.
    """
    assert isinstance(state, LineState)
    run, spindle = state.run, pair.match.spindle
    takes = tuple(
        replace(take, count=take.count + pairs) if take.spindle == spindle else take for take in run.takes
    )
    scans = pairs * int(pair.match.fact["scans"])
    run = replace(run, takes=takes, last_at=at, units=run.units + pairs, scans=run.scans + scans)
    return replace(state, run=run)
