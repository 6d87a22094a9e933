"""How raw scans are stored: column by column, deflated with known words.

Scans of a steady stream are nearly alike: numbers, turns and entries go up by one, times by a few seconds, and two or three
lines come over and over. Stored are the differences from one scan to the next, each column by itself, then the
lines that differ, each once. Nothing of it is taken from the entry beside, so that a changed entry does not make its scans
look changed.

A pack that does not come out of this as the very same bytes is stored as zlib stores it, which never begins with `FORM`.
"""

import zlib
from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import accumulate, pairwise
from typing import Final

from tracelink.errors import LedgerError
from tracelink.ledger.canonical_json import encoded
from tracelink.ledger.packs import PackedScans, RawScan, unpack_scans
from tracelink.store.compact.few_bytes import deflate, inflate, local_times, put, take, unzip

FORM: Final = 0x01
"""First byte of this form; zlib's own begins with 0x78."""

_WORDS: Final = "pack_words_1.txt"
_QUARTER: Final = timedelta(minutes=15)


def stored_pack(pack: bytes, seq: int, scans: Sequence[RawScan] | None = None) -> bytes:
    """Return the bytes to store for raw scans.

    Args:
        pack: their canonical bytes.
        seq: number of the entry that they stand beside.
        scans: the same scans, where they were packed just now; None to read them from the bytes.
    """
    try:
        told = unpack_scans(pack) if scans is None else scans
        short = bytes((FORM,)) + deflate(_written(told, seq), _WORDS)
        if read_pack(short, seq) == pack:
            return short
    except (LedgerError, ValueError, TypeError, IndexError, OverflowError):
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
            return _read(inflate(stored[1:], _WORDS), seq)
        return PackedScans(unzip(stored))
    except (zlib.error, ValueError, IndexError, OverflowError, LedgerError):
        return PackedScans(bytes(stored))


def _written(scans: Sequence[RawScan], seq: int) -> bytes:
    times = [datetime.fromisoformat(scan.at) for scan in scans]
    zone = (times[0].utcoffset() or timedelta()) // _QUARTER
    lines = list(dict.fromkeys(scan.raw for scan in scans))
    place = {line: number for number, line in enumerate(lines)}
    columns = (
        [scan.number for scan in scans],
        [int(each.timestamp()) for each in times],
        [scan.turn or 0 for scan in scans],
        [seq - (scan.after or 0) for scan in scans],
    )
    firsts = [column[0] for column in columns]
    steps = [step for column in columns for step in (b - a for a, b in pairwise(column))]
    # The first line is the first scan's; where each scan has its own, the places go up by one.
    places = [b - a for a, b in pairwise(place[scan.raw] for scan in scans)]
    head = put((len(scans), zone, *firsts, *steps, *places))
    return head + "\n".join(lines).encode("utf-8")


def _read(data: bytes, seq: int) -> PackedScans:
    (count, zone, *firsts), at = take(data, 6)
    between = count - 1
    steps, at = take(data, 5 * between, at)
    numbers, seconds, turns, befores, places = (
        list(accumulate(steps[column * between : (column + 1) * between], initial=first))
        for column, first in enumerate((*firsts, 0))
    )
    lines = [encoded(line) for line in data[at:].decode("utf-8").split("\n")]
    # Written by hand: millions of scans are read again and again, and what comes out is compared with its hash.
    items = [
        f'[{number},"{time}",{lines[place]},{turn},{seq - before}]'
        for number, time, turn, before, place in zip(
            numbers, local_times(seconds, zone), turns, befores, places, strict=True
        )
    ]
    return PackedScans(f"[{','.join(items)}]".encode(), numbers, [*turns])
