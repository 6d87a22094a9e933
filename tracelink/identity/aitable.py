"""The application identifiers this plant uses, as data.

Source: GS1 Barcode Syntax Dictionary, release 2026-01-27 (formats, pairing); GS1 General Specifications, table of
element strings with predefined length. Partners an identifier may also have outside this table (03, 235, 8026)
are left out: a symbol that carries one is refused before pairing is judged.
"""

from dataclasses import dataclass

SEPARATOR = "\x1d"
"""How a reader sends the FNC1 character between two element strings: byte 29, group separator."""

CSET_82 = frozenset("!\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz")
"""GS1 character set 82, allowed in lots and serials."""


@dataclass(frozen=True, slots=True)
class ElementRule:
    """What one application identifier carries and what must or must not stand beside it."""

    ai: str
    """The application identifier, digits."""

    title: str
    """GS1 data title."""

    numeric: bool
    """Digits 0-9 only; else GS1 character set 82."""

    shortest: int
    """Fewest characters of the value."""

    longest: int
    """Most characters of the value."""

    predefined: bool = False
    """The length is predefined, so that no separator follows; all others need one unless last."""

    key: str = ""
    """What the value begins with, "GTIN" or "SSCC", where it has a check digit."""

    key_length: int = 0
    """Digits of that key, check digit included."""

    needs: tuple[tuple[str, ...], ...] = ()
    """Each group needs at least one of its identifiers on the same item."""

    excludes: tuple[str, ...] = ()
    """Identifiers that may not be on the same item; the dictionary names a pair once, it binds both."""


RULES = {
    rule.ai: rule
    for rule in (
        ElementRule("00", "SSCC", True, 18, 18, predefined=True, key="SSCC", key_length=18),
        ElementRule("01", "GTIN", True, 14, 14, predefined=True, key="GTIN", key_length=14, excludes=("37",)),
        ElementRule(
            "02",
            "CONTENT",
            True,
            14,
            14,
            predefined=True,
            key="GTIN",
            key_length=14,
            needs=(("37",),),
            excludes=("01",),
        ),
        ElementRule("10", "BATCH/LOT", False, 1, 20, needs=(("01", "02", "8006"),)),
        ElementRule("21", "SERIAL", False, 1, 20, needs=(("01", "8006"),)),
        ElementRule("37", "COUNT", True, 1, 8, needs=(("00",), ("02",))),
        ElementRule("8006", "ITIP", True, 18, 18, key="GTIN", key_length=14, excludes=("01", "37")),
    )
}
"""The seven identifiers, by their digits."""

_FOUR_DIGITS = frozenset(("31", "32", "33", "34", "35", "36", "39", "43", "70", "71", "72", "80", "81", "82"))
_THREE_DIGITS = frozenset(("23", "24", "25", "40", "41", "42"))
_TWO_DIGITS = frozenset(
    ("00", "01", "02", "03", "10", "11", "12", "13", "15", "16", "17", "20", "21", "22", "30", "37")
) | {str(ai) for ai in range(90, 100)}


def identifier_at(payload: str, at: int) -> str | None:
    """Return the application identifier that begins at a position, used here or not; None if there is none.

    The first two digits tell how many digits the identifier has; whether GS1 has assigned a longer one is not
    looked up, since only the seven above are read further.
    """
    start = payload[at : at + 2]
    for starts, length in ((_TWO_DIGITS, 2), (_FOUR_DIGITS, 4), (_THREE_DIGITS, 3)):
        if start in starts:
            found = payload[at : at + length]
            return found if len(found) == length and found.isascii() and found.isdigit() else None
    return None
