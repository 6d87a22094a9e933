"""TAKE: what goes into a running step, as its process takes it."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import PlantRead, Reading
from tracelink.ledger.closed_sets import StepInput, WorksOn
from tracelink.ledger.decimal_sign import DecimalSign
from tracelink.ledger.kinds.process.step_entries import StepTook
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_process import ProcessStep
from tracelink.station.common.refusals import refuse_held, usable_tool
from tracelink.station.common.taken_reading import number
from tracelink.station.process.running_step import STEP, step_of
from tracelink.station.process.step_amount import amount, asks_for_amount
from tracelink.station.sentences import toolroom_sentences
from tracelink.station.sentences.assembly.placing_sentences import (
    A_BUILD_CARD,
    pieces_beyond,
    pieces_went_in,
)
from tracelink.station.sentences.common_sentences import misplaced, unknown
from tracelink.station.sentences.process import blank_sentences
from tracelink.station.sentences.process import process_sentences as say
from tracelink.station.sentences.thing_names import Thing

_ASKED = {
    WorksOn.DISCS: say.A_SPINDLE_OR_LOT,
    WorksOn.TOOLS: say.A_TOOL_TAG,
    WorksOn.PIECES: A_BUILD_CARD,
    WorksOn.MATERIAL: say.A_COMPOUND_LOT,
    WorksOn.BLEND: say.A_COMPOUND_OR_LOT,
}
_KINDS = {
    WorksOn.DISCS: {CodeKind.SPINDLE: StepInput.SPINDLE, CodeKind.LOT: StepInput.STROKES},
    WorksOn.TOOLS: {CodeKind.TOOL: StepInput.TOOL},
    WorksOn.PIECES: {CodeKind.BUILD: StepInput.STROKES},
    WorksOn.MATERIAL: {CodeKind.COMPOUND: StepInput.MATERIAL},
    WorksOn.BLEND: {CodeKind.COMPOUND: StepInput.MATERIAL, CodeKind.LOT: StepInput.GROUND},
}
"""What a process takes, and how what went in is then known."""


def _input(step: ProcessStep, thing: str) -> StepInput:
    return _KINDS[step.works_on][CodeKind(thing[0])]


def _thing(reading: Reading, values: Values, context: ScanContext) -> str:
    """What goes in, as the process of the step takes it, and may be used."""
    step = step_of(values, context)
    if step.made:
        raise say.made_already(step)
    asked = _ASKED[step.works_on]
    if not isinstance(reading, PlantRead) or reading.code.kind not in _KINDS[step.works_on]:
        raise misplaced(reading, asked)
    code = reading.code.text
    what = _input(step, code)
    _CHECKS[what](code, context)
    if (
        what in (StepInput.TOOL, StepInput.SPINDLE)
        and context.queries.item_in_step(step.code, code) is not None
    ):
        raise say.in_already(step, code)
    return code


def is_blank(code: str, context: ScanContext) -> bool:
    """Return whether a tag is that of a blank which is not cut yet, and may be.

    Raises:
        Refused: it was found bad.
    """
    blank = context.queries.blank(code) if context.queries.tool(code) is None else None
    if blank is not None and blank.fault is not None:
        raise blank_sentences.blank_is_bad(blank)
    return blank is not None


def _check_tool(code: str, context: ScanContext) -> None:
    if is_blank(code, context):
        return
    usable_tool(code, context)
    press = context.queries.tool_mounted_on(code)
    if press is not None:
        # Its strokes so far were made before this step: a tool on a press is in no bath.
        raise toolroom_sentences.tool_mounted(code, press)


def _check_spindle(code: str, context: ScanContext) -> None:
    spindle = context.queries.spindle(code)
    if spindle is None:
        raise unknown(Thing.SPINDLE_CARD, code)
    refuse_held(context.queries.hold_on_spindle(code), Thing.SPINDLE, code)
    if spindle.remaining < 1:
        raise say.spindle_empty(code)


def _check_lot(code: str, context: ScanContext) -> None:
    if code[0] == CodeKind.BUILD.value:
        if context.queries.build(code) is None:
            raise unknown(Thing.BUILD_ORDER, code)
        refuse_held(context.queries.hold_on(code), Thing.BUILD_ORDER, code)
        return
    if context.queries.lot(code) is None:
        raise unknown(Thing.LOT_CARD, code)
    refuse_held(context.queries.hold_on(code), Thing.LOT, code)


def _check_ground(code: str, context: ScanContext) -> None:
    # What is ground is scrap: a lot on hold may be ground, and the share of its fault follows.
    if context.queries.lot(code) is None:
        raise unknown(Thing.LOT_CARD, code)


def _check_material(code: str, context: ScanContext) -> None:
    if context.queries.material(code) is None:
        raise unknown(Thing.MATERIAL, code)
    refuse_held(context.queries.hold_on(code), Thing.MATERIAL, code)


_CHECKS = {
    StepInput.TOOL: _check_tool,
    StepInput.SPINDLE: _check_spindle,
    StepInput.STROKES: _check_lot,
    StepInput.MATERIAL: _check_material,
    StepInput.GROUND: _check_ground,
}


def _asks_what_goes_in(values: Values, context: ScanContext) -> str:
    return say.scan_what_goes_in(_ASKED[step_of(values, context).works_on])


def _asks_the_first(values: Values, context: ScanContext) -> str:
    return say.key_the_first(step_of(values, context).works_on)


def _asks_the_last(values: Values, context: ScanContext) -> str:
    return say.key_the_last(step_of(values, context).works_on)


def _takes_strokes(values: Values, context: ScanContext) -> bool:
    return _input(step_of(values, context), values["thing"]) is StepInput.STROKES


def _takes_amount(values: Values, context: ScanContext) -> bool:
    return step_of(values, context).unit is not None


def _first(reading: Reading, _values: Values, _context: ScanContext) -> int:
    return number(reading, say.THE_FIRST_STROKE)


def _last(reading: Reading, values: Values, context: ScanContext) -> int:
    last = number(reading, say.THE_LAST_STROKE)
    thing, first = values["thing"], values["first"]
    lot, build = context.queries.lot(thing), context.queries.build(thing)
    if build is not None:
        if not 1 <= first <= last <= build.quantity:
            raise pieces_beyond(build, first, last)
        return last
    assert lot is not None
    if not 1 <= first <= last <= lot.counter:
        raise say.no_strokes(lot.code, lot.counter, first, last)
    return last


def _take(values: Values, context: ScanContext) -> ActResult:
    step, thing = step_of(values, context), values["thing"]
    what = _input(step, thing)
    first, last, mass = values.get("first"), values.get("last"), values.get("amount")
    lot: str | None = thing if thing[0] == CodeKind.LOT.value else None
    if what is StepInput.SPINDLE:
        spindle = context.queries.spindle(thing)
        assert spindle is not None
        lot = spindle.lot
        told = say.discs_went_in(step, thing, lot, spindle.remaining, None)
    elif what is StepInput.TOOL:
        tool = context.queries.tool(thing)
        told = (
            blank_sentences.went_in(step.code, step.process, thing)
            if tool is None
            else say.tool_went_in(step, tool.what, thing)
        )
    elif mass is not None:
        told = say.amount_went_in(step, thing, mass)
    elif step.works_on is WorksOn.PIECES:
        told = pieces_went_in(step, thing, first, last)
    else:
        assert lot is not None
        assert first is not None
        assert last is not None
        told = say.discs_went_in(step, thing, lot, None, (first, last))
    unit = None if mass is None else step.unit
    return ActResult((Act(StepTook(step.code, what, thing, lot, first, last, mass, unit)),), told)


TAKE = Form(
    "TAKE",
    "process",
    (
        STEP,
        Slot("thing", "", _thing, told_before=_asks_what_goes_in),
        Slot("first", "", _first, needed=_takes_strokes, told_before=_asks_the_first),
        Slot("last", "", _last, needed=_takes_strokes, told_before=_asks_the_last),
        Slot(
            "amount",
            say.type_the_amount(DecimalSign.POINT),
            amount,
            needed=_takes_amount,
            asks_here=asks_for_amount,
        ),
    ),
    _take,
)
"""What goes in."""
