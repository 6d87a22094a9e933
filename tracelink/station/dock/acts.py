"""The dock: build a pallet, accept it when every lot on it is released, load it, depart.

This module builds and accepts; the other modules named dock... hold the rest of the dock's acts.
"""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import LogisticRead, PlantRead, Reading, SleeveRead
from tracelink.ledger.closed_sets import PalletStatus
from tracelink.ledger.kinds.dock import CartonPalletised, PalletAccepted, PalletClosed, PalletOpened
from tracelink.station.common.count_doubt import refuse_doubtful, refuse_doubtful_in
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, StationActs, Values
from tracelink.station.common.label_content import (
    BOTH,
    both_symbols,
    refuse_contradiction,
    wants_second_symbol,
)
from tracelink.station.common.outcome import Act
from tracelink.station.common.refusals import refuse_held, refuse_void
from tracelink.station.common.station_facts import Carton
from tracelink.station.common.taken_reading import sscc
from tracelink.station.dock import (
    correct_load,
    driver,
    loading,
    loose,
    numbers_there,
    pallet_count,
    places,
    repacking,
    returns,
    rules,
    sleeve_numbers,
    units_back,
)
from tracelink.station.sentences import dock_sentences as say
from tracelink.station.sentences.common_sentences import misplaced, unknown
from tracelink.station.sentences.thing_names import Thing


