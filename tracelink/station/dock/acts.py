"""The dock: build a pallet, accept it when every lot on it is released, load it, depart.

This module builds and accepts; the other modules named dock... hold the rest of the dock's acts.
"""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import LogisticRead, PlantRead, Reading, SleeveRead
from tracelink.ledger.closed_sets import PalletStatus
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.dock import CartonPalletised, PalletAccepted, PalletClosed, PalletOpened
from tracelink.station.common.counting import count_form
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, StationActs, Values, sscc
from tracelink.station.common.outcome import Act, Refused
from tracelink.station.common.queries import Carton
from tracelink.station.common.refusals import refuse_held, refuse_void
from tracelink.station.dock import loading, loose, places, repacking, returns, rules, sleeve_numbers
from tracelink.station.sentences.common_sentences import misplaced
from tracelink.station.sentences.thing_names import Thing, counted


def _new_pallet(reading: Reading, _values: Values, context: ScanContext) -> str:
    code = sscc(reading, "a new pallet label")
    rules.require_issued(code, "pallet", context)
    refuse_void(Thing.PALLET_LABEL, code, context)
    if context.queries.pallet(code) is not None:
        raise Refused(FindingCode.LABEL_IN_USE, f"Pallet label {code} is in use already.", subject=code)
    return code


def _no_filled_pallet(context: ScanContext) -> None:
    """A pallet that was opened by mistake and is empty does not bar the next one."""
    code = context.queries.open_pallet(context.station)
    pallet = context.queries.pallet(code) if code else None
    if pallet is not None and pallet.cartons:
        raise Refused(
            FindingCode.PALLET_OPEN,
            f"Pallet {pallet.sscc} is still open here. Scan CLOSE first.",
            subject=pallet.sscc,
        )


def _open(values: Values, context: ScanContext) -> ActResult:
    empty = context.queries.open_pallet(context.station)
    away = () if empty is None else (Act(PalletClosed(empty, 0)),)
    left = "" if empty is None else f" Pallet {empty} was empty and is closed."
    opened = Act(PalletOpened(values["pallet"]))
    return ActResult((*away, opened), f"Pallet {values['pallet']} is open. Scan its cartons.{left}")


def _close(_values: Values, context: ScanContext) -> ActResult:
    code = context.queries.open_pallet(context.station)
    pallet = context.queries.pallet(code) if code else None
    if pallet is None:
        raise Refused(
            FindingCode.NO_PALLET, "No pallet is open here. Scan PALLET first.", subject=context.station
        )
    if pallet.cartons == 0:
        raise Refused(
            FindingCode.PALLET_EMPTY,
            f"Pallet {pallet.sscc} is empty; scan its cartons first.",
            subject=pallet.sscc,
        )
    body = PalletClosed(pallet.sscc, pallet.cartons)
    full = context.queries.setting("cartons_per_pallet")
    part = f": a part pallet, {full} would fill it" if full > pallet.cartons else ""
    return ActResult(
        (Act(body),), f"Pallet {pallet.sscc} is closed with {counted(pallet.cartons, 'carton')}{part}."
    )


def _closed_pallet(reading: Reading, _values: Values, context: ScanContext) -> str:
    pallet = rules.known_pallet(sscc(reading, "a pallet label"), context)
    if pallet.status != PalletStatus.CLOSED:
        raise Refused(
            FindingCode.PALLET_NOT_CLOSED,
            f"Pallet {pallet.sscc} is {pallet.status}. Only a closed pallet can be accepted.",
            subject=pallet.sscc,
            expected=PalletStatus.CLOSED,
            found=pallet.status,
        )
    if pallet.cartons == 0:
        raise Refused(
            FindingCode.PALLET_EMPTY,
            f"Pallet {pallet.sscc} is empty by now; there is nothing to accept.",
            subject=pallet.sscc,
        )
    return pallet.sscc


