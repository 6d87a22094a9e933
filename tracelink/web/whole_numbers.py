"""Whole numbers that stand in a field of a page."""

MOST_ENTRY = 10**11 - 1
"""No journal gets that long; whatever is longer is no number of an entry."""
_MOST_DIGITS = 20
"""More are no number that anything here asks for, and Python takes long over thousands of them."""


def whole_number(text: str, most: int, least: int = 0) -> int | None:
    """Return the whole number that a text is, from `least` to `most`; None if it is none."""
    if not (text.isascii() and text.isdigit() and len(text) <= _MOST_DIGITS):
        return None
    number = int(text)
    return number if least <= number <= most else None
