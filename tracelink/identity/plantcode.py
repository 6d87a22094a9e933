"""The plant's own codes: one letter, a number and a check character; act cards carry a word instead.

`K0000142` + check: the letter says what the thing is, so a card held to the wrong field is refused for what it
is and not for what it is not. The check character (ISO/IEC 7064 MOD 37,36) covers letter and digits together.
It catches every single wrong character but not quite every swap of neighbours (see `checkdigit`), so a code that
reads well is still looked up in the ledger before anything is booked on it.
"""

import re
from dataclasses import dataclass
from enum import Enum
from typing import Self

from tracelink.errors import InvalidCheckCharacter, InvalidFormat, UsageError
from tracelink.identity.checkdigit import mod37_36_check_character

_LARGEST = 999_999_999
_NUMBERED = re.compile(r"[A-Z][0-9]{6,9}[0-9A-Z]", re.ASCII)
_ACT = re.compile(r"A[A-Z]{2,14}[0-9A-Z]", re.ASCII)
_WORD = re.compile(r"[A-Z]{2,14}", re.ASCII)


class CodeKind(Enum):
    """What a plant code stands for; the value is the code's first letter."""

    TOOL = "T"
    LOT = "L"
    SPINDLE = "K"
    SAMPLE = "S"
    SLEEVE_BATCH = "B"
    PERSON = "P"
    ACT = "A"
    COMPOUND = "C"
    LABEL_LOT = "E"
    STATION = "W"
    HOLD = "H"
    ORDER = "O"
    SHIPMENT = "D"
    LOCATION = "Y"
    KIT_ITEM = "I"
    CASE = "Q"
    REASON = "R"
    STEP = "X"
    EQUIPMENT = "V"
    GAUGE = "G"
    PART_LOT = "M"
    REEL = "F"
    SLOT = "J"
    BUILD = "N"
    PIECE = "U"

    @property
    def noun(self) -> str:
        """The plant's word for the thing or the card that carries its code."""
        return _NOUNS[self]


_NOUNS = {
    CodeKind.TOOL: "tool tag",
    CodeKind.LOT: "lot card",
    CodeKind.SPINDLE: "spindle card",
    CodeKind.SAMPLE: "sample tag",
    CodeKind.SLEEVE_BATCH: "sleeve batch",
    CodeKind.PERSON: "badge",
    CodeKind.ACT: "act card",
    CodeKind.COMPOUND: "compound lot",
    CodeKind.LABEL_LOT: "label lot",
    CodeKind.STATION: "station",
    CodeKind.HOLD: "hold",
    CodeKind.ORDER: "order",
    CodeKind.SHIPMENT: "shipment",
    CodeKind.LOCATION: "location",
    CodeKind.KIT_ITEM: "kit item",
    CodeKind.CASE: "containment case",
    CodeKind.REASON: "reason card",
    CodeKind.STEP: "step card",
    CodeKind.EQUIPMENT: "equipment tag",
    CodeKind.GAUGE: "gauge",
    CodeKind.PART_LOT: "part lot card",
    CodeKind.REEL: "reel label",
    CodeKind.SLOT: "slot tag",
    CodeKind.BUILD: "build order card",
    CodeKind.PIECE: "serial label",
}
_KINDS = {kind.value: kind for kind in CodeKind}


def _require_check_character(text: str) -> None:
    expected = mod37_36_check_character(text[:-1])
    if text[-1] != expected:
        raise InvalidCheckCharacter(
            f"check character of {text!r} is wrong: expected {expected}, found {text[-1]}"
        )


def _require_shape(text: str, shape: re.Pattern[str], claim: str) -> None:
    if shape.fullmatch(text):
        return
    if text.isascii() and shape.fullmatch(text.upper()):
        raise InvalidFormat(
            f"{text!r} has small letters; expected {text.upper()!r}: check the reader's letter case setting "
            "and the keyboard's Caps Lock"
        )
    raise InvalidFormat(f"{text!r} is not {claim}")


