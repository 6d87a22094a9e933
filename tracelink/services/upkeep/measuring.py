"""The measures of a ledger, for a monitor: ages, room, the last checkpoint, and which of them are past their limit."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

from sqlalchemy import Connection

from tracelink.errors import LedgerError
from tracelink.facts.upkeep.ledger_health import HealthLimits, LedgerHealth, Measure, Measured, Severity
from tracelink.ledger.count_words import counted, grouped
from tracelink.ledger.entry import read_entry
from tracelink.ledger.times import instant
from tracelink.services.upkeep.asking_like_stations import slowest_answer
from tracelink.store.database.engine import ledger_url
from tracelink.store.journal import journal, subtrees
from tracelink.store.journal.checkpoints import require_root
from tracelink.store.journal.keys import last_signed
from tracelink.store.lab.gauges_due import calibrations
from tracelink.store.lab.reading_rows import due_readings
from tracelink.store.ledger import Ledger
from tracelink.store.records.settings import setting_with_source
from tracelink.store.statements.server_activity import longest_running_s, size_on_server
from tracelink.store.stations.last_scans import ScansSoFar, last_scans

_CLOCK_SECONDS = 60
"""By how much the last entry may be ahead of this machine's clock."""

_LARGE_LOG = 256 << 20
"""Bytes of the write-ahead log from which on some program keeps it from being worked off."""


def health(ledger: Ledger, limits: HealthLimits, at: str) -> LedgerHealth:
    """Measure a ledger.

    Args:
        ledger: open, for reading is enough.
        limits: from when on somebody is to look.
        at: now, UTC.
    """
    now = instant(at)
    with ledger.reading() as conn:
        measured = [
            *_entries(conn, now),
            *_stations(conn, limits, now),
            *_checkpoint(conn, ledger.place, limits, now),
        ]
        measured += [*_answers(conn, limits), *_server(conn, limits), *_due(conn, now.astimezone().date())]
    return LedgerHealth(at, (*measured, *_room(ledger.place, limits)))


def _answers(conn: Connection, limits: HealthLimits) -> Iterator[Measured]:
    found = slowest_answer(conn)
    if found.ms <= limits.answer_ms:
        yield Measured(Measure.SLOWEST_ANSWER, "", found.ms)
        return
    told = (
        f"the ledger takes {grouped(found.ms)} ms to say {found.question}, the slowest of {counted(found.asked, 'question')} that "
        f"stations ask: expected {grouped(limits.answer_ms)} at most"
    )
    yield Measured(Measure.SLOWEST_ANSWER, "", found.ms, Severity.LOOK, told)


def _server(conn: Connection, limits: HealthLimits) -> Iterator[Measured]:
    running, size = longest_running_s(conn), size_on_server(conn)
    if running is None or size is None:
        return
    yield Measured(Measure.LEDGER_SIZE, "", size)
    if running <= limits.statement_s:
        yield Measured(Measure.RUNNING_STATEMENT, "", running)
        return
    told = f"a statement has been running on the server for {grouped(running)} s: expected {grouped(limits.statement_s)} at most (pg_stat_activity shows it)"
    yield Measured(Measure.RUNNING_STATEMENT, "", running, Severity.LOOK, told)


def _due(conn: Connection, day: date) -> Iterator[Measured]:
    for code, name, due in calibrations(conn, day.isoformat()):
        if due is None:
            told = f"gauge {code} ({name}) has no calibration yet: what it measures is marked as overdue"
            yield Measured(Measure.CALIBRATION_OVERDUE, code, 0, Severity.LOOK, told)
            continue
        days = (day - date.fromisoformat(due)).days
        if days <= 0:
            yield Measured(Measure.CALIBRATION_OVERDUE, code, days)
        else:
            told = f"gauge {code} ({name}): its calibration held until {due}; what it measures since is marked as overdue"
            yield Measured(Measure.CALIBRATION_OVERDUE, code, days, Severity.LOOK, told)
    late = sum(each.days_late > 0 for each in due_readings(conn, day.isoformat()))
    if late:
        told = f"{counted(late, 'reading')} of slow tests should have been taken by yesterday (runout samples --due)"
        yield Measured(Measure.READINGS_LATE, "", late, Severity.LOOK, told)
    else:
        yield Measured(Measure.READINGS_LATE, "", 0)


def _entries(conn: Connection, now: datetime) -> Iterator[Measured]:
    head = journal.head(conn)
    yield Measured(Measure.ENTRIES, "", head.seq)
    for row in journal.rows(conn, after=max(0, head.seq - 1)):
        recorded = read_entry(row.canonical).stamp.recorded_at
        age = _seconds(instant(recorded), now)
        if age < -_CLOCK_SECONDS:
            told = f"the last entry was recorded at {recorded}, after the time of this machine: set all clocks by one time server"
            yield Measured(Measure.LAST_ENTRY_AGE, "", age, Severity.URGENT, told)
        else:
            yield Measured(Measure.LAST_ENTRY_AGE, "", age)


