"""What is filled into a label: fields with their types, and the templates they stand in.

A field is judged by its type before anything is drawn, so that no label carries a code whose check character is
wrong. A template is a text in which `{name}` stands for a field, and `{name:14}` for its digits, filled with zeros on
the left to 14. Beside a plant code `code` there is `code_noun` (lot card, badge ...), beside an act `act` its
`act_word`.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum

from tracelink.errors import IdentifierError, InvalidFormat, InvalidLength, UsageError
from tracelink.identity.checkdigit import is_digits
from tracelink.identity.gs1.gtin import Gtin
from tracelink.identity.gs1.sscc import Sscc
from tracelink.identity.plantcode import PlantCode, act_code
from tracelink.printing.act_meanings import act_words

LONGEST_TEXT = 200

_PLACEHOLDER = re.compile(r"\{([a-z][a-z0-9_]*)(?::([1-9][0-9]?))?\}", re.ASCII)
NAME = re.compile(r"[a-z][a-z0-9_]*", re.ASCII)
"""What a field may be called."""


class FieldKind(Enum):
    """What kind of value a field takes; the value is the word in a layout file."""

    PLANT_CODE = "plant-code"
    ACT = "act"
    GTIN = "gtin"
    SSCC = "sscc"
    NUMBER = "number"
    TEXT = "text"


@dataclass(frozen=True, slots=True)
class Field:
    """One value that a label needs."""

    name: str
    """Its name in templates and on the command line."""

    kind: FieldKind
    """Kind of the value."""

    hint: str
    """What to give, for people."""

    letter: str | None = None
    """First letter that a plant code must have; None if any will do."""

    most: int | None = None
    """Largest number of digits of a number."""

    @property
    def provides(self) -> tuple[str, ...]:
        """The names it fills in templates: its own, and what its value says besides."""
        if self.kind is FieldKind.PLANT_CODE:
            return (self.name, f"{self.name}_noun")
        if self.kind is FieldKind.ACT:
            return (self.name, f"{self.name}_word")
        return (self.name,)

    def read(self, given: str) -> dict[str, str]:
        """Return the texts to print, by the names that `provides` lists.

        Args:
            given: the text given for the field. A plant code, GTIN or SSCC with its check character; the bare
                word of an act card; digits; or a text of at most 200 printable characters.

        Raises:
            IdentifierError: it is not what the field must be.
        """
        return dict(zip(self.provides, _READERS[self.kind](self, given), strict=True))


def _plant_code(field: Field, given: str) -> tuple[str, ...]:
    code = PlantCode.parse(given)
    if field.letter is not None and code.kind.value != field.letter:
        raise InvalidFormat(
            f"{given!r} is the code of a {code.kind.noun}: expected the letter {field.letter}"
        )
    return code.text, code.kind.noun


def _act(_field: Field, given: str) -> tuple[str, ...]:
    code = act_code(given)
    if given not in act_words():
        # A card of it could be scanned, and every station would refuse it.
        raise InvalidFormat(
            f"there is no act {given}: expected one that a station knows, as on the cards of `runout label acts`"
        )
    return code, given


def _gtin(_field: Field, given: str) -> tuple[str, ...]:
    return (str(Gtin.parse(given)),)


def _sscc(_field: Field, given: str) -> tuple[str, ...]:
    return (str(Sscc.parse(given)),)


def _number(field: Field, given: str) -> tuple[str, ...]:
    if not is_digits(given):
        raise InvalidFormat(f"expected digits 0-9, found {given!r}")
    if field.most is not None and len(given) > field.most:
        raise InvalidLength(f"expected at most {field.most} digits, found {given!r}")
    return (given,)


def _text(_field: Field, given: str) -> tuple[str, ...]:
    if not given.strip() or not given.isprintable():
        raise InvalidFormat(f"expected a text of printable characters, found {given!r}")
    if len(given) > LONGEST_TEXT:
        raise InvalidLength(f"expected at most {LONGEST_TEXT} characters, found {len(given)}")
    return (given,)


_READERS: dict[FieldKind, Callable[[Field, str], tuple[str, ...]]] = {
    FieldKind.PLANT_CODE: _plant_code,
    FieldKind.ACT: _act,
    FieldKind.GTIN: _gtin,
    FieldKind.SSCC: _sscc,
    FieldKind.NUMBER: _number,
    FieldKind.TEXT: _text,
}


def read_fields(fields: Mapping[str, Field], data: Mapping[str, str], label: str) -> dict[str, str]:
    """Judge the data given for a label and return the texts for its templates.

    Args:
        fields: the label's fields, by name.
        data: a value for each of them, and nothing else.
        label: the label's name, for sentences.

    Raises:
        UsageError: a value is missing, not asked for, or not what its field must be.
    """
    for name, field in fields.items():
        if name not in data:
            raise UsageError(f"Label {label} needs {name}: {field.hint}.")
    values: dict[str, str] = {}
    for name, given in data.items():
        if name not in fields:
            raise UsageError(f"Label {label} has no field {name!r}; expected {', '.join(sorted(fields))}.")
        try:
            values |= fields[name].read(given)
        except IdentifierError as error:
            raise UsageError(f"Label {label}, {name} ({fields[name].hint}): {error}.") from error
    return values


def names_in(template: str) -> set[str]:
    """Return the names that stand in a template.

    Raises:
        InvalidFormat: a brace stands outside `{name}` or `{name:digits}`.
    """
    if set("{}") & set(_PLACEHOLDER.sub("", template)):
        raise InvalidFormat(f"braces must hold a field, as in {{code}} or {{gtin:14}}; found {template!r}")
    return {match[1] for match in _PLACEHOLDER.finditer(template)}


def fill(template: str, values: Mapping[str, str]) -> str:
    """Return a template with the values in it.

    Raises:
        UsageError: a value is to be filled to fewer digits than it has, or is not digits.
    """

    def text_of(match: re.Match[str]) -> str:
        value = values[match[1]]
        if match[2] is None:
            return value
        if not is_digits(value) or len(value) > int(match[2]):
            raise UsageError(f"{match[0]} takes at most {match[2]} digits, found {value!r}.")
        return value.zfill(int(match[2]))

    return _PLACEHOLDER.sub(text_of, template)
