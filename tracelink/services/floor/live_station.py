"""A live station: the only program at it for as long as it runs."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from tracelink.clock import local_now
from tracelink.errors import BookingUnknown, UsageError
from tracelink.facts.day_board import AtStation
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Verdict, Word
from tracelink.store.ledger import Ledger
from tracelink.store.stations.claim import StationClaim, station_claim
from tracelink.store.stations.scan_signer import ScanSigner, scan_signer, signing_state, station_key_place
from tracelink.store.stations.station_list import awaits_pin, require_station, stations_of
from tracelink.store.stations.written import Written, is_kept

if TYPE_CHECKING:
    from tracelink.ledger.proof.note import Note
    from tracelink.services.floor.station_screen import ScreenBeside, ScreenMemory


class LiveStation:
    """A station while no other program is at it."""

    def __init__(
        self, ledger: Ledger, code: str, claim: StationClaim, signer: ScanSigner | None = None
    ) -> None:
        self._ledger = ledger
        self._claim = claim
        self._signer = signer
        self._doubtful_at: str | None = None
        self._screen: ScreenMemory | None = None
        self.code = code

    @property
    def last(self) -> int:
        """Number of the last scan that was booked at the station, as far as this program knows; 0 if there was none."""
        return self._claim.last

    @property
    def last_kept(self) -> str:
        """The line of the last scan that was booked from here, as the ledger keeps it; empty if none was."""
        return self._claim.kept

    @property
    def last_recorded(self) -> str:
        """When the last scan was recorded that was booked from here, UTC; empty if none was."""
        return self._claim.recorded

    @property
    def signs(self) -> bool:
        """True if it has a key, with which it signs its scans."""
        return self._signer is not None

    def signed(self, text: str) -> Note | None:
        """Return a text signed with the station's own key; None if it has none."""
        return None if self._signer is None else self._signer.note(text)

    def scan(self, raw: str) -> Verdict:
        """Book one scan, made now; the verdict comes once it is durable.

        Args:
            raw: the line as the scanner sent it, symbology identifier first.

        Raises:
            BookingUnknown: nobody can say yet whether it was booked; the verdict of the next scan says so, and that scan is
                not booked.
            LedgerBusy, StorageFailed: nothing was booked; the same scan can be made again.
            StationTaken: another program is or was at the station; nothing can be booked from here any more.
        """
        if not isinstance(raw, str):
            raise UsageError(f"raw is {raw!r}: expected text, found {type(raw).__name__}")
        if self._doubtful_at is not None:
            return self._settled()
        return self.scan_of(raw, local_now())

    def scan_of(self, raw: str, at: str) -> Verdict:
        """Book one scan that was made at a given time.

        Args:
            raw: as for `scan`.
            at: local time with its offset.

        Raises:
            LedgerError: as for `scan`.
        """
        try:
            return self._ledger.scan(self.code, raw, at, self._signer, self._claim)
        except BookingUnknown:
            self._doubtful_at = at
            raise

    @property
    def is_doubtful(self) -> bool:
        """True while nobody can say whether the last scan was booked."""
        return self._doubtful_at is not None

    def settle(self) -> bool:
        """Find out whether the scan was booked of which nobody could say it.

        Raises:
            StorageFailed: the ledger cannot be asked yet.
            StationTaken: somebody else is or was at the station.
        """
        at = self._doubtful_at
        assert at is not None
        with self._ledger.transaction() as conn:
            state = signing_state(conn, self.code)
            asked = Written(None, {self.code: (self._claim.last + 1, at)})
            was_booked = is_kept(conn, asked) is True
            self._claim.require(conn, self._claim.last if was_booked else state.booked)
        if self._signer is not None:
            self._signer.settled(state)
        self._claim.booked(state.booked)
        self._doubtful_at = None
        return was_booked

    def _settled(self) -> Verdict:
        """Say whether the scan before was booked."""
        was_booked = self.settle()
        waits = self.waits_for
        before = (
            "The scan before was booked. This" if was_booked else "The scan before was not booked, and this"
        )
        return replace(
            waits,
            word=Word.STOP,
            sentence=f"{before} one was not: go on as the station says now. {waits.sentence}",
            finding=FindingCode.NOT_BOOKED,
            hides=self.awaits_pin,
        )

    def book_what_was_left(self) -> Verdict | None:
        """Return None: nothing is left by a station that waits while its ledger is away."""
        return None

    @property
    def awaits_pin(self) -> bool:
        """True if the next line may be a PIN, which is not to be shown; later ones say so in their verdict."""
        with self._ledger.reading() as conn:
            return awaits_pin(conn, self.code)

    @property
    def waits_for(self) -> Verdict:
        """What the station waits for, as it stands on its screen when somebody comes back to it."""
        from tracelink.store.office.board import waits_at  # noqa: PLC0415  only a person at a terminal is told

        with self._ledger.reading() as conn:
            return waits_at(conn, self.code, local_now())

    @property
    def standing(self) -> AtStation:
        """What the station was doing, for whoever comes back to it."""
        from tracelink.store.office.board import at_station  # noqa: PLC0415  only a person at a terminal is told

        with self._ledger.reading() as conn:
            return at_station(conn, self.code, local_now())

    @property
    def beside(self) -> ScreenBeside:
        """What a screen shows beside a verdict: the acts and reasons that are taken now, and the units packed last."""
        return self.find_beside(lambda: None)

    def find_beside(self, give_way: Callable[[], None]) -> ScreenBeside:
        """Return what a screen shows beside a verdict, while scans at other stations go first.

        Args:
            give_way: called between two acts that are judged; what it raises ends all of it.
        """
        from tracelink.services.floor import station_screen  # noqa: PLC0415  only a screen with buttons asks

        if self._screen is None:
            self._screen = station_screen.ScreenMemory()
        with self._ledger.reading() as conn:
            return station_screen.beside(conn, self.code, local_now(), self._screen, give_way)

    def was_booked(self, number: int, raw: str | None) -> bool:
        """Say whether the last scan booked here is one that was made before the station was opened.

        Args:
            number: that it had.
            raw: its line; None if it was a picture.
        """
        from tracelink.store.office.station_now import is_last_scan  # noqa: PLC0415

        with self._ledger.reading() as conn:
            return is_last_scan(conn, self.code, number, raw)

    def require_takeover(self, raw: str) -> None:
        """Let a line take the station over from whoever has it open: the badge, and the PIN that it asks for.

        Args:
            raw: the line, which is to be scanned here if it may.

        Raises:
            RefusedByRule: it is no badge, or a second person's badge is awaited, who is to stand at the station.
        """
        from tracelink.store.office.station_now import require_takeover  # noqa: PLC0415

        with self._ledger.reading() as conn:
            require_takeover(conn, self.code, raw, local_now())


