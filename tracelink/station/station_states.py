"""What a station has in hand: kept as text, and brought back by its entries and then by what waits in the spool.

Apart from `decide.py`, so that whoever only replays a journal needs none of the rules.
"""

import json
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from tracelink.ledger.codec import from_body, to_body
from tracelink.ledger.kinds.access import BadgePutAway, BadgeRefused, BadgeTurnedAway, PinAsked, PinGiven
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.station import ClockStepped
from tracelink.station.common import form_state
from tracelink.station.common.form_state import FormState
from tracelink.station.line import state_changes
from tracelink.station.line.state import LineState, read_line_state
from tracelink.station.sentences import thing_names

StationState = FormState | LineState

_OF_PINS: Final = (PinAsked, PinGiven, BadgeRefused, BadgePutAway, BadgeTurnedAway)
"""Entries that change nothing at a state but the PIN it waits for."""

_WRITER = json.JSONEncoder(separators=(",", ":"), ensure_ascii=False)


def empty_state(area: str) -> StationState:
    """Return the state of a station at which nothing has happened."""
    return LineState() if area == "line" else FormState()


def read_state(area: str, text: str) -> StationState:
    """Read a state as `write_state` wrote it; "{}" is an empty one."""
    if text == "{}":
        return empty_state(area)
    if area == "line":
        return read_line_state(text)
    return from_body(
        FormState, {"pin": None, "turned_away": None, **json.loads(text)}, thing_names.state_of(area)
    )


def write_state(state: StationState) -> str:
    """Return a state as text for keeping; what is seldom there is left out, as programs did before they knew it."""
    kept = to_body(state)
    for seldom in ("pin", "turned_away"):
        if kept[seldom] is None:
            del kept[seldom]
    return _WRITER.encode(kept)


def evolve(state: StationState, body: EntryBody) -> StationState:
    """Return the state after an entry of its station."""
    if isinstance(body, _OF_PINS):
        return _with_pin(state, body)
    if isinstance(body, ClockStepped):
        return state
    return (
        state_changes.evolve(state, body) if isinstance(state, LineState) else form_state.evolve(state, body)
    )


def evolve_spooled(state: StationState, fact: Mapping[str, Any], at: str) -> StationState:
    """Return the state after a scan that waits in the spool."""
    if isinstance(state, LineState):
        return state_changes.evolve_spooled(state, fact, at)
    return form_state.evolve_spooled(state, fact)


def _with_pin(state: StationState, body: EntryBody) -> StationState:
    """Return the state after an entry of `_OF_PINS`: only the PIN it waits for, or may be given, is another."""
    if isinstance(body, BadgeTurnedAway):
        return replace(state, turned_away=body.number)
    if isinstance(body, PinAsked):
        return replace(state, pin=body.person)
    return state if isinstance(body, BadgeRefused) else replace(state, pin=None)
