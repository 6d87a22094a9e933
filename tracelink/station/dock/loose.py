"""Discs that come back without a carton label: into quarantine, and from there onto a spindle or to destruction.

If matrix number and stamper mark fit one shipped lot, the discs are moved into quarantine as discs of that lot, from
the customers: which shipped carton gave them up is not known, and no carton is made to. If several lots fit, all of
them are recorded and the discs stay out of the places until they are destroyed.
"""

from tracelink.errors import IdentifierError
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import DiscPlace, ReturnStatus, return_place
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.returns import (
    Destroyed,
    DiscsCameBack,
    DiscsRestocked,
)
from tracelink.station.common.forms import (
    ActResult,
    Form,
    ScanContext,
    Slot,
    Values,
    keyed_text,
    number,
    plant_code,
)
from tracelink.station.common.outcome import Act, Refused
from tracelink.station.common.queries_dock import ReturnLine
from tracelink.station.common.refusals import refuse_held
from tracelink.station.common.slots import reason_slot
from tracelink.station.dock import rules, sleeve_numbers
from tracelink.station.sentences.thing_names import Thing, counted

_NAMED = 4
"""Lots told to the person; the entry lists all."""


def _matrix(reading: Reading, _values: Values, context: ScanContext) -> str:
    text = keyed_text(reading, "the matrix number")
    try:
        return context.queries.matrix_grammar().parse(text)
    except IdentifierError as problem:
        raise Refused(
            FindingCode.FOREIGN_DISC,
            f"{problem}. A disc of another plant is not returned here.",
            subject=text,
        ) from None


def _mark(reading: Reading, _values: Values, _scene: ScanContext) -> str:
    return keyed_text(reading, "the stamper mark").strip()


def _disc_count(reading: Reading, _values: Values, _scene: ScanContext) -> int:
    count = number(reading, "how many discs with this mark")
    if count < 1:
        raise Refused(
            FindingCode.WRONG_COUNT,
            "You keyed 0, and a return has at least 1 disc. Key how many came back.",
            subject="0",
        )
    return count


def _return_loose(values: Values, context: ScanContext) -> ActResult:
    line, matrix, count = context.queries.next_return(), values["matrix"], values["count"]
    lots = tuple(context.queries.shipped_lots(matrix, _tool(values["mark"], context)))
    sent = context.queries.discs_sent(lots[0]) if len(lots) == 1 else 0
    lot = lots[0] if sent >= count else None
    moves = () if lot is None else _moved_in(line, lot, count)
    body = DiscsCameBack(line, lot, lots, matrix, values["mark"], count, sent, moves)
    told = f"Return {line}: {counted(count, 'disc')} {matrix} {_of(lot, lots)}, in quarantine."
    told += "".join({sleeve_numbers.prompt(gtin, context) for gtin in context.queries.products_of(matrix)})
    if len(lots) == 1 and lot is None:
        more = f" The system shows only {sent} of lot {lots[0]} with customers. Count again and tell quality."
        return ActResult((Act(body),), told + more, finding=FindingCode.MORE_THAN_SHIPPED)
    return ActResult((Act(body),), told)


def _moved_in(line: int, lot: str, count: int) -> tuple[Moved, ...]:
    return (
        Moved(lot, count, DiscPlace.CUSTOMERS, DiscPlace.RETURNED, None, None),
        Moved(lot, count, DiscPlace.RETURNED, return_place(line), None, None),
    )


def _of(lot: str | None, lots: tuple[str, ...]) -> str:
    if lot is not None:
        return f"of lot {lot}"
    fit = f"{counted(len(lots), 'shipped lot')} {'fits' if len(lots) == 1 else 'fit'}"
    named = f": {', '.join(lots[:_NAMED])}{' and more' if len(lots) > _NAMED else ''}" if lots else ""
    return f"of an unknown lot ({fit}{named})"


def _tool(mark: str, context: ScanContext) -> str | None:
    """Return the stamper a mark names, if it is a tool tag of this plant."""
    try:
        code = PlantCode.parse(mark.upper())
    except IdentifierError:
        return None
    return code.text if code.kind is CodeKind.TOOL and context.queries.tool(code.text) else None


def loose_line(line_number: int, context: ScanContext) -> ReturnLine:
    """Return a line of loose discs in quarantine, or refuse."""
    line = context.queries.return_line(line_number)
    if line is None or line.carton is not None:
        what = "is not known" if line is None else f"is carton {line.carton}; scan its label"
        raise Refused(FindingCode.UNKNOWN_CODE, f"Return {line_number} {what}.", subject=str(line_number))
    if line.status != ReturnStatus.QUARANTINE:
        raise Refused(
            FindingCode.NOT_IN_QUARANTINE,
            f"The discs of return {line_number} are {line.status} already.",
            subject=str(line_number),
            expected=ReturnStatus.QUARANTINE,
            found=line.status,
        )
    return line


def _loose_to_restock(reading: Reading, _values: Values, context: ScanContext) -> int:
    line = loose_line(number(reading, "the number of a return"), context)
    if not context.queries.in_quarantine(line):
        raise Refused(
            FindingCode.LOT_UNKNOWN,
            f"Nobody knows which lot the discs of return {line.number} are from, so they cannot be stock again. "
            "Scan DESTROY, or leave them in quarantine.",
            subject=str(line.number),
            expected="discs of one lot",
        )
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
    code = plant_code(CodeKind.SPINDLE, reading, "a new spindle card")
    if context.queries.spindle(code) is not None:
        raise Refused(
            FindingCode.CARD_IN_USE, f"Spindle card {code} is in use already. Take a new card.", subject=code
        )
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
    verb = "is" if discs == 1 else "are"
    sentence = (
        f"{counted(discs, 'disc')} of return {line.number} {verb} inspected and on spindle {values['spindle']}, "
        f"to be packed again.{told}"
    )
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
    sentence = f"{counted(discs, 'disc')} of return {line.number} destroyed before a witness.{told}"
    return ActResult((*acts, Act(body, reason)), sentence)


FORMS = (
    Form(
        "RETURNLOOSE",
        "dock",
        (
            Slot("matrix", 'Type " and then the matrix number on the disc.', _matrix),
            Slot("mark", 'Type " and then the stamper mark beside it.', _mark),
            Slot("count", "Key how many discs carry it, such as #3.", _disc_count),
        ),
        _return_loose,
    ),
    Form(
        "RESTOCKLOOSE",
        "quality",
        (
            Slot("line", "Key the number of the return, such as #3.", _loose_to_restock),
            Slot("spindle", "Scan a new spindle card.", _new_card),
            reason_slot(),
        ),
        _restock_loose,
    ),
)
"""RETURNLOOSE and RESTOCKLOOSE."""
