"""DRIVER: the driver looks at what is on the vehicle, and where the plant wants it scans every piece of it.

Who takes a pallet that is not of this shipment is stopped here, before it can leave.
"""

from collections.abc import Callable

from tracelink.identity.reading import LogisticRead, Reading, TextKeyed
from tracelink.ledger.kinds.warehouse import DriverChecked
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.dock import loading, rules
from tracelink.station.sentences import loading_sentences as say
from tracelink.station.sentences.common_sentences import misplaced
from tracelink.station.sentences.thing_names import Entered

EACH_PIECE = 2
"""Value of the setting driver_check with which every pallet and loose carton is scanned."""

PIECES_AT_MOST = 200
"""More than that is on no lorry: 33 places for pallets, stacked in two, and loose cartons beside them."""


def _name(reading: Reading, _values: Values, context: ScanContext) -> str:
    if isinstance(reading, TextKeyed):
        return reading.text.strip()
    if isinstance(reading, LogisticRead) and reading.sscc is not None:
        # Who asks about a pallet before they give their name is told at once if it is the wrong one.
        _require_on_it(rules.a_thing(reading, {}, context), context)
    raise misplaced(reading, say.NAME_OF_THE_DRIVER, Entered.TYPED)


def _pieces(context: ScanContext) -> list[str]:
    shipment, _order = rules.loading(context)
    return [*context.queries.pallets_in(shipment), *context.queries.loose_cartons_in(shipment)]


def _require_on_it(code: str, context: ScanContext) -> None:
    pieces = _pieces(context)
    if code in pieces:
        return
    standing = context.queries.standing(code)
    if standing is not None and standing.parent in pieces:
        raise say.on_a_loaded_pallet(code, standing)
    shipment, order = rules.loading(context)
    raise say.not_on_this_vehicle(rules.thing_of(code, context), code, shipment, order.consignee, standing)


def _piece(reading: Reading, values: Values, context: ScanContext) -> str:
    code = rules.a_thing(reading, values, context)
    _require_on_it(code, context)
    if code in values.values():
        raise say.checked_already(rules.thing_of(code, context), code)
    return code


def _is_asked(number: int) -> Callable[[Values, ScanContext], bool]:
    def is_asked(values: Values, context: ScanContext) -> bool:
        # After the last piece the ledger is asked once, and not again for each slot that is left.
        is_next = number == 0 or _piece_slot(number - 1) in values
        is_wanted = is_next and context.queries.setting("driver_check") == EACH_PIECE
        return is_wanted and number < len(_pieces(context))

    return is_asked


def _piece_slot(number: int) -> str:
    return f"piece_{number}"


def _driver(values: Values, context: ScanContext) -> ActResult:
    code, _order = loading.something_loaded(context)
    load = loading.load_in_words(code, context)
    sentence = say.driver_checked(values["name"], code, load)
    return ActResult((Act(DriverChecked(code, values["name"])),), sentence)


FORM = Form(
    "DRIVER",
    "dock",
    (
        Slot("name", say.TYPE_THE_DRIVER, _name),
        *(
            Slot(_piece_slot(number), say.SCAN_A_PIECE_OF_THE_LOAD, _piece, _is_asked(number))
            for number in range(PIECES_AT_MOST)
        ),
    ),
    _driver,
    loading.something_loaded,
)
"""DRIVER."""
