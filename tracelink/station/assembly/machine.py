"""SETUP, UNLOAD and ENDRUN of a placing machine, and what all its acts ask of it."""

from collections.abc import Sequence
from dataclasses import dataclass

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.ledger.kinds.assembly.placing_entries import (
    MachineSetUp,
    PartsPlaced,
    PartsTaken,
    ReelUnloaded,
)
from tracelink.station.assembly.build_orders import bill_of, known_build
from tracelink.station.common.assembly.queries_assembly import (
    BillLine,
    BuildOrder,
    MachineRun,
    Reel,
    SlotLoad,
    SlotTag,
)
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.taken_reading import plant_code
from tracelink.station.sentences.assembly import placing_sentences as say
from tracelink.station.sentences.assembly import slot_sentences
from tracelink.station.sentences.common_sentences import unknown
from tracelink.station.sentences.thing_names import Thing


@dataclass(frozen=True, slots=True)
class Machine:
    """A placing machine that is set up."""

    run: MachineRun
    build: BuildOrder
    lines: tuple[BillLine, ...]
    """What the bill of material has for its slots, each of which has a name here."""
    slots: Sequence[SlotTag]
    loads: Sequence[SlotLoad]

    def line_of(self, slot: SlotTag) -> BillLine | None:
        """What goes into a slot; None if nothing does."""
        return next((line for line in self.lines if line.slot == slot.what), None)

    def in_slot(self, slot: SlotTag) -> list[SlotLoad]:
        """The reels in a slot, the one that is used first before those joined to its tail."""
        return [load for load in self.loads if load.slot == slot.code]

    def slot_named(self, line: BillLine) -> SlotTag:
        """The slot of a line."""
        return next(slot for slot in self.slots if slot.what == line.slot)


def lines_here(build: BuildOrder, context: ScanContext) -> tuple[BillLine, ...]:
    """Return what a bill of material has for the slots of this machine."""
    names = {slot.what for slot in context.queries.slots_at(context.station)}
    return tuple(line for line in bill_of(build, context).lines if line.slot in names)


def machine_of(context: ScanContext) -> Machine:
    """Return what this machine works on.

    Raises:
        Refused: it is not set up.
    """
    run = context.queries.run_at(context.station)
    if run is None:
        raise say.no_run(context.station)
    build = context.queries.build(run.build)
    assert build is not None
    slots, loads = context.queries.slots_at(context.station), context.queries.loads_in(run.seq)
    return Machine(run, build, lines_here(build, context), slots, loads)


def slot_here(reading: Reading, context: ScanContext) -> SlotTag:
    """Return the slot of this machine that was scanned.

    Raises:
        Refused: it is of another machine, or this order has nothing for it.
    """
    machine = machine_of(context)
    code = plant_code(CodeKind.SLOT, reading, slot_sentences.A_SLOT_TAG)
    slot = context.queries.slot(code)
    if slot is None:
        raise unknown(Thing.SLOT, code)
    if slot.station != context.station:
        raise slot_sentences.slot_elsewhere(slot)
    if machine.line_of(slot) is None:
        raise slot_sentences.slot_not_used(slot, machine.build)
    return slot


def loaded_slot(reading: Reading, _values: Values, context: ScanContext) -> str:
    """Return the slot that was scanned, which has a reel."""
    slot = slot_here(reading, context)
    if not machine_of(context).in_slot(slot):
        raise slot_sentences.slot_empty(slot)
    return slot.code


def slot_of(values: Values, context: ScanContext) -> SlotTag:
    """Return the slot that was scanned."""
    slot = context.queries.slot(values["slot"])
    assert slot is not None
    return slot


def needs_run(context: ScanContext) -> None:
    """Refuse an act of a machine that is not set up."""
    machine_of(context)


def _build(reading: Reading, _values: Values, context: ScanContext) -> str:
    run = context.queries.run_at(context.station)
    if run is not None:
        raise say.machine_busy(run)
    build = known_build(reading, context)
    if not lines_here(build, context):
        raise say.nothing_to_place(build)
    return build.code


def _set_up(values: Values, context: ScanContext) -> ActResult:
    build = context.queries.build(values["build"])
    assert build is not None
    done = context.queries.done_by(context.station, build.code)
    body = MachineSetUp(build.code, context.station, done)
    return ActResult((Act(body),), say.set_up(build, lines_here(build, context), done))


SETUP = Form("SETUP", "assembly", (Slot("build", say.SCAN_THE_BUILD_CARD, _build),), _set_up)
"""A machine is set up for a build order."""


def _out(machine: Machine, loads: Sequence[SlotLoad], *, is_end: bool) -> tuple[Act, ...]:
    """What was thrown away since the last count was all that left the reels since: it is booked before they are out."""
    done, acts = machine.run.done, []
    thrown = tuple(_thrown_away(load.reel, done) for load in loads if load.reel.dropping)
    if thrown:
        acts.append(Act(PartsPlaced(machine.run.seq, machine.build.code, done + 1, done, thrown), takes=0))
    reels, seqs = tuple(load.reel.code for load in loads), tuple(load.seq for load in loads)
    acts.append(Act(ReelUnloaded(machine.run.seq, machine.build.code, reels, seqs, is_end)))
    return tuple(acts)


def _thrown_away(reel: Reel, done: int) -> PartsTaken:
    first = reel.used + 1 if reel.in_order else None
    last = reel.used + reel.dropping if reel.in_order else None
    return PartsTaken(reel.code, 0, reel.dropping, first, last, done, done, 1, 0)


def _unload(values: Values, context: ScanContext) -> ActResult:
    machine, slot = machine_of(context), slot_of(values, context)
    loads = machine.in_slot(slot)
    acts = _out(machine, loads, is_end=False)
    return ActResult(acts, slot_sentences.unloaded(slot, [load.reel.code for load in loads]))


UNLOAD = Form(
    "UNLOAD", "assembly", (Slot("slot", slot_sentences.SCAN_THE_SLOT, loaded_slot),), _unload, needs_run
)
"""The reels of a slot are taken out."""


def _end(_values: Values, context: ScanContext) -> ActResult:
    machine = machine_of(context)
    acts = _out(machine, machine.loads, is_end=True)
    reels = [load.reel.code for load in machine.loads]
    return ActResult(acts, say.run_ended(machine.run, machine.build, reels))


ENDRUN = Form("ENDRUN", "assembly", (), _end, needs_run)
"""The machine is done with a build order."""
