"""SORT: every disc of a stack, a closed carton or a loose return was looked at, and the bad ones thrown out."""

from dataclasses import dataclass

from tracelink.identity.reading import Reading
from tracelink.ledger.closed_sets import DiscPlace
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.measuring.judgement_entries import PlaceSorted, StackSorted
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries_line import CartonContent
from tracelink.station.common.taken_reading import keyed_text, number
from tracelink.station.lab.sample_place import SamplePlace, any_place
from tracelink.station.sentences.bench import judging_sentences as say


@dataclass(frozen=True, slots=True)
class _Sorted:
    """What is sorted."""

    at: SamplePlace
    lot: str
    discs: int
    is_stack: bool


def _place(reading: Reading, _values: Values, context: ScanContext) -> _Sorted:
    at = any_place(reading, context, say.SCAN_WHAT_WAS_SORTED, say.WHAT_CAN_BE_SORTED)
    spindle = context.queries.spindle(at.place)
    if spindle is not None:
        return _Sorted(at, spindle.lot, spindle.remaining, is_stack=True)
    there = [(lot, discs) for lot, discs in context.queries.carton_contents(at.place) if discs]
    if len(there) != 1:
        raise say.several_lots_to_sort(at.called, [lot for lot, _discs in there])
    [(lot, discs)] = there
    return _Sorted(at, lot, discs, is_stack=False)


def _looked_at(reading: Reading, values: Values, _context: ScanContext) -> int:
    found, what = number(reading, say.A_COUNT), values["place"]
    if found != what.discs or found < 1:
        raise say.not_all_looked_at(what.at.place, _where(what), what.discs, found)
    return found


def _where(what: _Sorted) -> str:
    return f"{'on' if what.is_stack else 'in'} {what.at.called}"


def _bad(reading: Reading, values: Values, context: ScanContext) -> int:
    found, what = number(reading, say.A_COUNT), values["place"]
    if found > values["looked_at"]:
        raise say.more_bad_than_looked_at(what.at.place, _where(what), values["looked_at"], found)
    if found and what.at.carton is not None and _single(what, what.at.carton, context) is None:
        raise say.sorted_at_a_line(what.at.carton)
    return found


def _single(what: _Sorted, carton: str, context: ScanContext) -> CartonContent | None:
    """The content of a carton whose units are one disc in one sleeve each, all alike; None if it holds other units.

    Of any other the bench cannot say which sleeve, number or item goes with a bad disc.
    """
    found, content = context.queries.carton(carton), context.queries.carton_content(carton)
    assert found is not None
    plain = (
        found.units == what.discs and len(content.batches) == 1 and not content.items and not content.numbers
    )
    return content if plain and len(context.queries.kit(found.gtin)) == 1 else None


def _defect(reading: Reading, _values: Values, _context: ScanContext) -> str:
    return keyed_text(reading, say.A_DEFECT).strip().lower()


def _sort(values: Values, context: ScanContext) -> ActResult:
    what, looked_at, bad, defect = values["place"], values["looked_at"], values["bad"], values["defect"]
    moved = Moved(what.lot, bad, what.at.place, DiscPlace.SCRAP, None, None) if bad else None
    told = say.sorted_through(what.at.called, looked_at, bad, defect)
    if what.is_stack:
        return ActResult((Act(StackSorted(what.lot, what.at.place, looked_at, defect, moved)),), told)
    carton = what.at.carton
    content = _single(what, carton, context) if bad and carton is not None else None
    batch = None if content is None else content.batches[0].code
    return ActResult(
        (Act(PlaceSorted(what.lot, what.at.place, carton, batch, looked_at, defect, moved)),), told
    )


SORT = Form(
    "SORT",
    "lab",
    (
        Slot("place", say.SCAN_WHAT_WAS_SORTED, _place),
        Slot("looked_at", say.LOOKED_AT, _looked_at),
        Slot("bad", say.BAD_ONES, _bad),
        Slot("defect", say.SORTED_BY, _defect),
    ),
    _sort,
)
"""Of a stack, a carton or a return."""
