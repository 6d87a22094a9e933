"""The number of a product: GTIN, kept as 14 digits."""

from dataclasses import dataclass
from typing import Self

from tracelink.errors import InvalidFormat, InvalidLength
from tracelink.identity.checkdigit import is_digits, require_gs1_check_digit

_LENGTHS = (8, 12, 13, 14)
_SHORT = "000000"


@dataclass(frozen=True, slots=True, order=True)
class Gtin:
    """A Global Trade Item Number whose check digit fits; holding one is the proof.

    Source: GS1 General Specifications, GTIN-8, -12, -13 and -14 share one 14-digit form with leading zeros.
    """

    digits: str
    """Always 14 ASCII digits, the last one the check digit; the first is the indicator digit."""

    def __post_init__(self) -> None:
        if len(self.digits) != 14:
            raise InvalidLength(f"GTIN {self.digits!r} must have 14 digits, found {len(self.digits)}")
        require_gs1_check_digit(self.digits, "GTIN")

    @classmethod
    def parse(cls, text: str) -> Self:
        """Read a GTIN of 8, 12, 13 or 14 digits.

        Args:
            text: ASCII digits only, no spaces or hyphens.

        Raises:
            InvalidFormat: text holds anything but 0-9.
            InvalidLength: text has another number of digits.
            InvalidCheckCharacter: the check digit does not fit.
        """
        if not is_digits(text):
            raise InvalidFormat(f"GTIN must be digits 0-9, found {text!r}")
        if len(text) not in _LENGTHS:
            raise InvalidLength(f"GTIN {text!r} must have 8, 12, 13 or 14 digits, found {len(text)}")
        require_gs1_check_digit(text, "GTIN")
        return cls(text.zfill(14))

    @property
    def gtin13(self) -> str:
        """The 13 digits printed as an EAN-13.

        Raises:
            InvalidLength: the indicator digit is not 0, so the number has no 13-digit form.
        """
        if self.digits[0] != "0":
            raise InvalidLength(
                f"GTIN {self.digits!r} has no 13-digit form: expected indicator digit 0, found {self.digits[0]}"
            )
        return self.digits[1:]

    @property
    def gtin8(self) -> str | None:
        """The 8 digits printed as an EAN-8; None if it is none of the short numbers.

        Source: GS1 General Specifications: with six zeros in front of its 14 digits a number is a GTIN-8.
        """
        return self.digits[6:] if self.digits.startswith(_SHORT) else None

    def __str__(self) -> str:
        return self.digits[1:] if self.digits[0] == "0" else self.digits