def _accept(values: Values, context: ScanContext) -> ActResult:
    code = values["pallet"]
    refuse_held(context.queries.hold_on_pallet(code), Thing.PALLET, code)
    lots = rules.released_pallet(code, context)
    return ActResult((Act(PalletAccepted(code, lots)),), f"Pallet {code} is accepted.")


def _add_carton(code: str, pallet_code: str, context: ScanContext) -> ActResult:
    carton = rules.sealed_carton(code, context)
    standing = rules.require_free(code, "Carton", context)
    refuse_held(context.queries.hold_on_carton(code), Thing.CARTON, code)
    kept = context.queries.allocated_to(code)
    if kept is not None:
        raise Refused(
            FindingCode.KEPT_FOR_AN_ORDER,
            f"Carton {code} is kept for order {kept} as a loose carton. Leave it where it is.",
            subject=code,
            found=kept,
        )
    pallet = rules.known_pallet(pallet_code, context)
    full = context.queries.setting("cartons_per_pallet")
    if full and pallet.cartons >= full:
        raise Refused(
            FindingCode.PALLET_FULL,
            f"Pallet {pallet_code} is full with {counted(pallet.cartons, 'carton')}. Scan CLOSE.",
            subject=pallet_code,
            expected=str(full),
            found=str(pallet.cartons + 1),
        )
    note = _mixed(carton, pallet_code, context)
    count = f"{counted(pallet.cartons + 1, 'carton')} on pallet"
    acts = rules.leaving(code, standing, CartonPalletised(code, pallet_code))
    return ActResult(acts, f"Carton {code} is on pallet {pallet_code}.{note}", count)


def _mixed(carton: Carton, pallet: str, context: ScanContext) -> str:
    """Return a note if the carton makes the pallet a mixed one; refuses where the plant mixes none."""
    others = [gtin for gtin in context.queries.pallet_gtins(pallet) if gtin != carton.gtin]
    if not others:
        return ""
    there, new = rules.titles(others, context), rules.titles([carton.gtin], context)
    if not context.queries.setting("mixed_pallets"):
        raise Refused(
            FindingCode.MIXED_PALLET,
            f"Carton {carton.sscc} holds {new}; pallet {pallet} holds {there}. Build another pallet for it.",
            subject=carton.sscc,
            expected=there,
            found=new,
        )
    return f" It is a mixed pallet: {there} and {new}."


def _default(reading: Reading, context: ScanContext) -> ActResult:
    if isinstance(reading, LogisticRead) and reading.sscc is not None:
        rules.refuse_contradiction(reading, context)
        return _label(str(reading.sscc), context)
    if isinstance(reading, SleeveRead):
        return sleeve_numbers.came_back(reading, context)
    if isinstance(reading, PlantRead) and reading.code.kind is CodeKind.SHIPMENT:
        return _look(reading.code.text, context)
    raise misplaced(reading, "an action card, a carton label or a pallet label")


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
        raise Refused(
            FindingCode.UNKNOWN_CODE, f"Shipment {shipment} is not in the system.", subject=shipment
        )
    pallets, loose = context.queries.pallets_in(shipment), context.queries.loose_cartons_in(shipment)
    more = f" and {counted(len(loose), 'loose carton')}" if loose else ""
    return ActResult((), f"Shipment {shipment} holds {counted(len(pallets), 'pallet')}{more}.")


FORMS = (
    Form(
        "PALLET",
        "dock",
        (Slot("pallet", "Scan a new pallet label.", _new_pallet),),
        _open,
        _no_filled_pallet,
    ),
    Form("CLOSE", "dock", (), _close),
    Form("ACCEPT", "dock", (Slot("pallet", "Scan the pallet.", _closed_pallet),), _accept),
    *loading.FORMS,
    *places.FORMS,
    *repacking.FORMS,
    *returns.FORMS,
    *loose.FORMS,
    count_form("dock"),
)

ACTS = StationActs({form.word: form for form in FORMS}, _default, {"LEAVEANYWAY": "ACCEPTLOAD"})
