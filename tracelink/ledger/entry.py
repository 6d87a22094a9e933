"""A journal entry and its canonical bytes.

Theory of operation
-------------------
An entry is written once, as RFC 8785 canonical JSON with these fields, all present, absent ones null:

    body, corrects, event_time, kind, person, prev, reason, recorded_at, scans, seq, station, station_seq, v

`prev` is the hash of the entry before (64 hexadecimal digits; 64 zeros for the first) and the hash of an
entry is SHA-256 over one byte 0x00 and its canonical bytes. That is the leaf hash of RFC 6962 section 2.1,
so that the same hashes later serve as leaves of a Merkle tree. Raw scans travel beside the entry in a pack;
their hash, under its own domain byte 0x02, stands in `scans` and so in the chain.

Version 1 is frozen by golden vectors in tests/vectors/journal.json.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from tracelink.errors import InvalidFormat, NewerJournal, NotCanonical
from tracelink.ledger import entry_pattern
from tracelink.ledger.canonical_json import (
    LARGEST,
    bytes_of_small,
    canonical_bytes,
    read_plain_text,
    read_plainly,
)
from tracelink.ledger.times import require_local_time, require_utc_time

VERSION: Final = 1
"""Version of the canonical form that this program writes."""

FIRST_PREV: Final = "0" * 64
"""`prev` of entry 1."""

ENTRY_DOMAIN: Final = b"\x00"
PACK_DOMAIN: Final = b"\x02"

_TYPES: Final[Mapping[str, tuple[type, bool]]] = {
    "body": (dict, False),
    "corrects": (int, True),
    "event_time": (str, False),
    "kind": (str, False),
    "person": (str, True),
    "prev": (str, False),
    "reason": (str, True),
    "recorded_at": (str, False),
    "scans": (str, True),
    "seq": (int, False),
    "station": (str, True),
    "station_seq": (int, True),
    "v": (int, False),
}
"""Field -> its type, and whether it may be null."""

_WORDS: Final = {dict: "an object", int: "a whole number", str: "text"}


@dataclass(frozen=True, slots=True)
class Stamp:
    """Who, where and when of an act, as the edge knows it."""

    event_time: str
    """When it happened, local time with offset (RFC 3339)."""
    recorded_at: str
    """When the ledger took it in, UTC, whole seconds, ending in Z."""
    station: str | None = None
    """Station code, None for acts done at a desk by command."""
    station_seq: int | None = None
    """Number of the scan at its station that led to the act."""
    person: str | None = None
    """Badge code of the person signed on; None before anyone is."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One fact as it was recorded. Never edited; a later entry corrects it."""

    seq: int
    """Position: 1, 2, 3, ... without gaps."""
    stamp: Stamp
    kind: str
    """What happened, e.g. "stack-taken"; the kinds stand in ledger/kinds/."""
    body: Mapping[str, Any]
    """Field names and values: text, whole numbers, booleans, null, lists and objects of these. No floats."""
    prev: str
    """Hash of the entry before, hexadecimal."""
    reason: str | None = None
    corrects: int | None = None
    """Sequence number of the earlier entry that this one corrects."""
    scans: str | None = None
    """Hash of the raw scans packed beside this entry, hexadecimal; None if there were none."""

    def canonical(self) -> bytes:
        """Return the canonical bytes.

        Raises:
            InvalidFormat: the body holds something that does not print alike everywhere, or a time is invalid.
        """
        require_plain(self.body)
        if self.reason is not None:
            require_plain(self.reason, "the reason")
        stamp = self.stamp
        require_local_time(stamp.event_time)
        require_utc_time(stamp.recorded_at)
        numbers = (self.seq, stamp.station_seq or 0, self.corrects or 0)
        write = bytes_of_small if max(numbers) <= LARGEST else canonical_bytes
        return write(
            {
                "v": VERSION,
                "seq": self.seq,
                "kind": self.kind,
                "event_time": stamp.event_time,
                "recorded_at": stamp.recorded_at,
                "station": stamp.station,
                "station_seq": stamp.station_seq,
                "person": stamp.person,
                "body": self.body,
                "reason": self.reason,
                "corrects": self.corrects,
                "scans": self.scans,
                "prev": self.prev,
            }
        )


def entry_hash(canonical: bytes) -> str:
    """Return the hash of an entry's canonical bytes, 64 hexadecimal digits (RFC 6962 leaf hash)."""
    return hashlib.sha256(ENTRY_DOMAIN + canonical).hexdigest()


