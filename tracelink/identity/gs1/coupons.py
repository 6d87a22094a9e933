"""North American coupons in (8110) and (8112): digits that say themselves how many follow.

Sources: North American Coupon Application Guideline Using GS1 DataBar Expanded Symbols (8110); GS1 AI (8112) Coupon Data
Specification; both as carried in the checks of the GS1 Barcode Syntax Dictionary, not checked against the original text.
"""

from collections.abc import Callable

from tracelink.errors import InvalidFormat
from tracelink.identity.checkdigit import is_digits
from tracelink.identity.gs1.dates import require_date

_PREFIX_MORE = 6
"""Company prefixes and serials have six digits more than the digit in front of them says."""
_OFFER_DIGITS, _FAMILY_DIGITS, _DATE_DIGITS = 6, 3, 6
_NO_PREFIX = "9"
_PURCHASE_CODES = "012349"


class _CouponDigits:
    """What is still to be read of a coupon."""

    def __init__(self, text: str) -> None:
        if not is_digits(text):
            raise InvalidFormat(f"coupon {text!r} must be digits 0-9")
        self._text = text
        self._at = 0

    @property
    def next(self) -> str:
        """The next digit; empty at the end."""
        return self._text[self._at : self._at + 1]

    def take(self, count: int, what: str) -> str:
        """Return so many digits."""
        found = self._text[self._at : self._at + count]
        if len(found) < count:
            raise InvalidFormat(
                f"coupon {self._text!r} ends amid its {what}: expected {count} digits there, found {len(found)}"
            )
        self._at += count
        return found

    def one_of(self, allowed: str, what: str) -> str:
        """Return a digit that must be one of these."""
        found = self.take(1, what)
        if found not in allowed:
            raise InvalidFormat(
                f"coupon {self._text!r} has {found} as {what} at place {self._at}: expected one of {', '.join(allowed)}"
            )
        return found

    def counted(self, allowed: str, more: int, what: str) -> None:
        """Pass over digits whose number stands in front of them."""
        self.take(int(self.one_of(allowed, f"length of the {what}")) + more, what)

    def end(self) -> None:
        """Raise unless all was read."""
        if self.next:
            raise InvalidFormat(
                f"coupon {self._text!r} has {self._text[self._at :]!r} behind its last field: expected nothing there"
            )


def require_positive_offer(text: str) -> None:
    """Raise `InvalidFormat` unless text is a coupon of (8112)."""
    rest = _CouponDigits(text)
    rest.one_of("01", "format")
    rest.counted("0123456", _PREFIX_MORE, "funder's number")
    rest.take(_OFFER_DIGITS, "offer code")
    rest.counted("0123456789", _PREFIX_MORE, "serial number")
    rest.end()


def require_coupon(text: str) -> None:
    """Raise `InvalidFormat` unless text is a coupon of (8110)."""
    rest = _CouponDigits(text)
    rest.counted("0123456", _PREFIX_MORE, "company prefix")
    rest.take(_OFFER_DIGITS, "offer code")
    rest.counted("12345", 0, "save value")
    _purchase(rest, "first purchase")
    expires = ""
    for field, read in _FIELDS.items():
        if rest.next != field:
            continue
        rest.take(1, "field")
        found = read(rest)
        # Of two dates in six digits the one that sorts later is taken for the later one, as the guideline does.
        if field == _EXPIRES:
            expires = found
        elif field == _STARTS and expires and found > expires:
            raise InvalidFormat(f"coupon {text!r} starts on {found}, after it expires on {expires}")
    rest.end()


def _purchase(rest: _CouponDigits, what: str) -> None:
    rest.counted("12345", 0, f"{what} requirement")
    rest.one_of(_PURCHASE_CODES, f"code of the {what}")
    rest.take(_FAMILY_DIGITS, f"family of the {what}")


def _second(rest: _CouponDigits) -> str:
    rest.one_of("0123", "rule for further purchases")
    return _third(rest, "second purchase")


def _third(rest: _CouponDigits, what: str = "third purchase") -> str:
    _purchase(rest, what)
    if rest.next == _NO_PREFIX:
        return rest.take(1, what)
    rest.counted("0123456", _PREFIX_MORE, f"company prefix of the {what}")
    return ""


def _date(rest: _CouponDigits) -> str:
    found = rest.take(_DATE_DIGITS, "date")
    require_date(found, day_zero=False)
    return found


def _serial(rest: _CouponDigits) -> str:
    rest.counted("0123456789", _PREFIX_MORE, "serial number")
    return ""


def _retailer(rest: _CouponDigits) -> str:
    rest.counted("1234567", _PREFIX_MORE, "retailer's number")
    return ""


def _flags(rest: _CouponDigits) -> str:
    rest.one_of("01256", "save value code")
    rest.one_of("012", "item the save value is for")
    rest.take(1, "store coupon flag")
    return rest.one_of("01", "flag against multiplying")


_EXPIRES, _STARTS = "3", "4"
_FIELDS: dict[str, Callable[[_CouponDigits], str]] = {
    "1": _second,
    "2": _third,
    _EXPIRES: _date,
    _STARTS: _date,
    "5": _serial,
    "6": _retailer,
    "9": _flags,
}
"""The digit in front of a field that may be left out -> how it is read; they stand in this order."""
