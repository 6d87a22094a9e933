"""When each row of an instrument's file was measured, where the file says it."""

from collections.abc import Mapping
from datetime import datetime

from tracelink.clock import local_time
from tracelink.errors import UsageError
from tracelink.facts.lab.instrument_reading import InstrumentForm
from tracelink.ledger.time_forms import strptime_form
from tracelink.ledger.time_words import moment
from tracelink.ledger.times import instant, require_local_time


def row_time(form: InstrumentForm, cells: Mapping[str, str], now: str) -> str | None:
    """Return when the values of a row were measured, RFC 3339 with offset; None if the file does not say it.

    Args:
        form: how the file is read.
        cells: of the row, by heading in small letters.
        now: when the file is read, RFC 3339.

    Raises:
        UsageError: the cell is no time of the form that the plant file says, one that came twice or not at all, or one that is
            yet to come: by it a later limit, and a gauge that is not due yet, would judge the disc.
        InvalidFormat: the same, where times have their offset.
    """
    if form.time_heading is None:
        return None
    text = cells[form.time_heading.lower()]
    found = (
        require_local_time(text)
        if form.time_form is None
        else _in_form(text, form.time_form, form.time_heading)
    )
    if instant(found) > instant(now):
        raise UsageError(
            f"{text!r} in column {form.time_heading} is yet to come: it is {moment(now)} now; look at the clocks of the instrument and of this "
            "computer"
        )
    return found


def _in_form(text: str, time_form: str, heading: str) -> str:
    try:
        written = datetime.strptime(text, strptime_form(time_form))  # noqa: DTZ007  its zone is that of this place
    except ValueError:
        raise UsageError(
            f"{text!r} in column {heading} is no time like {time_form}, as the plant file says of this instrument"
        ) from None
    found = local_time(written)
    if found is None:
        raise UsageError(f"{text!r} in column {heading} came twice or not at all: clocks were set then")
    return found
