"""What is said of a parameter that was read in a process step, and of its limits."""

from collections.abc import Sequence

from tracelink.ledger.decimal_sign import DecimalSign
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries_process import Parameter, ProcessStep

A_READING = "name=value unit"


def type_the_reading(sign: DecimalSign) -> str:
    """Ask for a reading."""
    return f'Type " and then what was read, such as "bath temperature={sign.shown("58.5")} °C.'


def not_a_reading(text: str, sign: DecimalSign) -> Refused:
    """A reading has another form."""
    return Refused(
        FindingCode.WRONG_FORMAT,
        f'"{text}" is not a reading. {type_the_reading(sign)}',
        subject=text,
        expected=A_READING,
        found=text,
    )


def no_such_parameter(step: ProcessStep, name: str, known: Sequence[Parameter]) -> Refused:
    """A parameter is read that this process does not have."""
    names = ", ".join(each.name for each in known) or "nothing"
    return Refused(
        FindingCode.WRONG_PARAMETER,
        f'"{name}" is not read in {step.process}: {names}. Type one of these.',
        subject=step.code,
        expected=names,
        found=name,
    )


def wrong_unit(parameter: Parameter, unit: str) -> Refused:
    """A parameter is read in another unit than the plant's."""
    return Refused(
        FindingCode.WRONG_UNIT,
        f"{parameter.name.capitalize()} is read in {parameter.unit}; you typed {unit}. Read it again.",
        subject=parameter.name,
        expected=parameter.unit,
        found=unit,
    )


def limits(parameter: Parameter) -> str:
    """Say between which values a parameter is right."""
    if parameter.least is not None and parameter.most is not None:
        return f"{parameter.least} to {parameter.most} {parameter.unit}"
    if parameter.least is not None:
        return f"{parameter.least} {parameter.unit} or more"
    return "any value" if parameter.most is None else f"{parameter.most} {parameter.unit} or less"


def read(step: ProcessStep, parameter: Parameter, value: str) -> str:
    """Say what was read, within its limits."""
    return f"Step {step.code}: {parameter.name} {value} {parameter.unit}, expected {limits(parameter)}."


def read_outside(step: ProcessStep, parameter: Parameter, value: str) -> str:
    """Say what was read, outside its limits."""
    return (
        f"Step {step.code}: {parameter.name} {value} {parameter.unit} is outside {limits(parameter)}. It is recorded. "
        "Set it right, or take out what is in and tell quality."
    )
