"""Slots that acts of several areas ask for: a reason, a matrix number, the badge of a second person of quality."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.forms import ScanContext, Slot, Values, keyed_text, plant_code
from tracelink.station.common.outcome import Refused


def reason(reading: Reading, _values: Values, _context: ScanContext) -> str:
    """Return a keyed reason."""
    return keyed_text(reading, "a keyed reason")


def reason_slot(asks: str = "Key the reason.") -> Slot:
    """Return the slot for the reason of an act."""
    return Slot("reason", asks, reason)


def read_matrix(text: str, context: ScanContext) -> str:
    """Return a matrix number in the plant's form; raises an identifier error naming that form."""
    return context.queries.matrix_grammar().parse(text)


def second_person_slot(asks: str, belongs: str = "the badge of a second person") -> Slot:
    """Return the slot for the badge of somebody of quality other than who does the act.

    Args:
        asks: what the person is told to do.
        belongs: what belongs there, for whoever scans something else.
    """

    def accept(reading: Reading, _values: Values, context: ScanContext) -> str:
        return _second_person(plant_code(CodeKind.PERSON, reading, belongs), "quality", context)

    return Slot("second_person", asks, accept)


def _second_person(code: str, role: str, context: ScanContext) -> str:
    """Return the badge of somebody else who may agree to this act."""
    person = context.queries.person(code)
    # `machine` refuses an unknown badge before any slot sees it.
    assert person is not None
    if code == context.person.code:
        raise Refused(
            FindingCode.SAME_PERSON,
            f"{person.name} cannot agree with themselves: a second person is needed.",
            subject=code,
        )
    if role not in person.roles:
        raise Refused(
            FindingCode.WRONG_ROLE,
            f"{person.name} cannot be the second person: that needs the role {role}. Ask somebody who has it.",
            subject=code,
        )
    return code
