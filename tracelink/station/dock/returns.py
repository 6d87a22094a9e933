"""Cartons that come back: into quarantine, and from there into stock or to destruction.

A carton that comes back keeps its identity, so its discs are moved lot by lot. Discs without a carton label are in
loose.py, numbers of sleeves in sleeve_numbers.py.
"""

from tracelink.identity.reading import LogisticRead, NumberKeyed, Reading
from tracelink.ledger.closed_sets import CartonStatus, DiscPlace, PalletStatus, ReasonAct, return_place
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.returns import (
    CartonRestocked,
    CartonReturned,
    Destroyed,
    PalletCameBack,
)
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.nesting import has_left, nested, shipment_of
from tracelink.station.common.outcome import Act
from tracelink.station.common.refusals import refuse_held
from tracelink.station.common.slots import reason_slot, second_person_slot
from tracelink.station.dock import rules, sleeve_numbers
from tracelink.station.dock.loose import destroy_loose, loose_line
from tracelink.station.sentences import dock_sentences
from tracelink.station.sentences import return_sentences as say
from tracelink.station.sentences.common_sentences import misplaced
from tracelink.station.sentences.thing_names import Thing


def _sent(reading: Reading, values: Values, context: ScanContext) -> str:
    """A carton that was sent, or a pallet with cartons that all come back with it."""
    code = rules.a_thing(reading, values, context)
    if rules.is_pallet(code, context):
        if rules.known_pallet(code, context).status != PalletStatus.SHIPPED:
            raise say.not_shipped(Thing.PALLET, code, context.queries.standing(code))
        cartons = context.queries.loose_cartons_in(code)
        if not cartons:
            raise say.pallet_back_empty(code)
        for carton in cartons:
            _require_discs(carton, context)
        return code
    if not has_left(code, context):
        returned = context.queries.return_of(code)
        if returned is not None and rules.known_carton(code, context).status == CartonStatus.RETURNED:
            raise say.back_already(code, returned.number)
        raise say.not_shipped(Thing.CARTON, code, context.queries.standing(code))
    _require_discs(code, context)
    return code


def _require_discs(carton: str, context: ScanContext) -> None:
    # A return moves discs lot by lot, and says how many came back.
    if not context.queries.carton_contents(carton):
        raise say.holds_no_discs(carton)


def _return(values: Values, context: ScanContext) -> ActResult:
    code, why, first = values["thing"], values["reason"], context.queries.next_return()
    if not rules.is_pallet(code, context):
        outer = shipment_of(code, context)
        assert outer is not None
        carton = rules.known_carton(code, context)
        sentence = say.carton_back(first, code, outer.name, sleeve_numbers.prompt([carton.gtin], context))
        return ActResult(_back(code, first, why, context), sentence)
    standing = context.queries.standing(code)
    assert standing is not None
    cartons = context.queries.loose_cartons_in(code)
    acts = [act for line, carton in enumerate(cartons, first) for act in _back(carton, line, why, context)]
    prompt = sleeve_numbers.prompt(context.queries.pallet_gtins(code), context)
    sentence = say.pallet_back(code, first, first + len(cartons) - 1, standing.name, prompt)
    left = Act(PalletCameBack(nested(code, standing)), why)
    return ActResult((*acts, *rules.releasing(code, context), left), sentence)


def _back(carton: str, line: int, why: str, context: ScanContext) -> tuple[Act, ...]:
    """The acts by which a carton comes back as a return of its own."""
    standing = context.queries.standing(carton)
    assert standing is not None
    moves = tuple(
        move
        for lot, count in context.queries.carton_contents(carton)
        for move in (
            Moved(lot, count, carton, DiscPlace.RETURNED, None, None),
            Moved(lot, count, DiscPlace.RETURNED, return_place(line), None, None),
        )
    )
    body = CartonReturned(line, nested(carton, standing), moves)
    return (*rules.releasing(carton, context), Act(body, why))


def _in_quarantine(reading: Reading, values: Values, context: ScanContext) -> str:
    code = rules.a_carton(reading, values, context)
    line = context.queries.return_of(code)
    if line is None:
        status = rules.known_carton(code, context).status
        raise say.not_returned(code, status)
    refuse_held(context.queries.hold_on(code), Thing.CARTON, code)
    refuse_held(context.queries.hold_on(return_place(line.number)), Thing.RETURN, str(line.number))
    return code


def _restock(values: Values, context: ScanContext) -> ActResult:
    code = values["carton"]
    line = context.queries.return_of(code)
    assert line is not None
    moves = tuple(
        Moved(lot, count, return_place(line.number), code, None, None)
        for lot, count in context.queries.carton_returned(line.number)
    )
    body = CartonRestocked(line.number, code, moves)
    numbers, told = sleeve_numbers.restocked(line, rules.known_carton(code, context).gtin, context)
    sentence = say.restocked(code, told)
    return ActResult((*numbers, Act(body, values["reason"])), sentence)


def _doomed(reading: Reading, values: Values, context: ScanContext) -> str:
    """A carton that is returned or broken, or the number of a return line without carton."""
    if isinstance(reading, NumberKeyed):
        loose_line(reading.value, context)
        return str(reading.value)
    if not isinstance(reading, LogisticRead):
        raise misplaced(reading, say.CARTON_OR_RETURN)
    code = rules.a_carton(reading, values, context)
    status = rules.known_carton(code, context).status
    if status not in (CartonStatus.RETURNED, CartonStatus.BROKEN):
        raise say.not_to_be_destroyed(code, status)
    return code


def _destroy(values: Values, context: ScanContext) -> ActResult:
    thing, witness = values["thing"], values["second_person"]
    if len(thing) < 18:
        return destroy_loose(loose_line(int(thing), context), witness, values["reason"], context)
    returned = context.queries.return_of(thing)
    if returned is None:
        contents, source = context.queries.carton_contents(thing), thing
    else:
        contents, source = context.queries.carton_returned(returned.number), return_place(returned.number)
    moves = tuple(Moved(lot, count, source, DiscPlace.DESTROYED, None, None) for lot, count in contents)
    standing = context.queries.standing(thing)
    left = None if standing is None else nested(thing, standing)
    body = Destroyed(thing, returned.number if returned else None, witness, left, moves)
    discs = sum(move.quantity for move in moves)
    numbers, told = sleeve_numbers.destroyed(
        thing, returned, rules.known_carton(thing, context).gtin, context
    )
    sentence = say.carton_destroyed(thing, discs, told)
    return ActResult((*numbers, Act(body, values["reason"])), sentence)


FORMS = (
    Form(
        "RETURN",
        "dock",
        (Slot("thing", dock_sentences.SCAN_PALLET_OR_CARTON, _sent), reason_slot(ReasonAct.DOCK_RETURN)),
        _return,
    ),
    Form(
        "RESTOCK",
        "quality",
        (Slot("carton", dock_sentences.SCAN_THE_CARTON, _in_quarantine), reason_slot(ReasonAct.DOCK_RESTOCK)),
        _restock,
    ),
    Form(
        "DESTROY",
        "dock",
        (
            Slot("thing", say.SCAN_CARTON_OR_KEY_RETURN, _doomed),
            reason_slot(ReasonAct.DOCK_DESTROY),
            second_person_slot(say.BADGE_OF_THE_WITNESS, say.A_WITNESS),
        ),
        _destroy,
    ),
)
