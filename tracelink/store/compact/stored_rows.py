"""Entries out of their stored form: a line of the journal with the hashes that stand beside it, or what one says alone."""

import json
from collections.abc import Iterable, Iterator
from typing import Any

from tracelink.errors import NotCanonical
from tracelink.ledger.entry import Entry, entry_of
from tracelink.ledger.entry_pattern import joined
from tracelink.ledger.packs import PackedScans
from tracelink.ledger.proof.chain import Head, JournalRow, Lacking
from tracelink.store.compact.entry_form import StoredEntry, actors_of, read_form

_NOTHING: frozenset[Lacking] = frozenset()


def read_row(at: Head, stored: bytes, scans: PackedScans, kind: str | None, prev: str | None) -> JournalRow:
    """Return a stored line of the journal.

    Args:
        at: its number and hash.
        stored: its stored form; bytes of no form are handed over as they are, so that the chain check names the entry.
        scans: its raw scans, if it has any.
        kind: as filed.
        prev: the hash of the entry before; None if that is not there.
    """
    short = read_form(stored, prev, scans.hash)
    if short is None:
        return JournalRow(at.seq, at.hash, stored, scans.pack, kind, taken_apart=scans)
    lacks = _NOTHING if short.has_prev and short.has_scans else _lacking(short)
    return JournalRow(at.seq, at.hash, joined(short.parts).encode(), scans.pack, kind, lacks, scans)


def _lacking(short: StoredEntry) -> frozenset[Lacking]:
    has = {Lacking.PREV: short.has_prev, Lacking.SCANS: short.has_scans}
    return frozenset(lack for lack, is_there in has.items() if not is_there)


def said(stored: bytes) -> dict[str, Any]:
    """Return the fields of an entry by what is stored of it alone; of the hashes it names there may be the first digits.

    Raises:
        NotCanonical: it cannot be read.
    """
    short = read_form(bytes(stored))
    try:
        found = json.loads(bytes(stored) if short is None else joined(short.parts))
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict):
        raise NotCanonical("an entry of the journal cannot be read: see `runout audit verify`")
    return found


def actors_said(stored: bytes) -> tuple[str | None, str | None]:
    """Return the station and the badge of an entry by what is stored of it, without reading the rest.

    Raises:
        NotCanonical: it cannot be read.
    """
    short = actors_of(bytes(stored))
    if short is not None:
        return short
    entry = said(stored)
    return entry.get("station"), entry.get("person")


def entries_said(stored: Iterable[bytes]) -> Iterator[Entry]:
    """Yield entries by what is stored of them; see `said`."""
    for each in stored:
        yield entry_of(said(each))
