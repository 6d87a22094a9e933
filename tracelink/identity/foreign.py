"""Labels of customers and suppliers: what `reading` is for the plant's own codes, with everything GS1 has assigned.

Nothing read here is booked by itself: a supplier's pellet bag, a customer's order label or a returned carton is
shown and compared with what the plant knows.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from tracelink.errors import InvalidFormat, InvalidLength, UnknownSymbology
from tracelink.identity.checkdigit import is_digits
from tracelink.identity.gs1.digitallink import is_link, parse_link
from tracelink.identity.gs1.elements import parse_elements
from tracelink.identity.gs1.gtin import Gtin
from tracelink.identity.symbology import name_of, split_identifier

_ELEMENTS = frozenset(("]C1", "]e0", "]d2", "]Q3", "]J1"))
_GTIN_DIGITS = {"]E0": 13, "]E4": 8, "]I0": 14, "]I1": 14}
_PLAIN = frozenset(("]A0", "]A1", "]A3", "]A4", "]A5", "]A7", "]C0", "]d1", "]Q1", "]J0"))
_READ = (*sorted(_ELEMENTS), *_GTIN_DIGITS, *sorted(_PLAIN))


@dataclass(frozen=True, slots=True)
class ForeignRead:
    """What one symbol of somebody else's label says."""

    identifier: str
    """The symbology identifier, such as "]C1"."""

    text: str
    """What stood behind it, as it came. Behind a plain symbology it may be anything, control characters too."""

    elements: Mapping[str, str] | None
    """Value by application identifier; the product number of a retail or ITF-14 symbol as (01). None for plain text
    that is not a GS1 web address."""


def read_foreign(raw: str) -> ForeignRead:
    """Read one symbol of a label this plant did not print.

    Args:
        raw: the line as the reader sent it, with symbology identifier, without its line end.

    Returns:
        What it says, every check digit judged. What must stand beside what is judged over all symbols of the item:
        `association.check_association`.

    Raises:
        IdentifierError: no or an unknown symbology identifier, or a text that is not what its symbology promises.

    Source:
        GS1 General Specifications, table of symbology identifiers; ISO/IEC 15424.
    """
    identifier, text = split_identifier(raw)
    if identifier in _ELEMENTS:
        return ForeignRead(identifier, text, parse_elements(text, used=None))
    if identifier in _GTIN_DIGITS:
        return ForeignRead(identifier, text, {"01": _gtin(identifier, text).digits})
    if identifier not in _PLAIN:
        raise UnknownSymbology(f"{name_of(identifier)} is not read: expected one of {', '.join(_READ)}")
    return ForeignRead(identifier, text, parse_link(text) if is_link(text) else None)


def _gtin(identifier: str, text: str) -> Gtin:
    if not is_digits(text):
        raise InvalidFormat(f"{name_of(identifier)} must be digits 0-9, found {text!r}")
    if len(text) != _GTIN_DIGITS[identifier]:
        raise InvalidLength(
            f"{name_of(identifier)} must come as {_GTIN_DIGITS[identifier]} digits, found {len(text)} in {text!r}"
        )
    return Gtin.parse(text)
