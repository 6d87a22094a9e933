"""What a packing line says of closed cartons: why one may not be changed, what was reopened or merged.

And what any station says of a carton label that contradicts the system.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from tracelink.identity.reading import LogisticRead, Reading
from tracelink.ledger.closed_sets import CartonStatus, PalletStatus
from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries_dock import Nesting
from tracelink.station.common.station_facts import Carton, Pallet, Product
from tracelink.station.sentences.common_sentences import where
from tracelink.station.sentences.thing_names import named, what_came

TYPE_THE_REASON_SUCH_AS = 'Type " and then the reason, such as "corner crushed.'
LABEL_OF_A_CLOSED_CARTON = "the label of a closed carton"
SCAN_THE_CLOSED_CARTON = "Scan the label of the closed carton."
LABEL_OF_A_PART_CARTON = "the label of a part carton"
SCAN_THE_CARTON_LABEL = "Scan the carton label."
SCAN_THE_OTHER_SYMBOL = "Scan the other symbol of this label, with product and count."
SYMBOL_WITH_CONTENT = "the symbol with product and count"
SCAN_THE_PART_CARTON = "Scan the label of the part carton to empty."


def not_closed(code: str, status: str) -> Refused:
    """A carton that is not closed is to be changed."""
    return Refused(
        FindingCode.CARTON_NOT_CLOSED,
        f"Carton {code} is {status}. Scan a closed carton.",
        subject=code,
        expected=CartonStatus.CLOSED,
        found=status,
    )


def other_title(code: str, title: str, ours: str, expected: str, found: str) -> Refused:
    """A closed carton of another product is brought to the line."""
    return Refused(
        FindingCode.WRONG_TITLE_CARTON,
        f'Carton {code} holds "{title}"; this line packs "{ours}". Take it away.',
        subject=code,
        expected=expected,
        found=found,
    )


def kept_for_order(code: str, order: str) -> Refused:
    """A carton is kept for an order as it is."""
    return Refused(
        FindingCode.KEPT_FOR_AN_ORDER,
        f"Carton {code} is kept for order {order} as it is. Have that released first.",
        subject=code,
        found=order,
    )


def open_again(code: str, units: int) -> str:
    """Say that a closed carton is open again."""
    return f"Carton {code} is open again with {counted(units, 'unit')}."


def part_carton_empty(code: str) -> Refused:
    """Nothing is in a part carton that is to be merged."""
    return Refused(FindingCode.CARTON_EMPTY, f"Carton {code} is empty.", subject=code)


def no_room(code: str, units: int, room: int) -> Refused:
    """A part carton holds more units than the open one has room for."""
    return Refused(
        FindingCode.CARTON_FULL,
        f"Carton {code} holds {counted(units, 'unit')}; the open carton has room for {room}.",
        subject=code,
        expected=f"at most {room}",
        found=str(units),
    )


def merged(units: int, source: str, target: str) -> str:
    """Say that a part carton was emptied into the open one."""
    verb = "is" if units == 1 else "are"
    return (
        f"{counted(units, 'unit')} of carton {source} {verb} in carton {target} now. Throw the label of "
        f"carton {source} away."
    )


_DOCK_FIRST: Mapping[str, str] = {
    PalletStatus.OPEN: "The dock takes it off first.",
    PalletStatus.CLOSED: "The dock takes it off first.",
    PalletStatus.ACCEPTED: "The dock reopens the pallet and takes it off first.",
    PalletStatus.LOADED: "The dock unloads the pallet first.",
    PalletStatus.SHIPPED: "What comes back is booked by the dock.",
}
"""What has to happen first, by the status of the pallet."""


def on_pallet(code: str, pallet: Pallet) -> Refused:
    """A carton is on a pallet, which is the dock's."""
    return Refused(
        FindingCode.HAS_A_PARENT,
        f"Carton {code} is on pallet {pallet.sscc}, which is {pallet.status}. {_DOCK_FIRST[pallet.status]}",
        subject=code,
        found=pallet.sscc,
    )


def on_shipment(code: str, standing: Nesting, *, left: bool) -> Refused:
    """A carton is on a vehicle by itself; `left` if that is gone."""
    state, then = (
        ("which has left", "What comes back is booked by the dock.")
        if left
        else ("which is being loaded", "The dock unloads it first.")
    )
    return Refused(
        FindingCode.HAS_A_PARENT,
        f"Carton {code} is {where(standing)}, {state}. {then}",
        subject=code,
        found=standing.parent,
    )


def content_does_not_fit(source: Carton, discs: int, sleeves: int, expected: int) -> Refused:
    """Units, discs and sleeves of a carton do not fit together; `expected` discs would."""
    return Refused(
        FindingCode.NOT_IN_RECORDS,
        f"The system shows {counted(source.units, 'unit')} in carton {source.sscc}, but "
        f"{counted(discs, 'disc')} and {counted(sleeves, 'sleeve')}. Leave it and tell quality.",
        subject=source.sscc,
        expected=f"{expected} discs and {source.units} sleeves",
        found=f"{discs} discs and {sleeves} sleeves",
    )


@dataclass(frozen=True, slots=True)
class LabelSays:
    """What the label of a carton says otherwise than the ledger; None where both agree."""

    gtin: str | None = None
    units: int | None = None
    lot: str | None = None


def label_contradicts(carton: Carton, label: LabelSays) -> Refused:
    """Label and ledger disagree: one of them is wrong."""
    found = []
    if label.gtin is not None:
        found.append(f"product {label.gtin} (the system shows {carton.gtin})")
    if label.units is not None:
        found.append(f"{label.units} units (the system shows {carton.units})")
    if label.lot is not None:
        found.append(f"lot {label.lot} (the system shows no disc of it there)")
    return Refused(
        FindingCode.LABEL_CONTRADICTS,
        f"The label of carton {carton.sscc} says {'; '.join(found)}. Put it aside and tell quality.",
        subject=carton.sscc,
        expected=carton.gtin,
        found="; ".join(found),
    )


def second_symbol_expected(reading: Reading, code: str) -> Refused:
    """Something else came than the second symbol of a label."""
    return Refused(
        FindingCode.WRONG_THING,
        f"You {what_came(reading)}. Scan the other symbol of carton label {code}, with product and count.",
        subject=named(reading),
        expected=SYMBOL_WITH_CONTENT,
        found=named(reading),
    )


def after_way_out(refused: Refused, way_out: str) -> Refused:
    """Return a refusal of a label of which one symbol waits at the station: that is put away first."""
    found = refused.finding
    return Refused(
        found.code,
        f"{found.sentence} Scan {way_out} first.",
        subject=found.subject,
        expected=found.expected,
        found=found.found,
    )


def new_label_contradicts(
    code: str, label: LogisticRead, packed: Product, title: str | None, *, other: bool
) -> Refused:
    """The label of an empty carton is not one for what is packed.

    Args:
        code: its SSCC.
        label: what was read.
        packed: what is packed here.
        title: of the product on the label; None if it is not in the system.
        other: the product is another one; else the count differs.
    """
    if other:
        found = f"product {label.content}" + (f', "{title}"' if title is not None else "")
        expected = f'{packed.gtin}, "{packed.title}"'
    else:
        found, expected = counted(label.count or 0, "unit"), counted(packed.carton_size, "unit")
    return Refused(
        FindingCode.LABEL_CONTRADICTS,
        f"Carton label {code} says {found}; here it must say {expected}. Put it aside and take another label.",
        subject=code,
        expected=expected,
        found=found,
    )
