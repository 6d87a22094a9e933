"""Opening a packing line that may pack on while its ledger is away: with its ledger, or by what an earlier run of it left."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tracelink.errors import ProofFails, RefusedByRule, StorageFailed, UsageError
from tracelink.services.floor.away import away_sentences as say
from tracelink.services.floor.away.away_line import SETTING, AwayLine
from tracelink.services.floor.away.away_log import AwayLog
from tracelink.services.floor.away.copy_seal import read_seal
from tracelink.services.floor.away.ledger_beside import LedgerBeside
from tracelink.services.floor.away.ledger_link import LedgerLink, alone_in
from tracelink.services.floor.away.line_stand import LineStand
from tracelink.services.floor.live_station import live
from tracelink.store.journal.keys import held_key
from tracelink.store.ledger import Ledger
from tracelink.store.stations.answers import SqlStationQueries
from tracelink.store.stations.scan_signer import standing_key, station_key_place
from tracelink.store.stations.station_list import stations_of


@contextmanager
def away_line(
    ledger: Ledger, code: str, folder: str | Path, key: str | Path | None = None
) -> Iterator[AwayLine]:
    """Be the only program at a packing line that may pack on while the ledger is away.

    Args:
        ledger: open for writing.
        code: of the line.
        folder: on the line's own disk, for the copy and the scans made by it.
        key: as for a live station.

    Raises:
        UsageError: it is no packing line, there is no such folder, or a log in it cannot be read.
        RefusedByRule: the plant does not allow it, or the line has no key; or as for a live station.
    """
    place = _folder(folder)
    with live(ledger, code, key) as here, alone_in(place, code):
        with ledger.reading() as conn:
            if code not in stations_of(conn, "line"):
                raise UsageError(f"station {code} is no packing line: others wait while the ledger is away")
            hours = SqlStationQueries(conn).setting(SETTING)
        if not hours:
            raise RefusedByRule(
                f"lines of this plant wait while the ledger is away: the setting {SETTING} is 0"
            )
        if not here.signs:
            raise RefusedByRule(say.needs_key(code))
        beside, stand, log = _kept(ledger.place, place, code)
        link = LedgerLink(ledger.place, code, key, (ledger, here))
        line = AwayLine(code, link, beside, (stand, log), hours)
        try:
            # What an earlier run left leads to where that stood.
            beside.forget()
            stand.forget()
            beside.renew()
            yield line
        finally:
            line.close()


@contextmanager
def line_found_away(
    place: str, code: str, folder: str | Path, problem: StorageFailed, key: str | Path | None = None
) -> Iterator[AwayLine]:
    """Be the only program at a packing line whose ledger is away at the start, and pack on from where an earlier run stood.

    Args:
        place: the ledger, as given by --ledger.
        code: of the line.
        folder: as for `away_line`.
        problem: why the ledger is away.
        key: the file with the key of the station; beside the ledger's file unless said.

    Raises:
        StorageFailed: what lies in the folder does not let it.
        RefusedByRule: another program packs by the folder.
    """
    where = _folder(folder)
    with alone_in(where, code):
        beside, stand, log = _kept(place, where, code)
        try:
            hours = _taken_up(place, code, (beside, stand, log), key)
        except (ProofFails, UsageError) as why:
            raise StorageFailed(
                f"{problem}; and the line cannot pack on from where it stood: {why}"
            ) from None
        line = AwayLine(code, LedgerLink(place, code, key), beside, (stand, log), hours)
        try:
            line.begin_away(problem)
            yield line
        finally:
            line.close()


def _folder(folder: str | Path) -> Path:
    place = Path(folder)
    if not place.is_dir():
        raise UsageError(f"there is no folder {folder} for the copy of the ledger and the scans made by it")
    return place


def _kept(ledger: str, folder: Path, code: str) -> tuple[LedgerBeside, LineStand, AwayLog]:
    return (
        LedgerBeside(ledger, folder / f"{code}-ledger.db"),
        LineStand(folder / f"{code}-stand.jsonl", code),
        AwayLog(folder / f"{code}-away.jsonl", code),
    )


def _taken_up(
    place: str, code: str, kept: tuple[LedgerBeside, LineStand, AwayLog], key: str | Path | None
) -> int:
    """Go by what an earlier run left, and return for how many hours the plant allows it.

    Raises:
        ProofFails, UsageError: it is not what that run left, or not enough.
    """
    beside, stand, log = kept
    file = station_key_place(place, code, key)
    if file is None or (key is None and not file.exists()):
        raise UsageError(say.no_key(code, len(log.waiting)))
    with held_key(file) as held:
        public = held.key.verifier
    sealed = read_seal(beside.seal_file, code, public)
    beside.take_up(sealed)
    stand.read(sealed.digest, sealed.last)
    copy = beside.worked_on()
    try:
        with copy.reading() as conn:
            if standing_key(conn, code) != str(public):
                raise ProofFails(f"the key in {file} does not stand for station {code}")
            return SqlStationQueries(conn).setting(SETTING)
    finally:
        beside.put_away(copy)
