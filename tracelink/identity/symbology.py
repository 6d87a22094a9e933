"""Symbology identifiers: the three characters a reader puts in front of what it read.

They say which kind of symbol was read, and so which grammar its text follows. Nothing here guesses a grammar
from the text: 4006381333931 is a product number under ]E0 and nonsense under ]C1.
"""

from enum import Enum

from tracelink.errors import UnknownSymbology


class Grammar(Enum):
    """How the text behind a symbology identifier is read."""

    ELEMENTS = "GS1 element strings"
    EAN13 = "13 digits"
    EAN8 = "8 digits"
    PLAIN = "plant code"


CODE_128 = "]C0"
GS1_128 = "]C1"
DATA_MATRIX = "]d1"
GS1_DATA_MATRIX = "]d2"
EAN_13 = "]E0"
EAN_8 = "]E4"
GS1_QR = "]Q3"
DATABAR = "]e0"

GRAMMARS = {
    CODE_128: Grammar.PLAIN,
    DATA_MATRIX: Grammar.PLAIN,
    EAN_13: Grammar.EAN13,
    EAN_8: Grammar.EAN8,
    GS1_128: Grammar.ELEMENTS,
    DATABAR: Grammar.ELEMENTS,
    GS1_DATA_MATRIX: Grammar.ELEMENTS,
    GS1_QR: Grammar.ELEMENTS,
}
"""The identifiers this plant reads. Sources: GS1 General Specifications, figure 5.1.2-2; ISO/IEC 15424."""

NAMES = {
    "]A": "Code 39",
    CODE_128: "Code 128",
    GS1_128: "GS1-128",
    "]C2": "Code 128 with a function character in second place",
    EAN_13: "EAN-13",
    "]E3": "EAN-13 with an add-on",
    EAN_8: "EAN-8",
    "]I": "Interleaved 2 of 5",
    DATA_MATRIX: "Data Matrix",
    GS1_DATA_MATRIX: "GS1 DataMatrix",
    "]d": "Data Matrix of another kind",
    GS1_QR: "GS1 QR Code",
    "]Q": "QR Code",
    DATABAR: "GS1 DataBar",
    "]e": "GS1 Composite",
    "]J1": "GS1 DotCode",
    "]J": "DotCode",
}
"""Names for sentences, by identifier or, where the modifier does not matter to this plant, by its letter."""


def name_of(identifier: str) -> str:
    """Return an identifier with the name of its symbology, such as "]E0 (EAN-13)"."""
    name = NAMES.get(identifier) or NAMES.get(identifier[:2])
    return f"{identifier} ({name})" if name else identifier


def split_identifier(raw: str) -> tuple[str, str]:
    """Part a scanned line into its symbology identifier and its payload.

    Args:
        raw: the line as the reader sent it, without its line end.

    Returns:
        The three characters "]", letter, modifier; and the rest, which may be empty.

    Raises:
        UnknownSymbology: the line does not begin with a well-formed identifier.
    """
    identifier = raw[:3]
    if len(identifier) == 3 and identifier[0] == "]" and identifier.isascii():
        letter, modifier = identifier[1], identifier[2]
        if letter.isalpha() and modifier.isalnum():
            return identifier, raw[3:]
    raise UnknownSymbology(
        f"{raw[:40]!r} has no symbology identifier: expected ']', a letter and a digit or letter in front; "
        "switch on the scanner's symbology identifier (AIM prefix) and scan again; what is keyed begins with # or a "
        "double quote"
    )


def grammar_of(identifier: str) -> Grammar:
    """Return the grammar of the text behind an identifier.

    Raises:
        UnknownSymbology: this plant uses no symbol of that kind.
    """
    grammar = GRAMMARS.get(identifier)
    if grammar is None:
        raise UnknownSymbology(
            f"{name_of(identifier)} is not used here: expected one of {', '.join(GRAMMARS)}"
        )
    return grammar
