"""How many scans a recheck is packed with: every line that was scanned for its units, none of them twice."""

from tracelink.station.line.recheck_changes import scanned
from tracelink.station.line.state import HeldBack, LineState

AT = "2031-03-03T08:00:00+01:00"


def test_each_unit_brings_its_own_scan_and_what_was_scanned_for_it_before():
    state = LineState(held=HeldBack(3, 3, ()))
    state = scanned(state, {"recheck": 1}, AT)
    state = scanned(state, {"rechecked": None}, AT)
    assert (state.held.scans, state.held.loose, state.held.done) == (2, 0, 1)
    for position in (1, 2):
        state = scanned(state, {"recheck": position}, AT)
    state = scanned(state, {"rechecked": None}, AT)
    assert (state.held.scans, state.held.loose, state.held.done) == (5, 0, 2)
