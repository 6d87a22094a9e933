"""What stations of process steps say: cards and equipment, what went in, what was read and made."""

from collections.abc import Sequence

from tracelink.ledger.closed_sets import StepStatus, WorksOn
from tracelink.ledger.count_words import counted
from tracelink.ledger.decimal_sign import DecimalSign
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.quantities import amount_words, units_of
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries_process import Equipment, ProcessStep
from tracelink.station.common.station_facts import HoldNotice

A_NEW_STEP_CARD = "a new step card"
A_STEP_CARD = "the card of a step that is not over"
AN_EQUIPMENT_TAG = "the tag of the equipment"
A_SPINDLE_OR_LOT = "a spindle card or a lot card"
A_TOOL_TAG = "a tool tag"
A_COMPOUND_LOT = "a compound lot"
A_COMPOUND_OR_LOT = "a compound lot, or the lot card of discs that are ground"
A_NEW_COMPOUND_LOT = "a new card of a compound lot"
THE_FIRST_STROKE = "the first stroke"
THE_LAST_STROKE = "the last stroke"
A_CARD_OR_STEP = "an action card or a step card"

SCAN_A_NEW_STEP_CARD = "Scan a new step card."
SCAN_THE_STEP_CARD = "Scan the step card."
SCAN_THE_EQUIPMENT = "Scan the tag of the equipment."
SCAN_THE_NEW_LOT = "Scan the card of the new compound lot."
SCAN_WHAT_DID_NOT_GO_IN = "Scan what did not go in."
WHAT_DID_NOT_GO_IN = "what did not go in"
TYPE_WHY_TAKEN_BACK = 'Type " and then why it is taken back.'
TYPE_WHY_NOT_AS_PLANNED = 'Type " and then why.'
AN_AMOUNT = "an amount with its unit"


def scan_what_goes_in(asked: str) -> str:
    """Ask for what goes into a step of this kind."""
    return f"Scan what goes in: {asked}."


def key_the_first(works_on: WorksOn) -> str:
    """Ask for the first disc or piece that goes in."""
    return f"Key the first {_number_of(works_on)} that goes in, such as #1."


def key_the_last(works_on: WorksOn) -> str:
    """Ask for the last disc or piece that goes in."""
    return f"Key the last {_number_of(works_on)} that goes in, such as #500."


def _number_of(works_on: WorksOn) -> str:
    return "piece" if works_on is WorksOn.PIECES else "stroke"


def step_card_in_use(code: str) -> Refused:
    """A step card stands for another step."""
    return Refused(
        FindingCode.CARD_IN_USE, f"Step card {code} is in use already. Take a new card.", subject=code
    )


def equipment_busy(equipment: Equipment) -> Refused:
    """Another step is not over in this equipment."""
    return Refused(
        FindingCode.EQUIPMENT_BUSY,
        f"Step {equipment.open_step} is still open in {equipment.name} {equipment.code}. Scan END for it first.",
        subject=equipment.code,
        expected="equipment without an open step",
        found=str(equipment.open_step),
    )


def begun(step: str, equipment: Equipment) -> str:
    """Say that a step began."""
    return f"Step {step} begun: {equipment.process} in {equipment.name} {equipment.code}."


def step_over(step: ProcessStep) -> Refused:
    """Something is booked on a step that is over."""
    return Refused(
        FindingCode.STEP_ENDED,
        f"Step {step.code} ({step.process}) is over. Take the card of the step that is running.",
        subject=step.code,
    )


def made_already(step: ProcessStep) -> Refused:
    """Something goes into a step after its product was weighed: shares of what was made would change."""
    return Refused(
        FindingCode.STEP_MADE,
        f"Step {step.code} has made its material already. Scan END, and begin another step.",
        subject=step.code,
    )


def in_already(step: ProcessStep, thing: str) -> Refused:
    """A thing goes into the same step twice."""
    return Refused(
        FindingCode.IN_STEP_ALREADY,
        f"{thing} is in step {step.code} already. Scan the next one.",
        subject=thing,
        expected="something that is not in the step",
        found=thing,
    )


def not_in_step(step: ProcessStep, thing: str) -> Refused:
    """UNDO of a thing that is not in the step."""
    return Refused(
        FindingCode.NOT_IN_STEP,
        f"{thing} is not in step {step.code}. Check the card of the step.",
        subject=thing,
        expected=f"something in step {step.code}",
        found=thing,
    )


def made_of_it_already(step: ProcessStep) -> Refused:
    """UNDO in a step of which something was made: its shares are told already."""
    return Refused(
        FindingCode.STEP_MADE,
        f"Step {step.code} has made its material already, so nothing of it is taken back. Take back first what it made.",
        subject=step.code,
    )


def taken_back(step: ProcessStep, thing: str) -> str:
    """Say what did not go in after all."""
    return f"{thing} is taken back: it did not go into step {step.code}, {step.process}."


def no_strokes(lot: str, counter: int, first: int, last: int) -> Refused:
    """Strokes go in that the lot does not have."""
    return Refused(
        FindingCode.NO_SUCH_STROKE,
        f"Lot {lot} has strokes 1 to {counter}; you keyed {first} to {last}. Look at the card of the stack.",
        subject=lot,
        expected=f"1 to {counter}, in order",
        found=f"{first} to {last}",
    )


