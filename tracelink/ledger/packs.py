"""Raw scans, packed beside the entry they led to.

A pack is RFC 8785 canonical JSON: a list of [number at the station, local time, raw text, turn, after], in order. What
is hashed is the text, never its compressed form, because two compressors may differ and the scans may not.

The turn of a scan is its number among all scans of the ledger, and `after` the last entry of the journal when it was
booked; both are given in its transaction. Together they say in which order scans and commands came, whenever a scan was
sealed. Scans of older programs, and lines that no station read, have neither: their items end with the raw text.
"""

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from tracelink.errors import NotCanonical
from tracelink.ledger.canonical_json import LARGEST, bytes_of_small, canonical_bytes
from tracelink.ledger.entry import PACK_DOMAIN

SPOOL_DOMAIN: Final = b"\x03"
SPOOLED_FIELDS: Final = (
    "station", "number", "at", "raw", "fact", "spindle", "lot", "carton", "sleeve_number",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class RawScan:
    """One line as it came from a reader or a keyboard, before anybody read sense into it."""

    number: int
    """1, 2, 3, ... at its station; a number is booked once."""
    at: str
    """Local time with offset, RFC 3339."""
    raw: str
    """The characters as they came, symbology identifier included."""
    turn: int | None = None
    """1, 2, 3, ... among all scans of the ledger; None of an older program, or if no station read the line."""
    after: int | None = None
    """Sequence number of the last entry when it was booked; None without a turn."""


def storable(raw: str) -> str:
    """Return `raw` with halves of surrogate pairs written out as a backslash, u and its number.

    They are no characters and have no UTF-8 form, yet JSON text can smuggle them into a recorded log.
    """
    return raw.encode("utf-8", errors="backslashreplace").decode("utf-8")


def pack_scans(scans: Sequence[RawScan]) -> bytes:
    """Return the canonical bytes of `scans`."""
    largest = max([max(scan.number, scan.turn or 0, scan.after or 0) for scan in scans], default=0)
    write = bytes_of_small if largest <= LARGEST else canonical_bytes
    return write([_item(scan) for scan in scans])


def _item(scan: RawScan) -> list[int | str | None]:
    if scan.turn is None:
        return [scan.number, scan.at, scan.raw]
    return [scan.number, scan.at, scan.raw, scan.turn, scan.after]


def pack_hash(pack: bytes) -> str:
    """Return the hash of a pack, 64 hexadecimal digits: SHA-256 over one byte 0x02 and the pack."""
    return hashlib.sha256(PACK_DOMAIN + pack).hexdigest()


_WRITER = json.JSONEncoder(separators=(",", ":"), ensure_ascii=False)


def spooled_hash(row: Mapping[str, Any]) -> str:
    """Return the hash of a scan that waits in the spool, 64 hexadecimal digits.

    SHA-256 over one byte 0x03 and the JSON list of what is stored of it. It stands beside the scan and shows a
    changed or damaged row until the scan is sealed into an entry; it does not bind the scan to anything else.
    """
    values = [row[name] for name in SPOOLED_FIELDS]
    if row.get("turn") is not None:
        values += [row["turn"], row["after"]]
    text = _WRITER.encode(values)
    return hashlib.sha256(SPOOL_DOMAIN + text.encode("utf-8", errors="surrogateescape")).hexdigest()


def unpack_scans(pack: bytes) -> tuple[RawScan, ...]:
    """Read a pack back.

    Raises:
        NotCanonical: the bytes are no pack of scans.
    """
    return PackedScans(pack).scans


class PackedScans:
    """The raw scans beside an entry, read when something of them is asked for: of most entries only the numbers are."""

    def __init__(
        self, pack: bytes | None, numbers: list[int] | None = None, turns: list[int | None] | None = None
    ) -> None:
        """Hold the scans of an entry.

        Args:
            pack: their canonical bytes; None if the entry has none.
            numbers: of all of them at their station, in order; None to read them from the bytes.
            turns: likewise.
        """
        self.pack = pack
        self._numbers = numbers
        self._turns = turns
        self._items: list[Any] | None = None
        self._hash: str | None = None

    @property
    def hash(self) -> str | None:
        """The hash of the pack; None if there is none."""
        if self._hash is None and self.pack is not None:
            self._hash = pack_hash(self.pack)
        return self._hash

    @property
    def numbers(self) -> list[int]:
        """The numbers of the scans at their station, in order.

        Raises:
            NotCanonical: the bytes are no pack of scans; so do the others.
        """
        if self._numbers is None:
            self._numbers = [item[0] for item in self._read()]
        return self._numbers

    @property
    def turns(self) -> list[int | None]:
        """Their turns among all scans of the ledger; None for a scan that has none."""
        if self._turns is None:
            self._turns = [item[3] if len(item) > 3 else None for item in self._read()]
        return self._turns

    @property
    def scans(self) -> tuple[RawScan, ...]:
        """The scans."""
        return tuple([RawScan(*item) for item in self._read()])

    def _read(self) -> list[Any]:
        if self._items is None:
            self._items = [] if self.pack is None else _items_of(self.pack)
        return self._items


def _items_of(pack: bytes) -> list[Any]:
    try:
        items = json.loads(pack.decode("utf-8"))
    except (ValueError, RecursionError):
        items = None
    if isinstance(items, list) and all(map(_is_item, items)):
        return items
    raise NotCanonical("the raw scans beside the entry cannot be read")


_NUMBER_OR_NONE: Final = (int, type(None))


def _is_item(item: Any) -> bool:
    """Tell whether a scan stands there, as `_item` writes it; looked at for every scan of a journal."""
    if type(item) is not list or not 3 <= len(item) <= 5:
        return False
    number, at, raw, *booked = item
    return (
        type(number) is int
        and type(at) is str
        and type(raw) is str
        and all(type(each) in _NUMBER_OR_NONE for each in booked)
    )
