"""How raw scans are stored: column by column, deflated with known words.

Scans of a steady stream are nearly alike: numbers, turns and entries go up by one, times by a few seconds, and two or three
lines come over and over. Stored are the differences from one scan to the next, each column by itself, then the
lines that differ, each once. Nothing of it is taken from the entry beside, so that a changed entry does not make its scans
look changed.

Where there are few scans there is nothing to deflate in those differences: they stand as they are, and the lines are a text of
which the values stand apart (`values_apart.py`).

A pack that does not come out of this as the very same bytes is stored as zlib stores it, which never begins with `FORM`.
"""

import struct
import zlib
from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import accumulate, chain
from operator import sub
from typing import Final, NamedTuple

from tracelink.errors import LedgerError
from tracelink.ledger.canonical_json import encoded
from tracelink.ledger.packs import PackedScans, RawScan, unpack_scans
from tracelink.store.compact.few_bytes import (
    deflate,
    inflate,
    local_time,
    local_times,
    put,
    take,
    unzip,
)
from tracelink.store.compact.values_apart import SCAN_TEXTS, pack_text, read_text

FORM: Final = 0x01
"""First byte of the form for many scans; zlib's own begins with 0x78."""
FEW_FORM: Final = 0x02
"""First byte of the form for few."""

_FEW: Final = 4
_HEAD: Final = struct.Struct(">BbI")
"""Number of scans, quarters of an hour from UTC, seconds since 1970 of the first."""

_WORDS: Final = "pack_words_1.txt"
_QUARTER: Final = timedelta(minutes=15)
_SECOND: Final = timedelta(seconds=1)
_EPOCH: Final = datetime(1970, 1, 1)  # noqa: DTZ001  compared with times whose offset was cut off
_OFFSET: Final = len("+01:00")


def stored_pack(pack: bytes, seq: int, scans: Sequence[RawScan] | None = None) -> bytes:
    """Return the bytes to store for raw scans.

    Args:
        pack: their canonical bytes.
        seq: number of the entry that they stand beside.
        scans: the same scans, where they were packed just now; None to read them from the bytes.
    """
    try:
        told = unpack_scans(pack) if scans is None else scans
        short = _few_written(told, seq) if len(told) <= _FEW else _many_written(told, seq)
        if read_pack(short, seq) == pack:
            return short
    except (LedgerError, ValueError, TypeError, IndexError, OverflowError, struct.error):
        pass
    return zlib.compress(pack, 6)


def read_pack(stored: bytes, seq: int) -> bytes:
    """Return the canonical bytes of raw scans; bytes that cannot be read as they are.

    Args:
        stored: as `stored_pack` made them, or zlib.
        seq: number of the entry that they stand beside.
    """
    return taken_apart(stored, seq).pack or b""


def taken_apart(stored: bytes, seq: int) -> PackedScans:
    """Return raw scans with their canonical bytes, and with what this form has apart; see `read_pack`."""
    try:
        if stored[:1] == bytes((FORM,)):
            return _many_read(inflate(stored[1:], _WORDS), seq)
        if stored[:1] == bytes((FEW_FORM,)):
            return _few_read(stored, seq)
        return PackedScans(unzip(stored))
    except (zlib.error, ValueError, LookupError, OverflowError, LedgerError, struct.error):
        return PackedScans(bytes(stored))


class _Columns(NamedTuple):
    """Scans column by column."""

    zone: int
    """Quarters of an hour from UTC."""
    firsts: list[int]
    """Number, seconds, turn and entries before of the first scan."""
    steps: list[int]
    """From one scan to the next, column by column, and at last the places of their lines."""
    lines: str
    """Each once."""


def _columns(scans: Sequence[RawScan], seq: int) -> _Columns:
    ahead = datetime.fromisoformat(scans[0].at).utcoffset() or timedelta()
    lines = list(dict.fromkeys([scan.raw for scan in scans]))
    place = {line: number for number, line in enumerate(lines)}
    columns = (
        [scan.number for scan in scans],
        _seconds([scan.at for scan in scans], ahead),
        [scan.turn or 0 for scan in scans],
        [seq - (scan.after or 0) for scan in scans],
        # The first line is the first scan's; where each scan has its own, the places go up by one.
        [place[scan.raw] for scan in scans],
    )
    steps = [*chain.from_iterable(map(sub, column[1:], column) for column in columns)]
    return _Columns(ahead // _QUARTER, [column[0] for column in columns[:-1]], steps, "\n".join(lines))


def _seconds(times: Sequence[str], ahead: timedelta) -> list[int]:
    """Return local times as seconds since 1970, all of them taken to have one offset: others do not come out as they were."""
    start = _EPOCH + ahead
    return [(datetime.fromisoformat(each[:-_OFFSET]) - start) // _SECOND for each in times]


def _many_written(scans: Sequence[RawScan], seq: int) -> bytes:
    zone, firsts, steps, lines = _columns(scans, seq)
    data = put((len(scans), zone, *firsts)) + put(steps) + lines.encode("utf-8")
    return bytes((FORM,)) + deflate(data, _WORDS)


def _few_written(scans: Sequence[RawScan], seq: int) -> bytes:
    zone, (number, seconds, turn, before), steps, lines = _columns(scans, seq)
    text, values = pack_text(lines, seconds, zone, SCAN_TEXTS)
    head = bytes((FEW_FORM,)) + _HEAD.pack(len(scans), zone, seconds)
    return head + put((number, turn, before, text, *steps)) + values


def _many_read(data: bytes, seq: int) -> PackedScans:
    (count, zone, *firsts), at = take(data, 6)
    steps, at = take(data, 5 * (count - 1), at)
    return _read(_Columns(zone, firsts, steps, data[at:].decode("utf-8")), count, seq)


def _few_read(stored: bytes, seq: int) -> PackedScans:
    count, zone, seconds = _HEAD.unpack_from(stored, 1)
    (number, turn, before, text, *steps), at = take(stored, 5 * count - 1, 1 + _HEAD.size)
    lines = read_text(text, stored[at:], seconds, zone, SCAN_TEXTS)
    if not steps:
        # One scan, as most entries have.
        [line] = lines.split("\n")
        item = f'[[{number},"{local_time(seconds, zone)}",{encoded(line)},{turn},{seq - before}]]'
        return PackedScans(item.encode(), [number], [turn])
    return _read(_Columns(zone, [number, seconds, turn, before], steps, lines), count, seq)


def _read(told: _Columns, count: int, seq: int) -> PackedScans:
    between = count - 1
    numbers, seconds, turns, befores, places = (
        list(accumulate(told.steps[column * between : (column + 1) * between], initial=first))
        for column, first in enumerate((*told.firsts, 0))
    )
    lines = [encoded(line) for line in told.lines.split("\n")]
    # Written by hand: millions of scans are read again and again, and what comes out is compared with its hash.
    items = [
        f'[{number},"{time}",{lines[place]},{turn},{seq - before}]'
        for number, time, turn, before, place in zip(
            numbers, local_times(seconds, told.zone), turns, befores, places, strict=True
        )
    ]
    return PackedScans(f"[{','.join(items)}]".encode(), numbers, [*turns])
