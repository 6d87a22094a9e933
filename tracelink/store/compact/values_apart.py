"""Texts of which the values stand apart: numbers, times, codes and GTINs take a few bytes, and what is left is known by heart.

Entries of a kind differ by their values only, and raw lines too. Where a value stood is a mark, a control character
that neither has; the letter of a plant code stays before it, check digits and check characters are left out and
come again. A text that is left is one of a file of texts that are known beforehand, and stored is the number of
that one; any other is deflated with these texts as known words. What has a check digit is stored as the step from the
one before in the same text, as most of them are named twice.
"""

import re
from datetime import datetime
from functools import cache, lru_cache
from typing import Final, NamedTuple

from tracelink.errors import IdentifierError
from tracelink.identity.checkdigit import gs1_check_digit
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.store.compact.few_bytes import deflate, inflate, local_time, put, take, words

_TIME, _NUMBER, _CODE, _SSCC, _GTIN, _GTIN_14 = "\x02\x03\x04\x05\x06\x07"
_MARK: Final = re.compile(f"([{_TIME}-{_GTIN_14}])")
_DIGITS: Final = {18: _SSCC, 13: _GTIN, 14: _GTIN_14}
"""How many digits, the check digit among them -> the mark."""
_PAYLOAD: Final = {mark: length - 1 for length, mark in _DIGITS.items()}
_END: Final = "\n\n"
"""Between two texts of a file; the commonest are last, near to what is deflated behind them, and are counted from there."""
_WHOLE: Final = r"(?P<number>0|-?[1-9][0-9]{0,14})"
_CODED: Final = r"(?P<code>[A-Z][0-9]{6,9}[0-9A-Z])(?![0-9A-Z])"

# Each alternative begins with a fixed character: they are found in a third of the time.
_IN_ENTRY: Final = re.compile(
    r'"(?:(?P<time>\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d)'
    rf'|{_CODED}|(?P<digits>[0-9]{{18}}|[0-9]{{13}}))(?=")|[:,\[]{_WHOLE}(?=[,}}\]])',
    re.ASCII,
)
_IN_SCAN: Final = re.compile(
    rf"\](?:C0{_CODED}|C100(?P<sscc>[0-9]{{18}})(?![0-9])|E0(?P<gtin>[0-9]{{13}})(?![0-9])|d28006(?P<disc>[0-9]{{14}}))"
    rf"|#{_WHOLE}(?=\n|\Z)",
    re.ASCII,
)


class Known(NamedTuple):
    """A file of known texts, and by what the values in such texts are recognised."""

    name: str
    value: re.Pattern[str]


ENTRY_TEXTS: Final = Known("entry_texts_2.txt", _IN_ENTRY)
SCAN_TEXTS: Final = Known("scan_texts_2.txt", _IN_SCAN)


def pack_text(text: str, seconds: int, zone: int, known: Known) -> tuple[int, bytes]:
    """Return the number of a text among those that are known, 0 if it is none of them, and its values in a few bytes.

    Args:
        text: without the marks of values.
        seconds: since 1970, UTC, from which times in the text are counted back.
        zone: their quarters of an hour from UTC; times with another offset stay text.
        known: which texts are.

    Raises:
        ValueError: there is such a mark in the text.
    """
    if _MARK.search(text):
        raise ValueError(text)
    taking = _Taking(seconds, zone)
    left = known.value.sub(taking, text)
    values = taking.values
    number = _numbers(known).get(left, 0)
    if number:
        return number, put(values)
    return number, put((len(values), *values)) + deflate(left.encode("utf-8"), known.name)


