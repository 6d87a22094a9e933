"""The number of a carton or pallet: SSCC, 18 digits."""

from dataclasses import dataclass
from typing import Self

from tracelink.errors import InvalidFormat, InvalidLength
from tracelink.identity.checkdigit import gs1_check_digit, is_digits, require_gs1_check_digit

_SHORTEST_PREFIX, _LONGEST_PREFIX = 4, 12


def _require_prefix_length(length: int) -> None:
    if not _SHORTEST_PREFIX <= length <= _LONGEST_PREFIX:
        raise InvalidLength(
            f"company prefix must have {_SHORTEST_PREFIX} to {_LONGEST_PREFIX} digits, found {length}"
        )


@dataclass(frozen=True, slots=True, order=True)
class Sscc:
    """A Serial Shipping Container Code whose check digit fits.

    One extension digit, the plant's GS1 company prefix and a serial reference (16 digits together), one check
    digit. Source: GS1 General Specifications, section on the SSCC.
    """

    digits: str
    """Always 18 ASCII digits, the last one the check digit."""

    def __post_init__(self) -> None:
        if not is_digits(self.digits):
            raise InvalidFormat(f"SSCC must be digits 0-9, found {self.digits!r}")
        if len(self.digits) != 18:
            raise InvalidLength(f"SSCC {self.digits!r} must have 18 digits, found {len(self.digits)}")
        require_gs1_check_digit(self.digits, "SSCC")

    @classmethod
    def parse(cls, text: str) -> Self:
        """Read an SSCC.

        Args:
            text: 18 ASCII digits, without the application identifier 00.

        Raises:
            InvalidFormat: text holds anything but 0-9.
            InvalidLength: text has another number of digits.
            InvalidCheckCharacter: the check digit does not fit.
        """
        return cls(text)

    @classmethod
    def build(cls, extension: str, company_prefix: str, serial: int) -> Self:
        """Make the SSCC of one carton or pallet.

        Args:
            extension: one digit, chosen by the plant.
            company_prefix: the plant's GS1 company prefix, 4 to 12 digits.
            serial: serial reference, from 0, as many digits as the prefix leaves of 16.

        Raises:
            InvalidFormat: extension or prefix is not digits, or the serial does not fit.
            InvalidLength: extension or prefix has another number of digits.
        """
        if not is_digits(extension) or not is_digits(company_prefix):
            raise InvalidFormat(
                f"extension and company prefix must be digits 0-9, found {extension!r} and {company_prefix!r}"
            )
        if len(extension) != 1:
            raise InvalidLength(f"extension must be one digit, found {extension!r}")
        _require_prefix_length(len(company_prefix))
        room = 16 - len(company_prefix)
        if not 0 <= serial < 10**room:
            raise InvalidFormat(
                f"serial reference must be 0 to {10**room - 1} after company prefix {company_prefix}, found {serial}"
            )
        payload = f"{extension}{company_prefix}{serial:0{room}d}"
        return cls(payload + gs1_check_digit(payload))

    def serial_reference(self, company_prefix_length: int) -> int:
        """Return the serial reference, given how many of the digits are the company prefix (4 to 12).

        Raises:
            InvalidLength: no company prefix has that many digits.
        """
        _require_prefix_length(company_prefix_length)
        return int(self.digits[1 + company_prefix_length : 17])

    def __str__(self) -> str:
        return self.digits
