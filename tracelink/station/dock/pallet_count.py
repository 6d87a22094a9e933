"""COUNT at the dock: as everywhere, and the cartons on a pallet.

Which carton is missing, or one too many, a number cannot say: the pallet is on hold until somebody has looked.
"""

from collections.abc import Sequence
from dataclasses import replace

from tracelink.identity.reading import LogisticRead, Reading
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.dock import PalletCounted
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced
from tracelink.station.common.counting import count_form
from tracelink.station.common.forms import ActResult, Form, ScanContext, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.taken_reading import number
from tracelink.station.dock import rules
from tracelink.station.sentences import counting_sentences as say
from tracelink.station.sentences import dock_sentences

_ANY = count_form("dock")
_THING, _QUANTITY = _ANY.slots


def _thing(reading: Reading, values: Values, context: ScanContext) -> str:
    if isinstance(reading, LogisticRead) and reading.sscc is not None:
        code = str(reading.sscc)
        if rules.is_pallet(code, context):
            pallet = rules.known_pallet(code, context)
            if pallet.cartons == 0:
                raise dock_sentences.empty_by_now(code)
            return pallet.sscc
    return str(_THING.accept(reading, values, context))


def _quantity(reading: Reading, values: Values, context: ScanContext) -> object:
    if rules.is_pallet(values["thing"], context):
        return number(reading, say.HOW_MANY_CARTONS)
    return _QUANTITY.accept(reading, values, context)


def _count(values: Values, context: ScanContext) -> ActResult:
    code, found = values["thing"], values["quantity"]
    if not rules.is_pallet(code, context):
        return _ANY.finish(values, context)
    recorded = rules.known_pallet(code, context).cartons
    said = say.on_pallet(code, found)
    if found == recorded:
        sentence = say.agrees(said)
        return ActResult((Act(PalletCounted(code, recorded, found, sentence)),), sentence)
    why = say.differs(said, [recorded], recorded - found)
    sentence = say.count_again(why)
    counted = Act(PalletCounted(code, recorded, found, sentence))
    acts, more = _held(code, why, context)
    return ActResult((counted, *acts), sentence + more, finding=FindingCode.COUNT_DIFFERS)


def _held(code: str, why: str, context: ScanContext) -> tuple[Sequence[Act], str]:
    """The hold of the pallet, unless one is on it already."""
    if context.queries.hold_on(code) is not None:
        return (), ""
    hold = context.queries.next_code("H")
    body = HoldPlaced(hold, code, (HeldItem(code, None, None),))
    return (Act(body, why),), say.pallet_held(hold)


FORM: Form = replace(
    _ANY,
    slots=(
        replace(_THING, asks=say.SCAN_WHAT_YOU_COUNTED_AT_THE_DOCK, accept=_thing),
        replace(_QUANTITY, accept=_quantity),
    ),
    finish=_count,
)
"""COUNT."""
