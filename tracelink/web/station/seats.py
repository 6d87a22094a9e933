"""Stations that are open in a browser: each in one page at a time.

Theory of operation
-------------------
A page that opens a station gets a token, which every request of it carries; a newer token makes the older one worthless, so
that a request which was long on its way can book nothing. The server is one program at the station, as a terminal is, and
holds its claim for as long as a page is heard. A page asks every two seconds whether it is still the one; of a page that is
not heard any more the station is free for the next, and after a while for a terminal too.

A scan carries the number that it will have at the station. If the answer was lost, the page sends the same number again,
and the answer is given again; nothing is booked twice. After the server was started anew the ledger says whether the last
scan was booked.
"""

from __future__ import annotations

import secrets
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager

from runout import LiveStation, OpenLedger, ScreenBeside, Word, open_ledger
from tracelink.errors import (
    BookingUnknown,
    LedgerBusy,
    OpenElsewhere,
    PageGone,
    RefusedByRule,
    StationTaken,
    StorageFailed,
)
from tracelink.ledger.finding_codes import FindingCode
from tracelink.web.station.named_station import station_named
from tracelink.web.station.page_answer import Answer, in_doubt, not_booked
from tracelink.web.station.scans_first import ScansFirst

_SILENT_S = 7.0
"""After which another page may open the station: three times this one did not ask whether it is still the one."""
_GONE_S = 20.0
"""After which a terminal may have it; longer, because a busy machine is silent for a while too."""


