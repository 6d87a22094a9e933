"""What is told of waivers, rejected parts of lots, sorted stacks and readings of slow tests."""

from collections.abc import Sequence

from tracelink.ledger.count_words import counted, either
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries_lab import SlowReading
from tracelink.station.common.station_facts import Sample
from tracelink.station.sentences.bench.measuring_sentences import reading_name
from tracelink.station.sentences.lab_sentences import of_lot

FIRST_STROKE = "Key the first stroke that is rejected, such as #120."
LAST_STROKE = "Key the last stroke that is rejected, such as #260."
MISSED_STROKE = "Key the stroke of the disc that is not to be had, such as #250."
SCAN_WHAT_WAS_SORTED = (
    "Scan the spindle card or carton that was sorted, or key the number of its return, such as #3."
)
LOOKED_AT = "Key how many discs were looked at: all of them."
BAD_ONES = "Key how many of them were bad and thrown out; #0 if none."
SORTED_BY = 'Type " and then what they were sorted by, such as "surface noise.'
TYPE_THE_SLOW_TEST = 'Type " and then the name of the slow test.'
"""What a slot asks for."""

A_STROKE = "a stroke"
WHAT_CAN_BE_SORTED = "the spindle or carton that was sorted"
A_COUNT = "a number of discs"
A_DEFECT = "the name of a defect"
A_SLOW_TEST = "the name of a slow test"
"""What belongs into a slot, for whoever scans something else."""


def not_bad(sample: str) -> Refused:
    """WAIVE of a sample that is not judged bad."""
    return Refused(
        FindingCode.NOT_JUDGED,
        f"Sample {sample} is not judged bad: there is nothing to waive. Scan the tag of a bad one, or CANCEL.",
        subject=sample,
    )


def waived_already(sample: str) -> Refused:
    """WAIVE of a sample that was waived."""
    return Refused(FindingCode.ALREADY_JUDGED, f"Sample {sample} is waived already.", subject=sample)


def waived(sample: Sample) -> str:
    """Say that a bad sample does not stand against its lot any more."""
    return (
        f"Sample {sample.code} ({sample.defect}) is waived by two people: it does not stand against {of_lot(sample)}. "
        "It stays bad in every question."
    )


def outside_not_judged(samples: Sequence[str], lot: str) -> Refused:
    """RELEASE of a lot with values outside their limit that nobody judged."""
    many = counted(len(samples), "sample")
    return Refused(
        FindingCode.VALUE_OUTSIDE,
        f"{many} of lot {lot} with a value outside its limit not judged: {either(samples)}. Judge first: scan "
        "CANCEL, then BAD.",
        subject=lot,
        expected="every one judged",
        found=str(len(samples)),
    )


def no_such_strokes(lot: str, counter: int, stroke: int, least: int) -> Refused:
    """A stroke that a lot does not have, or before the first that was keyed."""
    return Refused(
        FindingCode.NO_SUCH_STROKE,
        f"Stroke {stroke} of lot {lot}: expected {least} to {counter}. Read the stroke again.",
        subject=lot,
        expected=f"{least} to {counter}",
        found=str(stroke),
    )


def part_rejected(lot: str, strokes: tuple[int, int], hold: str, places: int) -> str:
    """Say that part of a lot is rejected and on hold; `places` are the stacks and cartons that may hold some of it."""
    return (
        f"Strokes {strokes[0]} to {strokes[1]} of lot {lot} are rejected and on hold, with "
        f"{counted(places, 'stack or carton', 'stacks and cartons')} that may hold one of them (hold {hold})."
    )


def missed(stroke: int, lot: str) -> str:
    """Say that a disc is not to be had, and what comes of it."""
    return f"Disc {stroke} of lot {lot} is not to be had: where a plan wants it, another disc of its part stands in for it."


def missed_already(stroke: int, lot: str) -> Refused:
    """MISSED of a disc that somebody missed before."""
    return Refused(
        FindingCode.ALREADY_SAMPLED,
        f"Disc {stroke} of lot {lot} was missed before. Read the stroke again.",
        subject=lot,
    )


