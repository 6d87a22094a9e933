"""What every station says: what is on hold, void or unknown, what an act still asks for, where a thing is."""

from collections.abc import Sequence

from tracelink.errors import IdentifierError, UnknownSymbology
from tracelink.identity.reading import Reading
from tracelink.ledger.count_words import counted, either
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.time_words import moment
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries_dock import Nesting
from tracelink.station.common.station_facts import HoldNotice, Lot, Person, ReasonCard
from tracelink.station.sentences.thing_names import Entered, Thing, named, what_came

A_LOT_CARD = "a lot card"
A_SLEEVE_BATCH = "a sleeve batch"
A_NUMBERED_SLEEVE = "a numbered sleeve"
THE_REASON = "the reason"
A_REASON_CARD = "a reason card"
THE_MATRIX_NUMBER = "the matrix number"
BADGE_OF_A_SECOND_PERSON = "the badge of a second person"
A_SECOND_PERSONS_BADGE = "a second person's badge"
"""What belongs into a slot, for whoever scans something else."""

SCAN_THE_LOT_CARD = "Scan the lot card."
TYPE_THE_REASON = 'Type " and then the reason.'
SCAN_THE_BATCH_OF_THE_UNIT = "Scan the sleeve batch of the unit."
SCAN_THE_SLEEVE_OF_THE_UNIT = "Scan the sleeve of the unit, or type its number."
"""What a slot asks for."""

PUT_IT_ASIDE = "Put it aside."
LEAVE_AS_IT_IS = "Leave it as it is."
LEAVE_AND_TELL_QUALITY = "Leave it as it is and tell quality."
PUT_ASIDE_AND_STOP = "Put it aside and scan STOP."
PUT_DISC_BACK_AND_STOP = "Put the disc back and scan STOP."
PUT_SLEEVE_ASIDE_AND_STOP = "Put this sleeve aside and scan STOP."
LIFT_THE_HOLD_FIRST = "Lift the hold first."
OPEN_ANOTHER_CARTON = "Scan CLOSE, put it aside and open another."
"""What to do with a thing on hold."""


def of_fault(fault: IdentifierError) -> str:
    """Say what is wrong with a code and what to do, as whole sentences: in a fault the first follows other words."""
    text = str(fault)
    told = f"{text[:1].upper()}{text[1:]}" + ("" if text.endswith(".") else ".")
    # One fault names the setting of the scanner that is wrong; what to do about others is said by their code.
    return told if isinstance(fault, UnknownSymbology) else f"{told} {FindingCode(fault.finding).to_do}"


def unknown(thing: Thing, code: str) -> Refused:
    """The ledger does not know a code."""
    return Refused(FindingCode.UNKNOWN_CODE, f"{thing.value} {code} is not in the system.", subject=code)


def scan_the_reason(typed: str | None, *, defect: bool) -> str:
    """Ask for a card of the plant's reasons, or defects; `typed` is what may be done instead, None if nothing."""
    asks = f"Scan the {'defect' if defect else 'reason'} on the card."
    return asks if typed is None else f"{asks} If it is not there: {typed[:1].lower()}{typed[1:]}"


def no_reason_for(card: ReasonCard, act: str, cards: Sequence[ReasonCard]) -> Refused:
    """The plant has a reason card, and not for this act."""
    return Refused(
        FindingCode.WRONG_THING,
        f'"{card.text}" is not a reason for {act}. {_instead(cards)}',
        subject=card.code,
        expected=either([each.code for each in cards]),
        found=card.code,
    )


def typed_for_card(reading: Reading, cards: Sequence[ReasonCard]) -> Refused:
    """A reason was typed, and this plant wants a card scanned."""
    return act_asks_for(reading, _instead(cards), A_REASON_CARD)


def _instead(cards: Sequence[ReasonCard]) -> str:
    texts = either([f'"{each.text}"' for each in cards])
    return f"Scan {texts}." if texts else TYPE_THE_REASON


