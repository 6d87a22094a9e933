"""The door every line of a station goes through: raw text in, one typed reading out.

What a line may be is decided by its first characters and never guessed: "]" and two more from a reader, "#" or a
double quote from a keyboard. Every other line is refused with its own sentence; the caller keeps the raw line.
"""

from dataclasses import dataclass
from functools import lru_cache

from tracelink.errors import InvalidFormat, InvalidLength, UnknownSymbology, WrongCarrier
from tracelink.identity import symbology
from tracelink.identity.checkdigit import is_digits
from tracelink.identity.gs1.aitable import RULES, SEPARATOR
from tracelink.identity.gs1.elements import parse_elements, piece_of_total
from tracelink.identity.gs1.gtin import Gtin
from tracelink.identity.gs1.sscc import Sscc
from tracelink.identity.plantcode import CodeKind, PlantCode, is_act, parse_act
from tracelink.identity.rawlines import (
    raw_act,
    raw_carton,
    raw_disc,
    raw_numbered_sleeve,
    raw_plant,
    raw_sleeve,
    raw_sscc,
    write_disc,
)
from tracelink.identity.symbology import Grammar, grammar_of, name_of, split_identifier

__all__ = [
    "LONGEST_LINE", "ActRead", "DiscRead", "LogisticRead", "NumberKeyed", "PlantRead", "Reading",
    "SleeveRead", "TextKeyed", "raw_act", "raw_carton", "raw_disc", "raw_numbered_sleeve", "raw_plant",
    "raw_sleeve", "raw_sscc", "read_scan", "write_disc",
]  # fmt: skip

LONGEST_LINE = 200
"""Most characters of a scanned line, and of a keyed text behind its quote."""

MOST_DIGITS = 9
"""Most digits of a keyed number."""


@dataclass(frozen=True, slots=True)
class PlantRead:
    """A numbered plant code: tool tag, lot card, spindle card, badge ..."""

    code: PlantCode
    """The code."""


@dataclass(frozen=True, slots=True)
class ActRead:
    """An act card of the station."""

    word: str
    """The act's word, capitals."""


@dataclass(frozen=True, slots=True)
class DiscRead:
    """A disc's centre label: which piece of which set."""

    gtin: Gtin
    """The set's product number."""

    piece: int
    """Which piece, 1 to total."""

    total: int
    """Pieces of the set, 1 to 99."""


@dataclass(frozen=True, slots=True)
class SleeveRead:
    """A sleeve: its product, and its own number if it has one."""

    gtin: Gtin
    """The product number."""

    serial: str | None
    """The serial of a numbered sleeve, 1 to 20 characters of GS1 set 82; None from an EAN-13 or EAN-8."""


@dataclass(frozen=True, slots=True)
class LogisticRead:
    """One symbol of a carton or pallet label; what a label has in two symbols the caller puts together."""

    sscc: Sscc | None
    """The carton's or pallet's number, if in this symbol."""

    content: Gtin | None
    """The product contained, if in this symbol."""

    count: int | None
    """Pieces contained, if in this symbol."""

    lot: str | None
    """The lot, if in this symbol: 1 to 20 characters of GS1 set 82."""


@dataclass(frozen=True, slots=True)
class NumberKeyed:
    """A number typed by a person."""

    value: int
    """0 to 999,999,999."""


@dataclass(frozen=True, slots=True)
class TextKeyed:
    """A text typed by a person, such as a reason or a matrix number."""

    text: str
    """1 to 200 printable characters, not all blank."""


_EAN_DIGITS = {Grammar.EAN13: 13, Grammar.EAN8: 8}

Reading = PlantRead | ActRead | DiscRead | SleeveRead | LogisticRead | NumberKeyed | TextKeyed


def read_scan(raw: str) -> Reading:
    """Read one line of a station.

    Args:
        raw: the line as it came, without its line end. From a reader: symbology identifier and payload, ASCII,
            at most 200 characters. From a keyboard: "#" and 1 to 9 digits, or a double quote and 1 to 200
            printable characters.

    Returns:
        What the line says, with every check digit and check character judged. How several elements go together
        on one carton is left to the caller (`check_association`), as is what only the ledger can know.

    Raises:
        IdentifierError: the line is nothing this plant uses; the sentence names what was read and expected.
    """
    if raw[:1] == "#":
        return _keyed_number(raw[1:])
    if raw[:1] == '"':
        return _keyed_text(raw[1:])
    return _read_line(raw)


@lru_cache(maxsize=1024)
def _read_line(raw: str) -> Reading:
    # A line reads the same few labels all day, and each several times a scan. What is keyed is not kept: it may be a PIN.
    _require_line(raw)
    if is_digits(raw) and len(raw) <= MOST_DIGITS:
        raise UnknownSymbology(
            f"{raw} has no # before it: key #{raw}. If it was scanned, switch on the scanner's symbology identifier "
            "(AIM prefix) and scan again"
        )
    if raw[0] != "]" and raw.isprintable() and raw != raw.replace(" ", "").upper():
        # No label of this plant reads so: a person typed a reason, a name, a value.
        raise UnknownSymbology(
            f'{raw[:40]!r} has no " before it: type "{raw[:40]}. If it was scanned, switch on the scanner\'s symbology '
            "identifier (AIM prefix) and scan again"
        )
    identifier, payload = split_identifier(raw)
    grammar = grammar_of(identifier)
    if grammar is Grammar.ELEMENTS:
        _require_printable(raw.replace(SEPARATOR, ""), raw)
        return _read_elements(identifier, payload)
    _require_printable(raw, raw)
    digits = _EAN_DIGITS.get(grammar)
    return _read_plant(identifier, payload) if digits is None else _read_ean(digits, payload)