def several_lots_to_sort(called: str, lots: Sequence[str]) -> Refused:
    """SORT of what holds no disc, or discs of several lots."""
    found = ", ".join(lots) or "none"
    return Refused(
        FindingCode.WRONG_LOT,
        f"The system shows discs of {counted(len(lots), 'lot')} in {called}: {found}. One lot is sorted at a time.",
        subject=called,
        expected="discs of one lot",
        found=found,
    )


def not_all_looked_at(place: str, where: str, there: int, found: int) -> Refused:
    """SORT with another number than there are discs."""
    return Refused(
        FindingCode.WRONG_COUNT,
        f"The system shows {counted(there, 'disc')} {where}, and {found} were looked at. Every disc there is looked at; if the "
        "count differs, scan CANCEL, then COUNT.",
        subject=place,
        expected=str(there),
        found=str(found),
    )


def more_bad_than_looked_at(place: str, where: str, looked_at: int, bad: int) -> Refused:
    """SORT with more bad discs than were looked at."""
    return Refused(
        FindingCode.WRONG_COUNT,
        f"{bad} bad of {looked_at} looked at {where}. Count again.",
        subject=place,
        expected=f"0 to {looked_at}",
        found=str(bad),
    )


def sorted_at_a_line(carton: str) -> Refused:
    """SORT finds bad discs in a carton of sets, numbered sleeves, items or several sleeve batches."""
    return Refused(
        FindingCode.WRONG_THING,
        f"Carton {carton} holds units of more than one disc in one kind of sleeve. Scan CANCEL; at a packing line REOPEN it and "
        "TAKEOUT each bad unit, then SORT the rest.",
        subject=carton,
        expected="units of one disc in sleeves without numbers",
        found="other units",
    )


def sorted_through(called: str, looked_at: int, bad: int, defect: str) -> str:
    """Say what was sorted, and what is left of it."""
    return (
        f"{called[:1].upper()}{called[1:]}: {counted(looked_at, 'disc')} sorted by {defect}, {bad} bad and thrown out, "
        f"{looked_at - bad} left. A hold or a rejection stays until two people end it."
    )


def unknown_slow_test(name: str, known: Sequence[str]) -> Refused:
    """A slow test that the plant does not name."""
    expected = either(known) or "one that the plant file names in [[slow_test]]"
    return Refused(
        FindingCode.UNKNOWN_TEST,
        f'"{name}" is no slow test of this plant. Expected {expected}.',
        subject=name,
        expected=expected,
        found=name,
    )


def begun_before(sample: str) -> Refused:
    """A sample that is in a slow test, or was."""
    return Refused(
        FindingCode.MEASURED_ALREADY,
        f"Sample {sample} has begun a slow test before. Take another disc: what was done to this one stays in it.",
        subject=sample,
    )


def no_reading(sample: str) -> Refused:
    """READING of a sample that has none left."""
    return Refused(
        FindingCode.NOT_MEASURED,
        f"Sample {sample} has no reading left. Scan CANCEL, then SLOWTEST to begin a test.",
        subject=sample,
    )


def too_early(sample: str, reading: SlowReading, today: str) -> Refused:
    """READING before its day."""
    return Refused(
        FindingCode.NOT_READY,
        f"Reading {reading_name(reading)} of sample {sample} is due on {reading.due}, and today is {today}. Wait until then.",
        subject=sample,
        expected=reading.due,
        found=today,
    )


def slow_test_begun(sample: str, name: str, first: str, readings: int) -> str:
    """Say that a slow test began, and when the disc is looked at first."""
    return f"Sample {sample} begins {name}: {counted(readings, 'reading')}, the first on {first}."


def reading_taken(sample: Sample, reading: SlowReading, defect: str | None) -> str:
    """Say what a reading came to."""
    counts = "about all that it was built of" if sample.is_built else "for its lot like any bad sample"
    found = "good" if defect is None else f"bad: {defect}. It counts {counts}"
    left = reading.left - 1
    more = f"{counted(left, 'reading')} left." if left else "It was the last reading."
    return f"Sample {sample.code}, {reading_name(reading)}: {found}. {more}"


def why_bad(reading: SlowReading) -> str:
    """Return the reason of a judgement that a reading led to."""
    return f"slow test: {reading_name(reading)}"
