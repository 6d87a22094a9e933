"""Check characters: whether the last characters of a text are what a scheme makes of those before them.

A check character says whether a text was read or typed as it was written, not what the text is: of ten random digits one
is right by chance.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from tracelink.errors import IdentifierError
from tracelink.identity.checkdigit import (
    container_check_digit,
    gs1_check_digit,
    luhn_check_digit,
    mod37_36_check_character,
)
from tracelink.identity.gs1.checkpair import gs1_check_pair
from tracelink.identity.iso7064 import (
    mod11_2_check_character,
    mod11_10_check_digit,
    mod37_2_check_character,
    mod97_10_check_digits,
)
from tracelink.identity.symbolcheck import code39_check_character, code128_check_value

_START_B, _FIRST_OF_B = 104, 32


@dataclass(frozen=True, slots=True)
class CheckScheme:
    """One way to make check characters."""

    name: str
    used_for: str
    make: Callable[[str], str]
    """Raises IdentifierError for a text that the scheme is not for."""
    length: int = 1
    """Check characters at the end."""


SCHEMES = (
    CheckScheme("GS1 mod 10", "GTIN, SSCC, GLN", gs1_check_digit),
    CheckScheme("Luhn", "cards (ISO/IEC 7812-1)", luhn_check_digit),
    CheckScheme("MOD 37,36", "plant codes (ISO/IEC 7064)", mod37_36_check_character),
    CheckScheme("MOD 37-2", "ISO/IEC 7064", mod37_2_check_character),
    CheckScheme("MOD 11-2", "ISNI (ISO/IEC 7064)", mod11_2_check_character),
    CheckScheme("MOD 11,10", "ISO/IEC 7064", mod11_10_check_digit),
    CheckScheme("MOD 97-10", "ISO/IEC 7064", mod97_10_check_digits, 2),
    CheckScheme("GS1 check pair", "(8013)", gs1_check_pair, 2),
    CheckScheme("Code 39 modulo 43", "may end a Code 39", code39_check_character),
    CheckScheme("ISO 6346", "freight containers", container_check_digit),
)


@dataclass(frozen=True, slots=True)
class SchemeFit:
    """What a scheme says of a text."""

    scheme: CheckScheme
    expected: str
    found: str

    @property
    def fits(self) -> bool:
        """Whether the text ends as the scheme has it."""
        return self.expected == self.found


def scheme_fits(text: str) -> Iterator[SchemeFit]:
    """Yield what each scheme says of a text; nothing of a scheme that has no such characters or length.

    Args:
        text: with its check characters, if it has any.
    """
    for scheme in SCHEMES:
        before, last = text[: -scheme.length], text[-scheme.length :]
        try:
            expected = scheme.make(before)
        except IdentifierError:
            continue
        yield SchemeFit(scheme, expected, last)


def code128_symbol_check(text: str) -> int | None:
    """Return the value of the check character that a Code 128 of this text has inside the symbol, all in code set B.

    Returns:
        0 to 102; None if the text is empty or has a character that set B has not.
    """
    words = [ord(character) - _FIRST_OF_B for character in text]
    if not words or not (text.isascii() and text.isprintable()):
        return None
    return code128_check_value([_START_B, *words])
