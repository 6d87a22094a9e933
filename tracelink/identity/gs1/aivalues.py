"""Whether a value is one its application identifier allows: characters, check digits, dates, beginnings.

The checks have the names of the GS1 Barcode Syntax Dictionary. What is in `UNJUDGED` is judged by length and characters
only: its list is long and others change it. Those that only labels of others hold are in `partner_values.py`.
"""

from collections.abc import Callable
from datetime import date

from tracelink.errors import IdentifierError, InvalidFormat, InvalidLength
from tracelink.identity.checkdigit import is_digits, require_gs1_check_digit
from tracelink.identity.gs1.aitable import Component, ElementRule
from tracelink.identity.gs1.charsets import CSET_39, CSET_64, CSET_82
from tracelink.identity.gs1.checkpair import require_gs1_check_pair
from tracelink.identity.gs1.dates import require_date
from tracelink.identity.gs1.partner_values import CONDITIONS, REQUIREMENTS

UNJUDGED = frozenset({"packagetype"})
"""Checks of the dictionary that are not made here: the list of UN/ECE Recommendation 21 with GS1's additions."""

_SETS = {"X": CSET_82, "Y": CSET_39, "Z": CSET_64}
_STRIPS = {letter: "".join(sorted(allowed)) for letter, allowed in _SETS.items()}
_SHORTEST_PREFIX = 4


def length_in_words(rule: ElementRule) -> str:
    """Return how long a value must be, for sentences."""
    kind = "digits" if rule.numeric else "characters"
    fewest = "" if rule.shortest == rule.longest else f"{rule.shortest} to "
    return f"{fewest}{rule.longest} {kind}"


def require_length(rule: ElementRule, value: str) -> None:
    """Raise `InvalidLength` unless the value has a length its rule allows."""
    if not rule.shortest <= len(value) <= rule.longest:
        raise InvalidLength(f"{rule.name} needs {length_in_words(rule)}, found {len(value)} in {value!r}")


def require_value(rule: ElementRule, value: str) -> None:
    """Raise unless a value of a length the rule allows is one the rule allows.

    Raises:
        InvalidFormat: a character not allowed, an invalid date, a piece beyond its total ...
        InvalidLength: the value ends amid a component.
        InvalidCheckCharacter: a check digit or check pair does not fit.
    """
    at = 0
    for component in rule.components:
        part = value[at : at + component.longest]
        if not part and component.optional:
            return
        if len(part) < component.shortest:
            raise InvalidLength(
                f"{rule.name} {value!r} ends amid a part: expected {component.shortest} characters from place "
                f"{at + 1}, found {len(part)}"
            )
        _require_characters(rule, value, component, part)
        for check in component.checks:
            judge = _JUDGES.get(check)
            if judge is not None:
                judge(rule, part)
        at += len(part)


def is_value(rule: ElementRule, value: str) -> bool:
    """Say whether a value is one the rule allows, length and all."""
    if not rule.shortest <= len(value) <= rule.longest or (rule.numeric and not is_digits(value)):
        return False
    try:
        require_value(rule, value)
    except IdentifierError:
        return False
    return True


def _require_characters(rule: ElementRule, value: str, component: Component, part: str) -> None:
    if component.letter == "N":
        if is_digits(part):
            return
        if rule.numeric:
            raise InvalidFormat(f"{rule.name} must be digits 0-9, found {value!r}")
        raise InvalidFormat(f"{rule.name} {value!r} must have digits 0-9 where it has {part!r}")
    if part.strip(_STRIPS[component.letter]):
        strange = next(c for c in part if c not in _SETS[component.letter])
        raise InvalidFormat(f"{rule.name} {value!r} holds {strange!r}, which GS1 does not allow there")


def piece_of_total(value: str) -> tuple[int, int]:
    """Return piece and total of a value of (8006) or (8026).

    Args:
        value: 18 digits: GTIN, two digits piece, two digits total.

    Raises:
        InvalidFormat: piece or total is 0, or the piece is beyond the total.
    """
    return _piece_of_total("8006", value[14:])


def _piece_of_total(ai: str, part: str) -> tuple[int, int]:
    piece, total = int(part[:2]), int(part[2:4])
    if not 1 <= piece <= total:
        raise InvalidFormat(f"({ai}) says piece {piece} of {total}: expected a piece from 1 to the total")
    return piece, total


