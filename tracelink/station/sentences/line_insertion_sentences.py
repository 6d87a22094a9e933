"""What a packing line says of the pieces of a unit: discs, sleeves, their numbers, kit items."""

from tracelink.identity.reading import DiscRead, Reading
from tracelink.ledger.closed_sets import NumberState
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import PutAside, Refused
from tracelink.station.common.queries_line import KitPiece
from tracelink.station.common.station_facts import HoldNotice, Product
from tracelink.station.sentences.common_sentences import PUT_SLEEVE_ASIDE_AND_STOP, hold_words
from tracelink.station.sentences.line_sentences import set_or_unit
from tracelink.station.sentences.thing_names import named

DISC = "Disc"
SLEEVE = "Sleeve"
"""What has a title of its own."""


def second_disc(piece: int, reading: Reading) -> Refused:
    """A second disc while one waits for its sleeve."""
    return Refused(
        FindingCode.DISC_IN_HAND,
        f"Disc {piece} is already waiting for its sleeve. Put this second disc back where it was and scan the sleeve, "
        "or scan STOP.",
        subject=named(reading),
        expected="a sleeve",
        found="a second disc",
    )


def no_spindle_for(piece: int, reading: Reading) -> Refused:
    """No spindle with this disc of the product is open."""
    return Refused(
        FindingCode.NO_SPINDLE,
        f"No spindle with disc {piece} is open. Scan its spindle card.",
        subject=named(reading),
    )


def carton_full(carton: str) -> Refused:
    """The open carton takes no more units."""
    return Refused(
        FindingCode.CARTON_FULL,
        f"Carton {carton} is full. Scan CLOSE, or the next carton label.",
        subject=carton,
    )


def wrong_total(total: int, discs: int, gtin: str) -> Refused:
    """A disc says that its product has another number of discs."""
    return Refused(
        FindingCode.WRONG_DISC,
        f"The disc is marked as one of {total}; this product has {discs}.",
        subject=gtin,
        expected=str(discs),
        found=str(total),
        aside=PutAside("it"),
    )


def lot_rejected(spindle: str, lot: str) -> Refused:
    """Quality rejected the lot since its spindle was opened."""
    return Refused(
        FindingCode.LOT_REJECTED,
        f"Spindle {spindle} holds discs of lot {lot}, which is rejected. Put the disc back and scan STOP.",
        subject=spindle,
        found=lot,
    )


def spindle_empty(spindle: str) -> Refused:
    """The spindle has no disc left by the records."""
    return Refused(
        FindingCode.SPINDLE_EMPTY,
        f"The system shows spindle {spindle} as empty. Scan the card of the stack in front of you.",
        subject=spindle,
        expected="at least 1 disc",
        found="0",
    )


def no_disc_yet(wanted: KitPiece, reading: Reading, *, begun: bool) -> Refused:
    """A sleeve comes before the piece that goes into it; `begun` if a disc of the unit is in its sleeve already."""
    if begun and wanted.disc is None:
        told = f"The sleeve has been scanned. Now scan: {wanted.called}."
    elif begun:
        told = f"The sleeve has been scanned. Scan {wanted.called} first, then the sleeve again."
    else:
        told = f"Scan {'the disc' if wanted.disc else wanted.called} first, then its sleeve."
    return Refused(
        FindingCode.NO_DISC,
        told,
        subject=named(reading),
        expected="a disc",
    )


def number_unexpected(serial: str) -> Refused:
    """A numbered sleeve at an edition without numbers."""
    return Refused(
        FindingCode.WRONG_NUMBER,
        f"This edition has no numbers, and the sleeve has number {serial}.",
        subject=serial,
        aside=PutAside("this sleeve"),
    )


def number_missing(gtin: str) -> Refused:
    """A sleeve without its number at a numbered edition."""
    return Refused(
        FindingCode.NO_NUMBER,
        "This edition is numbered: scan the number label, not the barcode.",
        subject=gtin,
    )


def other_sleeve(serial: str, first: str) -> Refused:
    """Another sleeve than the one that the first disc went into."""
    return Refused(
        FindingCode.WRONG_NUMBER,
        f"Sleeve {serial} is not the one in hand: disc 1 went into sleeve {first}.",
        subject=serial,
        expected=first,
        found=serial,
        aside=PutAside("this sleeve", "the right sleeve"),
    )


def lost_separator(serial: str, before: str, ai: str, rest: str, wanted: str) -> Refused:
    """A number that runs on into the next field of its code."""
    return Refused(
        FindingCode.LOST_SEPARATOR,
        f"Number {serial!r} may be number {before!r} followed by ({ai}){rest}: the separator between them "
        "is lost. Scan the label again.",
        subject=serial,
        expected=wanted,
        found=serial,
    )


