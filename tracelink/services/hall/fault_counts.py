"""The log of faults of the assembly hall: what is most frequent, where it rose, and what changed there."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from sqlalchemy import Connection

from tracelink.errors import UsageError
from tracelink.facts.hall.fault_log import FaultBy, FaultCount, FaultFound, FaultLog, FaultRise, FaultsAsked
from tracelink.genealogy.charting.charted_discs import ChartedDisc
from tracelink.genealogy.charting.stage_before import stages_before
from tracelink.genealogy.commoncause.candidate import SIGNIFICANT
from tracelink.ledger.chart_words import FAULT
from tracelink.quality.changepoint import rise
from tracelink.quality.many import benjamini_hochberg
from tracelink.services.codes import resolve_thing
from tracelink.store.assembly.fault_rows import faults_found
from tracelink.store.assembly.tested_pieces import first_tests, how_many_tested, is_part_kind
from tracelink.store.records.sql_records import SqlRecords

_MOST = 1000
"""Pieces that are looked back on for a rise: the exact chance costs the product of pieces and faults."""

_KEYS: Mapping[FaultBy, Callable[[FaultFound], str]] = {
    FaultBy.POSITION: lambda fault: f"{fault.part} {_position(fault)}",
    FaultBy.SYMPTOM: lambda fault: fault.symptom.casefold(),
    FaultBy.STATION: lambda fault: fault.station,
    FaultBy.PART: lambda fault: fault.part,
    FaultBy.PROGRAMME: lambda fault: fault.programme,
}
UNKNOWN = "position unknown"
"""In place of a position that nobody typed."""


def _position(fault: FaultFound) -> str:
    return fault.position.upper() or UNKNOWN


def fault_log(conn: Connection, by: FaultBy, asked: FaultsAsked) -> FaultLog:
    """Return the log of faults with what is most frequent in it.

    Args:
        conn: a connection inside a transaction.
        by: what faults are counted by.
        asked: which tests are looked at; a station as code or raw scan.

    Raises:
        UnknownCode, IdentifierError: the code of the station is unknown or invalid.
        UsageError: there are no parts of the number.
    """
    records = SqlRecords(conn)
    if asked.part is not None and not is_part_kind(conn, asked.part):
        raise UsageError(f"part {asked.part!r}: the plant has no part of this number")
    station = None if asked.station is None else resolve_thing(records, asked.station)
    faults, tested = faults_found(conn, FaultsAsked(asked.part, station, asked.since, asked.until))
    return FaultLog(by, tested, tuple(faults), tuple(_counts(conn, by, faults)), records.head())


def _counts(conn: Connection, by: FaultBy, faults: list[FaultFound]) -> list[FaultCount]:
    groups: dict[str, list[FaultFound]] = {}
    for fault in faults:
        groups.setdefault(_KEYS[by](fault), []).append(fault)
    rises = _rises(conn, groups) if by is FaultBy.POSITION else {}
    running, found = 0, []
    for what, alike in sorted(groups.items(), key=lambda one: (-len(one[1]), one[0])):
        running += len(alike)
        found.append(
            FaultCount(
                what,
                len(alike),
                len({one.piece for one in alike}),
                len(alike) / len(faults),
                running / len(faults),
                len({one.piece for one in alike if not one.repaired}),
                rises.get(what),
            )
        )
    return found


def _rises(conn: Connection, groups: Mapping[str, list[FaultFound]]) -> dict[str, FaultRise]:
    """Where faults of single positions became more frequent in the order of first tests, as far as chance does not explain it."""
    tests = {what: _first_tests(conn, alike[0]) for what, alike in groups.items() if alike[0].position}
    found = {
        what: rise([piece.outside for piece in pieces]) for what, pieces in tests.items() if len(pieces) > 1
    }
    # Of many positions some rise by chance: as in the search for a common cause.
    chances = dict(zip(found, benjamini_hochberg([one.p for one in found.values()]), strict=True))
    return {
        what: _rise(tests[what], one.before, chances[what])
        for what, one in found.items()
        if one.before and chances[what] <= SIGNIFICANT
    }


def _first_tests(conn: Connection, fault: FaultFound) -> list[ChartedDisc]:
    earlier = max(0, how_many_tested(conn, fault.part) - _MOST)
    return first_tests(conn, fault.part, f"{FAULT} {fault.position}", earlier)


def _rise(pieces: list[ChartedDisc], split: int, chance: float) -> FaultRise:
    before, since = pieces[:split], pieces[split:]
    return FaultRise(
        before[-1].sample,
        since[0].sample,
        chance,
        sum(piece.outside for piece in since),
        len(since),
        sum(piece.outside for piece in before),
        len(before),
        tuple(f"{stage.kind} {stage.code}" for stage in stages_before(before, since)),
    )
