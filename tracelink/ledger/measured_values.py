"""Measured values as text, and where they stand by a limit: no digit is lost, and no float rounds one across it."""

from __future__ import annotations

from decimal import Decimal

from tracelink.ledger.closed_sets import LimitStanding

TEST_NAME = r"[a-z][a-z_ ]{0,30}"
"""What a lab test is called: small letters, so that it is typed in one way."""
UNIT = r"[A-Za-z%°µ/]{1,10}"
"""A unit, as the station reads it."""
DECIMAL = r"[+-]?[0-9]{1,9}(?:\.[0-9]{1,6})?"
"""A value as the journal keeps it, with a point."""


def standing_of(value: str, lower: str | None, upper: str | None) -> LimitStanding:
    """Return where a value stands; a value on the limit is within it.

    Args:
        value: a decimal number with a point.
        lower: the least that is within; None if there is none.
        upper: the most that is within; None if there is none.
    """
    found = Decimal(value)
    if lower is None and upper is None:
        return LimitStanding.NO_LIMIT
    too_low = lower is not None and found < Decimal(lower)
    too_high = upper is not None and found > Decimal(upper)
    return LimitStanding.OUTSIDE if too_low or too_high else LimitStanding.WITHIN


def is_readable(value: str, resolution: str) -> bool:
    """Return whether a gauge that reads in steps can have shown a value.

    Args:
        value: a decimal number with a point.
        resolution: the step, more than 0.
    """
    return Decimal(value) % Decimal(resolution) == 0
