"""Values that only the labels of others hold: countries, currencies, accounts, places on the earth, persons.

The checks have the names of the GS1 Barcode Syntax Dictionary, which says what each is of.
"""

from collections.abc import Callable, Mapping

from tracelink.errors import InvalidCheckCharacter, InvalidFormat
from tracelink.identity.checkdigit import ALPHABET, is_digits
from tracelink.identity.gs1.code_lists import COUNTRIES, COUNTRY_NUMBERS, CURRENCY_NUMBERS
from tracelink.identity.gs1.coupons import require_coupon, require_positive_offer
from tracelink.identity.iso7064 import mod97_10_check_digits

_SHORTEST_ACCOUNT = 11
_NORTHMOST, _EASTMOST = 1_800_000_000, 3_600_000_000
_IMPORTERS = frozenset("-0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz")

CONDITIONS: Mapping[str, tuple[Callable[[str], bool], str]] = {
    "iso3166": (COUNTRY_NUMBERS.__contains__, "the three digits of a country (ISO 3166-1)"),
    "iso3166999": (
        (COUNTRY_NUMBERS | {"999"}).__contains__,
        "the three digits of a country (ISO 3166-1), or 999 for several",
    ),
    "iso3166alpha2": (COUNTRIES.__contains__, "the two capital letters of a country (ISO 3166-1)"),
    "iso4217": (CURRENCY_NUMBERS.__contains__, "the three digits of a currency (ISO 4217)"),
    "iso5218": (
        frozenset("0129").__contains__,
        "0 (not known), 1 (male), 2 (female) or 9 (not applicable)",
    ),
    "mediatype": (
        lambda part: 1 <= int(part) <= 10 or 80 <= int(part) <= 99,
        "01 to 10 or 80 to 99, the kinds of carrier that are given out",
    ),
    "importeridx": (_IMPORTERS.__contains__, "a letter, a digit, - or _"),
    "winding": (frozenset("019").__contains__, "0 (face out), 1 (face in) or 9 (not defined)"),
    "latitude": (
        lambda part: int(part) <= _NORTHMOST,
        "0000000000 (south pole) to 1800000000 (north pole), degrees with seven decimals",
    ),
    "longitude": (
        lambda part: int(part) <= _EASTMOST,
        "0000000000 to 3600000000, degrees from 180 west with seven decimals",
    ),
}
"""Name of a check -> whether a part holds, and what is expected."""


def require_account(text: str) -> None:
    """Raise unless text is an International Bank Account Number, as far as its check digits tell.

    Args:
        text: characters of GS1 set 82, no spaces. How many digits which country uses is not judged.

    Raises:
        InvalidFormat: too short, no country in front, a character other than 0-9 and A-Z.
        InvalidCheckCharacter: the check digits do not fit.

    Source:
        ISO 13616-1: the check digits are those of MOD 97-10 over what follows them, then the country, letters as 10 to 35.
    """
    if len(text) < _SHORTEST_ACCOUNT or text[:2] not in COUNTRIES or not is_digits(text[2:4]):
        raise InvalidFormat(
            f"account {text!r} must have a country's two letters, two check digits and at least seven characters behind"
        )
    strange = text.strip(ALPHABET)
    if strange:
        raise InvalidFormat(f"account {text!r} holds {strange[0]!r}: expected 0-9 and A-Z")
    expected = mod97_10_check_digits("".join(str(ALPHABET.index(each)) for each in text[4:] + text[:2]))
    if text[2:4] != expected:
        raise InvalidCheckCharacter(
            f"invalid check digits in account {text!r}: expected {expected}, found {text[2:4]}"
        )


REQUIREMENTS: Mapping[str, Callable[[str], None]] = {
    "iban": require_account,
    "couponcode": require_coupon,
    "couponposoffer": require_positive_offer,
}
"""Name of a check -> what raises unless a part holds."""
