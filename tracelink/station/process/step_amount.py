"""How much goes into a step or is made in it, as somebody types it."""

from tracelink.errors import UsageError
from tracelink.identity.reading import Reading
from tracelink.ledger.quantities import read_amount
from tracelink.station.common.forms import ScanContext, Values
from tracelink.station.common.taken_reading import decimal_sign, keyed_text
from tracelink.station.process.running_step import step_of
from tracelink.station.sentences.process import process_sentences as say


def amount(reading: Reading, values: Values, context: ScanContext) -> int:
    """Return an amount in the unit of the step that is running, or refuse what was typed."""
    unit = step_of(values, context).unit
    assert unit is not None
    text, sign = keyed_text(reading, say.AN_AMOUNT), decimal_sign(context.queries)
    try:
        return read_amount(text, unit, sign)
    except UsageError as problem:
        raise say.not_an_amount(text, unit, str(problem), sign) from None


def asks_for_amount(context: ScanContext) -> str:
    """Ask for an amount, as it is typed in this plant."""
    return say.type_the_amount(decimal_sign(context.queries))
