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
since, or a number used elsewhere: that is what the booking finds. A copy whose bytes are not those that were proven stops it too.

A line that is started while its ledger is away (`away_start.py`) goes by what an earlier run left: the copy with its seal, the scans since
(`line_stand.py`) and those made while away (`away_log.py`). When the ledger is back it must be where that run left it: the station's last
scan is the one that is known here, as the claim of a live station asks it.
"""

from __future__ import annotations

from dataclasses import replace

from tracelink.clock import local_now, running_seconds, utc_now
from tracelink.errors import BookingUnknown, LedgerError, ProofFails, StationTaken, StorageFailed
from tracelink.facts.day_board import AtStation
from tracelink.identity.rawlines import raw_away
from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.services.floor.away import away_sentences as say
from tracelink.services.floor.away.away_log import AwayLog, AwayScan
from tracelink.services.floor.away.ledger_beside import LedgerBeside, judged
from tracelink.services.floor.away.ledger_clock import LedgerClock
from tracelink.services.floor.away.ledger_link import LedgerLink
from tracelink.services.floor.away.line_stand import LineStand, Made
from tracelink.station.common.outcome import Verdict, Word
from tracelink.store.ledger import Ledger
from tracelink.store.office.board import at_station, waits_at
from tracelink.store.stations.scan_signer import signing_state
from tracelink.store.stations.station_list import awaits_pin
from tracelink.store.stations.written import Written, is_kept

SETTING = "away_hours"

_TRY_SECONDS = 5
"""Time between two looks whether the ledger is back."""


class AwayLine:
    """A live packing line that may pack on by a copy of its ledger."""

    def __init__(
        self, code: str, link: LedgerLink, beside: LedgerBeside, kept: tuple[LineStand, AwayLog], hours: int
    ) -> None:
        self.code = code
        self._link = link
        self._beside = beside
        self._stand, self._log = kept
        self._hours = hours
        self._clock = LedgerClock()
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
        if not self._log.scans or not self._link.is_there:
            return None
        self._settle_log()
        return self._book_all()

    def _settle_log(self) -> None:
        """Find out whether the scan was booked whose booking was begun."""
        if self._log.number is not None and self._log.waiting:
            first = Written(None, {self.code: (self._log.number, self._log.waiting[0].at)})
            with self._link.ledger.reading() as conn:
                if is_kept(conn, first):
                    self._log.was_booked()

    @property
    def awaits_pin(self) -> bool:
        """As of a live station."""
        with self._asked.reading() as conn:
            return awaits_pin(conn, self.code)

    @property
    def waits_for(self) -> Verdict:
        """As of a live station."""
        with self._asked.reading() as conn:
            return waits_at(conn, self.code, local_now())

    @property
    def standing(self) -> AtStation:
        """As of a live station."""
        with self._asked.reading() as conn:
            return at_station(conn, self.code, local_now())

    @property
    def _asked(self) -> Ledger:
        return self._link.ledger if self._copy is None else self._copy

    def close(self) -> None:
        """Let go of the copy; what was made by it stays in the log."""
        self._beside.close()
        self._leave_copy()
        self._link.close()

    def begin_away(self, problem: StorageFailed) -> None:
        """Go by the copy at once, because the ledger is away at the start; `problem` says why.

        Raises:
            StorageFailed: the copy is too old, or does not lead to where the line stood.
        """
        self._go_away(local_now(), problem)

    def _booked(self, raw: str, at: str) -> Verdict:
        here = self._link.here
        if here.is_doubtful:
            # What that scan was is not known here, so no copy leads there.
            self._forget_copy()
            return here.scan(raw)
        number = here.last + 1
        self._stand.begin(number)
        try:
            verdict = here.scan_of(raw, at)
        except LedgerError as problem:
            if not isinstance(problem, BookingUnknown):
                self._stand.refused(number)
            raise
        self._clock.seen(here.last_recorded)
        self._stand.done(Made(here.last, at, raw, verdict.word.value, here.last_kept))
        if self._beside.renew():
            self._take_copy()
        return verdict

    def _take_copy(self) -> None:
        """Go by a new copy from here on, and so may a program that is started later, if the station has a key."""
        with self._beside.opened() as copy:
            last = _last_in(copy, self.code)
        assert self._beside.digest is not None
        sealed = self._beside.seal(self._link.here.signed, self.code, last)
        self._stand.copied(self._beside.digest, last, keeps=sealed)

    def _forget_copy(self) -> None:
        self._beside.forget()
        self._stand.forget()

    def _go_away(self, at: str, problem: StorageFailed) -> None:
        """Bring the copy to where the line stands.

        Raises:
            StorageFailed: there is none, it is too old, or it does not lead there.
        """
        self._require_young(problem)
        try:
            copy = self._beside.worked_on(self._clock.now)
        except ProofFails as changed:
            raise StorageFailed(f"{problem}; and {changed}: it cannot pack on") from None
        try:
            last = _last_in(copy, self.code)
            for made in self._stand.made:
                if made.number > last:
                    self._require_same(made, judged(copy, self.code, made.raw, made.at).verdict, problem)
            for scan in self._log.scans:
                judged(copy, self.code, scan.raw, scan.at)
        except BaseException:
            self._beside.put_away(copy)
            raise
        self._copy, self._away_at, self._tried = copy, at, running_seconds()

    @staticmethod
    def _require_same(made: Made, verdict: Verdict, problem: StorageFailed) -> None:
        if verdict.word.value != made.word:
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
            return Verdict(Word.STOP, say.NO_PIN_AWAY, finding=FindingCode.NOT_BOOKED, hides=True)
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
            if not self._link.is_there:
                self._link.reach()
                self._join()
            if self._link.here.is_doubtful and self._link.here.settle():
                self._log.was_booked()
            return self._book_all()
        except StorageFailed:
            # Away still, or away again before it could say whether a scan was booked.
            return None

    def _join(self) -> None:
        """Go on where an earlier run left the ledger.

        Raises:
            StationTaken: somebody else scanned at the station meanwhile.
        """
        self._settle_log()
        expected, last = self._stand.last + self._log.booked, self._link.here.last
        if last != expected:
            raise StationTaken(
                f"station {self.code} was opened in another terminal meanwhile: its last scan here was {expected}, and it has {last} now. "
                f"Nothing more is booked from here: end this one. What was scanned here is kept in {self._log.file}, and booked by whoever "
                "opens the line with that folder next"
            )

    def _book_all(self) -> Verdict:
        otherwise, here = 0, self._link.here
        for scan in self._log.waiting:
            self._log.begin(here.last + 1)
            verdict = here.scan_of(raw_away(scan.raw, scan.word), scan.at)
            self._log.was_booked()
            otherwise += verdict.word.value != scan.word
        # Before the log is put aside: no later program may go by the copy without what is in it.
        self._forget_copy()
        number = len(self._log.scans)
        if number:
            self._log.put_aside(utc_now())
        self._leave_copy()
        return say.back(number, otherwise)

    def _leave_copy(self) -> None:
        if self._copy is not None:
            self._beside.put_away(self._copy)
            self._copy = None


def _last_in(copy: Ledger, station: str) -> int:
    with copy.reading() as conn:
        return signing_state(conn, station).booked
