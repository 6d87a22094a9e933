"""What a packing line says of kit items, and of what a unit needs next."""

from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import PutAside, Refused
from tracelink.station.common.queries_line import KitItem, KitPiece
from tracelink.station.common.station_facts import HoldNotice, Product
from tracelink.station.sentences.common_sentences import PUT_ASIDE_AND_STOP, on_hold

CARTON_IS_FULL = "Carton is full: scan CLOSE, or the next carton label."


def add(name: str) -> str:
    """Say what goes into the unit without a scan."""
    return f"Add: {name}."


def comes_next(called: str) -> str:
    """Say what comes next."""
    return f"Now {called}."


def item_comes_later(name: str, code: str) -> Refused:
    """A kit item while a disc waits for its sleeve."""
    return Refused(
        FindingCode.DISC_IN_HAND,
        f'A disc is waiting for its sleeve, and "{name}" comes later. Scan the sleeve, or STOP.',
        subject=code,
        expected="a sleeve",
    )


def number_finished_elsewhere(number: str, carton: str) -> Refused:
    """A number that was finished elsewhere since its sleeve was begun."""
    return Refused(
        FindingCode.DUPLICATE_NUMBER,
        f"Sleeve number {number} is in carton {carton} already. Scan STOP until the unit is taken apart, "
        "then put its sleeve aside for quality.",
        subject=number,
        expected="a number not seen before",
        found=f"a second sleeve {number}",
    )


def item_held(name: str, code: str, notice: HoldNotice) -> Refused:
    """A kit item is on hold."""
    return on_hold(f'"{name}" {code}', code, notice, PUT_ASIDE_AND_STOP)


def item_of_other_title(found: KitItem, other: Product, wanted: KitPiece) -> Refused:
    """A kit item of another product."""
    what = f'"{found.name}" of "{other.title}" {other.catalogue_number}'
    return _wrong_item(FindingCode.WRONG_TITLE, what, found, wanted)


def item_superseded(found: KitItem, wanted: KitPiece) -> Refused:
    """A kit item of an older print."""
    return _wrong_item(FindingCode.SUPERSEDED_ITEM, f'"{found.name}", an older print', found, wanted)


def item_not_in_kit(found: KitItem, wanted: KitPiece) -> Refused:
    """A kit item of the product that this kit does not hold, such as one for another language."""
    return _wrong_item(FindingCode.WRONG_VARIANT, f'"{found.name}", which is not in this kit', found, wanted)


def item_second_copy(found: KitItem, wanted: KitPiece) -> Refused:
    """A kit item that the unit has already."""
    return _wrong_item(FindingCode.SECOND_COPY, f'a second copy of "{found.name}"', found, wanted)


def item_too_early(found: KitItem, wanted: KitPiece) -> Refused:
    """A kit item that comes later."""
    return _wrong_item(FindingCode.WRONG_ITEM, f'"{found.name}"', found, wanted)


def _wrong_item(code: FindingCode, what: str, found: KitItem, wanted: KitPiece) -> Refused:
    return Refused(
        code,
        f"You scanned {what}. The unit in hand needs {wanted.called}.",
        subject=found.code,
        expected=wanted.item or wanted.called,
        found=found.code,
        aside=PutAside("it", wanted.called),
    )