def _stations(conn: Connection, limits: HealthLimits, now: datetime) -> Iterator[Measured]:
    check_units = setting_with_source(conn, "check_units").value
    for one in last_scans(conn):
        if one.last_at is not None:
            yield _quiet(one, one.last_at, limits, now)
        yield Measured(Measure.SPOOLED, one.station, one.spooled)
        if one.oldest_at is not None:
            yield _waiting(one, one.oldest_at, limits, now)
        if one.since_check is not None:
            yield _check(one.station, one.since_check, check_units)


def _quiet(one: ScansSoFar, last_at: str, limits: HealthLimits, now: datetime) -> Measured:
    age, most = _seconds(instant(last_at), now), limits.quiet_minutes
    if age < -_CLOCK_SECONDS:
        told = f"station {one.station}: its last scan was at {last_at}, which is still to come by the clock of this machine: set its clock"
        return Measured(Measure.LAST_SCAN_AGE, one.station, age, Severity.LOOK, told)
    if most is None or not one.is_signed_on or age <= most * 60:
        return Measured(Measure.LAST_SCAN_AGE, one.station, age)
    told = (
        f"station {one.station}: somebody is signed on, and the last scan was {counted(age // 60, 'minute')} ago: expected one "
        f"within {grouped(most)}"
    )
    return Measured(Measure.LAST_SCAN_AGE, one.station, age, Severity.LOOK, told)


def _waiting(one: ScansSoFar, oldest_at: str, limits: HealthLimits, now: datetime) -> Measured:
    age = _seconds(instant(oldest_at), now)
    if age <= limits.spooled_hours * 3600:
        return Measured(Measure.SPOOLED_AGE, one.station, age)
    told = (
        f"station {one.station}: {counted(one.spooled, 'scan')} of what it has open, the oldest of {oldest_at}: close the carton, or "
        "sign off"
    )
    return Measured(Measure.SPOOLED_AGE, one.station, age, Severity.LOOK, told)


def _check(station: str, units: int, most: int) -> Measured:
    if most == 0 or units < most:
        return Measured(Measure.SINCE_CHECK, station, units)
    told = f"station {station}: CHECK is due, {counted(units, 'unit')} since the last one (setting check_units {most})"
    return Measured(Measure.SINCE_CHECK, station, units, Severity.LOOK, told)


def _checkpoint(conn: Connection, place: str, limits: HealthLimits, now: datetime) -> Iterator[Measured]:
    file = _file(place)
    if file is None:
        # Where the key of a ledger on a server lies, nobody said.
        return
    days = counted(limits.checkpoint_days, "day")
    try:
        last = last_signed(Path(f"{file}.key"))
        if last is None:
            told = f"no checkpoint was signed here: expected one every {days} (runout audit checkpoint)"
            yield Measured(Measure.CHECKPOINT_BEHIND, "", journal.head(conn).seq, Severity.LOOK, told)
            return
        checkpoint, written = last
        require_root(checkpoint, subtrees.root(conn, checkpoint.size))
    except LedgerError as problem:
        told = f"the last checkpoint does not fit the ledger: {problem}"
        yield Measured(Measure.CHECKPOINT_BEHIND, "", journal.head(conn).seq, Severity.URGENT, told)
        return
    yield Measured(Measure.CHECKPOINT_BEHIND, "", journal.head(conn).seq - checkpoint.size)
    age = _seconds(datetime.fromtimestamp(written, UTC), now)
    if age <= limits.checkpoint_days * 86400:
        yield Measured(Measure.CHECKPOINT_AGE, "", age)
    else:
        told = f"the last checkpoint was signed {counted(age // 86400, 'day')} ago: expected one every {days} (runout audit checkpoint)"
        yield Measured(Measure.CHECKPOINT_AGE, "", age, Severity.LOOK, told)


def _room(place: str, limits: HealthLimits) -> Iterator[Measured]:
    file = _file(place)
    if file is None:
        return
    yield Measured(Measure.LEDGER_SIZE, "", file.stat().st_size)
    log = file.with_name(f"{file.name}-wal")
    size = log.stat().st_size if log.exists() else 0
    if size > _LARGE_LOG:
        told = f"the write-ahead log {log} has {grouped(size)} bytes: some program has been reading for very long; end it"
        yield Measured(Measure.LOG_SIZE, "", size, Severity.LOOK, told)
    else:
        yield Measured(Measure.LOG_SIZE, "", size)
    free, least = shutil.disk_usage(file.parent).free, limits.free_mib << 20
    if free >= least:
        yield Measured(Measure.FREE_ROOM, "", free)
        return
    told = f"the disk that holds {file} has {grouped(free >> 20)} MiB free: expected {grouped(limits.free_mib)} at least"
    severity = Severity.URGENT if free < least // 10 else Severity.LOOK
    yield Measured(Measure.FREE_ROOM, "", free, severity, told)


def _file(place: str) -> Path | None:
    url = ledger_url(place)
    return Path(url.database) if url.get_backend_name() == "sqlite" and url.database else None


def _seconds(since: datetime, until: datetime) -> int:
    # Now is told in whole seconds: what happened within this one is not ahead of it.
    return int((until - since.replace(microsecond=0)).total_seconds())
