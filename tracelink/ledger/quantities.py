"""Amounts of material: whole numbers of a base unit, read from what people type and written as they say it."""

from __future__ import annotations

import re
from decimal import Decimal

from tracelink.errors import UsageError
from tracelink.ledger.count_words import grouped
from tracelink.ledger.decimal_sign import DecimalSign

_UNITS = {
    "g": ("g", 1),
    "kg": ("g", 1_000),
    "t": ("g", 1_000_000),
    "ml": ("ml", 1),
    "l": ("ml", 1_000),
    "pieces": ("pieces", 1),
}
"""Unit as it is typed -> base unit, and how many of that it is."""

BASE_UNITS = ("g", "ml", "pieces")
"""Units in which amounts are kept: of two units that measure the same, one is kept."""

_LARGER = {"g": "kg", "ml": "l"}
_AMOUNT = re.compile(r"([0-9]{1,9}(?:[.,][0-9]{1,6})?) ?([a-z]{1,6})")


def read_amount(text: str, base: str, sign: DecimalSign) -> int:
    """Return an amount in a base unit.

    Args:
        text: a number and its unit, such as "12.5 kg".
        base: one of `BASE_UNITS`.
        sign: what stands before its decimals.

    Raises:
        UsageError: it is no amount, of another base unit, 0, or not a whole number of the base unit.
    """
    match = _AMOUNT.fullmatch(text.strip())
    if match is None or match[2] not in _UNITS or sign.other.value in match[1]:
        raise UsageError(f"{text!r}: expected a number and its unit, such as {_example(base, sign)}")
    unit, times = _UNITS[match[2]]
    if unit != base:
        raise UsageError(f"{text!r} is in {match[2]}: expected {units_of(base)}")
    amount = Decimal(sign.with_point(match[1])) * times
    if amount != int(amount) or not amount:
        raise UsageError(f"{text!r}: expected a whole number of {base}, and more than 0")
    return int(amount)


def units_of(base: str) -> str:
    """Return the units that an amount of a base unit may be typed in."""
    return " or ".join(unit for unit, (of, _) in _UNITS.items() if of == base)


def amount_words(amount: int, base: str) -> str:
    """Return an amount as people say it: from a thousand on in the larger unit."""
    larger = _LARGER.get(base)
    if larger is None or abs(amount) < 1_000:
        return f"{grouped(amount)} {base}"
    whole, rest = divmod(abs(amount), 1_000)
    decimals = f".{rest:03d}".rstrip("0") if rest else ""
    return f"{'−' if amount < 0 else ''}{grouped(whole)}{decimals} {larger}"


def _example(base: str, sign: DecimalSign) -> str:
    return f"{sign.shown('12.5')} {_LARGER[base]}" if base in _LARGER else f"40 {base}"
