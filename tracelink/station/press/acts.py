"""The running press: stack, scrap, throw out trial discs, change mid-run, stop. The counter is keyed."""

from dataclasses import replace

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import PlantRead, Reading
from tracelink.ledger.closed_sets import DiscPlace
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.press import (
    DiscsScrapped,
    HopperEmptied,
    Mounted,
    PressStopped,
    RunChanged,
    StackTaken,
    TrialThrown,
)
from tracelink.station.common.counter import counter_reading
from tracelink.station.common.counting import count_form
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, StationActs, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.refusals import usable_tool
from tracelink.station.common.station_facts import Lot
from tracelink.station.common.taken_reading import number, plant_code
from tracelink.station.press import corrections, setup
from tracelink.station.press.counter import lot_here, require_running, unmoved
from tracelink.station.press.lab_wants import lab_wants, lab_wants_last
from tracelink.station.press.setup import label_for, life, material, stamper_for
from tracelink.station.sentences import press_sentences as say
from tracelink.station.sentences.common_sentences import misplaced


def _new_card(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = plant_code(CodeKind.SPINDLE, reading, say.A_NEW_SPINDLE_CARD)
    require_running(context)
    if context.queries.spindle(code) is not None:
        raise say.card_in_use(code)
    return code


def _counter(reading: Reading, _values: Values, context: ScanContext) -> int:
    value = number(reading, say.THE_PRESS_COUNTER)
    counter_reading(require_running(context), value)
    return value


def _stack(values: Values, context: ScanContext) -> ActResult:
    lot = require_running(context)
    read = counter_reading(lot, values["counter"])
    moves = tuple(
        Moved(lot.code, last - first + 1, DiscPlace.COUNTER, values["spindle"], first, last)
        for first, last in unmoved(context, lot.code, read.counter)
    )
    if not moves:
        raise say.nothing_to_stack(lot.code, lot.counter, read.counter)
    count = sum(move.quantity for move in moves)
    body = StackTaken(values["spindle"], read, moves)
    sentence = say.stacked(count, body.spindle) + lab_wants(context, lot.code, read.counter)
    held = _held_here(lot, context)
    # Booked all the same: the discs are there. But nobody goes on pressing as if nothing were.
    return ActResult(
        (Act(body),), sentence + held, say.counter_at(read.counter), FindingCode.ON_HOLD if held else None
    )


def _held_here(lot: Lot, context: ScanContext) -> str:
    """What of the running lot is on hold, as a sentence to add; empty if nothing is."""
    assert lot.mounted is not None
    notice = context.queries.hold_on(lot.code, context.station, *_mounted_codes(lot.mounted))
    if notice is None:
        return ""
    return say.held_here(notice)


def _trial(values: Values, context: ScanContext) -> ActResult:
    lot = require_running(context)
    read = counter_reading(lot, values["counter"])
    moves = tuple(
        Moved(lot.code, last - first + 1, DiscPlace.COUNTER, DiscPlace.SET_UP, first, last)
        for first, last in unmoved(context, lot.code, read.counter)
    )
    if not moves:
        raise say.nothing_to_throw(lot.code, read.counter, lot.counter)
    # Where stampers began with trial discs, the disc behind those is their first.
    first = (read.counter + 1,) if moves[0].first == lot.segment else ()
    sentence = say.trial_scrapped(moves) + lab_wants(context, lot.code, read.counter, *first)
    return ActResult((Act(TrialThrown(read, moves)),), sentence, say.counter_at(read.counter))


def _scrap_count(reading: Reading, _values: Values, context: ScanContext) -> int:
    count = number(reading, say.HOW_MANY_SCRAPPED)
    lot = require_running(context)
    if lot.last_spindle is None:
        raise say.no_stack_yet(lot.code)
    spindle = context.queries.spindle(lot.last_spindle)
    assert spindle is not None
    if not 1 <= count <= spindle.remaining:
        raise say.cannot_scrap(spindle.code, spindle.remaining, count)
    return count


def _scrap(values: Values, context: ScanContext) -> ActResult:
    lot = require_running(context)
    assert lot.last_spindle is not None
    moved = Moved(lot.code, values["count"], lot.last_spindle, DiscPlace.SCRAP, None, None)
    return ActResult(
        (Act(DiscsScrapped(moved)),),
        say.scrapped(moved.quantity, lot.last_spindle),
    )


def _component(reading: Reading, _values: Values, context: ScanContext) -> str:
    """A stamper for either side, a compound lot or a label lot that fits the running lot."""
    lot = require_running(context)
    part = lot.part
    code = reading.code if isinstance(reading, PlantRead) else None
    if code is not None and lot.mounted is not None and code.text in _mounted_codes(lot.mounted):
        raise say.already_mounted(code.text)
    if code is not None and code.kind is CodeKind.TOOL:
        tool = usable_tool(code.text, context)
        return stamper_for(tool.side, part, code.text, context)
    if code is not None and code.kind is CodeKind.COMPOUND:
        return material(code.text, context).code
    if code is not None and code.kind is CodeKind.LABEL_LOT:
        label = material(code.text, context)
        return label_for(label.side or "A", part, code.text, context)
    raise misplaced(reading, say.WHAT_IS_MOUNTED_NEW)


def _mounted_codes(mounted: Mounted) -> tuple[str, ...]:
    return (mounted.stamper_a, mounted.stamper_b, mounted.compound, mounted.label_a, mounted.label_b)


def _change(values: Values, context: ScanContext) -> ActResult:
    lot = require_running(context)
    assert lot.mounted is not None
    read = counter_reading(lot, values["counter"])
    code, wanted = values["component"], ""
    # Strokes since the last reading belong to the stampers that made them.
    made = read.counter - lot.counter
    now = replace(lot.mounted, life_a=life(lot.mounted.stamper_a, context) + made)
    now = replace(now, life_b=life(now.stamper_b, context) + made)
    if code.startswith(CodeKind.TOOL.value):
        tool = usable_tool(code, context)
        wanted = lab_wants(context, lot.code, read.counter, read.counter, read.counter + 1)
        now = (
            replace(now, stamper_a=code, life_a=tool.life)
            if tool.side == "A"
            else replace(now, stamper_b=code, life_b=tool.life)
        )
    elif code.startswith(CodeKind.COMPOUND.value):
        now = replace(now, compound=code)
    else:
        label = material(code, context)
        now = replace(now, label_a=code) if label.side == "A" else replace(now, label_b=code)
    return ActResult((Act(RunChanged(read, now)),), say.changed(read.counter + 1, lot.code, code) + wanted)


def _emptied(values: Values, context: ScanContext) -> ActResult:
    lot = lot_here(context)
    read = counter_reading(lot, values["counter"])
    return ActResult(
        (Act(HopperEmptied(context.station, read)),),
        say.emptied(read.counter + 1, lot.code),
    )


def _last_counter(reading: Reading, _values: Values, context: ScanContext) -> int:
    value = number(reading, say.THE_PRESS_COUNTER)
    counter_reading(lot_here(context), value)
    return value


def _stop(values: Values, context: ScanContext) -> ActResult:
    """End the run; a lot that was set up and never started may be taken off the press too."""
    lot = lot_here(context)
    read = counter_reading(lot, values["counter"])
    sentence = say.finished(lot.code, read.counter)
    left = sum(last - first + 1 for first, last in unmoved(context, lot.code, read.counter))
    if left:
        sentence += say.left_at_press(left)
    sentence += lab_wants_last(context, lot.code, read.counter)
    return ActResult((Act(PressStopped(read)),), sentence)


_KEY_COUNTER = say.KEY_THE_COUNTER
_COUNTER_SLOT = Slot("counter", _KEY_COUNTER, _counter)

FORMS = (
    *setup.FORMS,
    *corrections.FORMS,
    Form(
        "STACK",
        "press",
        (Slot("spindle", say.SCAN_A_NEW_SPINDLE_CARD, _new_card), _COUNTER_SLOT),
        _stack,
        require_running,
    ),
    Form("TRIAL", "press", (_COUNTER_SLOT,), _trial, require_running),
    Form(
        "SCRAP",
        "press",
        (Slot("count", say.KEY_HOW_MANY_SCRAPPED, _scrap_count),),
        _scrap,
        require_running,
    ),
    Form(
        "CHANGE",
        "press",
        (Slot("component", say.SCAN_WHAT_IS_MOUNTED_NEW, _component), _COUNTER_SLOT),
        _change,
        require_running,
    ),
    Form("EMPTY", "press", (Slot("counter", _KEY_COUNTER, _last_counter),), _emptied, lot_here),
    Form("STOP", "press", (Slot("counter", _KEY_COUNTER, _last_counter),), _stop, lot_here),
    count_form("press"),
)


def _default(reading: Reading, _scene: ScanContext) -> ActResult:
    raise misplaced(reading, say.an_action_card(form.word for form in FORMS))


ACTS = StationActs({form.word: form for form in FORMS}, _default)