def _kind_by_letter(text: str) -> CodeKind:
    kind = _KINDS.get(text[:1])
    if kind is None:
        raise InvalidFormat(
            f"plant code {text!r} begins with {text[:1]!r}; expected one of the letters {''.join(_KINDS)}"
        )
    return kind


@dataclass(frozen=True, slots=True)
class PlantCode:
    """A numbered plant code whose check character fits."""

    kind: CodeKind
    """What the code stands for; never `CodeKind.ACT`, an act card carries a word."""

    number: int
    """The plant's running number of this kind, 1 to 999,999,999."""

    def __post_init__(self) -> None:
        if self.kind is CodeKind.ACT:
            raise InvalidFormat("an act card carries a word, not a number")
        if not 1 <= self.number <= _LARGEST:
            raise InvalidFormat(f"number of a {self.kind.noun} must be 1 to {_LARGEST}, found {self.number}")

    @classmethod
    def parse(cls, text: str) -> Self:
        """Read a plant code.

        Args:
            text: one capital letter, 6 to 9 digits (more than 6 only without leading zeros), check character.

        Raises:
            InvalidFormat: text has another shape or an unknown letter.
            InvalidCheckCharacter: the check character does not fit.
        """
        _require_shape(
            text, _NUMBERED, "a plant code: expected a capital letter, 6 to 9 digits and a check character"
        )
        kind = _kind_by_letter(text)
        _require_check_character(text)
        if len(text) > 8 and text[1] == "0":
            # One thing has one text; a second spelling would be a second row wherever text is compared.
            raise InvalidFormat(
                f"plant code {text!r} has needless zeros: expected at most 6 digits with them"
            )
        return cls(kind, int(text[1:-1]))

    @classmethod
    def parse_one(cls, kind: CodeKind, text: str) -> Self:
        """Read a plant code that has to be of one kind.

        Args:
            kind: what it is to be.
            text: as `parse` reads it.

        Raises:
            InvalidFormat: text has another shape or an unknown letter.
            InvalidCheckCharacter: the check character does not fit.
            UsageError: it is the code of something else.
        """
        code = cls.parse(text)
        if code.kind is not kind:
            raise UsageError(f"{text} is a {code.kind.noun}: expected a {kind.noun}")
        return code

    @classmethod
    def build(cls, kind: CodeKind, number: int) -> Self:
        """Make the code of the thing with this kind and number (1 to 999,999,999).

        Raises:
            InvalidFormat: kind is `CodeKind.ACT` or the number does not fit.
        """
        return cls(kind, number)

    @property
    def text(self) -> str:
        """The code as printed and scanned."""
        payload = f"{self.kind.value}{self.number:06d}"
        return payload + mod37_36_check_character(payload)

    def __str__(self) -> str:
        return self.text


def act_code(word: str) -> str:
    """Return the text of the act card for word (2 to 14 letters A-Z).

    Raises:
        InvalidFormat: word has another shape.
    """
    if not _WORD.fullmatch(word):
        raise InvalidFormat(f"act word must be 2 to 14 letters A-Z, found {word!r}")
    payload = CodeKind.ACT.value + word
    return payload + mod37_36_check_character(payload)


def parse_act(text: str) -> str:
    """Return the word on an act card.

    Args:
        text: letter A, 2 to 14 letters A-Z, check character.

    Raises:
        InvalidFormat: text has another shape.
        InvalidCheckCharacter: the check character does not fit.
    """
    _require_shape(text, _ACT, "an act card: expected A, a word of 2 to 14 letters and a check character")
    _require_check_character(text)
    return text[1:-1]


def kind_of(text: str) -> CodeKind:
    """Return what a plant code or act card stands for, after checking all of it.

    Raises:
        InvalidFormat: text is neither.
        InvalidCheckCharacter: the check character does not fit.
    """
    if is_act(text):
        parse_act(text)
        return CodeKind.ACT
    return PlantCode.parse(text).kind


def is_act(text: str) -> bool:
    """Say whether text means to be an act card: it begins with A and a letter."""
    return text[:1] == CodeKind.ACT.value and text[1:2].isalpha()
