"""Tests of built pieces that failed, from SQL."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, text

from tracelink.facts.hall.fault_log import FaultFound, FaultsAsked
from tracelink.ledger.times import instant

_FAULTS = text(
    "SELECT t.seq, t.at, t.piece, t.part, COALESCE(t.station, '') AS station, t.programme, COALESCE(t.symptom, '') AS symptom, "
    "COALESCE(t.position, '') AS position, EXISTS (SELECT 1 FROM piece_test l WHERE l.piece = t.piece AND l.seq > t.seq "
    "AND l.passed = 1) AS repaired, t.passed FROM piece_test t WHERE (:part = '' OR t.part = :part) "
    "AND (:station = '' OR t.station = :station) ORDER BY t.seq DESC"
)


def faults_found(conn: Connection, asked: FaultsAsked) -> tuple[list[FaultFound], int]:
    """Return the failed tests, newest first, and how many tests there were in all.

    Args:
        conn: a connection inside a transaction.
        asked: which.
    """
    begin = None if asked.since is None else instant(asked.since)
    end = None if asked.until is None else instant(asked.until)
    found: list[FaultFound] = []
    tests = 0
    for row in conn.execute(_FAULTS, {"part": asked.part or "", "station": asked.station or ""}):
        if begin is not None or end is not None:
            at = instant(row.at)
            if (begin is not None and at < begin) or (end is not None and at > end):
                continue
        tests += 1
        if not row.passed:
            found.append(_fault(row))
    return found, tests


def _fault(row: Any) -> FaultFound:
    return FaultFound(
        row.seq,
        row.at,
        row.piece,
        row.part,
        row.station,
        row.programme,
        row.symptom,
        row.position,
        bool(row.repaired),
    )