def number_of_other_batch(serial: str, batch: str, wanted: str) -> Refused:
    """A number that is not one of the open batch."""
    return Refused(
        FindingCode.WRONG_NUMBER,
        f"Sleeve number {serial} is not in batch {batch} ({wanted}).",
        subject=serial,
        expected=wanted,
        found=serial,
        aside=PutAside("this sleeve"),
    )


def number_destroyed(number: str, subject: str) -> Refused:
    """A number whose sleeve was destroyed."""
    return Refused(
        FindingCode.DESTROYED_NUMBER,
        f"The system shows sleeve number {number} as destroyed. Put this sleeve aside for quality and scan "
        "STOP.",
        subject=subject,
        expected=NumberState.DESTROYED,
        found=number,
    )


def number_lost(number: str, subject: str, carton: str) -> Refused:
    """A number that was missing from its carton."""
    return Refused(
        FindingCode.LOST_NUMBER,
        f"The system shows sleeve number {number} as lost from carton {carton}. Put this sleeve aside for quality and "
        "scan STOP.",
        subject=subject,
        expected="a number not seen before",
        found=number,
    )


def scanned_twice(number: str) -> str:
    """Say why a number is held."""
    return f"sleeve number {number} was scanned twice"


def wrong_title(thing: str, gtin: str, found: Product | None, ours: Product) -> Refused:
    """A piece of another title; `found` is its product, None if the system does not know it."""
    name = f'"{found.title}"' if found else "not in the system"
    return Refused(
        FindingCode.WRONG_TITLE,
        f'{thing} {gtin} is {name}; this line packs "{ours.title}".',
        subject=gtin,
        expected=ours.gtin,
        found=gtin,
        aside=PutAside("it", f"the right {thing.lower()}"),
    )


def sister_edition(thing: str, found: Product, ours: Product) -> Refused:
    """A piece of another edition of the same title."""
    return Refused(
        FindingCode.SISTER_EDITION,
        f'{thing} {found.gtin} is "{found.title}" {found.catalogue_number}, another edition; this line packs '
        f"{ours.catalogue_number}.",
        subject=found.gtin,
        expected=ours.gtin,
        found=found.gtin,
        aside=PutAside("it", f"the right {thing.lower()}"),
    )


def wrong_sleeve(gtin: str, found: Product | None, spindle: str, ours: str, disc: str) -> Refused:
    """A sleeve of another title than the disc in hand.

    Args:
        gtin: of the sleeve.
        found: its product, None if the system does not know it.
        spindle: of the disc.
        ours: GTIN of the product that is packed.
        disc: how the floor calls the disc.
    """
    name = f'is "{found.title}"' if found else "is not in the system"
    return Refused(
        FindingCode.WRONG_TITLE,
        f"Sleeve {gtin} {name}; spindle {spindle} holds {disc}.",
        subject=gtin,
        expected=ours,
        found=gtin,
        aside=PutAside("this sleeve", "the right sleeve"),
    )


def wrong_piece(disc: DiscRead, wanted: KitPiece, discs: int, *, second: bool) -> Refused:
    """A disc of the product that does not come next; `second` if the unit has it already."""
    code, what = (
        (FindingCode.SECOND_COPY, "a second copy of disc") if second else (FindingCode.WRONG_DISC, "disc")
    )
    return Refused(
        code,
        f"You scanned {what} {disc.piece}. The {set_or_unit(discs)} in hand needs {wanted.called}.",
        subject=str(disc.gtin),
        expected=f"disc {wanted.disc} of {discs}" if wanted.disc else wanted.called,
        found=f"disc {disc.piece} of {disc.total}",
        aside=PutAside("it", wanted.called),
    )


def sleeves_held(notice: HoldNotice) -> Refused:
    """The open batch, or the number of this sleeve, is on hold."""
    return Refused(
        FindingCode.ON_HOLD,
        f"Sleeves {notice.subject} are {hold_words(notice, notice.subject)}. {PUT_SLEEVE_ASIDE_AND_STOP}",
        subject=notice.subject,
    )


def number_seen_twice(number: str, subject: str, carton: str | None, hold: str) -> Refused:
    """A number that was packed before; `carton` is where, None if that is the open one."""
    where = f"carton {carton}" if carton else "this carton"
    return Refused(
        FindingCode.DUPLICATE_NUMBER,
        f"Sleeve number {number} is in {where} already. Both are held ({hold}). Put this sleeve aside for "
        "quality and scan STOP.",
        subject=subject,
        expected="a number not seen before",
        found=f"a second sleeve {number}",
    )


def now_its_sleeve(name: str) -> str:
    """Say which disc is in hand."""
    return f"{name}. Now its sleeve."
