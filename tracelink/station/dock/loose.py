"""Discs that come back without a carton label: into quarantine, and from there onto a spindle or to destruction.

If matrix number and stamper mark fit one shipped lot, the discs are moved into quarantine as discs of that lot, from
the customers: which shipped carton gave them up is not known, and no carton is made to. If several lots fit, all of
them are recorded and the discs stay out of the places until they are destroyed.
"""

from tracelink.errors import IdentifierError
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import DiscPlace, ReasonAct, ReturnStatus, return_place
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.returns import (
    Destroyed,
    DiscsCameBack,
    DiscsRestocked,
)
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_dock import ReturnLine
from tracelink.station.common.refusals import refuse_held
from tracelink.station.common.slots import reason_slot
from tracelink.station.common.station_facts import Tool
from tracelink.station.common.taken_reading import keyed_text, number, plant_code
from tracelink.station.dock import rules, sleeve_numbers
from tracelink.station.sentences import press_sentences
from tracelink.station.sentences import return_sentences as say
from tracelink.station.sentences.common_sentences import THE_MATRIX_NUMBER
from tracelink.station.sentences.thing_names import Thing


def _matrix(reading: Reading, _values: Values, context: ScanContext) -> str:
    text = keyed_text(reading, THE_MATRIX_NUMBER)
    try:
        return context.queries.matrix_grammar().parse(text)
    except IdentifierError as problem:
        raise say.foreign_disc(problem, text) from None


def _mark(reading: Reading, values: Values, context: ScanContext) -> str:
    """The code of a stamper with that matrix number. A slip of the hand must not pass for a mark that cannot be read."""
    mark, matrix = keyed_text(reading, say.THE_STAMPER_MARK).strip(), values["matrix"]
    tool = _tool(mark, context)
    if tool is None:
        raise say.mark_unknown(mark, matrix, context.queries.stampers_of(matrix))
    if tool.matrix != matrix:
        raise say.mark_of_another(tool, matrix)
    return tool.code


def _disc_count(reading: Reading, _values: Values, _scene: ScanContext) -> int:
    count = number(reading, say.HOW_MANY_DISCS)
    if count < 1:
        raise say.nothing_came_back()
    return count


def _return_loose(values: Values, context: ScanContext) -> ActResult:
    line, matrix, count = context.queries.next_return(), values["matrix"], values["count"]
    mark = values.get("mark")
    lots = tuple(context.queries.shipped_lots(matrix, mark))
    sent = context.queries.discs_sent(lots[0]) if len(lots) == 1 else 0
    lot = lots[0] if sent >= count else None
    moves = () if lot is None else _moved_in(line, lot, count)
    body = DiscsCameBack(line, lot, lots, matrix, mark or "", count, sent, moves)
    told = say.discs_back(line, count, matrix, say.of_lot(lot) if lot else say.of_unknown_lot(lots))
    told += sleeve_numbers.prompt(context.queries.products_of(matrix), context)
    if len(lots) == 1 and lot is None:
        more = say.only_so_many_sent(sent, lots[0])
        return ActResult((Act(body),), told + more, finding=FindingCode.MORE_THAN_SHIPPED)
    return ActResult((Act(body),), told)


def _moved_in(line: int, lot: str, count: int) -> tuple[Moved, ...]:
    return (
        Moved(lot, count, DiscPlace.CUSTOMERS, DiscPlace.RETURNED, None, None),
        Moved(lot, count, DiscPlace.RETURNED, return_place(line), None, None),
    )


def _tool(mark: str, context: ScanContext) -> Tool | None:
    """Return the stamper that a mark names, if it is one of this plant."""
    try:
        code = PlantCode.parse(mark.upper())
    except IdentifierError:
        return None
    tool = context.queries.tool(code.text) if code.kind is CodeKind.TOOL else None
    return tool if tool is not None and tool.what == "stamper" else None


