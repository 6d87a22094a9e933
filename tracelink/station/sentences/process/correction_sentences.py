"""What stations of process steps say when something that was booked is corrected."""

from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.process.corrected_steps import StepAmountCorrected
from tracelink.ledger.quantities import amount_words
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries_process import ProcessStep

A_STEP_THAT_MADE = "the card of the step that made it"
A_STEP_THAT_IS_OVER = "the card of a step that is over"
WHAT_IT_MADE = "the card of the compound lot that it made"
A_SECOND_BADGE = "a second badge"

SCAN_WHAT_IT_MADE = "Scan the card of the compound lot that it made."
QUALITY_LOOKS_AND_SCANS = "Someone from quality looks at it and scans a badge."


def rests_on_material(material: str, rests: str) -> Refused:
    """A product is taken back with which something was done."""
    return Refused(
        FindingCode.RESTS_ON_IT,
        f"Compound lot {material} cannot be taken back: {rests}. If only its amount is wrong, scan CANCEL and CORRECT; "
        "else tell quality.",
        subject=material,
        expected="a lot with which nothing was done",
        found=rests,
    )


def output_used(step: ProcessStep, material: str, rests: str) -> Refused:
    """UNDO in a step of which something was made that was used since."""
    return Refused(
        FindingCode.RESTS_ON_IT,
        f"What went into step {step.code} cannot be taken back: compound lot {material} was made of it, and {rests}. If only an "
        "amount is wrong, scan CANCEL and CORRECT; else tell quality.",
        subject=step.code,
        expected="a step whose material was not used",
        found=rests,
    )


def not_made(step: ProcessStep, material: str) -> str:
    """Say what was not made after all."""
    return f"Compound lot {material} is taken back: step {step.code}, {step.process}, did not make it."


def made_nothing(step: ProcessStep) -> Refused:
    """CORRECT of a step that made nothing."""
    return Refused(
        FindingCode.NOTHING_TO_CORRECT,
        f"Step {step.code} ({step.process}) has made nothing, so there is no amount to correct. Check the card of the step.",
        subject=step.code,
    )


def not_made_in(step: ProcessStep, material: str) -> Refused:
    """CORRECT of a lot that another step made, or none."""
    return Refused(
        FindingCode.NOT_IN_STEP,
        f"Compound lot {material} was not made in step {step.code}. Scan the card of a lot that it made.",
        subject=material,
        expected=f"a lot made in step {step.code}",
        found=material,
    )


def cannot_have_made(step: ProcessStep, material: str, before: int, right: int, left: int) -> Refused:
    """An amount that is the one booked, or more than went in."""
    assert step.unit is not None
    finding = FindingCode.MORE_THAN_WENT_IN if right > left else FindingCode.NOTHING_TO_CORRECT
    most = amount_words(left, step.unit)
    return Refused(
        finding,
        f"Compound lot {material} is booked with {amount_words(before, step.unit)}, and up to {most} can be of it; you typed "
        f"{amount_words(right, step.unit)}. Type the right amount.",
        subject=material,
        expected=f"another amount, up to {most}",
        found=amount_words(right, step.unit),
    )


def amount_corrected(body: StepAmountCorrected) -> str:
    """Say what was made in truth."""
    return (
        f"Compound lot {body.material}: {amount_words(body.amount, body.unit)} made in step {body.step}, not "
        f"{amount_words(body.before, body.unit)}."
    )


def runs_still(step: ProcessStep) -> Refused:
    """REOPEN of a step that runs."""
    return Refused(
        FindingCode.STEP_RUNS,
        f"Step {step.code} ({step.process}) is still running. Go on with it.",
        subject=step.code,
    )


def reopened(step: ProcessStep) -> str:
    """Say that a step goes on."""
    return f"Step {step.code} runs again: {step.process}. Scan END when it is over."
