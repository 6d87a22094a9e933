"""What is said of a count by hand: what was counted, what the system shows, what is under investigation."""

from collections.abc import Iterable, Sequence

from tracelink.ledger.count_words import counted, few
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.balance import CountConfirmed, Counted
from tracelink.station.common.outcome import Refused
from tracelink.station.common.station_facts import Lot

WHAT_CAN_BE_COUNTED = "a spindle card, a carton label or a lot card"
HOW_MANY = "how many there are"
"""What belongs into a slot, for whoever scans something else."""

SCAN_WHAT_YOU_COUNTED = (
    "Scan what you counted: spindle, carton, or the lot card for discs at the press without a spindle."
)
SCAN_WHAT_YOU_COUNTED_AT_THE_DOCK = "Scan what you counted: pallet, carton, spindle, or the lot card for discs at the press without a spindle."
HOW_MANY_CARTONS = "how many cartons are on it"
KEY_HOW_MANY = (
    'Key how many there are, such as #40; of a mixed carton, lot by lot if you can: "L000001S=3 L000005K=2.'
)
"""What a slot asks for."""


def not_pressed(lot: Lot) -> Refused:
    """A lot that was never on a press is counted."""
    return Refused(
        FindingCode.NOT_PRESSED, f"Lot {lot.code} is {lot.status}; it has no discs yet.", subject=lot.code
    )


def pallet_counted(code: str) -> Refused:
    """A pallet is counted as one thing."""
    return Refused(
        FindingCode.WRONG_THING,
        f"{code} is a pallet label. Count its cartons one by one.",
        subject=code,
        expected="a carton label",
        found="a pallet label",
    )


def carton_still_open(code: str) -> Refused:
    """A carton is counted while its line packs into it."""
    return Refused(
        FindingCode.CARTON_OPEN,
        f"Carton {code} is still open at its line; count it when it is closed.",
        subject=code,
    )


def carton_empty(code: str) -> Refused:
    """Nothing is in a carton that is counted."""
    return Refused(FindingCode.CARTON_EMPTY, f"The system shows carton {code} as empty.", subject=code)


def counter_reading_keyed(lot: str, found: int, expected: int) -> Refused:
    """The counter of the press was keyed instead of the discs that lie there."""
    return Refused(
        FindingCode.WRONG_COUNT,
        f"{found} is the counter reading of {lot}. Key how many discs lie at the press without a spindle.",
        subject=lot,
        expected=str(expected),
        found=str(found),
    )


def not_lot_by_lot(text: str, lots: Iterable[str]) -> Refused:
    """A typed text does not give the count of each lot."""
    wanted = " ".join(f"{lot}=..." for lot in lots)
    return Refused(
        FindingCode.WRONG_COUNT,
        f'"{text}" is not a count by lot. Key one number for all, or type the count of each lot: "{wanted}".',
        subject=text,
        expected=wanted,
        found=text,
    )


Found = int | Sequence[Counted]
"""What was counted: a number for all, or one of each lot."""


def at_press(lot: str, found: Found) -> str:
    """Say what was counted of a lot where it was pressed."""
    return f"At the press, without a spindle, lot {lot} has {_many(found, 'disc')}"


def on_spindle(spindle: str, found: Found) -> str:
    """Say what was counted on a spindle."""
    return f"Spindle {spindle} holds {_many(found, 'disc')}"


def in_carton(carton: str, found: Found) -> str:
    """Say what was counted in a carton."""
    return f"Carton {carton} holds {_many(found, 'unit')}"


def on_pallet(pallet: str, cartons: int) -> str:
    """Say what was counted on a pallet."""
    return f"Pallet {pallet} holds {counted(cartons, 'carton')}"


def pallet_held(hold: str) -> str:
    """Say that a pallet is on hold now, to add to another sentence."""
    return f" The pallet is on hold ({hold}): scan each carton on it to see where the system shows it."


def _many(found: Found, unit: str) -> str:
    if isinstance(found, int):
        return counted(found, unit)
    return ", ".join(f"{each.quantity} of {each.lot}" for each in found)


def agrees(said: str) -> str:
    """Say that a count is what the system shows."""
    return f"{said}, as the system shows."


def differs_by_lot(said: str, lots: Sequence[Counted]) -> str:
    """Say that a count of each lot is not what the system shows."""
    return f"{said}; the system shows {', '.join(f'{each.expected} of {each.lot}' for each in lots)}"


def differs(said: str, expected: Sequence[int], missing: int) -> str:
    """Say that a count is not what the system shows: `expected`, of each disc of the product that differs."""
    off = f"{abs(missing)} {'missing' if missing > 0 else 'too many'}"
    return f"{said}; the system shows {', '.join(map(str, expected))}: {off}"


def count_again(why: str) -> str:
    """Say what to do with a count that differs."""
    return f"{why}. Count again; tell quality."


