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
from tracelink.station.common.forms import (
    ActResult,
    Form,
    ScanContext,
    Slot,
    StationActs,
    Values,
    misplaced,
    number,
    plant_code,
)
from tracelink.station.common.outcome import Act, Refused, counted
from tracelink.station.common.queries import Lot
from tracelink.station.common.refusals import hold_words, usable_tool
from tracelink.station.press import corrections, setup
from tracelink.station.press.counter import lot_here, require_running, unmoved
from tracelink.station.press.setup import label_for, life, material, stamper_for


def _new_card(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = plant_code(CodeKind.SPINDLE, reading, "a new spindle card")
    require_running(context)
    if context.queries.spindle(code) is not None:
        raise Refused(
            FindingCode.CARD_IN_USE, f"Spindle card {code} is in use already. Take a new card.", subject=code
        )
    return code


def _counter(reading: Reading, _values: Values, context: ScanContext) -> int:
    value = number(reading, "the press counter")
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
        raise Refused(
            FindingCode.NOTHING_TO_STACK,
            f"No disc has been counted since the last stack of {lot.code}. Read the counter again.",
            subject=lot.code,
            expected=f"more than {lot.counter}",
            found=str(read.counter),
        )
    count = sum(move.quantity for move in moves)
    body = StackTaken(values["spindle"], read, moves)
    sentence = f"{counted(count, 'disc')} on spindle {body.spindle}."
    held = _held_here(lot, context)
    # Booked all the same: the discs are there. But nobody goes on pressing as if nothing were.
    return ActResult(
        (Act(body),), sentence + held, f"counter {read.counter}", FindingCode.ON_HOLD if held else None
    )


def _held_here(lot: Lot, context: ScanContext) -> str:
    """What of the running lot is on hold, as a sentence to add; empty if nothing is."""
    assert lot.mounted is not None
    notice = context.queries.hold_on(lot.code, context.station, *_mounted_codes(lot.mounted))
    if notice is None:
        return ""
    return f" But {notice.subject} is {hold_words(notice, notice.subject)}. Stop the press; put the spindle aside."


def _trial(values: Values, context: ScanContext) -> ActResult:
    lot = require_running(context)
    read = counter_reading(lot, values["counter"])
    moves = tuple(
        Moved(lot.code, last - first + 1, DiscPlace.COUNTER, DiscPlace.SET_UP, first, last)
        for first, last in unmoved(context, lot.code, read.counter)
    )
    if not moves:
        raise Refused(
            FindingCode.NOTHING_TO_THROW,
            f"All discs of {lot.code} up to {read.counter} have left the press already. Read the counter again.",
            subject=lot.code,
            expected=f"more than {lot.counter}",
            found=str(read.counter),
        )
    count = sum(move.quantity for move in moves)
    strokes = ", ".join(f"{move.first} to {move.last}" for move in moves)
    sentence = f"{counted(count, 'trial disc')} scrapped, strokes {strokes}."
    return ActResult((Act(TrialThrown(read, moves)),), sentence, f"counter {read.counter}")


def _scrap_count(reading: Reading, _values: Values, context: ScanContext) -> int:
    count = number(reading, "how many discs were scrapped")
    lot = require_running(context)
    if lot.last_spindle is None:
        raise Refused(
            FindingCode.NO_SPINDLE,
            "No stack has been taken yet, and discs are scrapped from a stack. Scan STACK first.",
            subject=lot.code,
        )
    spindle = context.queries.spindle(lot.last_spindle)
    assert spindle is not None
    if not 1 <= count <= spindle.remaining:
        raise Refused(
            FindingCode.WRONG_COUNT,
            f"Spindle {spindle.code} holds {counted(spindle.remaining, 'disc')}; {count} cannot be scrapped from it.",
            subject=spindle.code,
            expected=f"1 to {spindle.remaining}",
            found=str(count),
        )
    return count


def _scrap(values: Values, context: ScanContext) -> ActResult:
    lot = require_running(context)
    assert lot.last_spindle is not None
    moved = Moved(lot.code, values["count"], lot.last_spindle, DiscPlace.SCRAP, None, None)
    return ActResult(
        (Act(DiscsScrapped(moved)),),
        f"{counted(moved.quantity, 'disc')} scrapped from spindle {lot.last_spindle}.",
    )


def _component(reading: Reading, _values: Values, context: ScanContext) -> str:
    """A stamper for either side, a compound lot or a label lot that fits the running lot."""
    lot = require_running(context)
    part = lot.part
    code = reading.code if isinstance(reading, PlantRead) else None
    if code is not None and lot.mounted is not None and code.text in _mounted_codes(lot.mounted):
        raise Refused(FindingCode.ALREADY_MOUNTED, f"{code.text} is mounted here already.", subject=code.text)
    if code is not None and code.kind is CodeKind.TOOL:
        tool = usable_tool(code.text, context)
        return stamper_for(tool.side, part, code.text, context)
    if code is not None and code.kind is CodeKind.COMPOUND:
        return material(code.text, context).code
    if code is not None and code.kind is CodeKind.LABEL_LOT:
        label = material(code.text, context)
        return label_for(label.side or "A", part, code.text, context)
    raise misplaced(reading, "the new stamper, compound lot or label lot")


def _mounted_codes(mounted: Mounted) -> tuple[str, ...]:
    return (mounted.stamper_a, mounted.stamper_b, mounted.compound, mounted.label_a, mounted.label_b)


def _change(values: Values, context: ScanContext) -> ActResult:
    lot = require_running(context)
    assert lot.mounted is not None
    read = counter_reading(lot, values["counter"])
    code = values["component"]
    # Strokes since the last reading belong to the stampers that made them.
    made = read.counter - lot.counter
    now = replace(lot.mounted, life_a=life(lot.mounted.stamper_a, context) + made)
    now = replace(now, life_b=life(now.stamper_b, context) + made)
    if code.startswith(CodeKind.TOOL.value):
        tool = usable_tool(code, context)
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
    return ActResult(
        (Act(RunChanged(read, now)),), f"From stroke {read.counter + 1} lot {lot.code} runs with {code}."
    )


def _emptied(values: Values, context: ScanContext) -> ActResult:
    lot = lot_here(context)
    read = counter_reading(lot, values["counter"])
    return ActResult(
        (Act(HopperEmptied(context.station, read)),),
        f"Hopper emptied: from stroke {read.counter + 1} on lot {lot.code} holds only what is filled in now.",
    )


def _last_counter(reading: Reading, _values: Values, context: ScanContext) -> int:
    value = number(reading, "the press counter")
    counter_reading(lot_here(context), value)
    return value


def _stop(values: Values, context: ScanContext) -> ActResult:
    """End the run; a lot that was set up and never started may be taken off the press too."""
    lot = lot_here(context)
    read = counter_reading(lot, values["counter"])
    sentence = f"Lot {lot.code} is finished: {counted(read.counter, 'disc')} counted."
    left = sum(last - first + 1 for first, last in unmoved(context, lot.code, read.counter))
    if left:
        sentence += f" {counted(left, 'disc')} without a spindle, not accounted for."
    return ActResult((Act(PressStopped(read)),), sentence)


_KEY_COUNTER = "Key the press counter, such as #412."
_COUNTER_SLOT = Slot("counter", _KEY_COUNTER, _counter)

FORMS = (
    *setup.FORMS,
    *corrections.FORMS,
    Form(
        "STACK",
        "press",
        (Slot("spindle", "Scan a new spindle card.", _new_card), _COUNTER_SLOT),
        _stack,
        require_running,
    ),
    Form("TRIAL", "press", (_COUNTER_SLOT,), _trial, require_running),
    Form(
        "SCRAP",
        "press",
        (Slot("count", "Key how many were scrapped.", _scrap_count),),
        _scrap,
        require_running,
    ),
    Form(
        "CHANGE",
        "press",
        (Slot("component", "Scan the new stamper, compound lot or label lot.", _component), _COUNTER_SLOT),
        _change,
        require_running,
    ),
    Form("EMPTY", "press", (Slot("counter", _KEY_COUNTER, _last_counter),), _emptied, lot_here),
    Form("STOP", "press", (Slot("counter", _KEY_COUNTER, _last_counter),), _stop, lot_here),
    count_form("press"),
)


def _default(reading: Reading, _scene: ScanContext) -> ActResult:
    raise misplaced(reading, f"an action card ({', '.join(form.word for form in FORMS)})")


ACTS = StationActs({form.word: form for form in FORMS}, _default)
