"""Whole numbers, texts and times in as few bytes as they need.

Numbers have seven bits in each byte, the lowest first; the eighth says that more follow. Texts are deflated with words that are
known beforehand: text that entries and raw scans are full of. The words are never stored, and what was stored with them
cannot be read without them: a file of them is never changed, another form gets another file. Times are seconds since 1970, and
become the texts that entries have faster than by `datetime`.
"""

import re
import zlib
from collections.abc import Iterable
from datetime import date, timedelta
from functools import cache, lru_cache
from pathlib import Path
from typing import Final


def put(numbers: Iterable[int]) -> bytes:
    """Return numbers as bytes; one may be below zero, small ones either side take one byte."""
    numbers = list(numbers)
    try:
        # Each has a byte of its own: nearly always so.
        return bytes([_BYTE[number] for number in numbers])
    except KeyError:
        pass
    out = bytearray()
    for number in numbers:
        left = number << 1 if number >= 0 else (-number << 1) - 1
        while left > 0x7F:
            out.append(left & 0x7F | 0x80)
            left >>= 7
        out.append(left)
    return bytes(out)


def take(data: bytes, count: int, at: int = 0) -> tuple[list[int], int]:
    """Return `count` numbers from place `at` on, and the place behind them.

    Raises:
        IndexError: the bytes end before.
    """
    quick = data[at : at + count]
    if len(quick) == count and quick.isascii():
        # Each has a byte of its own: nearly always so, and much faster.
        return [_SMALL[byte] for byte in quick], at + count
    written = _NUMBER.findall(data, at)[:count]
    if len(written) < count:
        raise IndexError(count)
    return [_number(each) for each in written], at + sum(map(len, written))


def _signed(left: int) -> int:
    return left >> 1 if not left & 1 else -((left + 1) >> 1)


_NUMBER: Final = re.compile(rb"[\x80-\xff]{0,18}[\x00-\x7f]")


@lru_cache(maxsize=16384)
def _number(written: bytes) -> int:
    left = 0
    for byte in reversed(written):
        left = left << 7 | byte & 0x7F
    return _signed(left)


_SMALL: Final = tuple(_signed(byte) for byte in range(0x80))
_BYTE: Final = {number: byte for byte, number in enumerate(_SMALL)}


_LEAST_WINDOW: Final = 13
"""8 KiB."""


MARKS: Final = {
    b"<time>": b"\x02",
    b"<number>": b"\x03",
    b"<code>": b"\x04",
    b"<18 digits>": b"\x05",
    b"<13 digits>": b"\x06",
    b"<14 digits>": b"\x07",
}
"""How files of words spell the marks of values (see `values_apart`) -> the marks."""


LARGEST: Final = 64 << 20
"""Bytes that an entry or its raw scans may come to; a few kilobytes may unpack to gigabytes in a ledger that somebody forged."""


@cache
def words(name: str) -> bytes:
    """Return the words of a form."""
    found = Path(__file__).with_name(name).read_bytes()
    for spelled, mark in MARKS.items():
        found = found.replace(spelled, mark)
    return found


def _window(name: str) -> int:
    """As many bits as the words need; below zero: without zlib's head and check sum, as entries have a hash of their own."""
    return -max(_LEAST_WINDOW, (len(words(name)) - 1).bit_length())


@cache
def _begun(name: str) -> "zlib._Compress":
    return zlib.compressobj(9, zlib.DEFLATED, _window(name), 5, zlib.Z_DEFAULT_STRATEGY, words(name))


@cache
def _opened(name: str) -> "zlib._Decompress":
    return zlib.decompressobj(_window(name), words(name))


def deflate(data: bytes, name: str) -> bytes:
    """Return `data` as few bytes."""
    packer = _begun(name).copy()
    return packer.compress(data) + packer.flush()


def inflate(data: bytes, name: str) -> bytes:
    """Return what was deflated.

    Raises:
        zlib.error: these bytes were not, or not whole, or come to more than anybody writes.
    """
    return _whole(_opened(name).copy(), data)


def unzip(data: bytes) -> bytes:
    """Return what zlib packed; raises as `inflate`."""
    return _whole(zlib.decompressobj(), data)


def _whole(reader: "zlib._Decompress", data: bytes) -> bytes:
    found = reader.decompress(data, LARGEST)
    if not reader.eof or reader.unused_data:
        raise zlib.error("it does not end where it should")
    return found


_CLOCK: Final = tuple(f"T{minute // 60:02d}:{minute % 60:02d}" for minute in range(1440))
_SECOND: Final = tuple(f":{second:02d}" for second in range(60))


def local_time(seconds: int, zone: int) -> str:
    """Return a time with its offset, such as 2031-03-04T09:15:00+01:00.

    Args:
        seconds: since 1970, UTC.
        zone: quarters of an hour from UTC.

    Raises:
        OverflowError: no calendar has this day.
    """
    return _moment(seconds + 900 * zone) + _offset(zone)


def local_times(seconds: Iterable[int], zone: int) -> list[str]:
    """Return times with the same offset; see `local_time`."""
    ahead, offset = 900 * zone, _offset(zone)
    return [_moment(each + ahead) + offset for each in seconds]


def utc_time(seconds: int) -> str:
    """Return a time of UTC, such as 2031-03-04T08:15:00Z; raises as `local_time`."""
    return f"{_moment(seconds)}Z"


def _moment(seconds: int) -> str:
    day, second = divmod(seconds, 86400)
    return _day(day) + _CLOCK[second // 60] + _SECOND[second % 60]


@lru_cache(maxsize=1024)
def _day(day: int) -> str:
    return (date(1970, 1, 1) + timedelta(days=day)).isoformat()


@lru_cache(maxsize=256)
def _offset(zone: int) -> str:
    hours, quarters = divmod(abs(zone), 4)
    return f"{'-' if zone < 0 else '+'}{hours:02d}:{15 * quarters:02d}"