def _new_pallet(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = sscc(reading, say.A_NEW_PALLET_LABEL)
    rules.require_issued(code, "pallet", context)
    refuse_void(Thing.PALLET_LABEL, code, context)
    if context.queries.pallet(code) is not None:
        raise say.pallet_label_in_use(code)
    return code


def _no_filled_pallet(context: ScanContext) -> None:
    """A pallet that was opened by mistake and is empty does not bar the next one."""
    code = context.queries.open_pallet(context.station)
    pallet = context.queries.pallet(code) if code else None
    if pallet is not None and pallet.cartons:
        raise say.pallet_still_open_here(pallet.sscc)


def _open(values: Values, context: ScanContext) -> ActResult:
    empty = context.queries.open_pallet(context.station)
    away = () if empty is None else (Act(PalletClosed(empty, 0)),)
    opened = Act(PalletOpened(values["pallet"]))
    return ActResult((*away, opened), say.pallet_open(values["pallet"], empty))


def _close(_values: Values, context: ScanContext) -> ActResult:
    code = context.queries.open_pallet(context.station)
    pallet = context.queries.pallet(code) if code else None
    if pallet is None:
        raise say.no_pallet_open(context.station)
    if pallet.cartons == 0:
        raise say.no_cartons_yet(pallet.sscc)
    refuse_doubtful_in(pallet.sscc, context)
    body = PalletClosed(pallet.sscc, pallet.cartons)
    full = context.queries.setting("cartons_per_pallet")
    return ActResult((Act(body),), say.pallet_closed(pallet, full))


def _closed_pallet(reading: Reading, _values: Values, context: ScanContext) -> str:
    pallet = rules.known_pallet(sscc(reading, say.A_PALLET_LABEL), context)
    if pallet.status != PalletStatus.CLOSED:
        raise say.cannot_accept(pallet.sscc, pallet.status)
    if pallet.cartons == 0:
        raise say.empty_by_now(pallet.sscc)
    return pallet.sscc


def _accept(values: Values, context: ScanContext) -> ActResult:
    code = values["pallet"]
    refuse_held(context.queries.hold_on_pallet(code), Thing.PALLET, code)
    refuse_doubtful_in(code, context)
    lots = rules.released_pallet(code, context)
    return ActResult((Act(PalletAccepted(code, lots)),), say.accepted(code))


def _add_carton(code: str, pallet_code: str, context: ScanContext) -> ActResult:
    carton = rules.sealed_carton(code, context)
    there = context.queries.standing(code)
    if there is not None and there.parent == pallet_code:
        raise say.on_this_pallet(code, there, rules.known_pallet(pallet_code, context).cartons)
    standing = rules.require_free(code, Thing.CARTON, context)
    refuse_held(context.queries.hold_on_carton(code), Thing.CARTON, code)
    refuse_doubtful(code, context)
    kept = context.queries.allocated_to(code)
    if kept is not None:
        raise say.kept_loose(code, kept)
    pallet = rules.known_pallet(pallet_code, context)
    full = context.queries.setting("cartons_per_pallet")
    if full and pallet.cartons >= full:
        raise say.pallet_full(pallet_code, pallet.cartons, full)
    note = _mixed(carton, pallet_code, context)
    count = say.cartons_on_pallet(pallet.cartons + 1)
    acts = rules.leaving(code, standing, CartonPalletised(code, pallet_code))
    return ActResult(acts, say.stacked(code, pallet_code, note), count)


def _mixed(carton: Carton, pallet: str, context: ScanContext) -> str:
    """Return a note if the carton makes the pallet a mixed one; refuses where the plant mixes none."""
    others = [gtin for gtin in context.queries.pallet_gtins(pallet) if gtin != carton.gtin]
    if not others:
        return ""
    there, new = rules.titles(others, context), rules.titles([carton.gtin], context)
    if not context.queries.setting("mixed_pallets"):
        raise say.mixed_pallet_refused(carton.sscc, new, pallet, there)
    return say.mixed_pallet(there, new)


def _default(reading: Reading, context: ScanContext) -> ActResult:
    if isinstance(reading, LogisticRead) and reading.sscc is not None:
        return _begun(reading, context)
    if isinstance(reading, SleeveRead):
        return sleeve_numbers.came_back(reading, context)
    if isinstance(reading, PlantRead) and reading.code.kind is CodeKind.SHIPMENT:
        return _look(reading.code.text, context)
    if isinstance(reading, PlantRead) and reading.code.kind is CodeKind.LOCATION:
        return places.standing_in(rules.a_location(reading, {}, context), context)
    raise misplaced(reading, say.WHAT_THE_DOCK_TAKES)


def _begun(reading: LogisticRead, context: ScanContext) -> ActResult:
    """A carton for the open pallet may be asked for the other symbol of its label first."""
    refuse_contradiction(reading, context)
    done = _label(str(reading.sscc), context)
    stacks = any(isinstance(act.body, CartonPalletised) for act in done.acts)
    return ActResult((), "", begins=BOTH) if stacks and wants_second_symbol(reading, context) else done


def _stack(label: LogisticRead, context: ScanContext) -> ActResult:
    """Put a carton onto the pallet that is open here."""
    pallet = context.queries.open_pallet(context.station)
    if pallet is None:
        raise say.no_pallet_open(context.station)
    refuse_contradiction(label, context)
    return _add_carton(str(label.sscc), pallet, context)


def _label(code: str, context: ScanContext) -> ActResult:
    """A pallet is loaded if a shipment is open here, a carton stacked if a pallet is; else it is told where it is."""
    if rules.is_pallet(code, context):
        if context.queries.open_shipment(context.station) is not None:
            return loading.load(code, context)
    else:
        pallet = context.queries.open_pallet(context.station)
        if pallet is not None:
            return _add_carton(code, pallet, context)
    return places.look(code, context)


def _look(shipment: str, context: ScanContext) -> ActResult:
    if not context.queries.is_known(shipment):
        raise unknown(Thing.SHIPMENT, shipment)
    pallets, loose = context.queries.pallets_in(shipment), context.queries.loose_cartons_in(shipment)
    return ActResult((), say.shipment_holds(shipment, len(pallets), len(loose)))


FORMS = (
    Form(
        "PALLET",
        "dock",
        (Slot("pallet", say.SCAN_A_NEW_PALLET_LABEL, _new_pallet),),
        _open,
        _no_filled_pallet,
    ),
    Form("CLOSE", "dock", (), _close),
    Form("ACCEPT", "dock", (Slot("pallet", say.SCAN_THE_PALLET, _closed_pallet),), _accept),
    *loading.FORMS,
    driver.FORM,
    correct_load.FORM,
    *places.FORMS,
    *repacking.FORMS,
    *returns.FORMS,
    *loose.FORMS,
    units_back.FORM,
    pallet_count.FORM,
    numbers_there.FORM,
)

ACTS = StationActs(
    {form.word: form for form in FORMS},
    _default,
    {"LEAVEANYWAY": "ACCEPTLOAD"},
    {BOTH: both_symbols("dock", "CANCEL", _stack)},
)
