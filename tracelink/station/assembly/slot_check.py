"""LOAD, SPLICE and CHECK: the slot and the reel are scanned, and the bill of material says whether they belong together."""

from tracelink.identity.reading import Reading
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.assembly.placing_entries import ReelLoaded, SlotChecked, WrongReelFound
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced
from tracelink.station.assembly.build_orders import refuse_old_bill
from tracelink.station.assembly.known_parts import known_reel, refuse_held_reel
from tracelink.station.assembly.machine import (
    loaded_slot,
    machine_of,
    needs_run,
    slot_here,
    slot_of,
)
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.sentences.assembly import slot_sentences


def _empty_slot(reading: Reading, _values: Values, context: ScanContext) -> str:
    slot = slot_here(reading, context)
    loads = machine_of(context).in_slot(slot)
    if loads:
        raise slot_sentences.slot_full(slot, loads[0].reel.code)
    return slot.code


def _right_reel(reading: Reading, values: Values, context: ScanContext) -> str:
    slot, machine, reel = slot_of(values, context), machine_of(context), known_reel(reading, context)
    refuse_old_bill(machine.build, context)
    line = machine.line_of(slot)
    assert line is not None
    if (reel.part, reel.revision) != (line.part, line.revision):
        raise slot_sentences.wrong_part(slot, line, reel)
    refuse_held_reel(reel, context)
    if reel.slot is not None:
        raise slot_sentences.reel_elsewhere(reel)
    if reel.left < 1:
        raise slot_sentences.used_up(reel)
    return reel.code


def _load(values: Values, context: ScanContext) -> ActResult:
    machine, slot, reel = machine_of(context), slot_of(values, context), context.queries.reel(values["reel"])
    assert reel is not None
    before = machine.in_slot(slot)
    body = ReelLoaded(
        machine.run.seq,
        machine.build.code,
        slot.code,
        reel.code,
        machine.run.done,
        spliced=bool(before),
    )
    told = (
        slot_sentences.spliced(slot, reel, before[-1].reel) if before else slot_sentences.loaded(slot, reel)
    )
    return ActResult((Act(body),), told)


LOAD = Form(
    "LOAD",
    "assembly",
    (
        Slot("slot", slot_sentences.SCAN_THE_SLOT, _empty_slot),
        Slot("reel", slot_sentences.SCAN_THE_REEL, _right_reel),
    ),
    _load,
    needs_run,
)
"""A reel is put into a slot."""

SPLICE = Form(
    "SPLICE",
    "assembly",
    (
        Slot("slot", slot_sentences.SCAN_THE_SLOT, loaded_slot),
        Slot("reel", slot_sentences.SCAN_THE_NEW_REEL, _right_reel),
    ),
    _load,
    needs_run,
)
"""A reel is joined to the tail of the one in the slot."""


def _any_reel(reading: Reading, _values: Values, context: ScanContext) -> str:
    return known_reel(reading, context).code


def _check(values: Values, context: ScanContext) -> ActResult:
    machine, slot = machine_of(context), slot_of(values, context)
    loads, found = machine.in_slot(slot), context.queries.reel(values["reel"])
    assert found is not None
    seqs, done = tuple(load.seq for load in loads), machine.run.done
    if any(load.reel.code == found.code for load in loads):
        body = SlotChecked(machine.build.code, slot.code, found.code, done, seqs)
        return ActResult((Act(body),), slot_sentences.checked(slot, found.code, done))
    first = min(load.checked for load in loads) + 1
    booked = loads[0].reel.code
    wrong = WrongReelFound(
        machine.run.seq, machine.build.code, slot.code, booked, found.code, first, done, seqs
    )
    acts, held = [Act(wrong)], None
    if first <= done:
        hold = context.queries.next_code("H")
        held = (first, done, hold)
        told = slot_sentences.held_for_wrong_reel(slot, booked, found)
        item = HeldItem(machine.build.code, first, done)
        acts.append(Act(HoldPlaced(hold, found.code, (item,)), told))
    return ActResult(
        tuple(acts),
        slot_sentences.wrong_reel(slot, booked, found, held),
        finding=FindingCode.WRONG_REEL,
    )


CHECK = Form(
    "CHECK",
    "assembly",
    (
        Slot("slot", slot_sentences.SCAN_THE_SLOT, loaded_slot),
        Slot("reel", slot_sentences.SCAN_THE_REEL_IN_IT, _any_reel),
    ),
    _check,
    needs_run,
)
"""What is in a slot is looked at once more."""