def read_text(number: int, data: bytes, seconds: int, zone: int, known: Known) -> str:
    """Return a text again.

    Args:
        number: as `pack_text` returned it.
        data: the bytes it returned.
        seconds: as it was given then.
        zone: likewise.
        known: likewise.

    Raises:
        ValueError: they were not made so; KeyError, IndexError, OverflowError, zlib.error or IdentifierError likewise.
    """
    if number:
        text = _known_forms(known)[number]
        values, at = take(data, len(text.marks))
        if at != len(data):
            raise ValueError("there is more than the values of the text")
        return _together(text, values, seconds, zone)
    [count], at = take(data, 1)
    values, at = take(data, count, at)
    return _together(_form(inflate(data[at:], known.name).decode("utf-8")), values, seconds, zone)


class _Taking:
    """Puts a mark where a value stands, and remembers the value."""

    def __init__(self, seconds: int, zone: int) -> None:
        self.values: list[int] = []
        self._seconds = seconds
        self._zone = zone
        self._before = dict.fromkeys(_PAYLOAD, 0)

    def __call__(self, found: re.Match[str]) -> str:
        what = str(found.lastgroup)
        value = found[what]
        told = self._told(what, value)
        if told is None:
            return found[0]
        left, number = told
        self.values.append(number)
        return found[0][: -len(value)] + left

    def _told(self, what: str, value: str) -> tuple[str, int] | None:
        """What is left of a value, and its number; None of one that would not come again."""
        if what == "number":
            return _NUMBER, int(value)
        if what == "code":
            number = _code_number(value)
            return None if number is None else (value[0] + _CODE, number)
        if what == "time":
            seconds = int(datetime.fromisoformat(value).timestamp())
            same = local_time(seconds, self._zone) == value
            return (_TIME, self._seconds - seconds) if same else None
        return self._step(value)

    def _step(self, digits: str) -> tuple[str, int] | None:
        mark, payload = _DIGITS[len(digits)], int(digits[:-1])
        if _digits_text(mark, payload) != digits:
            return None
        step = payload - self._before[mark]
        self._before[mark] = payload
        return mark, step


class _Form(NamedTuple):
    """A text with places for its values."""

    form: str
    """With %s where a value stands."""
    marks: tuple[tuple[str, str], ...]
    """The mark of each value, and the letter of a code."""


def _form(text: str) -> _Form:
    cut = _MARK.split(text.replace("%", "%%"))
    form, marks = cut[0], []
    for mark, behind in zip(cut[1::2], cut[2::2], strict=True):
        letter = form[-1:] if mark == _CODE else ""
        form = f"{form.removesuffix(letter)}%s{behind}"
        marks.append((mark, letter))
    return _Form(form, tuple(marks))


def _together(text: _Form, values: list[int], seconds: int, zone: int) -> str:
    found: list[str] = []
    before = {_SSCC: 0, _GTIN: 0, _GTIN_14: 0}
    for (mark, letter), value in zip(text.marks, values, strict=True):
        if letter:
            found.append(_code_text(letter, value))
        elif mark == _NUMBER:
            found.append(str(value))
        elif mark == _TIME:
            found.append(local_time(seconds - value, zone))
        else:
            before[mark] += value
            found.append(_digits_text(mark, before[mark]))
    return text.form % tuple(found)


@lru_cache(maxsize=4096)
def _code_text(letter: str, number: int) -> str:
    return PlantCode.build(CodeKind(letter), number).text


@lru_cache(maxsize=4096)
def _code_number(code: str) -> int | None:
    try:
        number = PlantCode.parse(code).number
    except IdentifierError:
        return None
    return number if _code_text(code[0], number) == code else None


@lru_cache(maxsize=4096)
def _digits_text(mark: str, payload: int) -> str:
    digits = f"{payload:0{_PAYLOAD[mark]}d}"
    return digits + gs1_check_digit(digits)


@cache
def _numbers(known: Known) -> dict[str, int]:
    texts = words(known.name).decode("ascii").split(_END)
    return {text: number for number, text in enumerate(reversed(texts), 1)}


@cache
def _known_forms(known: Known) -> dict[int, _Form]:
    return {number: _form(text) for text, number in _numbers(known).items()}