def of_area(ledger: Ledger, area: str) -> dict[str, str]:
    """Return code -> name of the stations of a work area, by code."""
    with ledger.reading() as conn:
        return stations_of(conn, area)


def scan_once(ledger: Ledger, code: str, raw: str, at: str) -> Verdict:
    """Book one scan at a station that is open nowhere else meanwhile.

    Args:
        ledger: open for writing.
        code: of the station.
        raw: the line as the scanner sent it, symbology identifier first.
        at: local time with its offset.

    Raises:
        UsageError: there is no such station.
        RefusedByRule: it is open in a terminal.
    """
    with ledger.reading() as conn:
        require_station(conn, code)
    with station_claim(ledger.place, code):
        return ledger.scan(code, raw, at)


@contextmanager
def live(ledger: Ledger, code: str, key: str | Path | None = None) -> Iterator[LiveStation]:
    """Be the only live program at a station while the block runs.

    Args:
        ledger: open for writing.
        code: of the station.
        key: the file with its key, if it signs its scans; None for the one beside the ledger.

    Raises:
        UsageError: there is no such station.
        RefusedByRule: it is open in another terminal, or signs its scans and its key cannot be used.
    """
    with ledger.reading() as conn:
        require_station(conn, code)
    file = station_key_place(ledger.place, code, key)
    with station_claim(ledger.place, code) as claim:
        # Read only now: until here another program may have been at the station.
        with ledger.reading() as conn:
            state = signing_state(conn, code)
        claim.begins_at(state.booked)
        with scan_signer(state, code, file) as signer:
            yield LiveStation(ledger, code, claim, signer)
