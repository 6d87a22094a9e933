"""A written scope, every bound of it checked against the movements without solving anything again."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tracelink.clock import running_seconds
from tracelink.errors import LedgerError, NotCertified, UsageError
from tracelink.genealogy.certificate import form as take
from tracelink.genealogy.certificate.bound_check import BoundCheck, CheckVerdict
from tracelink.genealogy.certificate.check_certificate import check, lots_in
from tracelink.genealogy.certificate.check_listing import check_listing
from tracelink.genealogy.certificate.check_lot import record_of
from tracelink.genealogy.certificate.digest import require_digest
from tracelink.genealogy.containment.query import SECONDS
from tracelink.genealogy.flow.budget import Budget
from tracelink.limited import MEGABYTES, within_limits
from tracelink.plainfile import plain_bytes
from tracelink.report.format.render import Cell
from tracelink.store.journal import journal
from tracelink.store.ledger import Ledger
from tracelink.store.records.sql_records import SqlRecords

LARGEST_FILE = 256 * 2**20
"""Bytes; a scope of ten thousand cartons takes a tenth of it."""

_TIMES = 8
"""Memory that a scope may take once read, in sizes of its file; those of the demo plant take three."""


@dataclass(frozen=True, slots=True)
class CheckedScope:
    """What checking every bound of a written scope showed."""

    head: int
    """The entry up to which the scope looked."""
    checks: tuple[BoundCheck, ...]
    """One per bound."""
    differences: tuple[BoundCheck, ...]
    """Failures that tell how the lists of the scope differ from those of the records."""
    listed: bool
    """True if its lists were compared: the journal still ends where the scope's does."""
    changed: str
    """What its digest says of the file; empty if nothing of it was changed."""

    def count(self, verdict: CheckVerdict) -> int:
        """How many bounds have a verdict."""
        return sum(one.verdict is verdict for one in self.checks)

    @property
    def verifies(self) -> bool:
        """True if no bound fails, no list differs and nothing was changed; some may be confirmed in part, or not be looked at."""
        return not self.changed and not self.differences and not self.count(CheckVerdict.FAILS)

    def to_dict(self) -> list[dict[str, Cell]]:
        """Return the same data as `runout contain --check FILE --format json`."""
        return [
            {"kind": one.kind, "code": one.code, "verdict": one.verdict.value, "why": one.why}
            for one in (*self.checks, *self.differences)
        ]


def check_scope(ledger: Ledger, file: str, seconds: float = SECONDS) -> CheckedScope:
    """Check a scope that was written with `--format json`.

    Args:
        ledger: the ledger that it was made from.
        file: the scope.
        seconds: time for its bounds; those that are left then are not looked at.

    Raises:
        UsageError: the file is not a scope.
        NotCertified: it was made from another ledger, or holds no certificate.
    """
    document = _document(file)
    with ledger.reading() as conn:
        try:
            head, digest = _head(document)
            records = SqlRecords(conn)
            last = records.head()[0]
            _require_entry(head, digest, journal.hash_at(conn, head), last)
            lots = {lot: record_of(records, lot, head) for lot in lots_in(document)}
            checks = check(document, lots, Budget(seconds, running_seconds))
            listed = last == head
            differences = check_listing(document, records, lots) if listed else []
        except UsageError as problem:
            raise UsageError(f"{file}: {problem}") from None
        except NotCertified as problem:
            raise NotCertified(f"{file}: {problem}") from None
        except RecursionError:
            raise UsageError(f"{file} is not a scope: it is nested too deeply") from None
    return CheckedScope(head, tuple(checks), tuple(differences), listed, _changed(document))


def _changed(document: dict[str, Any]) -> str:
    try:
        require_digest(document)
    except NotCertified as problem:
        return str(problem)
    return ""


def _document(file: str) -> dict[str, Any]:
    path = Path(file)
    try:
        size = path.stat().st_size
        if size > LARGEST_FILE:
            raise UsageError(f"{file} has {size} bytes; expected a scope of at most {LARGEST_FILE}")
        data = plain_bytes(path, LARGEST_FILE)
        found = within_limits(
            lambda: json.loads(data.decode("utf-8"), parse_constant=_no_constant),
            file,
            max(MEGABYTES, _TIMES * len(data) >> 20),
        )
    except OSError as problem:
        raise UsageError(f"{file} cannot be read: {problem.strerror}") from None
    except (ValueError, RecursionError) as problem:
        if isinstance(problem, LedgerError):
            raise
        raise UsageError(f"{file} is not a scope: expected JSON, found {_found(problem)}") from None
    if not isinstance(found, dict):
        raise UsageError(f"{file} is not a scope: expected an object, found {type(found).__name__}")
    return found


def _found(problem: ValueError | RecursionError) -> str:
    if isinstance(problem, json.JSONDecodeError):
        return f"a text that cannot be read from line {problem.lineno}, column {problem.colno} on: it may be cut off"
    if isinstance(problem, UnicodeDecodeError):
        return f"no UTF-8 text: byte {problem.start} cannot be read"
    return str(problem)


def _no_constant(text: str) -> None:
    raise ValueError(f"{text}, which is not JSON")


def _head(document: dict[str, Any]) -> tuple[int, str]:
    """Return the entry up to which the scope looked, and its hash as the scope has it."""
    head = take.member(document, "head")
    return take.number(head, "seq"), take.text(head, "hash")


def _require_entry(seq: int, digest: str, found: str | None, last: int) -> None:
    """Refuse a scope made from another ledger than this one, or from entries that this one has not yet."""
    if found != digest:
        what = (
            f"has no such entry: its last is {last}, so it is an older copy or another ledger"
            if found is None
            else f"has {found[:16]} there"
        )
        raise NotCertified(f"it was made from entry {seq} ({digest[:16]}), and this ledger {what}")
