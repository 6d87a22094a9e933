"""How entries and spooled scans change what is held back at a packing line, and how far its recheck is."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from tracelink.ledger.kinds.packing import RecheckKeyed, UnitsRechecked
from tracelink.station.line.state import HeldBack, LineState


def put_away(held: HeldBack) -> HeldBack:
    """Return what is held back while no unit is in hand that is rechecked."""
    return replace(held, rechecking=False, position=0, number=None, loose=0)


def recorded(state: LineState, body: UnitsRechecked | RecheckKeyed) -> LineState:
    """Return the state after an entry of a recheck."""
    # The scan of RECHECK, which put away what was in hand, may be packed with it.
    state = replace(state, pending=None, by_hand=False, stopped=False)
    if isinstance(body, RecheckKeyed):
        return _keyed(state, body)
    return replace(state, held=_sealed(state.held, body))


def _sealed(held: HeldBack | None, body: UnitsRechecked) -> HeldBack:
    assert held is not None
    if not held.done:
        # Brought back from entries, where a piece of the first of these units may have been keyed: it is finished now.
        held = replace(held, position=0, number=None)
    return replace(
        held,
        left=held.left - body.units,
        numbers=tuple(number for number in held.numbers if number not in body.numbers),
        rechecking=True,
        scans=0,
        done=0,
        done_numbers=(),
        first_at="",
        last_at="",
    )


def _keyed(state: LineState, body: RecheckKeyed) -> LineState:
    # All scans of the unit so far are packed with the keyed piece.
    assert state.held is not None
    held = replace(state.held, rechecking=True, position=body.step, number=body.number, loose=0)
    return replace(state, form=None, raws=(), no_reads=0, again=0, held=held)


def scanned(state: LineState, fact: Mapping[str, Any], at: str) -> LineState:
    """Return the state after one more scan of a unit that is rechecked, or after RECHECK."""
    held = state.held
    assert held is not None
    if "recheck" in fact:
        # What was in hand is put away; its scans lie in the spool before this one and are sealed with the unit's.
        waiting = state.again + (state.pending is not None and not state.by_hand)
        # Facts of an older program lack the number: there the sleeve came last.
        number = fact.get("number")
        held = replace(
            held,
            rechecking=True,
            position=fact["recheck"],
            number=number,
            loose=held.loose + waiting + 1,
        )
        return replace(state, pending=None, by_hand=False, stopped=False, again=0, held=held)
    number = fact["rechecked"]
    held = replace(
        held,
        position=0,
        number=None,
        scans=held.scans + held.loose + 1,
        loose=0,
        done=held.done + 1,
        done_numbers=held.done_numbers if number is None else (*held.done_numbers, number),
        first_at=held.first_at or at,
        last_at=at,
    )
    return replace(state, no_reads=0, held=held)
