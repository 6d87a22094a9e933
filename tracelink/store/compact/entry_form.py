"""How an entry is stored: what its neighbours say already is left out, and the rest deflated.

Theory of operation
-------------------
Canonical bytes are long, and most of them are the same in every entry or stand beside it: the hash of the entry before is
stored with that one, and the hash of the raw scans follows from them. So the stored form has, after the byte `FORM`,
the first four bytes of both hashes, numbers for the codes of station and person, the times as seconds, and then kind, body,
reason and what it corrects as a text of which the values stand apart (`values_apart.py`). The canonical bytes come out of it
together with both hashes; four bytes of each are enough to tell which of entry, raw scans and entry before was changed where
they do not fit. In the form before this one, `OLDER_FORM`, that text was deflated as it is; it is read and no more written.

Whatever this form could not bring back to the very same bytes is stored as it is: canonical bytes begin with `{`.
"""

import re
import struct
import zlib
from datetime import datetime, timedelta
from functools import lru_cache
from typing import Final, NamedTuple

from tracelink.errors import IdentifierError
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.ledger.entry_pattern import EntryParts, joined, parts
from tracelink.store.compact.few_bytes import inflate, local_time, put, take, utc_time
from tracelink.store.compact.values_apart import ENTRY_TEXTS, pack_text, read_text

FORM: Final = 0x02
"""First byte of this form."""
OLDER_FORM: Final = 0x01

_OLDER_WORDS: Final = "entry_words_1.txt"
_HEAD: Final = struct.Struct(">B4s4s3s3sBI")
"""Form, beginning of both hashes, numbers of station and person, zone, seconds since 1970."""
_DIGITS: Final = 8
"""Hexadecimal digits of a hash that are stored."""
_HASH_DIGITS: Final = 64
_NO_SCANS: Final = 0x80
"""Bit beside the zone: the entry has no raw scans."""
_ZONES: Final = 57
"""Added to quarters of an hour from UTC, so that none is below zero."""
_OLDER_TIME: Final = "\x02"
"""In front of the seconds that a time in the body lies before the one of the entry; JSON has no such character."""
_OLDER_TIMES: Final = re.compile(f'"{_OLDER_TIME}(-?[0-9]+)"')
_FORMS: Final = (bytes((FORM,)), bytes((OLDER_FORM,)))
_HASH: Final = re.compile("[0-9a-f]{64}")
_STATION: Final = CodeKind.STATION.value
_PERSON: Final = CodeKind.PERSON.value


class StoredEntry(NamedTuple):
    """An entry as far as its stored form says it."""

    parts: EntryParts
    """Its fields; a hash that is not there, or is another, with its first digits only."""
    has_prev: bool
    """Whether the hash of the entry before is whole."""
    has_scans: bool
    """Whether that of its raw scans is, or it has none."""


def stored_form(canonical: bytes) -> bytes:
    """Return the bytes to store for an entry: the short form if it brings the very same bytes back, else these."""
    found = parts(canonical)
    if found is None or not _HASH.fullmatch(found.prev):
        return canonical
    scans = None if found.scans == "null" else found.scans[1:-1]
    if scans is not None and not _HASH.fullmatch(scans):
        return canonical
    try:
        short = _written(found, scans)
        again = read_form(short, found.prev, scans)
    except (ValueError, OverflowError, struct.error, IdentifierError):
        return canonical
    same = again is not None and joined(again.parts).encode("ascii") == canonical
    return short if same else canonical


def read_form(stored: bytes, prev: str | None = None, scans: str | None = None) -> StoredEntry | None:
    """Return what a stored form says; None if it is another form, or damaged.

    Args:
        stored: the form.
        prev: hash of the entry before, which the entry has if it begins as stored; None if that is not there.
        scans: hash of the raw scans beside it, likewise; None if there are none.
    """
    if stored[:1] not in _FORMS:
        return None
    try:
        return _read(stored, prev, scans)
    except (ValueError, LookupError, OverflowError, struct.error, zlib.error, IdentifierError):
        return None


def actor_bytes(code: str) -> bytes | None:
    """Return what stands for a station or person in the stored form, `STATION_AT` or `PERSON_AT`; None if nothing can."""
    try:
        return _number(f'"{code}"', code[:1])
    except (ValueError, OverflowError, IdentifierError):
        return None