def _check_digit(rule: ElementRule, part: str) -> None:
    # A GTIN or SSCC is known by that name; other keys by the title on the label.
    name = "GTIN" if len(part) == 14 else rule.title
    require_gs1_check_digit(part, name)


def _check_pair(rule: ElementRule, part: str) -> None:
    require_gs1_check_pair(part, rule.title)


def _piece(rule: ElementRule, part: str) -> None:
    _piece_of_total(rule.ai, part)


def _company_prefix(rule: ElementRule, part: str) -> None:
    """Raise unless the value can begin with a company prefix: how long it is only its owner knows."""
    start = part[:_SHORTEST_PREFIX]
    if len(start) < _SHORTEST_PREFIX or not is_digits(start):
        raise InvalidFormat(
            f"{rule.name} {part!r} must begin with a GS1 company prefix, {_SHORTEST_PREFIX} digits at least"
        )


def _day_or_month(rule: ElementRule, part: str) -> None:
    _require_date(rule, part, day_zero=True)


def _day(rule: ElementRule, part: str) -> None:
    _require_date(rule, part, day_zero=False)


def _require_date(rule: ElementRule, part: str, *, day_zero: bool) -> None:
    try:
        require_date(part, day_zero=day_zero)
    except InvalidFormat as error:
        raise InvalidFormat(f"{rule.name}: {error}") from None


def _full_date(rule: ElementRule, part: str) -> None:
    try:
        date(int(part[:4]), int(part[4:6]), int(part[6:]))
    except ValueError:
        raise InvalidFormat(f"{rule.name} {part!r} is not a date: expected YYYYMMDD") from None


def _time(rule: ElementRule, part: str) -> None:
    if int(part[:2]) > 23 or int(part[2:] or 0) > 59:
        raise InvalidFormat(f"{rule.name} has {part!r}: expected hours 00 to 23, minutes 00 to 59")


def _sixty(rule: ElementRule, part: str) -> None:
    if int(part) > 59:
        raise InvalidFormat(f"{rule.name} has {part!r}: expected minutes and seconds 00 to 59")


def _matching(holds: Callable[[str], bool], expected: str) -> Callable[[ElementRule, str], None]:
    """Return a check for a plain condition on a component."""

    def judge(rule: ElementRule, part: str) -> None:
        if not holds(part):
            raise InvalidFormat(f"{rule.name} has {part!r}: expected {expected}")

    return judge


def _named(require: Callable[[str], None]) -> Callable[[ElementRule, str], None]:
    """Return a check that says which identifier the value belongs to."""

    def judge(rule: ElementRule, part: str) -> None:
        try:
            require(part)
        except IdentifierError as error:
            raise type(error)(f"{rule.name}: {error}") from None

    return judge


def _is_place_in_row(part: str) -> bool:
    place, slash, places = part[0], part[1], part[2]
    return slash == "/" and is_digits(place + places) and "1" <= place <= places


def _is_percent_encoded(part: str) -> bool:
    return all(
        len(code) >= 2 and set(code[:2]) <= set("0123456789ABCDEFabcdef") for code in part.split("%")[1:]
    )


_JUDGES: dict[str, Callable[[ElementRule, str], None]] = {
    "csum": _check_digit,
    "csumalpha": _check_pair,
    "pieceoftotal": _piece,
    # Where the prefix stands behind another digit, the component is all digits and long enough.
    "gcppos1": _company_prefix,
    "yymmd0": _day_or_month,
    "yymmdd": _day,
    "yyyymmdd": _full_date,
    "hhmi": _time,
    "hh": _time,
    "mi": _sixty,
    "ss": _sixty,
    "zero": _matching(lambda part: not part.strip("0"), "0 in front"),
    "nonzero": _matching(lambda part: bool(part.strip("0")), "a number above 0"),
    "nozeroprefix": _matching(lambda part: part == "0" or part[0] != "0", "no needless zero in front"),
    "hasnondigit": _matching(lambda part: not is_digits(part), "a character that is not a digit"),
    "yesno": _matching(lambda part: part in "01", "0 (no) or 1 (yes)"),
    "hyphen": _matching(lambda part: part == "-", "a hyphen, for below zero"),
    "posinseqslash": _matching(_is_place_in_row, "place and total such as 1/2"),
    "pcenc": _matching(_is_percent_encoded, "two hexadecimal digits behind every %"),
    **{name: _matching(*each) for name, each in CONDITIONS.items()},
    **{name: _named(each) for name, each in REQUIREMENTS.items()},
}