def spindle_empty(code: str) -> Refused:
    """No disc is on a spindle."""
    return Refused(
        FindingCode.SPINDLE_EMPTY,
        f"The system shows spindle {code} as empty. Scan the card of the stack in front of you.",
        subject=code,
    )


def type_the_amount(sign: DecimalSign) -> str:
    """Ask for an amount."""
    return f'Type " and then how much and its unit, such as "{sign.shown("12.5")} kg.'


def not_an_amount(text: str, base: str, why: str, sign: DecimalSign) -> Refused:
    """An amount cannot be read, or is in a unit that does not fit the process."""
    return Refused(
        FindingCode.WRONG_UNIT,
        f"{why[:1].upper()}{why[1:]}. {type_the_amount(sign)}",
        subject=text,
        expected=f"an amount in {units_of(base)}",
        found=text,
    )


def discs_went_in(
    step: ProcessStep, thing: str, lot: str, discs: int | None, strokes: tuple[int, int] | None
) -> str:
    """Say which discs went in."""
    which = f"{counted(discs, 'disc')} of lot {lot}" if discs is not None else f"lot {lot}"
    if strokes is not None:
        return f"Strokes {strokes[0]} to {strokes[1]} of lot {lot} are in step {step.code}, {step.process}."
    return f"Spindle {thing} with {which} is in step {step.code}, {step.process}."


def tool_went_in(step: ProcessStep, what: str, tool: str) -> str:
    """Say which tool went in."""
    return f"{what.capitalize()} {tool} is in step {step.code}, {step.process}."


def amount_went_in(step: ProcessStep, thing: str, amount: int) -> str:
    """Say how much of what went in."""
    assert step.unit is not None
    both = amount_words(step.taken + amount, step.unit)
    return f"{amount_words(amount, step.unit)} of {thing} into step {step.code}: {both} in all."


def not_a_blend(step: ProcessStep) -> Refused:
    """MAKE in a step that makes nothing new."""
    return Refused(
        FindingCode.MAKES_NOTHING,
        f"Step {step.code} is {step.process}, which makes no new lot. Scan END when it is over.",
        subject=step.code,
    )


def material_known(code: str) -> Refused:
    """The card of a new compound lot is on another one."""
    return Refused(
        FindingCode.CARD_IN_USE,
        f"Compound lot {code} is in the system already. Take a new card.",
        subject=code,
    )


def more_than_went_in(step: ProcessStep, amount: int) -> Refused:
    """More is made than went in."""
    assert step.unit is not None
    left = amount_words(step.taken - step.made, step.unit)
    return Refused(
        FindingCode.MORE_THAN_WENT_IN,
        f"{amount_words(step.taken, step.unit)} went into step {step.code}, of which {left} are left to be made; you "
        f"typed {amount_words(amount, step.unit)}. Weigh again, or scan CANCEL and TAKE for what is missing.",
        subject=step.code,
        expected=f"up to {left}",
        found=amount_words(amount, step.unit),
    )


def material_made(step: ProcessStep, material: str, amount: int) -> str:
    """Say what a step made."""
    assert step.unit is not None
    return f"Compound lot {material}: {amount_words(amount, step.unit)} made in step {step.code}, {step.process}."


def nothing_in(step: ProcessStep) -> Refused:
    """A step makes something, and nothing went in."""
    return Refused(
        FindingCode.STEP_EMPTY,
        f"Nothing went into step {step.code}. Scan TAKE first.",
        subject=step.code,
    )


def why_at_the_end(step: ProcessStep, unread: Sequence[str], missing: str | None) -> str:
    """Say what was not as it should be, before the reason is asked for."""
    parts = [] if step.items else ["nothing went in"]
    if step.outside:
        parts.append(f"{counted(step.outside, 'reading')} outside the limits")
    if unread:
        parts.append(f"{', '.join(unread)} not read")
    if missing is not None:
        parts.append(f"{missing} went in and was not made")
    listed = "; ".join(parts)
    return f"{listed[:1].upper()}{listed[1:]}. "


def ended(step: ProcessStep, missing: int) -> str:
    """Say that a step is over, and what of it was not made."""
    over = f"Step {step.code} is over: {step.process}."
    if step.unit is None or not step.made:
        return over
    return (
        f"{over} {amount_words(step.taken, step.unit)} in, {amount_words(step.made, step.unit)} made, "
        f"difference {amount_words(-missing, step.unit)}."
    )


def about_step(step: ProcessStep, unread: Sequence[str]) -> str:
    """Say what the system knows of a step."""
    status = "over" if step.status is StepStatus.ENDED else "running"
    amounts = ""
    if step.unit is not None:
        amounts = f", {amount_words(step.taken, step.unit)} in, {amount_words(step.made, step.unit)} made"
    left = f" Not read yet: {', '.join(unread)}." if unread and step.status is StepStatus.OPEN else ""
    return (
        f"Step {step.code}, {step.process} in {step.equipment}, {status}: {counted(step.items, 'thing')} in it"
        f"{amounts}.{left}"
    )


def step_card_new(code: str) -> str:
    """Say that no step has this card yet."""
    return f"Step card {code} is new."


def equipment_held(equipment: Equipment, notice: HoldNotice) -> Refused:
    """A step is to begin in equipment that is on hold."""
    return Refused(
        FindingCode.ON_HOLD,
        f"{equipment.name} {equipment.code} is on hold: {notice.reason} (hold {notice.hold}). Use other equipment.",
        subject=equipment.code,
    )
