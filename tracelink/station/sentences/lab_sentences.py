"""What the lab is told of tags, strokes, judgements and values, and of where the disc of a sample is from."""

from tracelink.ledger.closed_sets import CartonStatus, ReturnStatus, ShipmentStatus
from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Refused
from tracelink.station.common.station_facts import Sample

A_NEW_SAMPLE_TAG = "a new sample tag"
STROKE_OF_THE_DISC = "the stroke of the disc"
A_SAMPLE_TAG = "a sample tag"
NAME_OF_THE_DEFECT = "the name of the defect"
GOOD_OR_DEFECT = "good, or the name of the defect"
SCAN_A_NEW_SAMPLE_TAG = "Scan a new sample tag."
SCAN_THE_SAMPLE_TAG = "Scan the sample tag."
SCAN_THE_SAMPLE_OR_UNIT = "Scan the sample tag, or the serial label of a unit."
TYPE_THE_DEFECT = 'Type " and then the name of the defect.'
TYPE_GOOD_OR_DEFECT = 'Type " and then good, or the name of the defect.'
TYPE_WHY_CORRECTED = 'Type " and then why the judgement is corrected.'
ACTION_CARD_OR_SAMPLE_TAG = "an action card or a sample tag"

UNKNOWN = "unknown"
"""What is typed instead of a stroke that nobody knows."""

KEY_THE_STROKE = f'Key the stroke of the disc, such as #250; if it is not known, type "{UNKNOWN}.'
SCAN_THE_PLACE = "Scan the spindle or carton the disc is from, or key the number of its return, such as #3."
"""What a slot asks for."""

A_PLACE = "the spindle or carton the disc is from"
"""What belongs into a slot, for whoever scans something else."""


def tag_in_use(code: str) -> Refused:
    """A sample tag stands on another sample."""
    return Refused(
        FindingCode.TAG_IN_USE, f"Sample tag {code} is in use already. Take a new tag.", subject=code
    )


def no_such_stroke(lot: str, counter: int, stroke: int) -> Refused:
    """A lot has no disc of this stroke."""
    return Refused(
        FindingCode.NO_SUCH_STROKE,
        f"Lot {lot} has strokes 1 to {counter}; it has no disc {stroke}. Read the stroke again.",
        subject=lot,
        expected=f"1 to {counter}",
        found=str(stroke),
    )


def sampled_already(stroke: int, lot: str, tag: str) -> Refused:
    """A disc that was sampled before."""
    return Refused(
        FindingCode.ALREADY_SAMPLED,
        f"Disc {stroke} of {lot} has been sampled already: tag {tag}.",
        subject=lot,
    )


def thrown_out(stroke: int, lot: str) -> Refused:
    """A disc that was scrapped while the press was set up."""
    return Refused(
        FindingCode.THROWN_OUT,
        f"Stroke {stroke} of {lot} was scrapped when the press was set up. Read the stroke again, or tell "
        "quality.",
        subject=lot,
    )


def judged_already(sample: Sample) -> Refused:
    """GOOD or BAD of a sample that was judged."""
    return Refused(
        FindingCode.ALREADY_JUDGED,
        f"Sample {sample.code} has been judged already ({_how(sample)}). To correct it, scan CANCEL, then REJUDGE.",
        subject=sample.code,
    )


def not_judged(code: str) -> Refused:
    """REJUDGE of a sample that was not judged."""
    return Refused(
        FindingCode.NOT_JUDGED,
        f"Sample {code} has no judgement to correct. Scan CANCEL, then GOOD or BAD.",
        subject=code,
    )


def defect_is_good(defect: str) -> Refused:
    """BAD with the word good as the name of the defect."""
    return Refused(
        FindingCode.WRONG_FORMAT,
        "A bad sample needs the name of its defect, not the word good. Type the name, or scan CANCEL and "
        "GOOD.",
        subject=defect,
        expected="the name of the defect",
        found=defect,
    )


def judged(sample: Sample, defect: str | None) -> str:
    """Say how a sample was judged; no defect if it is good."""
    word = f"bad: {defect}" if defect else "good"
    return f"Sample {sample.code} ({of_lot(sample)}, {_short(sample)}) is {word}."


def about_sample(sample: Sample) -> str:
    """Say what the system knows of a sample."""
    judged = "not judged yet" if sample.judged_seq is None else f"judged {_how(sample)}"
    what = f"{_short(sample)} of {of_lot(sample)}" if sample.is_built else disc(sample.stroke, sample.lot)
    return f"Sample {sample.code} is {what}, {judged}."


def of_lot(sample: Sample) -> str:
    """Return of which lot or build order a sample is."""
    return f"build order {sample.lot}" if sample.is_built else f"lot {sample.lot}"


def _short(sample: Sample) -> str:
    return f"piece {sample.stroke}" if sample.is_built else short_disc(sample.stroke)


def _how(sample: Sample) -> str:
    return f"bad: {sample.defect}" if sample.defect else "good"


def disc(stroke: int | None, lot: str) -> str:
    """Return what a sample is."""
    return f"a disc of lot {lot}, stroke unknown" if stroke is None else f"disc {stroke} of lot {lot}"


def short_disc(stroke: int | None) -> str:
    """Return which disc of its lot a sample is, where the lot was named."""
    return "stroke unknown" if stroke is None else f"disc {stroke}"


def was_put_on(stroke: int, spindle: str, there: int) -> str:
    """Say where a disc was stacked, before it is asked where it is from; ends in a space."""
    return f"Disc {stroke} was put on spindle {spindle}; the system shows {_discs(there)} there now. "


def drawn(sample: str, what: str) -> str:
    """Say that a sample was drawn at the press."""
    return f"Sample {sample} is {what}."


def taken(sample: str, what: str, place: str, left: int) -> str:
    """Say from where a sample was taken, and how many discs of its lot the system shows there now."""
    now = f"The system shows {_discs(left)} of the lot there now."
    return f"Sample {sample} is {what}, from {place}. {now}"


def _discs(number: int) -> str:
    return counted(number, "disc") if number else "no disc"


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
        f"The system shows that {called} holds no disc of lot {lot}. Scan where the disc was taken from; if it "
        "was there, count and tell quality.",
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