def actors_of(stored: bytes) -> tuple[str | None, str | None] | None:
    """Return the station and the badge of a stored entry; None if it is another form, or damaged."""
    if stored[:1] not in _FORMS or len(stored) < _HEAD.size:
        return None
    _form, _prev, _scans, station, person, _flags, _seconds = _HEAD.unpack_from(stored)
    return _plain(_code(station, _STATION)), _plain(_code(person, _PERSON))


def _plain(part: str) -> str | None:
    return None if part == "null" else part[1:-1]


STATION_AT: Final = 10
"""Place of the station's number, counted from 1 as databases do."""
PERSON_AT: Final = 13
ACTOR_BYTES: Final = 3


def _written(found: EntryParts, scans: str | None) -> bytes:
    happened = datetime.fromisoformat(found.event_time)
    seconds = int(happened.timestamp())
    offset = happened.utcoffset() or timedelta()
    zone = offset // timedelta(minutes=15) + _ZONES
    recorded = int(datetime.fromisoformat(found.recorded_at).timestamp())
    head = _HEAD.pack(
        FORM,
        bytes.fromhex(found.prev[:_DIGITS]),
        bytes.fromhex((scans or "0" * _DIGITS)[:_DIGITS]),
        _number(found.station, _STATION),
        _number(found.person, _PERSON),
        zone | (_NO_SCANS if scans is None else 0),
        seconds,
    )
    number = -1 if found.station_seq == "null" else int(found.station_seq)
    corrects, reason = ("" if each == "null" else each for each in (found.corrects, found.reason))
    more = f"\n{reason}\n{corrects}" if reason or corrects else ""
    text, values = pack_text(f"{found.kind} {found.body}{more}", seconds, zone - _ZONES, ENTRY_TEXTS)
    return head + put((int(found.seq), number, recorded - seconds, text)) + values


def _read(stored: bytes, prev: str | None, scans: str | None) -> StoredEntry:
    form, prev_begins, scans_begin, station, person, flags, seconds = _HEAD.unpack_from(stored)
    zone = (flags & ~_NO_SCANS) - _ZONES
    if form == FORM:
        (seq, number, lag, text), at = take(stored, 4, _HEAD.size)
        kind, rest = read_text(text, stored[at:], seconds, zone, ENTRY_TEXTS).split(" ", 1)
        body, _, more = rest.partition("\n")
        reason, _, corrects = more.partition("\n")
    else:
        (seq, number, lag), at = take(stored, 3, _HEAD.size)
        corrects, reason, kind, body = _older_text(stored[at:], seconds, zone)
    before = prev_begins.hex()
    # Where the line before is damaged, there may be a piece of a hash only.
    has_prev = prev is not None and len(prev) == _HASH_DIGITS and prev.startswith(before)
    beside, has_scans = "null", True
    if not flags & _NO_SCANS:
        beside = scans_begin.hex()
        has_scans = scans is not None and scans.startswith(beside)
        beside = f'"{scans if has_scans else beside}"'
    found = EntryParts(
        body,
        corrects or "null",
        local_time(seconds, zone),
        kind,
        _code(person, _PERSON),
        prev if has_prev and prev is not None else before,
        reason or "null",
        utc_time(seconds + lag),
        beside,
        str(seq),
        _code(station, _STATION),
        "null" if number < 0 else str(number),
    )
    return StoredEntry(found, has_prev, has_scans)


def _older_text(data: bytes, seconds: int, zone: int) -> list[str]:
    corrects, reason, kind, body = inflate(data, _OLDER_WORDS).decode("ascii").split("\n", 3)
    if _OLDER_TIME in body:
        body = _OLDER_TIMES.sub(lambda match: f'"{local_time(seconds - int(match[1]), zone)}"', body)
    return [corrects, reason, kind, body]


@lru_cache(maxsize=4096)
def _number(part: str, letter: str) -> bytes:
    """Return the number of a code as the entry has it, `null` or quoted."""
    if part == "null":
        return bytes(ACTOR_BYTES)
    code = PlantCode.parse(part[1:-1])
    if code.kind.value != letter:
        raise ValueError(part)
    return code.number.to_bytes(ACTOR_BYTES)


@lru_cache(maxsize=4096)
def _code(number: bytes, letter: str) -> str:
    # By its letter: an enum takes longer to be looked up than a code to be found.
    found = int.from_bytes(number)
    return f'"{PlantCode.build(CodeKind(letter), found).text}"' if found else "null"