def agrees_together(said: str, lots: Sequence[str]) -> str:
    """Say that discs of several lots that were counted together are as many as the system shows."""
    return f"{said}, as the system shows. How many are of {' and '.join(lots)} was not counted."


def differs_together(why: str, lots: Sequence[str]) -> str:
    """Say that a sum of several lots differs, which leaves open which of them does."""
    return f"{why}. Which of {' and '.join(lots)} is off cannot be told. Count again; tell quality."


def under_investigation(lots: Sequence[str]) -> str:
    """Say which lots are looked into now, to add to another sentence."""
    if len(lots) == 1:
        return f" Lot {lots[0]} is under investigation."
    return f" Lots {' and '.join(lots)} are under investigation."


_SHOWN = 10
"""Numbers told to the person; the entry lists all."""

SECOND_PERSON_COUNTS = " A second person counts it too: what both count is its content."
"""What makes a count of a carton hold, to add to another sentence."""

_UNCLEAR = {
    "numbers": "which numbers are missing. At the dock somebody else scans NUMBERS and each sleeve that is there",
    "lots": "of which lot the missing discs are; count it lot by lot",
    "sleeves": "of which batch the missing sleeves are",
    "items": "which items are missing",
    "": "what is missing of each disc",
}


def content_stays(what: str) -> str:
    """Say that a confirmed count changes no content, because nobody can tell what is missing."""
    then = "" if what == "numbers" else " Quality decides on it."
    return f" Its content stays as it is: nobody can tell {_UNCLEAR[what]}.{then}"


def no_numbers(carton: str, title: str) -> Refused:
    """The sleeves of a carton are to be scanned by number, and have none."""
    return Refused(
        FindingCode.WRONG_NUMBER,
        f'The sleeves of "{title}" in carton {carton} have no numbers. A second person counts it with COUNT.',
        subject=carton,
    )


def nothing_missing(carton: str) -> Refused:
    """The numbers of a carton are to be scanned that nobody counted short."""
    return Refused(
        FindingCode.WRONG_COUNT,
        f"No count of carton {carton} differs from the system. Count it with COUNT first.",
        subject=carton,
    )


def another_person_scans(carton: str, name: str) -> Refused:
    """Whoever counted a carton scans its sleeves too."""
    return Refused(
        FindingCode.SAME_PERSON,
        f"{name} counted carton {carton}. Another person scans the sleeves that are in it.",
        subject=carton,
    )


def not_to_be_told(carton: str, what: str) -> Refused:
    """The numbers are known, and not what is missing beside them."""
    return Refused(
        FindingCode.NOT_INFERABLE,
        f"In carton {carton} nobody can tell {_UNCLEAR[what]}. Quality decides on it.",
        subject=carton,
    )


def scan_each_sleeve(done: int, there: int) -> str:
    """Ask for one sleeve after the other."""
    return f"Scan the sleeves that are in the carton, one by one: {done} of {there}."


def sleeve_scanned_before(number: str, done: int, there: int) -> Refused:
    """The same sleeve is scanned once more."""
    return Refused(
        FindingCode.WRONG_NUMBER,
        f"Sleeve number {number} was scanned before: {done} of {there}. Scan the next one; if two sleeves "
        "have this number, put both aside for quality.",
        subject=number,
        expected="another sleeve",
        found=number,
    )


def numbers_known(content: CountConfirmed, missing: Sequence[str]) -> str:
    """Say what a carton holds after its sleeves were scanned, and which numbers are lost."""
    noun = "number" if len(missing) == 1 else "numbers"
    verb = "is" if len(missing) == 1 else "are"
    return (
        f"Carton {content.carton} holds {counted(content.counted, 'unit')}, each scanned by number, and the system shows "
        f"{content.counted} from now on. Sleeve {noun} {few(missing, _SHOWN)} {verb} lost."
    )


def taken_over(content: CountConfirmed) -> str:
    """Say that two people counted the same, and what that makes of the carton."""
    lost = content.recorded - content.counted
    return (
        f"Carton {content.carton} holds {counted(content.counted, 'unit')}: two people counted the same, and the system "
        f"shows {content.counted} from now on. {counted(lost, 'unit')} {'is' if lost == 1 else 'are'} lost."
    )


def count_in_doubt(carton: str) -> str:
    """Say why a carton or its pallet is not sent, without a full stop."""
    return f"the count of carton {carton} differs or is under investigation"


def not_confirmed(carton: str) -> Refused:
    """The last count of a carton differs."""
    return Refused(
        FindingCode.COUNT_NOT_CONFIRMED,
        f"A count of carton {carton} differs from the system. A second person counts it with COUNT first.",
        subject=carton,
    )


def carton_investigated(carton: str, number: int, lot: str) -> Refused:
    """What a count of a carton opened is open still."""
    return Refused(
        FindingCode.UNDER_INVESTIGATION,
        f"A count of carton {carton} differed from the system: investigation {number} of lot {lot} is open. Leave the carton "
        "where it is until quality has closed the investigation.",
        subject=carton,
    )
