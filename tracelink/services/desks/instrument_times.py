"""When each row of an instrument's file was measured, where the file says it."""

from collections.abc import Mapping
from datetime import datetime

from tracelink.clock import local_time
from tracelink.errors import UsageError
from tracelink.facts.lab.instrument_reading import InstrumentForm
from tracelink.ledger.time_forms import strptime_form
from tracelink.ledger.times import require_local_time


def row_time(form: InstrumentForm, cells: Mapping[str, str]) -> str | None:
    """Return when the values of a row were measured, RFC 3339 with offset; None if the file does not say it.

    Args:
        form: how the file is read.
        cells: of the row, by heading in small letters.

    Raises:
        UsageError: the cell is no time of the form that the plant file says, or one that came twice or not at all.
        InvalidFormat: the same, where times have their offset.
    """
    if form.time_heading is None:
        return None
    text = cells[form.time_heading.lower()]
    if form.time_form is None:
        return require_local_time(text)
    try:
        written = datetime.strptime(text, strptime_form(form.time_form))  # noqa: DTZ007  its zone is that of this place
    except ValueError:
        raise UsageError(
            f"{text!r} in column {form.time_heading} is no time like {form.time_form}, as the plant file says of this instrument"
        ) from None
    found = local_time(written)
    if found is None:
        raise UsageError(
            f"{text!r} in column {form.time_heading} came twice or not at all: clocks were set then"
        )
    return found