def require_plain(value: object, where: str = "body") -> None:
    """Refuse what canonical JSON cannot hold exactly: floats, huge integers, lone surrogates, other types.

    Raises:
        InvalidFormat: names the place inside the body and what was found there.
    """
    if isinstance(value, Mapping):
        for name, item in value.items():
            if not isinstance(name, str):
                raise InvalidFormat(f"{where} has a field name that is not text: {name!r}")
            require_plain(item, f"{where}.{name}")
    elif isinstance(value, list | tuple):
        for place, item in enumerate(value):
            require_plain(item, f"{where}[{place}]")
    else:
        _require_plain_scalar(value, where)


def _require_plain_scalar(value: object, where: str) -> None:
    if value is None or isinstance(value, bool):
        return
    if isinstance(value, int):
        if abs(value) > LARGEST:
            raise InvalidFormat(f"{where} holds {value}: expected a whole number up to {LARGEST}")
    elif isinstance(value, str):
        if not value.isascii() and any("\ud800" <= ch <= "\udfff" for ch in value):
            raise InvalidFormat(
                f"{where} holds half a surrogate pair, which is not a character: was it typed in another encoding than UTF-8?"
            )
    else:
        raise InvalidFormat(f"{where} holds {value!r}: expected text, whole number, yes/no, list or object")


def read_entry(data: bytes) -> Entry:
    """Read canonical bytes back into an entry.

    Args:
        data: canonical bytes as `Entry.canonical` wrote them.

    Raises:
        NewerJournal: the bytes say a later version than this program knows.
        NotCanonical: the bytes are anything but the canonical form of what they say.
    """
    quick = _by_pattern(data)
    if quick is not None:
        return quick
    found = read_plainly(data)
    plain = found is not None
    if not plain:
        try:
            found = json.loads(data)
        except (ValueError, RecursionError):
            raise NotCanonical("the entry is not JSON text") from None
    if not isinstance(found, dict):
        raise NotCanonical("the entry is not a JSON object")
    version = found.get("v")
    if isinstance(version, int) and version > VERSION:
        raise NewerJournal(
            f"the journal was written in version {version}; this program reads up to version {VERSION}: "
            "use a newer program"
        )
    if set(found) != set(_TYPES) or version != VERSION:
        raise NotCanonical(f"the entry has fields {sorted(found)}: expected {sorted(_TYPES)} in version 1")
    try:
        entry = entry_of(found)
        if plain:
            require_local_time(entry.stamp.event_time)
            require_utc_time(entry.stamp.recorded_at)
        same = plain or entry.canonical() == data
    except (InvalidFormat, TypeError, ValueError, RecursionError) as problem:
        raise NotCanonical(f"the entry cannot be read: {problem}") from None
    if not same:
        raise NotCanonical("the entry's bytes are not the canonical form of its content (RFC 8785)")
    return entry


def _by_pattern(data: bytes) -> Entry | None:
    """Return the entry if its bytes are plain; None if they are to be read the long way, or are no entry."""
    parts = entry_pattern.parts(data)
    if parts is None:
        return None
    body = read_plain_text(parts.body)
    if body is None:
        return None
    text_of, number_of = entry_pattern.text_of, entry_pattern.number_of
    try:
        stamp = Stamp(
            require_local_time(parts.event_time),
            require_utc_time(parts.recorded_at),
            text_of(parts.station),
            number_of(parts.station_seq),
            text_of(parts.person),
        )
    except InvalidFormat:
        return None
    return Entry(
        int(parts.seq),
        stamp,
        parts.kind,
        body,
        parts.prev,
        text_of(parts.reason),
        number_of(parts.corrects),
        text_of(parts.scans),
    )


_TYPES_TAKEN: set[tuple[type, ...]] = set()
# What the types of all fields may be together; there are only a few such rows, and millions of entries.


def _require_types(found: dict[str, Any]) -> None:
    for name, (kind, may_be_null) in _TYPES.items():
        # Not isinstance: true is a kind of 1 in Python and no sequence number.
        if type(found[name]) is not kind and not (may_be_null and found[name] is None):
            raise InvalidFormat(f"{name} is {found[name]!r}: expected {_WORDS[kind]}")


def entry_of(found: dict[str, Any]) -> Entry:
    """Return an entry of the fields of its canonical bytes.

    Raises:
        InvalidFormat: a field is of another type; KeyError: one is not there.
    """
    types = tuple([type(found[name]) for name in _TYPES])
    if types not in _TYPES_TAKEN:
        _require_types(found)
        _TYPES_TAKEN.add(types)
    stamp = Stamp(
        event_time=found["event_time"],
        recorded_at=found["recorded_at"],
        station=found["station"],
        station_seq=found["station_seq"],
        person=found["person"],
    )
    return Entry(
        seq=found["seq"],
        stamp=stamp,
        kind=found["kind"],
        body=found["body"],
        prev=found["prev"],
        reason=found["reason"],
        corrects=found["corrects"],
        scans=found["scans"],
    )