def loose_line(line_number: int, context: ScanContext) -> ReturnLine:
    """Return a line of loose discs in quarantine, or refuse."""
    line = context.queries.return_line(line_number)
    if line is None or line.carton is not None:
        raise say.no_loose_return(line_number, line.carton if line else None)
    if line.status != ReturnStatus.QUARANTINE:
        raise say.not_in_quarantine(line_number, line.status)
    return line


def _loose_to_restock(reading: Reading, _values: Values, context: ScanContext) -> int:
    line = loose_line(number(reading, say.NUMBER_OF_A_RETURN), context)
    if not context.queries.in_quarantine(line):
        raise say.lot_unknown(line.number)
    assert line.lot is not None
    lot = context.queries.lot(line.lot)
    assert lot is not None
    rules.released([lot], Thing.RETURN, str(line.number))
    refuse_held(context.queries.hold_on(lot.code), Thing.LOT, lot.code)
    refuse_held(context.queries.hold_on(return_place(line.number)), Thing.RETURN, str(line.number))
    return line.number


def _waiting(line: ReturnLine, context: ScanContext) -> int:
    """Return how many discs of a return are still in its place: the lab may have taken some."""
    return sum(count for _lot, count in context.queries.carton_returned(line.number))


def _new_card(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = plant_code(CodeKind.SPINDLE, reading, press_sentences.A_NEW_SPINDLE_CARD)
    if context.queries.spindle(code) is not None:
        raise press_sentences.card_in_use(code)
    return code


def _restock_loose(values: Values, context: ScanContext) -> ActResult:
    line = loose_line(values["line"], context)
    assert line.lot is not None
    discs = _waiting(line, context)
    moved = Moved(line.lot, discs, return_place(line.number), values["spindle"], None, None)
    lot = context.queries.lot(line.lot)
    assert lot is not None
    numbers, told = sleeve_numbers.restocked(line, lot.part.gtin, context)
    body = DiscsRestocked(line.number, values["spindle"], moved)
    sentence = say.restocked_loose(discs, line.number, values["spindle"], told)
    return ActResult((*numbers, Act(body, values["reason"])), sentence)


def destroy_loose(line: ReturnLine, witness: str, reason: str, context: ScanContext) -> ActResult:
    """Destroy the discs of a return line before a witness."""
    moves: tuple[Moved, ...] = ()
    discs = line.discs
    if context.queries.in_quarantine(line):
        assert line.lot is not None
        discs = _waiting(line, context)
        moves = (Moved(line.lot, discs, return_place(line.number), DiscPlace.DESTROYED, None, None),)
    acts: tuple[Act, ...] = ()
    told = ""
    for gtin in context.queries.products_of(line.matrix or ""):
        acts, told = sleeve_numbers.destroyed(None, line, gtin, context)
        if acts:
            break
    body = Destroyed(None, line.number, witness, None, moves)
    sentence = say.loose_destroyed(discs, line.number, told)
    return ActResult((*acts, Act(body, reason)), sentence)


_MATRIX = Slot("matrix", say.TYPE_THE_MATRIX_NUMBER, _matrix)
_COUNT = Slot("count", say.KEY_HOW_MANY_DISCS, _disc_count)

FORMS = (
    Form(
        "RETURNLOOSE",
        "dock",
        (_MATRIX, Slot("mark", say.TYPE_THE_STAMPER_MARK, _mark), _COUNT),
        _return_loose,
    ),
    Form("RETURNNOMARK", "dock", (_MATRIX, _COUNT), _return_loose),
    Form(
        "RESTOCKLOOSE",
        "quality",
        (
            Slot("line", say.KEY_THE_RETURN, _loose_to_restock),
            Slot("spindle", press_sentences.SCAN_A_NEW_SPINDLE_CARD, _new_card),
            reason_slot(ReasonAct.DOCK_RESTOCKLOOSE),
        ),
        _restock_loose,
    ),
)
"""RETURNLOOSE, RETURNNOMARK and RESTOCKLOOSE."""
