"""How entries and spooled scans change the state of a packing line.

What a state remembers comes from a body or a spooled fact, never from the order in which a program ran: an
entry that is written while older scans stay in the spool must not undo what those scans mean.
"""

from collections.abc import Mapping
from dataclasses import replace
from operator import attrgetter
from typing import Any

from tracelink.ledger.kinds import line as kinds
from tracelink.ledger.kinds import packing, packing_changes
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.lab import HoldPlaced
from tracelink.ledger.kinds.packing import ItemCount
from tracelink.ledger.kinds.station import ScanRefused, SignedOff, SignedOn
from tracelink.station.line import recheck_changes
from tracelink.station.line.state import (
    LASTING_FINDINGS,
    HeldBack,
    Job,
    LastUnit,
    LineState,
    MatchRun,
    OpenSpindle,
    Take,
)


def evolve(state: LineState, body: EntryBody) -> LineState:
    """Return the state after an entry."""
    if isinstance(body, kinds.DiscsSleeved):
        return _sealed(state, body)
    if isinstance(body, packing.ItemsInserted):
        return replace(state, items=body.unfinished)
    if isinstance(body, ScanRefused):
        return replace(state, stopped=state.stopped or body.finding in LASTING_FINDINGS)
    if isinstance(body, packing.HoldBackOpened):
        return replace(state, held=HeldBack(body.units, body.units, body.numbers))
    if isinstance(body, packing.UnitsRechecked | packing.RecheckKeyed):
        return recheck_changes.recorded(state, body)
    if isinstance(body, kinds.NoRead):
        times = state.no_reads + 1 if state.no_read_of == body.waiting_for else 1
        return replace(state, no_read_of=body.waiting_for, no_reads=times)
    # What is in hand stays there after these two: its scans still lie in the spool.
    if isinstance(body, HoldPlaced):
        return state
    if isinstance(body, SignedOff) and body.by_itself:
        return replace(state, person=None)
    # Every other act puts away what was in hand: its scans are packed with the act.
    return _acted(_put_away(state), body)


def has_nothing_in_hand(state: LineState) -> bool:
    """Say whether no disc, act, stop or recheck waits for the next scan."""
    return bool(_IN_HAND(state) == _NOTHING_IN_HAND)


def _put_away(state: LineState) -> LineState:
    if has_nothing_in_hand(state):
        return state
    return replace(
        state,
        pending=None,
        by_hand=False,
        clearing=None,
        stopped=False,
        form=None,
        raws=(),
        no_reads=0,
        thrown=None,
        closed=None,
        held=None if state.held is None else recheck_changes.put_away(state.held),
        again=0,
    )


_IN_HAND = attrgetter(
    "pending",
    "by_hand",
    "clearing",
    "stopped",
    "form",
    "raws",
    "no_reads",
    "thrown",
    "closed",
    "held",
    "again",
)
_NOTHING_IN_HAND = _IN_HAND(LineState())
# Asked of every entry of a line, of which most find nothing to put away.


def _acted(state: LineState, body: EntryBody) -> LineState:
    if isinstance(body, SignedOn | packing.ShiftHandedOver):
        return replace(state, person=body.person, last=None)
    if isinstance(body, SignedOff):
        return replace(state, person=None, last=None)
    if isinstance(body, kinds.LineCleared):
        return LineState(person=state.person, cleared=True)
    return _corrected(_opened(state, body), body)


def _sealed(state: LineState, body: kinds.DiscsSleeved) -> LineState:
    last = None
    if body.units and not body.unfinished:
        last = LastUnit(state.unit_of_run(body.units), body.numbers[-1] if body.numbers else None)
    if state.by_hand:
        # The run took the keyed disc; a scanned one would lie in the spool and not come from an entry.
        state = replace(state, pending=None, by_hand=False)
    return replace(
        state,
        run=MatchRun(),
        units=state.units + body.units,
        half=body.unfinished,
        items=0,
        number=body.filling,
        stopped=False,
        start=body.unfinished,
        last=last,
        fresh=False,
        thrown=None,
        closed=None,
        since=state.since + body.units,
        since_numbers=(*state.since_numbers, *body.numbers),
        since_check=state.since_check + body.units,
        no_reads=0,
    )


def _opened(state: LineState, body: EntryBody) -> LineState:
    if isinstance(body, kinds.SleevesOpened):
        job = Job(body.batch, body.gtin, body.numbered, body.discs, body.carton_size)
        return replace(state, job=job, last=None)
    if isinstance(body, kinds.SpindleOpened):
        others = tuple(found for found in state.spindles if found.piece != body.piece)
        return replace(state, spindles=(*others, OpenSpindle(body.spindle, body.lot, body.piece)))
    if isinstance(body, kinds.CartonOpened):
        return _carton(state, body.carton, 0, fresh=True)
    if isinstance(body, packing_changes.CartonReopened):
        return _carton(state, body.carton, body.units)
    if isinstance(body, kinds.CartonClosed):
        return replace(_carton(state, None, 0), closed=body.carton)
    if isinstance(body, packing_changes.CartonUnopened):
        return _carton(state, None, 0)
    if isinstance(body, kinds.DiscRejected):
        return replace(state, thrown=kinds.InHand(body.moved.source, body.moved.lot))
    if isinstance(body, packing_changes.CartonsMerged):
        return replace(state, units=state.units + body.units, fresh=False)
    return state