def station_closed(station: str, since: str) -> Refused:
    """Nobody works at this station any more."""
    return Refused(
        FindingCode.STATION_CLOSED,
        f"Station {station} was closed ({moment(since)}). Nothing is booked here; work at another station.",
        subject=station,
    )


def station_closing(station: str, since: str) -> Refused:
    """Something new is begun at a station that is closed as soon as what is open there is finished."""
    return Refused(
        FindingCode.STATION_CLOSED,
        f"Station {station} was closed ({moment(since)}). Finish what is open here; begin nothing new.",
        subject=station,
    )


def badge_withdrawn(person: Person) -> Refused:
    """A badge is scanned that counts no longer."""
    return Refused(
        FindingCode.BADGE_WITHDRAWN,
        f"Badge {person.code} of {person.name} was withdrawn ({moment(person.withdrawn or '')}). Put it aside for "
        "quality and scan the badge you have now.",
        subject=person.code,
    )


def badge_withdrawn_here(person: Person, *, holds_pieces: bool) -> Refused:
    """Somebody is signed on whose badge counts no longer; `holds_pieces` if STOP says where those go."""
    then = (
        "Scan STOP and do what it says; then somebody else scans their badge."
        if holds_pieces
        else "Somebody else scans their badge."
    )
    return Refused(
        FindingCode.BADGE_WITHDRAWN,
        f"The badge of {person.name}, who is signed on here, was withdrawn ({moment(person.withdrawn or '')}). {then}",
        subject=person.code,
    )


def picture_unread(name: str, why: str) -> Refused:
    """Nothing could be read in a picture."""
    return Refused(
        FindingCode.NO_READ,
        f"No code was read in the picture {name}: {why}. Take it again, or scan the code.",
        subject=name,
    )


def several_codes(name: str, codes: list[str]) -> Refused:
    """A picture shows several codes, and nobody can say which of them is meant."""
    return Refused(
        FindingCode.SEVERAL_CODES,
        f"The picture {name} shows {len(codes)} codes: {', '.join(codes)}. Nothing was booked. Show one code.",
        subject=name,
        expected="one code",
        found=", ".join(codes),
    )


def bars_unread(name: str, places: int) -> str:
    """Say that there are bars in a picture which no reader read."""
    return f"In the picture {name}, bars in {counted(places, 'place')} could not be read."


def strange_code(line: str) -> str:
    """Call a code that no label of this plant carries."""
    printable = "".join(character if character.isprintable() else " " for character in line)
    return f'"{printable[:40]}"'


def badge_in_picture(code: str, name: str) -> Refused:
    """A badge is in a picture, and nobody held it to a reader."""
    return Refused(
        FindingCode.BADGE_IN_PICTURE,
        f"Badge {code} is in the picture {name}: a picture signs nobody on. Scan the badge with a reader.",
        subject=code,
        expected="a badge held to a reader",
        found=name,
    )


def carton_not_packed(code: str) -> Refused:
    """No carton was packed under this label."""
    return Refused(FindingCode.UNKNOWN_CODE, f"Carton {code} has not been packed.", subject=code)


def on_hold(name: str, code: str, notice: HoldNotice, then: str) -> Refused:
    """A thing is on hold, by itself or because of what it comes from."""
    return Refused(FindingCode.ON_HOLD, f"{name} is {hold_words(notice, code)}. {then}", subject=code)


def thing_on_hold(thing: Thing, code: str, notice: HoldNotice, then: str) -> Refused:
    """A thing with a code is on hold; `then` says what to do with it now."""
    return on_hold(f"{thing.value} {code}", code, notice, then)


def hold_words(notice: HoldNotice, code: str) -> str:
    """Say that a thing is on hold, why, by which hold, and on what if that is another thing."""
    on = "" if notice.subject == code else f" on {notice.subject}"
    return f"on hold: {notice.reason} (hold {notice.hold}{on})"


