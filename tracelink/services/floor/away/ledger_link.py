"""The way from a line to its ledger, which may be away when the line is started."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from tracelink.errors import LedgerMissing, RefusedByRule, StationTaken, StorageFailed
from tracelink.services.floor.live_station import LiveStation, live
from tracelink.store.ledger import Ledger


class LedgerLink:
    """An open ledger and the station in it, or where both will be found."""

    def __init__(
        self,
        place: str,
        code: str,
        key: str | Path | None,
        there: tuple[Ledger, LiveStation] | None = None,
    ) -> None:
        """Know a ledger.

        Args:
            place: as given by --ledger.
            code: of the station.
            key: as for a live station.
            there: the ledger, open, and the station; None while it is away.
        """
        self.place = place
        self.key = key
        self._code = code
        self._there = there
        self._opened = ExitStack()

    @property
    def is_there(self) -> bool:
        """True once the ledger was reached."""
        return self._there is not None

    @property
    def ledger(self) -> Ledger:
        """The open ledger; only once it was reached."""
        assert self._there is not None
        return self._there[0]

    @property
    def here(self) -> LiveStation:
        """The live station; only once the ledger was reached."""
        assert self._there is not None
        return self._there[1]

    def reach(self) -> None:
        """Open the ledger and be the only program at the station.

        Raises:
            StorageFailed: it is away still.
            StationTaken: another program is at the station.
        """
        with ExitStack() as opening:
            try:
                ledger = opening.enter_context(Ledger.open(self.place))
                here = opening.enter_context(live(ledger, self._code, self.key))
            except LedgerMissing as problem:
                raise StorageFailed(str(problem)) from None
            except RefusedByRule as problem:
                raise StationTaken(f"{problem}. Nothing more is booked from here: end this one") from None
            self._opened = opening.pop_all()
        self._there = ledger, here

    def close(self) -> None:
        """Close what was opened here."""
        self._opened.close()


@contextmanager
def alone_in(folder: Path, code: str) -> Iterator[None]:
    """Be the only program that uses what lies in a folder for a line.

    Raises:
        RefusedByRule: another program does.
        StorageFailed: no file can be made there.
    """
    import fcntl  # noqa: PLC0415  POSIX only, like the claim of a station

    try:
        file = (folder / f"{code}-line.lock").open("a")
    except OSError as problem:
        raise StorageFailed(f"the folder {folder} cannot be used: {problem.strerror}") from None
    with file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise RefusedByRule(
                f"another program packs at line {code} by the folder {folder}. Close it there first"
            ) from None
        yield
