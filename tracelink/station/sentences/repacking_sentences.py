"""What the dock says of pallets that are rebuilt and of cartons that were found open or are opened."""

from tracelink.ledger.closed_sets import CartonStatus, PalletStatus
from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries_dock import Nesting
from tracelink.station.common.station_facts import Carton, Pallet
from tracelink.station.sentences.common_sentences import where

HOW_MANY_UNITS = "how many finished units are in it"
KEY_HOW_MANY_UNITS = "Key how many finished units are in it, such as #25."
OPEN_AND_KEY_HOW_MANY = "Open it and key how many finished units are in it, such as #25."


def not_on_a_pallet(code: str, standing: Nesting | None) -> Refused:
    """UNSTACK of a carton that is on no pallet."""
    return Refused(
        FindingCode.NOT_ON_A_PALLET,
        f"Carton {code} is not on a pallet. The system shows it {where(standing)}.",
        subject=code,
    )


def unstacked(code: str, pallet: str, left: int) -> str:
    """Say how many cartons a pallet holds without the one taken off."""
    return f"Carton {code} is off pallet {pallet}, which holds {counted(left, 'carton')} now."


def pallet_kept(code: str, order: str) -> Refused:
    """A pallet is kept for an order as it is."""
    return Refused(
        FindingCode.KEPT_FOR_AN_ORDER,
        f"Pallet {code} is kept for order {order}. Have that released before you open it.",
        subject=code,
        found=order,
    )


def on_vehicle(code: str, standing: Nesting) -> Refused:
    """A carton to be opened or broken is on a vehicle."""
    return Refused(
        FindingCode.HAS_A_PARENT,
        f"Carton {code} is {where(standing)}. Scan UNLOAD or RETURN first.",
        subject=code,
        found=standing.parent,
    )


def pallet_on_vehicle(carton: str, pallet: str, status: str) -> Refused:
    """The pallet of a carton to be broken is on a vehicle."""
    return Refused(
        FindingCode.HAS_A_PARENT,
        f"Carton {carton} is on pallet {pallet}, which is {status}. Scan UNLOAD or RETURN first.",
        subject=carton,
        found=pallet,
    )


def broken(code: str) -> str:
    """Say that nobody knows what is in a carton."""
    return f"Carton {code} is broken: nobody knows now what is in it. Put it aside until it is counted."


def not_broken(code: str, status: str) -> Refused:
    """REPACK of a carton that is not broken."""
    return Refused(
        FindingCode.CARTON_NOT_BROKEN,
        f"Carton {code} is {status}. REPACK is for a broken carton.",
        subject=code,
        expected=CartonStatus.BROKEN,
        found=status,
    )


def cannot_be_sealed(carton: str, units: int, count: int) -> Refused:
    """More units are counted than were in the carton."""
    return Refused(
        FindingCode.WRONG_COUNT,
        f"Carton {carton} held {units}; {count} cannot be sealed in it. Count again: pieces of another "
        "carton do not belong in it.",
        subject=carton,
        expected=f"1 to {units}",
        found=str(count),
    )


def cannot_be_inferred(code: str, missing: int, what: str, units: int, count: int) -> Refused:
    """Nobody can say of which lot or number the missing units are."""
    return Refused(
        FindingCode.NOT_INFERABLE,
        f"Carton {code} is short of {missing}, and nobody knows which {what} are missing. Leave it broken.",
        subject=code,
        expected=str(units),
        found=str(count),
    )


def holds_as_shown(carton: str, count: int) -> str:
    """Say that a carton holds what the system shows."""
    return f"Carton {carton} holds {count}, as the system shows."


def pallet_not_open(code: str, pallet: Pallet) -> Refused:
    """UNSTACK from a pallet that was accepted or is gone."""
    then = "Scan REOPEN first." if pallet.status == PalletStatus.ACCEPTED else "It cannot be rebuilt."
    return Refused(
        FindingCode.PALLET_NOT_OPEN,
        f"Carton {code} is on pallet {pallet.sscc}, which is {pallet.status}. {then}",
        subject=code,
        expected="open or closed",
        found=pallet.status,
    )


def cannot_reopen(pallet: Pallet) -> Refused:
    """REOPEN of a pallet that is open, on a vehicle or gone."""
    then = " Scan UNLOAD first." if pallet.status == PalletStatus.LOADED else ""
    return Refused(
        FindingCode.PALLET_NOT_CLOSED,
        f"Pallet {pallet.sscc} is {pallet.status}; only a closed or an accepted pallet can be opened "
        f"again.{then}",
        subject=pallet.sscc,
        expected="closed or accepted",
        found=pallet.status,
    )


def pallet_reopened(code: str, *, accept_again: bool) -> str:
    """Say that a pallet is open again."""
    gone = " It must be accepted again." if accept_again else ""
    return f"Pallet {code} is open again.{gone}"


def sealed_again(carton: Carton, count: int) -> str:
    """Say how many units a broken carton holds now, and how many fewer that is."""
    missing = carton.units - count
    short = f", {missing} fewer than the system showed" if missing else ""
    return f"Carton {carton.sscc} is sealed again with {count}{short}."


def opened_and_counted(carton: Carton, count: int) -> str:
    """Say why an opened carton is held."""
    return f"opened and counted {count}; the system shows {carton.units} ({count - carton.units:+d})"


def about_opened(carton: Carton, count: int) -> str:
    """Say why lots are looked into."""
    return f"carton {carton.sscc} {opened_and_counted(carton, count)}"


def opened_differs(carton: Carton, count: int, hold: str, more: str) -> str:
    """Say what was found in a carton, by which hold it is held, and what follows (`more`)."""
    return (
        f"Carton {carton.sscc} holds {count}; the system shows {carton.units} ({count - carton.units:+d}). "
        f"It is on hold now (hold {hold}): put it aside and call quality.{more}"
    )
