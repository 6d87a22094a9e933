"""How an instrument writes the time, said in a plant file: such as DD.MM.YYYY hh:mm."""

from __future__ import annotations

import re

from tracelink.errors import UsageError

_PARTS = {"YYYY": "%Y", "MM": "%m", "DD": "%d", "hh": "%H", "mm": "%M", "ss": "%S"}
_NEEDED = ("YYYY", "MM", "DD", "hh", "mm")
_FORM = re.compile(r"(?:YYYY|MM|DD|hh|mm|ss|[ .:/,_T-])+")


def strptime_form(form: str) -> str:
    """Return a form of times as `strptime` takes it.

    Args:
        form: YYYY, MM, DD, hh, mm and perhaps ss, each once, with signs between them.

    Raises:
        UsageError: it is none.
    """
    if not _FORM.fullmatch(form) or any(form.count(part) != 1 for part in _NEEDED) or form.count("ss") > 1:
        raise UsageError(
            f"time_form is {form!r}: expected YYYY, MM, DD, hh, mm and perhaps ss, each once, such as DD.MM.YYYY hh:mm"
        )
    return re.sub("|".join(_PARTS), lambda found: _PARTS[found[0]], form)
