"""What the dock says while a vehicle is loaded: orders, picking, unloading, the driver's check, departure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum

from tracelink.ledger.closed_sets import PalletStatus
from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries_dock import Nesting
from tracelink.station.common.station_facts import HoldNotice, Lot, Order
from tracelink.station.sentences.common_sentences import hold_words, where
from tracelink.station.sentences.dock_sentences import lots_waiting
from tracelink.station.sentences.thing_names import Thing

A_SHIPMENT = "a shipment"
AN_ORDER = "an order"
THE_SAME_LABEL = "the same label again"
NAME_OF_THE_DRIVER = "the name of the driver"
SCAN_THE_ORDER = "Scan the order."
SCAN_THE_SHIPMENT = "Scan the shipment that left."
BADGE_OF_QUALITY = "Scan the badge of a second person with the role quality."
SCAN_CARTON_OR_PALLET = "Scan the carton or the pallet."
SCAN_THE_SAME_LABEL = "Scan the same label again as it goes onto the vehicle."
SCAN_A_PIECE_OF_THE_LOAD = "Scan the next pallet or loose carton on the vehicle."
TYPE_THE_DRIVER = 'Type " and then the name of the driver.'


def still_being_loaded(shipment: str) -> Refused:
    """SHIP while a shipment is loaded here."""
    return Refused(
        FindingCode.SHIPMENT_OPEN,
        f"Shipment {shipment} is still being loaded here. Scan DEPART first.",
        subject=shipment,
    )


def now_for(shipment: str, consignee: str) -> str:
    """Say for whom an empty shipment is now."""
    return f"Shipment {shipment} is now for {consignee}. Scan its pallets."


def open_for(code: str, consignee: str) -> str:
    """Say for whom a shipment is open."""
    return f"Shipment {code} for {consignee} is open. Scan its pallets."


def loaded_already(code: str, shipment: str, name: str, station: str) -> Refused:
    """A pallet is in a shipment."""
    return Refused(
        FindingCode.HAS_A_PARENT,
        f"Pallet {code} is in shipment {shipment} already, for {name}, {station}.",
        subject=code,
        found=shipment,
    )


def not_accepted(code: str, status: str) -> Refused:
    """A pallet that is not accepted is to be loaded."""
    return Refused(
        FindingCode.PALLET_NOT_ACCEPTED,
        f"Pallet {code} is {status}. Only an accepted pallet can be shipped.",
        subject=code,
        expected=PalletStatus.ACCEPTED,
        found=status,
    )


def other_label(again: str, first: str) -> Refused:
    """Another label is scanned than the piece was picked by."""
    return Refused(
        FindingCode.ANOTHER_LABEL,
        f"You scanned {again}, and first {first}. Scan the label of the piece you hold.",
        subject=again,
        expected=first,
        found=again,
    )


def not_loaded(thing: Thing, code: str, standing: Nesting | None) -> Refused:
    """Something to unload is on no vehicle."""
    return Refused(
        FindingCode.NOT_LOADED,
        f"{thing.value} {code} is not on a vehicle; it is {where(standing)}.",
        subject=code,
    )


def left_already(shipment: str, thing: Thing, code: str) -> Refused:
    """Something to unload is on a vehicle that left."""
    return Refused(
        FindingCode.SHIPMENT_LEFT,
        f"Shipment {shipment} with {thing.value.lower()} {code} has left. What comes back is booked with RETURN, "
        "what never left with CORRECTLOAD.",
        subject=code,
        found=shipment,
    )


def nothing_loaded(code: str) -> Refused:
    """A shipment without anything in it is to be checked or to leave."""
    return Refused(
        FindingCode.SHIPMENT_EMPTY, f"Shipment {code} is empty; scan its pallets first.", subject=code
    )


def driver_checked(driver: str, shipment: str, load: str) -> str:
    """Say who checked a shipment."""
    return f"{driver} checked shipment {shipment}: {load}."


def not_on_this_vehicle(
    thing: Thing, code: str, shipment: str, consignee: str, standing: Nesting | None
) -> Refused:
    """The driver takes what is not of this shipment."""
    return Refused(
        FindingCode.NOT_LOADED,
        f"{thing.value} {code} is not in shipment {shipment} for {consignee}: the system shows it {where(standing)}. Take it "
        "off the vehicle.",
        subject=code,
        expected=shipment,
        found="" if standing is None else standing.parent,
    )


def on_a_loaded_pallet(carton: str, standing: Nesting) -> Refused:
    """The driver scans a carton that is on a pallet of the shipment."""
    return Refused(
        FindingCode.NOT_LOADED,
        f"Carton {carton} is {where(standing)}, which is in this shipment. Scan the label of the pallet.",
        subject=carton,
        expected=standing.parent,
        found=carton,
    )


def checked_already(thing: Thing, code: str) -> Refused:
    """The driver scans a piece twice."""
    return Refused(
        FindingCode.ANOTHER_LABEL,
        f"{thing.value} {code} is checked already. Scan the next one.",
        subject=code,
    )


def no_driver_check(code: str) -> Refused:
    """No driver looked at the shipment as it is loaded now."""
    return Refused(
        FindingCode.NO_DRIVER_CHECK,
        f"No driver has checked shipment {code} as it is loaded now. Scan DRIVER first.",
        subject=code,
    )


def loaded(thing: Thing, code: str, consignee: str) -> str:
    """Say for whom a pallet or carton is on the vehicle."""
    return f"{thing.value} {code} is loaded for {consignee}."


def unloaded(thing: Thing, code: str, shipment: str) -> str:
    """Say that a pallet or carton is off the vehicle."""
    return f"{thing.value} {code} is off shipment {shipment} and in stock again."


def load_in_words(pallets: int, cartons: int) -> str:
    """Say what is on a vehicle: pallets, and cartons that are on none."""
    parts = [counted(pallets, "pallet")] if pallets or not cartons else []
    if cartons:
        parts.append(counted(cartons, "loose carton"))
    return " and ".join(parts)


class Off(Enum):
    """How a load differs from its order."""

    SHORT = "short"
    OVER = "over"


@dataclass(frozen=True, slots=True)
class LineLoad:
    """One product of an order and what of it left or is on the vehicle."""

    ordered: int
    """Units."""
    loaded: int
    """Units."""
    title: str | None
    """Quoted, where the order is for several products; else None."""


def load_off(
    order: str, shipment: str, off: Sequence[tuple[Off, LineLoad]], limits: Mapping[Off, int]
) -> Refused:
    """A load is further from its order than the plant lets it leave; `limits` are percent."""
    lines = [
        f"{_of(line)}; with shipment {shipment} it has {_has(line)}, more than {limits[sign]} % {sign.value}"
        for sign, line in off
    ]
    first, _line = off[0]
    return Refused(
        FindingCode.SHIPMENT_SHORT if first is Off.SHORT else FindingCode.SHIPMENT_OVER,
        f"Order {order} is for {'; '.join(lines)}. Correct the load, or have quality scan ACCEPTLOAD.",
        subject=shipment,
        expected=", ".join(str(line.ordered) for _sign, line in off),
        found=", ".join(str(line.loaded) for _sign, line in off),
    )


def _of(line: LineLoad) -> str:
    return f"{line.ordered} of {line.title}" if line.title else str(line.ordered)


def _has(line: LineLoad) -> str:
    return f"{line.loaded} ({line.loaded - line.ordered:+d})"


def departed(shipment: str, order: Order, load: str, off: Sequence[LineLoad]) -> str:
    """Say what left for whom, and which lines of the order differ."""
    sentence = f"Shipment {shipment} left for {order.consignee} with {load}."
    if not off:
        return sentence
    return sentence + order_has(order.code, off)


def not_left_yet(shipment: str) -> Refused:
    """A shipment is to be put right that is still being loaded."""
    return Refused(
        FindingCode.SHIPMENT_OPEN,
        f"Shipment {shipment} has not left. Load what is missing, or scan UNLOAD for what is wrong.",
        subject=shipment,
    )


def cannot_have_gone(pallet: str) -> Refused:
    """A pallet that is still open is said to have gone with a shipment."""
    return Refused(
        FindingCode.PALLET_OPEN,
        f"The system shows pallet {pallet} as still open here: it cannot have left. Check the label.",
        subject=pallet,
    )


def moved_since(thing: Thing, code: str, shipment: str, entry: int) -> Refused:
    """A thing is said to have gone with a shipment, and somebody booked it here after that."""
    return Refused(
        FindingCode.HAS_A_PARENT,
        f"{thing.value} {code} was booked here by entry {entry}, after shipment {shipment} left. Look for it again.",
        subject=code,
        found=str(entry),
    )


def will_be_corrected(thing: Thing, code: str, shipment: str, *, stayed: bool) -> str:
    """Say what a correction will book, with a space behind it."""
    if stayed:
        return f"The system shows {thing.value.lower()} {code} in shipment {shipment}: it will be booked as still here. "
    return (
        f"The system does not show {thing.value.lower()} {code} in shipment {shipment}: it will be booked as gone with "
        "that shipment. "
    )


def corrected(thing: Thing, code: str, shipment: str, consignee: str, *, stayed: bool) -> str:
    """Say what was put right."""
    what = "stayed here and is not in" if stayed else "went with"
    return f"{thing.value} {code} {what} shipment {shipment} for {consignee}."


def order_has(order: str, lines: Sequence[LineLoad]) -> str:
    """Say what has left for an order, to add to another sentence."""
    return f" Order {order} is for {'; '.join(f'{_of(line)} and has {_has(line)}' for line in lines)}."


def gone_on_hold(code: str, notice: HoldNotice) -> str:
    """Say that what is gone was on hold, to add to another sentence."""
    return f" It is {hold_words(notice, code)}. Tell quality at once."


def gone_unreleased(lots: Sequence[Lot]) -> str:
    """Say that what is gone was not released, to add to another sentence."""
    return f" It holds discs that are {lots_waiting(lots)}. Tell quality at once."


def gone_unordered(titles: str) -> str:
    """Say that what is gone was not ordered, to add to another sentence."""
    return f" The order is not for {titles}. Tell quality and the consignee."