def void(thing: Thing, code: str, why: str, subject: str) -> Refused:
    """A label was voided or came back unused."""
    return Refused(
        FindingCode.VOID_LABEL,
        f"{thing.value} {code} is void: {why}. Put it aside and take another.",
        subject=subject,
    )


def tool_retired(thing: Thing, code: str) -> Refused:
    """A tool is at the end of its life."""
    return Refused(
        FindingCode.TOOL_RETIRED, f"{thing.value} {code} is retired and may not be used.", subject=code
    )


def where(standing: Nesting | None) -> str:
    """Say where a carton or pallet is."""
    if standing is None:
        return "in no location"
    if standing.what == "location":
        return f"in location {standing.parent} ({standing.name})"
    if standing.what == "shipment":
        return f"in shipment {standing.parent} for {standing.name}, {standing.station}"
    return f"on pallet {standing.parent}"


def misplaced(reading: Reading, asked: str, by: Entered = Entered.SCANNED) -> Refused:
    """Something was scanned or keyed where another thing belongs.

    Args:
        reading: what came.
        asked: what belongs there.
        by: how that is entered.
    """
    return act_asks_for(reading, f"{by.value} {asked}.", asked)


def act_asks_for(reading: Reading, asks: str, slot: str) -> Refused:
    """Something else came than an act asks for.

    Args:
        reading: what came.
        asks: what the person is told to do.
        slot: what belongs there.
    """
    return Refused(
        FindingCode.WRONG_THING,
        f"You {what_came(reading)}. {asks}",
        subject=named(reading),
        expected=slot,
        found=named(reading),
    )


def not_of_batch(code: str, batches: list[str]) -> Refused:
    """No sleeve in the carton is of this batch."""
    return Refused(
        FindingCode.WRONG_BATCH,
        f"No sleeve of {code} is in the carton: {' or '.join(batches)}.",
        subject=code,
    )


def number_not_inside(number: str) -> Refused:
    """A sleeve number is not in the carton."""
    return Refused(
        FindingCode.WRONG_SLEEVE,
        f"The system does not show sleeve number {number} in this carton. Check the number.",
        subject=number,
    )


def counter_backwards(lot: Lot, counter: int) -> Refused:
    """A press counter was keyed below its last reading."""
    return Refused(
        FindingCode.COUNTER_BACKWARDS,
        f"You keyed {counter}, and the counter of {lot.code} was already at {lot.counter}. Read it again.",
        subject=lot.code,
        expected=f"{lot.counter} or more",
        found=str(counter),
    )


def counter_too_high(lot: Lot, counter: int, most: int) -> Refused:
    """A press counter was keyed far beyond what was planned."""
    return Refused(
        FindingCode.COUNTER_TOO_HIGH,
        f"{counter} is far beyond the {lot.planned} discs planned for {lot.code}. Read it again; if the lot "
        "really is that long, plan it as several lots.",
        subject=lot.code,
        expected=f"up to {most}",
        found=str(counter),
    )


def stopped_away(raw: str) -> Refused:
    """A scan at which the line was told to stop while the ledger was away."""
    return Refused(
        FindingCode.STOPPED_AWAY,
        "The line was stopped at this scan while the ledger was away: the piece counts as put aside.",
        subject=strange_code(raw),
    )


def judged_otherwise(sentence: str, shown: str, cartons: Sequence[str]) -> str:
    """Say that a scan made while the ledger was away is judged otherwise now."""
    held = f" On hold for it: carton {' and carton '.join(cartons)}." if cartons else ""
    return f"While the ledger was away this scan was shown {shown}. Now: {sentence}{held}"


def packed_while_away(shown: str) -> str:
    """Why a carton is held that was packed while the ledger was away."""
    return f"packed while the ledger was away: a scan shown {shown} is judged otherwise now"
