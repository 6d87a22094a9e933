"""Limits and sides of measured values in words."""

from __future__ import annotations


def limit_words(lower: str | None, upper: str | None, unit: str) -> str:
    """Return a limit as people say it.

    Args:
        lower: the least that is within; None if there is none.
        upper: the most that is within; None if there is none.
        unit: of both.
    """
    if lower is None and upper is None:
        return "no limit"
    if lower is None:
        return f"at most {upper} {unit}"
    return f"at least {lower} {unit}" if upper is None else f"{lower} to {upper} {unit}"


def of_side(side: str | None) -> str:
    """Return the side of a value as it follows the value; empty for the whole disc."""
    return "" if side is None else f" on side {side}"