class Seat:
    """One station of the plant, open in a page or not."""

    def __init__(self, place: str, code: str, first: ScansFirst) -> None:
        """Nothing is opened yet.

        Args:
            place: path or URL of the ledger.
            code: of the station.
            first: of the server.
        """
        self._place = place
        self._first = first
        self._code = code
        self._lock = threading.Lock()
        self._stack = ExitStack()
        self._live: LiveStation | None = None
        self._ledger: OpenLedger | None = None
        self._token = ""
        self._heard = 0.0
        self._given: tuple[str, Answer] | None = None

    def open(self, was: str) -> str:
        """Open the station for a page and return its token.

        Args:
            was: the token that the page had before; empty text if it had none.

        Raises:
            OpenElsewhere: another page has it and is heard.
            RefusedByRule: a terminal has it.
            UnknownCode: there is no such station.
        """
        with self._lock:
            if self._live is not None and was != self._token and self._silent_s() <= _SILENT_S:
                raise OpenElsewhere(
                    f"station {self._code} is open in another page. Scan your badge to go on here; that page is told"
                )
            self._require_live()
            return self._seated()

    def take_over(self, raw: str) -> tuple[str, Answer]:
        """Scan a badge, or the PIN that it asked for, at a station that is open elsewhere; signing on opens it here.

        Args:
            raw: the line.

        Returns:
            The token of the page that has it now, empty text if it is not open here yet; and what came of the scan.

        Raises:
            RefusedByRule: the line is neither, or a terminal has the station.
        """
        with self._lock:
            live = self._require_live()
            live.require_takeover(raw)
            try:
                answer = self._booked(live, raw)
            except StationTaken:
                self._close()
                raise
            is_signed_on = answer.is_booked and answer.verdict.word is Word.DONE
            return (self._seated() if is_signed_on else ""), answer

    def scan(self, token: str, number: int, raw: str) -> Answer:
        """Book a scan of the page that has the station.

        Args:
            token: of the page.
            number: that the scan will have at the station.
            raw: the line.

        Raises:
            PageGone: the page has it no longer.
        """
        with self._first.scan(self._code), self._held(token) as live:
            if number == live.last and self._given is not None and self._given[0] == raw:
                return self._given[1]
            if number != live.last + 1:
                return not_booked(
                    live.last,
                    f"this would be scan {number} of the station, and scan {live.last} was booked last",
                )
            return self._booked(live, raw)

    @contextmanager
    def looking(self, token: str) -> Iterator[LiveStation]:
        """Let the page that has the station look at it.

        Raises:
            PageGone: the page has it no longer.
        """
        with self._held(token) as live:
            yield live

    def beside(self, token: str) -> ScreenBeside:
        """Return what stands beside the verdict, after all scans that are under way.

        Raises:
            PageGone: the page has it no longer.
            ScanCame: the next scan of this page is there.
        """
        with self._held(token) as live, self._first.looking(self._code) as give_way:
            return live.find_beside(give_way)

    @contextmanager
    def looking_from_outside(self) -> Iterator[LiveStation]:
        """Let a page that does not have the station look at it."""
        with self._lock:
            yield self._require_live()

    @contextmanager
    def reading(self) -> Iterator[OpenLedger]:
        """Let somebody read the ledger, by the connection of the station if it is open."""
        with self._lock:
            if self._ledger is not None:
                yield self._ledger
                return
        with open_ledger(self._place, read_only=True) as ledger:
            yield ledger

    def heard(self, token: str) -> int:
        """Take notice that a page is there; return the number of the last scan at its station.

        Raises:
            PageGone: it has the station no longer.
        """
        # Not behind the lock: a page must be heard while a scan waits for a busy ledger.
        live = self._live
        if live is None or token != self._token:
            raise self._gone()
        self._heard = time.monotonic()
        return live.last

    def leave(self, token: str) -> None:
        """Close the station, if this page has it."""
        with self._lock:
            if token == self._token:
                self._close()

    def close_if_silent(self) -> None:
        """Close the station if no page is heard any more, so that a terminal can have it."""
        with self._lock:
            if self._live is not None and self._silent_s() > _GONE_S:
                self._close()

    def close(self) -> None:
        """Close the station."""
        with self._lock:
            self._close()

    @contextmanager
    def _held(self, token: str) -> Iterator[LiveStation]:
        with self._lock:
            if self._live is None or token != self._token:
                raise self._gone()
            self._heard = time.monotonic()
            try:
                yield self._live
            except StationTaken:
                self._close()
                raise

    def _require_live(self) -> LiveStation:
        if self._live is None:
            with ExitStack() as stack:
                ledger = stack.enter_context(open_ledger(self._place))
                self._live = stack.enter_context(ledger.stations.live(self._code))
                self._ledger, self._stack = ledger, stack.pop_all()
        return self._live

    def _seated(self) -> str:
        self._token, self._heard, self._given = secrets.token_urlsafe(18), time.monotonic(), None
        return self._token

    def _booked(self, live: LiveStation, raw: str) -> Answer:
        try:
            with self._first.turn():
                answer = Answer(live.last + 1, live.scan(raw), is_booked=True)
        except StationTaken:
            raise
        except BookingUnknown as problem:
            return in_doubt(live.last, problem)
        except StorageFailed as problem:
            return not_booked(live.last, f"{problem}. {_WAITS}")
        except (LedgerBusy, RefusedByRule) as problem:
            # The line stops and the scan is not booked; when the cause is gone, the same scan can be made again.
            return not_booked(live.last, str(problem))
        if answer.verdict.finding is FindingCode.NOT_BOOKED:
            # The scan before was in doubt, and this one said whether it is booked.
            return Answer(live.last, answer.verdict, is_booked=False)
        self._given = (raw, answer)
        return answer

    def _silent_s(self) -> float:
        return time.monotonic() - self._heard

    def _gone(self) -> PageGone:
        return PageGone(f"station {self._code} is not open in this page any more")

    def _close(self) -> None:
        self._live, self._ledger, self._token, self._given = None, None, "", None
        self._stack.close()


_WAITS = "A station in a browser does not pack on while its ledger is away: scan this again when the ledger is back."
"""A terminal of a line may, with `--offline`."""


class Seats:
    """The stations that pages asked for."""

    def __init__(self, place: str) -> None:
        """Args: place: path or URL of the ledger."""
        self._place = place
        self._lock = threading.Lock()
        self._seats: dict[str, Seat] = {}
        self._first = ScansFirst()

    def of(self, code: str) -> Seat:
        """Return the seat of a station.

        Raises:
            UnknownCode: there is no such station.
        """
        seat = self._seats.get(code)
        if seat is None:
            with open_ledger(self._place, read_only=True) as ledger:
                station_named(ledger, code)
            with self._lock:
                seat = self._seats.setdefault(code, Seat(self._place, code, self._first))
        return seat

    def close_silent(self) -> None:
        """Close the stations whose pages are not heard any more."""
        for seat in list(self._seats.values()):
            seat.close_if_silent()

    def close(self) -> None:
        """Close all stations."""
        for seat in list(self._seats.values()):
            seat.close()