def _keyed_number(typed: str) -> NumberKeyed:
    if not is_digits(typed) or len(typed) > MOST_DIGITS:
        raise InvalidFormat(f"'#' must be followed by 1 to {MOST_DIGITS} digits 0-9, found {typed[:40]!r}")
    return NumberKeyed(int(typed))


def _keyed_text(typed: str) -> TextKeyed:
    if len(typed) > LONGEST_LINE:
        raise InvalidLength(f"text has {len(typed)} characters; expected 1 to {LONGEST_LINE}")
    if not typed.isprintable():
        raise InvalidFormat(f"text {typed!r} holds a character that cannot be printed")
    if not typed or typed.isspace():
        raise InvalidFormat("a double quote must be followed by a text, found none")
    return TextKeyed(typed)


def _require_line(raw: str) -> None:
    if not raw:
        raise InvalidFormat("nothing was scanned or typed")
    if len(raw) > LONGEST_LINE:
        raise InvalidLength(
            f"the scan has {len(raw)} characters, more than {LONGEST_LINE}: two scans may have run together; "
            f"it begins {raw[:40]!r}"
        )
    if not raw.isascii():
        at = next(i for i, character in enumerate(raw) if not character.isascii())
        raise InvalidFormat(
            f"character {raw[at]!r} at position {at + 1} of {raw!r} is not ASCII; check the scanner's keyboard language"
        )


def _require_printable(shown: str, raw: str) -> None:
    """Raise if a scanned line, with the separators it may hold taken out, has control characters."""
    if not shown.isprintable():
        strange = next(character for character in shown if not character.isprintable())
        raise InvalidFormat(f"control character {strange!r} in {raw!r}; expected printable characters only")


def _read_ean(digits: int, payload: str) -> SleeveRead:
    if not is_digits(payload):
        raise InvalidFormat(f"EAN-{digits} must be digits 0-9, found {payload!r}")
    if len(payload) != digits:
        raise InvalidLength(
            f"EAN-{digits} must come as {digits} digits, found {len(payload)} in {payload!r}; "
            "set the scanner to send check digit and leading zero"
        )
    return SleeveRead(Gtin.parse(payload), None)


def _read_plant(identifier: str, payload: str) -> PlantRead | ActRead:
    if payload[:1] == "(":
        raise WrongCarrier(
            f"{payload!r} looks like a GS1 text whose brackets were encoded as data under {name_of(identifier)}: "
            "expected a GS1 symbol (]C1, ]d2); the label was made wrong"
        )
    if is_act(payload):
        word = parse_act(payload)
        _require_code_128(identifier, CodeKind.ACT, payload)
        return ActRead(word)
    code = PlantCode.parse(payload)
    if code.kind is not CodeKind.TOOL:
        _require_code_128(identifier, code.kind, payload)
    return PlantRead(code)


def _require_code_128(identifier: str, kind: CodeKind, payload: str) -> None:
    if identifier != symbology.CODE_128:
        raise WrongCarrier(
            f"{kind.noun} {payload} came as {name_of(identifier)}: expected {name_of(symbology.CODE_128)}"
        )


def _read_elements(identifier: str, payload: str) -> Reading:
    elements = parse_elements(payload)
    if "8006" in elements:
        return _disc(identifier, elements)
    if "01" in elements:
        return _sleeve(identifier, elements)
    return _logistic(identifier, elements)


def _require_carrier(identifier: str, expected: str, what: str) -> None:
    if identifier != expected:
        raise WrongCarrier(f"{what} came as {name_of(identifier)}: expected {name_of(expected)}")


def _require_only(elements: dict[str, str], allowed: tuple[str, ...], what: str) -> None:
    for ai in elements:
        if ai not in allowed:
            together = " and ".join(f"({other})" for other in allowed)
            raise InvalidFormat(
                f"({ai}) {RULES[ai].title} does not belong on {what}: expected {together} only"
            )


def _disc(identifier: str, elements: dict[str, str]) -> DiscRead:
    _require_carrier(identifier, symbology.GS1_DATA_MATRIX, "(8006) of a disc")
    _require_only(elements, ("8006",), "a disc")
    value = elements["8006"]
    piece, total = piece_of_total(value)
    return DiscRead(Gtin(value[:14]), piece, total)


def _sleeve(identifier: str, elements: dict[str, str]) -> SleeveRead:
    _require_carrier(identifier, symbology.GS1_DATA_MATRIX, "(01) GTIN of a numbered sleeve")
    _require_only(elements, ("01", "21"), "a numbered sleeve")
    if "21" not in elements:
        raise WrongCarrier(
            f"(01) GTIN {elements['01']} came alone as {name_of(identifier)}: expected (21) with it on a numbered "
            f"sleeve, or {name_of(symbology.EAN_13)} on a sleeve without number"
        )
    return SleeveRead(Gtin(elements["01"]), elements["21"])


def _logistic(identifier: str, elements: dict[str, str]) -> LogisticRead:
    if "21" in elements:
        raise InvalidFormat(
            f"(21) SERIAL {elements['21']!r} came without (01) GTIN; expected both in one symbol"
        )
    _require_carrier(identifier, symbology.GS1_128, f"({next(iter(elements))}) of a carton or pallet")
    sscc, content, count = elements.get("00"), elements.get("02"), elements.get("37")
    return LogisticRead(
        sscc=Sscc(sscc) if sscc is not None else None,
        content=Gtin(content) if content is not None else None,
        count=int(count) if count is not None else None,
        lot=elements.get("10"),
    )
