"""A packing line that packs on while its ledger is away, if the plant allows it.

Theory of operation
-------------------
While the ledger can be reached, every scan goes there, and a copy of it is made anew beside the line now and then. When the ledger
cannot be reached, the copy is brought to where the line stood, by the line's own scans since it was made: that must show the very
same verdicts, or the line stops. From then on the copy says what the rules say, each scan is synced to the line's own disk before its
verdict is shown, and the screen says that the ledger is away. When it is back, those scans are booked before any other, marked with
what was shown for each, by the same rules on what the ledger knows now (`station/away_scans.py`): where it would have said something
else, the carton is held.

What the copy cannot know stops the line: a stack made since, a number given out since, a PIN. What it believes too much is a hold placed
since, or a number used elsewhere: that is what the booking finds.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from tracelink.clock import local_now, running_seconds, utc_now
from tracelink.errors import BookingUnknown, RefusedByRule, StorageFailed, UsageError
from tracelink.facts.day_board import AtStation
from tracelink.identity.rawlines import raw_away
from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.services.floor.away.away_log import AwayLog, AwayScan
from tracelink.services.floor.away.ledger_beside import LedgerBeside, judged
from tracelink.services.floor.live_station import LiveStation, live
from tracelink.station.common.outcome import Verdict, Word
from tracelink.store.ledger import Ledger
from tracelink.store.stations.answers import SqlStationQueries
from tracelink.store.stations.scan_signer import signing_state
from tracelink.store.stations.station_list import awaits_pin, stations_of
from tracelink.store.stations.written import Written, is_kept

SETTING = "away_hours"

_TRY_SECONDS = 5
"""Time between two looks whether the ledger is back."""


@dataclass(frozen=True, slots=True)
class _Made:
    """A scan that was booked in the ledger since its last copy."""

    number: int
    at: str
    raw: str
    word: Word


class AwayLine:
    """A live packing line that may pack on by a copy of its ledger."""

    def __init__(
        self, here: LiveStation, ledger: Ledger, beside: LedgerBeside, log: AwayLog, hours: int
    ) -> None:
        self.code = here.code
        self._here = here
        self._ledger = ledger
        self._beside = beside
        self._log = log
        self._hours = hours
        self._since: list[_Made] = []
        self._copy: Ledger | None = None
        self._away_at = ""
        self._tried = 0.0

    def scan(self, raw: str) -> Verdict:
        """Book one scan, or judge and keep it while the ledger is away.

        Args:
            raw: as for a live station.

        Raises:
            LedgerError: as for a live station; also where the line cannot pack on by the copy.
        """
        at = local_now()
        if self._copy is None:
            try:
                return self._booked(raw, at)
            except BookingUnknown:
                raise
            except StorageFailed as problem:
                self._go_away(at, problem)
        else:
            told = self._come_back()
            if told is not None and told.word is Word.STOP:
                return told
            if told is not None:
                verdict = self._booked(raw, at)
                return replace(verdict, sentence=f"{told.sentence} {verdict.sentence}")
        return self._judged(raw, at)

    def book_what_was_left(self) -> Verdict | None:
        """Book the scans that an earlier run made while the ledger was away; None if there are none.

        Raises:
            LedgerError: as for a live station; what is not booked stays in the log.
        """
        if not self._log.scans:
            return None
        if self._log.number is not None and self._log.waiting:
            first = Written(None, {self.code: (self._log.number, self._log.waiting[0].at)})
            with self._ledger.reading() as conn:
                if is_kept(conn, first):
                    self._log.was_booked()
        return self._book_all()

    @property
    def awaits_pin(self) -> bool:
        """As of a live station."""
        with (self._copy or self._ledger).reading() as conn:
            return awaits_pin(conn, self.code)

    @property
    def waits_for(self) -> Verdict:
        """As of a live station."""
        return self._here.waits_for

    @property
    def standing(self) -> AtStation:
        """As of a live station."""
        return self._here.standing

    def close(self) -> None:
        """Let go of the copy; what was made by it stays in the log."""
        self._beside.close()
        self._leave_copy()

    def _booked(self, raw: str, at: str) -> Verdict:
        if self._here.is_doubtful:
            return self._here.scan(raw)
        verdict = self._here.scan_of(raw, at)
        self._since.append(_Made(self._here.last, at, raw, verdict.word))
        if self._beside.renew():
            with self._beside.opened() as copy:
                last = _last_in(copy, self.code)
            self._since = [made for made in self._since if made.number > last]
        return verdict

    def _go_away(self, at: str, problem: StorageFailed) -> None:
        """Bring the copy to where the line stands.

        Raises:
            StorageFailed: there is none, it is too old, or it does not lead there.
        """
        self._require_young(problem)
        copy = self._beside.worked_on()
        try:
            last = _last_in(copy, self.code)
            for made in self._since:
                if made.number > last:
                    self._require_same(made, judged(copy, self.code, made.raw, made.at).verdict, problem)
            for scan in self._log.scans:
                judged(copy, self.code, scan.raw, scan.at)
        except BaseException:
            self._beside.put_away(copy)
            raise
        self._copy, self._away_at, self._tried = copy, at, running_seconds()

    @staticmethod
    def _require_same(made: _Made, verdict: Verdict, problem: StorageFailed) -> None:
        if verdict.word is not made.word:
            raise StorageFailed(
                f"{problem}; and the copy beside the line does not lead to where it stands (scan {made.number})"
            )

    def _require_young(self, problem: StorageFailed | None = None) -> None:
        age = self._beside.age_s
        before = f"{problem}; and " if problem else ""
        if age is None:
            raise StorageFailed(
                f"{before}there is no copy of the ledger beside the line yet: it cannot pack on"
            )
        if age > self._hours * 3600:
            raise StorageFailed(
                f"{before}the copy of the ledger beside the line is older than {counted(self._hours, 'hour')} (setting {SETTING}): it cannot pack on"
            )

    def _judged(self, raw: str, at: str) -> Verdict:
        """Say what the copy says, once the scan is kept."""
        assert self._copy is not None
        self._require_young()
        if self.awaits_pin and not raw.startswith("]"):
            return Verdict(Word.STOP, NO_PIN_AWAY, finding=FindingCode.NOT_BOOKED, hides=True)
        found = judged(self._copy, self.code, raw, at)
        try:
            self._log.add(AwayScan(at, found.raw, found.verdict.word.value))
        except StorageFailed:
            # The copy is a scan ahead of what is kept: it is brought there again.
            self._leave_copy()
            raise
        told = f"The ledger is away since {self._away_at[11:16]}; judged by an earlier copy. {found.verdict.sentence}"
        return replace(found.verdict, sentence=told.rstrip())

    def _come_back(self) -> Verdict | None:
        """Book what was made while the ledger was away, if it is back; None if it is not."""
        if running_seconds() - self._tried < _TRY_SECONDS:
            return None
        self._tried = running_seconds()
        try:
            if self._here.is_doubtful and self._here.settle():
                self._log.was_booked()
            return self._book_all()
        except StorageFailed:
            # Away still, or away again before it could say whether a scan was booked.
            return None

    def _book_all(self) -> Verdict:
        otherwise = 0
        for scan in self._log.waiting:
            self._log.begin(self._here.last + 1)
            verdict = self._here.scan_of(raw_away(scan.raw, scan.word), scan.at)
            self._log.was_booked()
            otherwise += verdict.word.value != scan.word
        number = len(self._log.scans)
        if number:
            self._log.put_aside(utc_now())
        self._leave_copy()
        self._since = []
        self._beside.forget()
        return _back(number, otherwise)

    def _leave_copy(self) -> None:
        if self._copy is not None:
            self._beside.put_away(self._copy)
            self._copy = None


NO_PIN_AWAY = "The ledger is away, and a PIN is checked nowhere else: scan CANCEL. Whoever is signed on can go on; nobody else can sign on."


def _back(number: int, otherwise: int) -> Verdict:
    if not otherwise:
        return Verdict(
            Word.DONE,
            f"The ledger is back, and {counted(number, 'scan')} made meanwhile {'is' if number == 1 else 'are'} booked.",
        )
    return Verdict(
        Word.STOP,
        f"The ledger is back. Of {counted(number, 'scan')} made meanwhile {counted(otherwise, 'scan')} would have been judged otherwise: the "
        "cartons that the ledger knows are on hold. This scan was not booked. Leave the cartons of that time where they are and tell quality.",
        finding=FindingCode.NOT_BOOKED,
    )


def _last_in(copy: Ledger, station: str) -> int:
    with copy.reading() as conn:
        return signing_state(conn, station).booked


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
        RefusedByRule: the plant does not allow it; or as for a live station.
    """
    place = Path(folder)
    if not place.is_dir():
        raise UsageError(f"there is no folder {folder} for the copy of the ledger and the scans made by it")
    with live(ledger, code, key) as here:
        with ledger.reading() as conn:
            if code not in stations_of(conn, "line"):
                raise UsageError(f"station {code} is no packing line: others wait while the ledger is away")
            hours = SqlStationQueries(conn).setting(SETTING)
        if not hours:
            raise RefusedByRule(
                f"lines of this plant wait while the ledger is away: the setting {SETTING} is 0"
            )
        beside = LedgerBeside(ledger.place, place / f"{code}-ledger.db")
        line = AwayLine(here, ledger, beside, AwayLog(place / f"{code}-away.jsonl", code), hours)
        try:
            beside.renew()
            yield line
        finally:
            line.close()
