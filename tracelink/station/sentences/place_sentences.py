"""What the dock says of where pallets and cartons stand."""

from collections.abc import Sequence

from tracelink.ledger.closed_sets import CartonStatus
from tracelink.ledger.count_words import counted, few
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries_dock import Nesting
from tracelink.station.common.station_facts import Carton, HoldNotice, Pallet
from tracelink.station.sentences.common_sentences import where
from tracelink.station.sentences.thing_names import Thing

SCAN_THE_LOCATION = "Scan the location."
SCAN_THE_NEW_LOCATION = "Scan the new location."


def pallet_open(code: str) -> Refused:
    """An open pallet is to be put away."""
    return Refused(FindingCode.PALLET_OPEN, f"Pallet {code} is still open. Close it first.", subject=code)


def in_place_already(thing: Thing, code: str, standing: Nesting) -> Refused:
    """PUT, and the system shows the thing somewhere."""
    return Refused(
        FindingCode.PUT_AWAY_ALREADY,
        f"The system shows {thing.value.lower()} {code} {where(standing)}. Scan MOVE to take it elsewhere.",
        subject=code,
        found=standing.parent,
    )


def in_no_place(thing: Thing, code: str) -> Refused:
    """MOVE, and the system shows the thing nowhere."""
    return Refused(
        FindingCode.NOT_PUT_AWAY,
        f"The system shows {thing.value.lower()} {code} in no location. Scan PUT instead.",
        subject=code,
    )


def there_already(thing: Thing, code: str, standing: Nesting) -> Refused:
    """MOVE to where the thing stands."""
    return Refused(
        FindingCode.THERE_ALREADY,
        f"{thing.value} {code} is {where(standing)} already.",
        subject=standing.parent,
    )


def put_away(thing: Thing, code: str, place: str, name: str | None) -> str:
    """Say where a thing stands now."""
    return f"{thing.value} {code} is in location {place} ({name})."


def cannot_put_away(code: str, status: str) -> Refused:
    """A carton that is open or destroyed is to be put away."""
    return Refused(
        FindingCode.CARTON_OPEN if status == CartonStatus.OPEN else FindingCode.CARTON_DESTROYED,
        f"Carton {code} is {status}. It cannot be put away.",
        subject=code,
        found=status,
    )


def about_pallet(pallet: Pallet, *, came_back: bool) -> str:
    """Say what a pallet is, as a sentence begins; `came_back` if it left and is in its shipment no more."""
    if came_back:
        return f"Pallet {pallet.sscc} came back and is empty"
    return f"Pallet {pallet.sscc} is {pallet.status}, {counted(pallet.cartons, 'carton')}"


def about_carton(carton: Carton, title: str) -> str:
    """Say what a carton is, as a sentence begins."""
    return f"Carton {carton.sscc} is {carton.status}, {carton.units} of {title}"


def found(
    what: str, standing: Nesting | None, kept: str | None, held: HoldNotice | None, loading: str | None
) -> str:
    """Say where a thing is.

    Args:
        what: from `about_pallet` or `about_carton`.
        standing: where it is.
        kept: the order it is kept for.
        held: its hold.
        loading: the shipment that is loaded here, where somebody may believe that a look at the thing loads it.
    """
    rest = f", kept for order {kept}" if kept else ""
    hold = f" On hold {held.hold}: {held.reason}." if held else ""
    more = f" It is not loaded: scan PICK to load it into shipment {loading}." if loading else ""
    return f"{what}, {where(standing)}{rest}.{hold}{more}"


_NAMED = 6
"""Things told to the person one by one; `runout find` lists all."""


def stands_there(location: str, name: str, things: Sequence[tuple[Thing, str]]) -> str:
    """Say what stands in a location."""
    if not things:
        return f"Location {location} ({name}) is empty."
    listed = few([f"{thing.value.lower()} {code}" for thing, code in things], _NAMED)
    total = [
        counted(count, thing.value.lower())
        for thing in (Thing.PALLET, Thing.CARTON)
        if (count := sum(each is thing for each, _code in things))
    ]
    return f"Location {location} ({name}) holds {' and '.join(total)}: {listed}."
