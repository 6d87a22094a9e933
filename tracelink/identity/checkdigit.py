"""Check digits and check characters: GS1 mod 10, its cousin Luhn, and ISO/IEC 7064 MOD 37,36 of the plant's codes.

All catch every single wrong character. Swapped neighbours: mod 10 always misses those that differ by 5 (10 of 90
ordered pairs), and every swap two places apart, where the weights are alike. MOD 37,36 misses a swap only where the
two values follow each other (35 and 0 too) and the characters before bring the running product to the one value in
36 at which both orders lead to the same place: K000078L and K000087L both check. Of all swaps of unlike digits in
plant codes with six digits that is 0.3 to 0.8 %, depending on the letter. `confusable` lists the pairs at risk.
"""

from tracelink.errors import InvalidCheckCharacter, InvalidFormat

ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
"""Characters of ISO/IEC 7064 MOD 37,36 in the order of their values, 0 to 35."""


def is_digits(text: str) -> bool:
    """Say whether text is one or more ASCII digits 0-9."""
    # isdigit() alone lets superscripts and Arabic-Indic digits through.
    return text.isascii() and text.isdigit()


def gs1_check_digit(payload: str) -> str:
    """Return the GS1 mod 10 check digit: weights 3, 1, 3, 1, ... from the rightmost payload digit.

    Args:
        payload: ASCII digits without the check digit, at least one; 7 (GTIN-8) to 17 (SSCC) in practice.

    Returns:
        One digit, "0" to "9".

    Raises:
        InvalidFormat: payload is empty or holds anything but 0-9.

    Source:
        GS1 General Specifications, section "Check digit calculations".
    """
    if not is_digits(payload):
        raise InvalidFormat(f"expected digits 0-9, found {payload!r}")
    # Every scan comes through here two or three times: summing bytes takes less than half the time of int() on
    # each digit. A digit's byte is 48 more than the digit.
    heavy, light = payload[::-2].encode(), payload[-2::-2].encode()
    total = 3 * (sum(heavy) - 48 * len(heavy)) + sum(light) - 48 * len(light)
    return str(-total % 10)


def require_gs1_check_digit(text: str, name: str) -> None:
    """Raise unless the last digit of text is the GS1 check digit of the digits before it.

    Args:
        text: the whole number, ASCII digits, at least two.
        name: what the number claims to be, for the sentence, such as "GTIN".

    Raises:
        InvalidFormat: text is shorter than two characters or holds anything but 0-9.
        InvalidCheckCharacter: the check digit does not fit.
    """
    if len(text) < 2 or not is_digits(text):
        raise InvalidFormat(f"{name} must be digits 0-9 with a check digit, found {text!r}")
    _require_last(name, text, gs1_check_digit(text[:-1]))


def luhn_check_digit(payload: str) -> str:
    """Return the Luhn check digit: every second digit from the right is doubled and its own digits summed.

    Catches every wrong digit. What it misses: of the 90 swaps of unlike neighbours 09 and 90; twins such as 22 read
    as 55, 33 as 66, 44 as 77 and the other way round; every swap two places apart.

    Args:
        payload: ASCII digits without the check digit, at least one.

    Returns:
        One digit, "0" to "9".

    Raises:
        InvalidFormat: payload is empty or holds anything but 0-9.

    Source:
        ISO/IEC 7812-1, annex on the check digit.
    """
    if not is_digits(payload):
        raise InvalidFormat(f"expected digits 0-9, found {payload!r}")
    doubled = sum(sum(divmod(2 * int(digit), 10)) for digit in payload[::-2])
    return str(-(doubled + sum(map(int, payload[-2::-2]))) % 10)


def container_check_digit(payload: str) -> str:
    """Return the check digit of a freight container: each character's value doubled once more from left to right.

    Catches most wrong characters: the remainder 10 is written 0, so that a character whose change leads from one to the
    other goes unseen.

    Args:
        payload: four letters A-Z and six digits, without the check digit.

    Returns:
        One digit, "0" to "9".

    Raises:
        InvalidFormat: payload has another form.

    Source:
        ISO 6346, annex on the check digit: A is 10, and 11, 22 and 33 are left out, since they are 0 modulo 11.
    """
    if not (len(payload) == 10 and set(payload[:4]) <= set(ALPHABET[10:]) and is_digits(payload[4:])):
        raise InvalidFormat(f"expected four letters A-Z and six digits, found {payload!r}")
    values = [ALPHABET.index(each) + max(0, (ALPHABET.index(each) - 1) // 10) for each in payload]
    return str(sum(value << place for place, value in enumerate(values)) % 11 % 10)


def require_container_check_digit(text: str) -> None:
    """Raise unless the last digit of a container's number is its check digit (ISO 6346)."""
    _require_last("container", text, container_check_digit(text[:-1]))


def require_ship_check_digit(text: str) -> None:
    """Raise unless the last of seven digits is the check digit of a ship's number.

    Source:
        IMO resolution A.1117(30), from memory: weights 7 to 2 for the first six digits, last digit of the sum.
    """
    if len(text) != 7 or not is_digits(text):
        raise InvalidFormat(f"ship must have seven digits, found {text!r}")
    total = sum((7 - place) * int(digit) for place, digit in enumerate(text[:6]))
    _require_last("ship", text, str(total % 10))


def _require_last(name: str, text: str, expected: str) -> None:
    if text[-1] != expected:
        raise InvalidCheckCharacter(
            f"invalid check digit in {name} {text!r}: expected {expected}, found {text[-1]}"
        )


def _next_product(product: int, value: int) -> int:
    """Take one step of the hybrid system: add the value modulo 36, double modulo 37."""
    # The standard reads a remainder of 0 as 36, so that doubling can never get stuck at 0.
    return ((product + value) % 36 or 36) * 2 % 37


# A scanned line is judged between two discs: the steps are tabled once, so a character costs one look-up.
_STEPS = tuple(
    {character: _next_product(product, value) for value, character in enumerate(ALPHABET)}
    for product in range(37)
)


def mod37_36_check_character(payload: str) -> str:
    """Return the check character of ISO/IEC 7064 hybrid system MOD 37,36.

    Args:
        payload: characters 0-9 and A-Z without the check character, at least one.

    Returns:
        One character of 0-9A-Z.

    Raises:
        InvalidFormat: payload is empty or holds another character.

    Source:
        ISO/IEC 7064, hybrid systems: each step adds the character's value modulo 36 (0 counts as 36) and
        doubles modulo 37, starting from 36; the check character brings the last sum to 1 modulo 36.
    """
    if not payload:
        raise InvalidFormat("expected characters 0-9 and A-Z, found nothing")
    product = 36
    for character in payload:
        try:
            product = _STEPS[product][character]
        except KeyError:
            raise InvalidFormat(
                f"expected characters 0-9 and A-Z, found {character!r} in {payload!r}"
            ) from None
    return ALPHABET[(1 - product) % 36]