def _carton(state: LineState, carton: str | None, units: int, *, fresh: bool = False) -> LineState:
    """A closed carton is a good check, and so is an empty one."""
    return replace(state, carton=carton, units=units, fresh=fresh, since=0, since_numbers=(), last=None)


def _corrected(state: LineState, body: EntryBody) -> LineState:
    if isinstance(body, kinds.LineStopped) and body.moves:
        return replace(state, half=(), items=0, number=None, start=())
    if isinstance(body, packing.LineChecked):
        return replace(state, since=0, since_numbers=(), since_check=0)
    if isinstance(body, packing.ManualEntry):
        return replace(state, pending=body.piece, by_hand=body.piece is not None)
    if isinstance(body, packing.HoldBackClosed):
        return replace(state, held=None, since=0, since_numbers=())
    if isinstance(body, packing_changes.MatchUndone):
        return _undone(state, body)
    if isinstance(body, packing_changes.UnitTakenOut):
        return _taken_out(state, body)
    return state


def _undone(state: LineState, body: packing_changes.MatchUndone) -> LineState:
    one = 1 if body.finished else 0
    return replace(
        state,
        half=body.unfinished,
        items=body.items,
        number=body.filling,
        start=body.unfinished,
        last=None,
        units=state.units - one,
        since=max(0, state.since - one),
        since_check=max(0, state.since_check - one),
        since_numbers=tuple(number for number in state.since_numbers if number != body.freed),
    )


def _taken_out(state: LineState, body: packing_changes.UnitTakenOut) -> LineState:
    units = state.units - 1
    state = replace(
        state,
        units=units,
        last=None,
        since=min(state.since, units),
        since_check=max(0, state.since_check - 1),
        since_numbers=tuple(number for number in state.since_numbers if number != body.number),
    )
    if not body.held_back or state.held is None:
        return state
    held = replace(
        state.held,
        left=state.held.left - 1,
        taken_out=state.held.taken_out + 1,
        numbers=tuple(number for number in state.held.numbers if number != body.number),
        rechecking=True,
    )
    return replace(state, held=held)


def evolve_spooled(state: LineState, fact: Mapping[str, Any], at: str) -> LineState:
    """Return the state after a scan that waits in the spool.

    Args:
        state: the state before.
        fact: {"again": true}, {"clearing": badge}, {"form": word} with or without "slot", {"slot": raw}, {"disc": piece}, {"recheck": position},
            {"rechecked": number}, {"item": code, ...} or a match, as the line wrote it.
        at: local time of the scan.
    """
    if "again" in fact:
        return _read_again(state)
    if "clearing" in fact:
        return replace(state, clearing=fact["clearing"])
    if "form" in fact:
        return replace(state, form=fact["form"], raws=(fact["slot"],) if "slot" in fact else ())
    if "slot" in fact:
        return replace(state, raws=(*state.raws, fact["slot"]))
    if "disc" in fact:
        return replace(state, pending=fact["disc"])
    if "recheck" in fact or "rechecked" in fact:
        return recheck_changes.scanned(state, fact, at)
    return _matched(state, fact, at)


def _read_again(state: LineState) -> LineState:
    """A line that was read already lies in the spool with the others until they are sealed."""
    if state.held is not None:
        return replace(state, held=replace(state.held, loose=state.held.loose + 1))
    return replace(state, again=state.again + 1)


def _matched(state: LineState, fact: Mapping[str, Any], at: str) -> LineState:
    """A disc in its sleeve, or an item: one more piece of the unit is in."""
    finished, number, item = fact["unit"], fact["number"], fact.get("item")
    half, items, run = state.half, state.items, state.run
    takes, inserted = run.takes, run.items
    if item is None:
        half = (*half, kinds.InHand(fact["spindle"], fact["lot"]))
        takes = _taken(takes, fact["spindle"], fact["lot"])
    else:
        items += 1
        inserted = _inserted(inserted, item)
    run = replace(
        run,
        takes=takes,
        items=inserted,
        first_at=run.first_at or at,
        last_at=at,
        units=run.units + (1 if finished else 0),
        numbers=(*run.numbers, number) if finished and number is not None else run.numbers,
        # Facts of an older program lack the count: a match was two scans then.
        scans=run.scans + fact.get("scans", 2) + state.again,
    )
    return replace(
        state,
        run=run,
        pending=None,
        by_hand=False,
        stopped=False,
        no_reads=0,
        half=() if finished else half,
        items=0 if finished else items,
        number=None if finished else number,
        again=0,
        thrown=None,
        closed=None,
    )


def _taken(takes: tuple[Take, ...], spindle: str, lot: str) -> tuple[Take, ...]:
    if any(take.spindle == spindle for take in takes):
        return tuple(
            replace(take, count=take.count + 1) if take.spindle == spindle else take for take in takes
        )
    return (*takes, Take(spindle, lot, 1))


def _inserted(items: tuple[ItemCount, ...], code: str) -> tuple[ItemCount, ...]:
    if any(each.item == code for each in items):
        return tuple(ItemCount(each.item, each.count + (each.item == code)) for each in items)
    return (*items, ItemCount(code, 1))
