"""How things, quantities and scans are called in the sentences of stations."""

from collections.abc import Iterable
from enum import Enum

from tracelink.identity.reading import ActRead, LogisticRead, NumberKeyed, PlantRead, Reading, TextKeyed


class Thing(Enum):
    """What carries a code, as a sentence begins with it."""

    BADGE = "Badge"
    BUILD_ORDER = "Build order"
    CARTON = "Carton"
    CARTON_LABEL = "Carton label"
    EQUIPMENT = "Equipment"
    KIT_ITEM = "Kit item"
    LOCATION = "Location"
    LOT = "Lot"
    LOT_CARD = "Lot card"
    MATERIAL = "Material"
    ORDER = "Order"
    PALLET = "Pallet"
    PART_LOT = "Part lot"
    PIECE = "Unit"
    PALLET_LABEL = "Pallet label"
    REASON_CARD = "Reason card"
    REEL = "Reel"
    RETURN = "Return"
    SAMPLE_TAG = "Sample tag"
    SHIPMENT = "Shipment"
    SLEEVE = "Sleeve"
    SLOT = "Slot"
    SLEEVE_BATCH = "Sleeve batch"
    SLEEVE_NUMBER = "Sleeve number"
    SPINDLE = "Spindle"
    SPINDLE_CARD = "Spindle card"
    STEP_CARD = "Step card"
    TOOL_TAG = "Tool tag"
    LACQUER = "Lacquer"
    COPPER = "Copper"
    FATHER = "Father"
    MOTHER = "Mother"
    STAMPER = "Stamper"


class Entered(Enum):
    """How what an act asks for is entered, as the person is told."""

    SCANNED = "Scan"
    KEYED = "Key"
    TYPED = 'Type " and then'


def disc_name(title: str, piece: int, discs: int) -> str:
    """Return how the floor calls a disc: the title, and which disc if there are several."""
    return f'"{title}"' if discs == 1 else f'"{title}" disc {piece}'


def piece_name(disc: int | None, name: str) -> str:
    """Return how the floor calls a piece of a kit."""
    return name if disc is None else f"disc {disc}"


def number_range(first: int, last: int | None) -> str:
    """Return which numbers the sleeves of a batch carry."""
    return f"{first} to {last}"


def reason_of_card(text: str, code: str) -> str:
    """Return a reason that was scanned and not typed."""
    return f"{text} ({code})"


def numbers_given_out(numbers: int) -> str:
    """Return how many numbers were given out for a batch one by one."""
    return f"{numbers} numbers given out for it"


def part_of(done: int, whole: int) -> str:
    """Return how much of a whole is done."""
    return f"{done} of {whole}"


def put_aside(pieces: str, or_scan: str) -> str:
    """Return what to do with wrong pieces; `or_scan` is what the line takes instead of STOP, empty for nothing."""
    other = f" or {or_scan}" if or_scan else ""
    return f"Put {pieces} aside and scan STOP{other}."


def state_of(area: str) -> str:
    """Return how an error calls the state of a station that cannot be read."""
    return f"state of a {area} station"


def named(reading: Reading) -> str:
    """Return what was read, as the floor would call it."""
    if isinstance(reading, PlantRead):
        return f"{reading.code.kind.noun} {reading.code.text}"
    if isinstance(reading, ActRead):
        return f"action card {reading.word}"
    if isinstance(reading, NumberKeyed):
        return f"the number {reading.value}"
    if isinstance(reading, TextKeyed):
        return f'the text "{reading.text}"'
    if isinstance(reading, LogisticRead):
        return f"a carton or pallet label {reading.sscc or 'without SSCC'}"
    kind = "a disc" if hasattr(reading, "piece") else "a sleeve"
    return f"{kind} of {reading.gtin}"


def what_came(reading: Reading) -> str:
    """Return what somebody did: scanned, keyed or typed something."""
    if isinstance(reading, NumberKeyed):
        return f"keyed {reading.value}"
    return f'typed "{reading.text}"' if isinstance(reading, TextKeyed) else f"scanned {named(reading)}"


def product_name(title: str, catalogue_number: str) -> str:
    """Return how the floor calls a product: sister editions have one title."""
    return f'"{title}" {catalogue_number}'


def product_names(products: Iterable[tuple[str, str]]) -> str:
    """Return products, each title with its catalogue number, as a sentence lists them."""
    return ", ".join(product_name(*product) for product in products)
