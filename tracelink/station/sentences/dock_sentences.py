"""What the dock says of pallets and cartons: built, accepted, not stock, kept, in another place than shown."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tracelink.ledger.closed_sets import CartonStatus, PalletStatus
from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries_dock import Nesting
from tracelink.station.common.station_facts import Carton, Lot, Pallet
from tracelink.station.sentences.common_sentences import where
from tracelink.station.sentences.thing_names import Thing

A_NEW_PALLET_LABEL = "a new pallet label"
SCAN_PALLET_OR_CARTON = "Scan the pallet or the carton."
SCAN_THE_CARTON = "Scan the carton."
A_PALLET_LABEL = "a pallet label"
WHAT_THE_DOCK_TAKES = "an action card, a carton label or a pallet label"
SCAN_A_NEW_PALLET_LABEL = "Scan a new pallet label."
SCAN_THE_PALLET = "Scan the pallet."
A_CARTON_LABEL = "a carton label"
CARTON_OR_PALLET_LABEL = "a carton or a pallet label"
A_LOCATION = "a location"


def pallet_label_in_use(code: str) -> Refused:
    """A pallet stands under this label."""
    return Refused(
        FindingCode.LABEL_IN_USE, f"Pallet label {code} is in use already. Take a new label.", subject=code
    )


def no_pallet_open(station: str) -> Refused:
    """CLOSE without a pallet."""
    return Refused(FindingCode.NO_PALLET, "No pallet is open here. Scan PALLET first.", subject=station)


def no_cartons_yet(code: str) -> Refused:
    """CLOSE on an empty pallet."""
    return Refused(FindingCode.PALLET_EMPTY, f"Pallet {code} is empty; scan its cartons first.", subject=code)


def cannot_accept(code: str, status: str) -> Refused:
    """A pallet that is not closed is to be accepted."""
    return Refused(
        FindingCode.PALLET_NOT_CLOSED,
        f"Pallet {code} is {status}. Only a closed pallet can be accepted.",
        subject=code,
        expected=PalletStatus.CLOSED,
        found=status,
    )


def empty_by_now(code: str) -> Refused:
    """A pallet was emptied after it was closed."""
    return Refused(
        FindingCode.PALLET_EMPTY, f"Pallet {code} is empty now; there is nothing to accept.", subject=code
    )


def accepted(code: str) -> str:
    """Say that a pallet is accepted."""
    return f"Pallet {code} is accepted."


def kept_loose(code: str, order: str) -> Refused:
    """A carton is kept for an order as a loose one."""
    return Refused(
        FindingCode.KEPT_FOR_AN_ORDER,
        f"Carton {code} is kept for order {order} as a loose carton. Leave it where it is.",
        subject=code,
        found=order,
    )


def pallet_full(pallet: str, cartons: int, full: int) -> Refused:
    """No more cartons belong on a pallet."""
    return Refused(
        FindingCode.PALLET_FULL,
        f"Pallet {pallet} is full with {counted(cartons, 'carton')}. Scan CLOSE.",
        subject=pallet,
        expected=str(full),
        found=str(cartons + 1),
    )


def cartons_on_pallet(cartons: int) -> str:
    """Say how full a pallet is."""
    return f"{counted(cartons, 'carton')} on pallet"


def stacked(code: str, pallet: str, note: str) -> str:
    """Say that a carton is on a pallet."""
    return f"Carton {code} is on pallet {pallet}.{note}"


def mixed_pallet_refused(carton: str, new: str, pallet: str, there: str) -> Refused:
    """Another product than the pallet holds, where the plant mixes none."""
    return Refused(
        FindingCode.MIXED_PALLET,
        f"Carton {carton} holds {new}; pallet {pallet} holds {there}. Build another pallet for it.",
        subject=carton,
        expected=there,
        found=new,
    )


def mixed_pallet(there: str, new: str) -> str:
    """Say that a pallet holds several products now, to add to another sentence."""
    return f" It is a mixed pallet: {there} and {new}."


def not_issued(code: str) -> Refused:
    """A label that was never printed here."""
    return Refused(FindingCode.UNKNOWN_CODE, f"Label {code} was never issued here.", subject=code)


def issued_for_other(issued: str, code: str, what: str) -> Refused:
    """A label that was issued for something else."""
    return Refused(
        FindingCode.WRONG_THING,
        f"You scanned {issued} label {code}. Scan a {what} label.",
        subject=code,
        expected=what,
        found=issued,
    )


def pallet_not_built(code: str) -> Refused:
    """No pallet stands under this label."""
    return Refused(FindingCode.UNKNOWN_CODE, f"Pallet {code} has not been built.", subject=code)


def closed_empty(code: str) -> Refused:
    """A carton was closed without anything in it."""
    return Refused(
        FindingCode.CARTON_EMPTY, f"Carton {code} was closed empty. Leave it off the pallet.", subject=code
    )


def no_shipment_here(station: str) -> Refused:
    """Something is to be loaded, and no vehicle is."""
    return Refused(
        FindingCode.NO_SHIPMENT, "No shipment is being loaded here. Scan SHIP first.", subject=station
    )


def pallet_still_open_here(pallet: str) -> Refused:
    """A pallet is begun, or one reopened, while another is open at this dock."""
    return Refused(
        FindingCode.PALLET_OPEN, f"Pallet {pallet} is still open here. Scan CLOSE first.", subject=pallet
    )


def pallet_open(pallet: str, empty: str | None) -> str:
    """Say which pallet is open, and which empty one that closed."""
    left = "" if empty is None else f" Pallet {empty} was empty and is closed."
    return f"Pallet {pallet} is open. Scan its cartons.{left}"


def pallet_closed(pallet: Pallet, full: int) -> str:
    """Say how many cartons a pallet has; `full` would fill it, 0 where the plant does not say."""
    part = f": a part pallet, {full} would fill it" if full > pallet.cartons else ""
    return f"Pallet {pallet.sscc} is closed with {counted(pallet.cartons, 'carton')}{part}."


def shipment_holds(shipment: str, pallets: int, loose: int) -> str:
    """Say what is in a shipment."""
    more = f" and {counted(loose, 'loose carton')}" if loose else ""
    return f"Shipment {shipment} holds {counted(pallets, 'pallet')}{more}."


_NOT_STOCK: Mapping[str, tuple[FindingCode, str]] = {
    CartonStatus.OPEN: (FindingCode.CARTON_OPEN, "Carton {code} is still open at its line."),
    CartonStatus.BROKEN: (
        FindingCode.CARTON_BROKEN,
        "Carton {code} is broken, and nobody knows what is in it. Count it with REPACK.",
    ),
    CartonStatus.RETURNED: (
        FindingCode.CARTON_RETURNED,
        "Carton {code} came back and is in quarantine. It needs RESTOCK after inspection.",
    ),
    CartonStatus.DESTROYED: (
        FindingCode.CARTON_DESTROYED,
        "The system shows carton {code} as destroyed. Put it aside and tell quality.",
    ),
}


def not_stock(carton: Carton) -> Refused:
    """A carton is not sealed, each state by its own finding."""
    finding, sentence = _NOT_STOCK[carton.status]
    return Refused(
        finding,
        sentence.format(code=carton.sscc),
        subject=carton.sscc,
        expected=CartonStatus.CLOSED,
        found=carton.status,
    )


def not_released(thing: Thing, code: str, waiting: Sequence[Lot]) -> Refused:
    """A pallet or carton holds discs of lots that quality has not released."""
    listed = _decided(waiting)
    return Refused(
        FindingCode.LOT_NOT_RELEASED,
        f"{thing.value} {code} holds discs of lots that are not released: {listed}. Leave it where it is.",
        subject=code,
        expected="every lot released",
        found=listed,
    )


def lots_waiting(waiting: Sequence[Lot]) -> str:
    """Say which lots keep a pallet or carton here, without a full stop."""
    return f"not released: {_decided(waiting)}"


def _decided(lots: Sequence[Lot]) -> str:
    return ", ".join(f"{lot.code} ({lot.decision})" for lot in lots)


def not_free(thing: Thing, code: str, standing: Nesting) -> Refused:
    """A thing is on a pallet or a vehicle by the records."""
    return Refused(
        FindingCode.HAS_A_PARENT,
        f"The system shows {thing.value.lower()} {code} {where(standing)}. Check where it is before you go on.",
        subject=code,
        found=standing.parent,
    )


def on_this_pallet(code: str, standing: Nesting, cartons: int) -> Refused:
    """A carton is scanned onto the pallet that it is on."""
    return Refused(
        FindingCode.HAS_A_PARENT,
        f"Carton {code} is on this pallet already: {cartons_on_pallet(cartons)}. Scan the next carton.",
        subject=code,
        found=standing.parent,
    )


def kept_for_another(thing: Thing, code: str, kept: str, order: str) -> Refused:
    """A thing is kept for another order than this shipment's."""
    return Refused(
        FindingCode.KEPT_FOR_ANOTHER,
        f"{thing.value} {code} is kept for order {kept}; this shipment is for order {order}. "
        "Leave it where it is.",
        subject=code,
        expected=order,
        found=kept,
    )


@dataclass(frozen=True, slots=True)
class Titles:
    """Products, and how a sentence lists them."""

    gtins: tuple[str, ...]
    quoted: str


def other_products(thing: Thing, code: str, held: Titles, order: str, ordered: Titles) -> Refused:
    """A thing holds products that the order is not for."""
    return Refused(
        FindingCode.WRONG_TITLE,
        f"{thing.value} {code} holds {held.quoted}; order {order} is for {ordered.quoted}.",
        subject=code,
        expected=", ".join(ordered.gtins),
        found=", ".join(held.gtins),
    )
