"""What the lab is told of a sample: what it is, where its disc is from, why it cannot be from there."""

from tracelink.ledger.closed_sets import CartonStatus, ReturnStatus, ShipmentStatus
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Refused
from tracelink.station.sentences.thing_names import counted

UNKNOWN = "unknown"
"""What is typed instead of a stroke that nobody knows."""

KEY_THE_STROKE = f'Key the stroke of the disc, such as #250; if it is not known, type "{UNKNOWN}.'
SCAN_THE_PLACE = "Scan the spindle or carton the disc is from, or key the number of its return, such as #3."
SCAN_THE_BATCH = "Scan the sleeve batch of the unit."
SCAN_THE_SLEEVE = "Scan the sleeve of the unit, or type its number."
"""What a slot asks for."""

A_PLACE = "the spindle or carton the disc is from"
"""What belongs into a slot, for whoever scans something else."""


def disc(stroke: int | None, lot: str) -> str:
    """Return what a sample is."""
    return f"a disc of lot {lot}, stroke unknown" if stroke is None else f"disc {stroke} of lot {lot}"


def short_disc(stroke: int | None) -> str:
    """Return which disc of its lot a sample is, where the lot was named."""
    return "stroke unknown" if stroke is None else f"disc {stroke}"


def was_put_on(stroke: int, spindle: str, there: int) -> str:
    """Say where a disc was stacked, before it is asked where it is from; ends in a space."""
    return f"Disc {stroke} was put on spindle {spindle}, which now shows {counted(there, 'disc')}. "


def drawn(sample: str, what: str) -> str:
    """Say that a sample was drawn at the press."""
    return f"Sample {sample} is {what}."


def taken(sample: str, what: str, place: str, left: int) -> str:
    """Say from where a sample was taken, and how many discs of its lot the system shows there now."""
    return f"Sample {sample} is {what}, from {place}, which now shows {counted(left, 'disc')} of the lot."


def called_spindle(code: str) -> str:
    """Return how a spindle is called."""
    return f"spindle {code}"


def called_carton(code: str, line: int | None) -> str:
    """Return how a carton is called; `line` is the number of its return while it is in quarantine."""
    return f"carton {code}" if line is None else f"carton {code} of return {line}"


def called_return(line: int) -> str:
    """Return how the loose discs of a return are called."""
    return f"return {line}"


def not_there(code: FindingCode, place: str, called: str, lot: str) -> Refused:
    """The system shows no disc of the lot in a place."""
    return Refused(
        code,
        f"The system shows no disc of lot {lot} in {called}. Scan where the disc was taken from; if it was "
        "there, count and tell quality.",
        subject=place,
        expected=f"a disc of {lot}",
        found="none",
    )


def another_lot(spindle: str, lot: str, wanted: str) -> Refused:
    """A spindle holds another lot than that of the sample."""
    return Refused(
        FindingCode.WRONG_LOT,
        f"Spindle {spindle} holds lot {lot}, not {wanted}. Check the lot card and the spindle card.",
        subject=spindle,
        expected=wanted,
        found=lot,
    )


def another_stack(stroke: int, stacked: str, spindle: str) -> Refused:
    """A stroke was put on another spindle at the press."""
    return Refused(
        FindingCode.WRONG_THING,
        f"Disc {stroke} was put on spindle {stacked}, not {spindle}. Read the stroke and the card again.",
        subject=spindle,
        expected=stacked,
        found=spindle,
    )


def carton_open(code: str) -> Refused:
    """A carton is still open at a line, which counts what is in it."""
    return Refused(
        FindingCode.CARTON_OPEN,
        f"Carton {code} is open at a line. Scan CLOSE there first, then take the sample.",
        subject=code,
        expected=CartonStatus.CLOSED,
        found=CartonStatus.OPEN,
    )


def carton_destroyed(code: str) -> Refused:
    """A carton was destroyed."""
    return Refused(
        FindingCode.CARTON_DESTROYED,
        f"The system shows carton {code} as destroyed. Put it aside and tell quality.",
        subject=code,
    )


def carton_left(code: str) -> Refused:
    """A carton is with a customer."""
    return Refused(
        FindingCode.SHIPMENT_LEFT,
        f"The system shows that carton {code} has left the plant. If it is back, scan RETURN at the dock first.",
        subject=code,
        expected="a carton in the plant",
        found=ShipmentStatus.SHIPPED,
    )


def return_unknown(line: int) -> Refused:
    """There is no return of this number."""
    return Refused(FindingCode.UNKNOWN_CODE, f"Return {line} is not in the system.", subject=str(line))


def return_is_carton(line: int, carton: str) -> Refused:
    """What came back with this number is a carton, which has a label."""
    return Refused(
        FindingCode.WRONG_THING,
        f"Return {line} is carton {carton}. Scan its label.",
        subject=str(line),
        expected=carton,
        found=str(line),
    )


def return_gone(line: int, status: str) -> Refused:
    """The discs of a return are not in its place any more."""
    return Refused(
        FindingCode.NOT_IN_QUARANTINE,
        f"The discs of return {line} are {status} already. Scan where the disc was taken from.",
        subject=str(line),
        expected=ReturnStatus.QUARANTINE,
        found=status,
    )
