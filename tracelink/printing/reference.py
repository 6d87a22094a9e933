"""Reference decoding of Code 128, EAN-13 and EAN-8 from the widths of bars and spaces, and how near it came to failing.

Scanners have many ways to read a bad symbol; a grade asks how the plain way of the standard fares. It works on
distances from an edge to the next similar edge, which ink that spreads does not change: each is rounded to modules,
and the pattern with those modules is the character. Decodability is how far the worst distance was from the
next threshold, in percent of the best possible.

Sources: patterns from python-barcode's tables of ISO/IEC 15417 and 15420. The measure of edges as in ISO/IEC 15416;
the bar width measure of Code 128 (1.75 modules) and the use of bar widths for the EAN digits 1, 7, 2 and 8 are from
memory.
"""

import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from barcode.charsets import code128, ean

_START_A, _STOP = 103, 106
_CODE_128_MODULES = 11
_EAN_MODULES = 7
_EAN_ELEMENTS, _EAN_8_ELEMENTS = (3 + half * 4 + 5 + half * 4 + 3 for half in (6, 4))
_EAN_WIDE, _EAN_8_WIDE = (3 + half * 7 + 5 + half * 7 + 3 for half in (6, 4))
_BAR_TOLERANCE = 1.75


@dataclass(frozen=True, slots=True)
class Decoded:
    """What the widths say."""

    values: tuple[int, ...]
    """Code 128: the values of start, data and check characters; EAN-13 and EAN-8: the digits."""
    modules: int
    """Modules from the first bar to the last."""
    decodability: float
    """In percent; 100 is perfect."""


def _runs(pattern: str) -> tuple[int, ...]:
    return tuple(len(list(run)) for _, run in itertools.groupby(pattern))


def _edges(widths: Sequence[float]) -> list[float]:
    """Return the distances from each edge to the next similar one within a character."""
    return [one + two for one, two in itertools.pairwise(widths)][: len(widths) - 2]


_CODE_128: Mapping[tuple[int, ...], tuple[int, int]] = {
    tuple(int(edge) for edge in _edges(_runs(pattern))): (value, sum(_runs(pattern)[::2]))
    for value, pattern in enumerate((*code128.CODES, code128.STOP))
}
"""Edge distances -> value and modules in bars."""


def decode_code128(widths: Sequence[float]) -> Decoded | None:
    """Decode a Code 128.

    Args:
        widths: of bars and spaces by turns, from the first bar to the last, in any unit.

    Returns:
        None if they are no Code 128, or its check character is wrong.
    """
    characters, left_over = divmod(len(widths), 6)
    if left_over != 1 or characters < 4:
        return None
    values, worst = [], 100.0
    for number in range(characters):
        found = _code128_character(widths[6 * number : 6 * number + 6])
        if found is None:
            return None
        values.append(found[0])
        worst = min(worst, found[1])
    start, *data, check, stop = values
    summed = start + sum(place * value for place, value in enumerate(data, 1))
    if start < _START_A or stop != _STOP or max((*data, check)) >= _START_A or summed % 103 != check:
        return None
    return Decoded(tuple(values[:-1]), _CODE_128_MODULES * characters + 2, worst)


def _code128_character(widths: Sequence[float]) -> tuple[int, float] | None:
    module = sum(widths) / _CODE_128_MODULES
    edges, worst = _rounded(_edges(widths), module)
    found = _CODE_128.get(edges)
    if found is None:
        return None
    value, in_bars = found
    off = abs(sum(widths[::2]) / module - in_bars)
    if off >= _BAR_TOLERANCE:
        return None
    return value, min(worst, 100 * (_BAR_TOLERANCE - off) / _BAR_TOLERANCE)


def _rounded(distances: Iterable[float], module: float) -> tuple[tuple[int, ...], float]:
    """Return distances in whole modules, and how far the worst was from the threshold between two, in percent."""
    modules, worst = [], 100.0
    for distance in distances:
        exact = distance / module
        modules.append(round(exact))
        worst = min(worst, 100 * (1 - 2 * abs(exact - round(exact))))
    return tuple(modules), worst


_EAN: dict[tuple[int, ...], list[tuple[str, int, int]]] = {}
"""Edge distances -> set (A, B, C), digit and modules in bars."""
for _letter, _patterns in ean.CODES.items():
    for _digit, _pattern in enumerate(_patterns):
        _key = (_letter == "C", *(int(_edge) for _edge in _edges(_runs(_pattern))))
        _EAN.setdefault(_key, []).append((_letter, _digit, _pattern.count("1")))


def decode_ean13(widths: Sequence[float]) -> Decoded | None:
    """Decode an EAN-13; see `decode_code128`."""
    found = _ean_halves(widths, 6, _EAN_WIDE) if len(widths) == _EAN_ELEMENTS else None
    if found is None or found.sets not in ean.LEFT_PATTERN:
        return None
    return _summed((ean.LEFT_PATTERN.index(found.sets), *found.digits), (1, 3), _EAN_WIDE, found.worst)


def decode_ean8(widths: Sequence[float]) -> Decoded | None:
    """Decode an EAN-8; see `decode_code128`."""
    found = _ean_halves(widths, 4, _EAN_8_WIDE) if len(widths) == _EAN_8_ELEMENTS else None
    if found is None or found.sets != "AAAA":
        return None
    return _summed(found.digits, (3, 1), _EAN_8_WIDE, found.worst)


@dataclass(frozen=True, slots=True)
class _EanHalves:
    """What stands between the guards."""

    sets: str
    """Of the digits of the left half: A or B."""
    digits: tuple[int, ...]
    worst: float


def _ean_halves(widths: Sequence[float], half: int, modules: int) -> _EanHalves | None:
    digits, sets, worst = [], "", 100.0
    for number in range(2 * half):
        right = number >= half
        at = 3 + 4 * number + (5 if right else 0)
        found = _ean_digit(widths[at : at + 4], right=right)
        if found is None:
            return None
        sets += found[0]
        digits.append(found[1])
        worst = min(worst, found[2])
    middle = 3 + 4 * half
    guards = (*widths[:3], *widths[middle : middle + 5], *widths[-3:])
    module = sum(widths) / modules
    # The three guards are bars and spaces of about one module each.
    if not all(0.3 * module < width < 2 * module for width in guards):
        return None
    return _EanHalves(sets[:half], tuple(digits), worst)


def _summed(digits: tuple[int, ...], weights: tuple[int, int], modules: int, worst: float) -> Decoded | None:
    if sum(digit * weights[place % 2] for place, digit in enumerate(digits)) % 10:
        return None
    return Decoded(digits, modules, worst)


def _ean_digit(widths: Sequence[float], *, right: bool) -> tuple[str, int, float] | None:
    module = sum(widths) / _EAN_MODULES
    edges, worst = _rounded(_edges(widths), module)
    found = _EAN.get((right, *edges))
    if found is None:
        return None
    in_bars = sum(widths[::2] if right else widths[1::2]) / module
    by_distance = sorted((abs(in_bars - modules), letter, digit) for letter, digit, modules in found)
    if len(by_distance) > 1:
        # Two digits with the same edges differ by two modules of bar; half way between is one.
        worst = min(worst, 100 * (by_distance[1][0] - by_distance[0][0]) / 2)
    _, letter, digit = by_distance[0]
    return letter, digit, max(0.0, worst)
