"""A ledger that is open: each method is one question or one act, in one transaction of its own."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Self

from runout._areas import Access, Areas
from runout._arguments import optional_file, require_decided, require_line, require_query, require_text
from runout._plant import PlantFiles
from tracelink.clock import local_now
from tracelink.errors import without_password
from tracelink.ledger.times import require_local_time

if TYPE_CHECKING:
    from tracelink.facts.held_things import HoldList
    from tracelink.genealogy.containment.query import ContainmentQuery
    from tracelink.services.badge_proof import DecidedBy
    from tracelink.services.balancing import Balance
    from tracelink.services.containment import Containment
    from tracelink.services.exporting import Exported, ExportOptions
    from tracelink.services.searching import SearchResult
    from tracelink.services.shared_causes import SharedCauses
    from tracelink.services.tracing import Trace
    from tracelink.services.verification import KeptOutside, Verification
    from tracelink.station.common.outcome import Verdict
    from tracelink.store.ledger import Ledger

# What a method composes is imported when it is called: opening a ledger and booking a scan must not pay for
# documents, solvers and pictures.


class OpenLedger(Areas, PlantFiles):
    """An open ledger; use `open_ledger`.

    Every method raises the errors of `runout.errors` with the sentences that the commands print.
    """

    def __init__(self, ledger: Ledger) -> None:
        self._access = Access(ledger)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_what_happened: object) -> None:
        self.close()

    def __repr__(self) -> str:
        return f"<{'open' if self._access.is_open else 'closed'} ledger {without_password(self.place)}>"

    def close(self) -> None:
        """Close all connections; closing twice does no harm."""
        self._access.close()

    @property
    def _open(self) -> Ledger:
        return self._access.ledger

    @property
    def place(self) -> str:
        """Path or URL, as it was opened."""
        return self._access.place

    @property
    def head(self) -> tuple[int, str]:
        """The last entry's number (0 in an empty ledger), and its hash."""
        head = self._open.head()
        return head.seq, head.hash

    def trace(self, code: str, *, back: bool = True, forward: bool = True, page: bool = False) -> Trace:
        """Say what a thing was made of and where it went.

        Args:
            code: a tool, lot, spindle, sample, material, press, sleeve batch, carton, pallet, shipment or numbered
                sleeve; as code, SSCC or raw scan.
            back: whether to say what it was made of.
            forward: whether to say where it went.
            page: for a lot, make its genealogy as an HTML document too.

        Raises:
            UnknownCode, IdentifierError, UsageError: the code is unknown or invalid, or nothing is asked.
        """
        from tracelink.services import tracing  # noqa: PLC0415

        require_text("code", code)
        with self._open.reading() as conn:
            return tracing.trace(
                conn, code, back=back, forward=forward, page_at=local_now() if page else None
            )

    def contain(
        self,
        query: ContainmentQuery,
        *,
        together: Sequence[str] = (),
        document: bool = True,
        pages: bool = False,
        progress: Callable[[float], None] = lambda _seconds: None,
    ) -> Containment:
        """Say what a cause may have touched, how sure that is, and where each disc is; places nothing.

        Args:
            query: the question.
            together: sets of things to bound together, each a list of codes with commas between.
            document: make the facts of the scope document; without it the answer comes sooner.
            pages: draw its pictures too, so that `to_page` and `to_pdf` have what they need.
            progress: called now and then with how many of the query's seconds were used.

        Raises:
            UnknownCode, IdentifierError, UsageError: the query contradicts itself or the records.
        """
        from tracelink.services import containment  # noqa: PLC0415

        require_query(query)
        wanted = containment.AnswerParts(local_now(), together, document, pages, progress)
        with self._open.reading() as conn:
            return containment.answer(conn, query, wanted)

    def hold(  # noqa: PLR0913 - who decided, beside all that a question takes
        self,
        query: ContainmentQuery,
        decided: DecidedBy,
        *,
        together: Sequence[str] = (),
        document: bool = True,
        pages: bool = False,
        progress: Callable[[float], None] = lambda _seconds: None,
    ) -> Containment:
        """Contain, and hold what follows in the same transaction, so that nothing slips out in between.

        Args:
            query: the question.
            decided: the authorised person, why, and when.
            together: as for `contain`.
            document: as for `contain`.
            pages: as for `contain`.
            progress: as for `contain`.

        Raises:
            RefusedByRule: the person may not place holds, or the PIN is wrong.
            UnknownCode, IdentifierError, UsageError: as for `contain`; or no PIN where one is needed.
        """
        from tracelink.services import badge_proof, containment  # noqa: PLC0415

        require_query(query)
        require_decided(decided)
        badge_proof.require_pin(self._open, decided.by, decided.pin)
        wanted = containment.AnswerParts(local_now(), together, document, pages, progress)
        with self._open.writing() as booking:
            return containment.hold(booking, query, wanted, decided)

    def cause(
        self,
        *,
        defect: str | None = None,
        since: str | None = None,
        until: str | None = None,
        within: str = "press",
    ) -> SharedCauses:
        """Say what the bad judged discs have in common that the good ones have not.

        Args:
            defect: count a disc as bad for this defect only; None for any.
            since: only samples drawn at this time or later, RFC 3339 with offset.
            until: the same, or earlier.
            within: press, lot, compound or operator: also compare discs of one of these among themselves.

        Raises:
            UsageError: nobody ever found the defect, a time is invalid, or `within` is another word.
        """
        from tracelink.services import shared_causes  # noqa: PLC0415

        with self._open.reading() as conn:
            return shared_causes.shared_causes(conn, defect, since, until, within)

    def balance(self, subject: str) -> Balance:
        """Add up a lot, sleeve batch, label lot, or the block of SSCC labels that an SSCC belongs to.

        Raises:
            UsageError: it is of another kind, or not in the records.
        """
        from tracelink.services import balancing  # noqa: PLC0415

        require_text("subject", subject)
        with self._open.reading() as conn:
            return balancing.balance(conn, subject)

    def scan(self, station: str, raw: str, *, at: str | None = None) -> Verdict:
        """Book one scan at a station; the verdict comes once the scan is durable.

        Args:
            station: code of the station.
            raw: the line as the scanner sent it, symbology identifier first.
            at: local time of the scan, RFC 3339 with offset; None for now.

        Raises:
            BookingUnknown: nobody can say yet whether it was booked: look before it is made again.
            LedgerBusy, StorageFailed: nothing was booked; the same scan can be made again.
            RefusedByRule: the station is open in a terminal.
            UsageError: there is no such station.
        """
        from tracelink.services.floor import live_station  # noqa: PLC0415

        require_text("station", station)
        require_line(raw)
        when = local_now() if at is None else require_local_time(at)
        return live_station.scan_once(self._open, station, raw, when)

    def holds(self, *, lifted: bool = False) -> HoldList:
        """Return every thing that is on hold.

        Args:
            lifted: lifted holds as well.
        """
        from tracelink.services import place_holds  # noqa: PLC0415

        with self._open.reading() as conn:
            return place_holds.things_held(conn, lifted=lifted)

    def search(self, text: str, *, most: int = 20) -> SearchResult:
        """Find things by whatever is known of them.

        Args:
            text: part of a code, title, catalogue number, matrix text, name, reason or defect; the last digits of an
                SSCC; the number of a sleeve; a raw scan; a day (2025-03-10) or period (2025-03-10..2025-03-12).
            most: hits of one kind at most, 1 or more.

        Raises:
            UsageError: the text is too short, or a day is invalid.
            IdentifierError: a raw scan holds an invalid code.
        """
        from tracelink.services import searching  # noqa: PLC0415

        require_text("text", text)
        with self._open.reading() as conn:
            return searching.search(conn, text, most)

    def export(
        self,
        code: str,
        out: str | Path | None = None,
        options: ExportOptions | None = None,
        progress: Callable[[int], None] = lambda _entries: None,
    ) -> Exported:
        """Write an audit bundle that others can check without the ledger and without this program.

        Args:
            code: a lot, carton, pallet, shipment, tool, material lot, sleeve batch, step, part lot, reel, build order, built piece or
                case; or the name of a consignee.
            out: a name that ends in .zip, or a folder to be made; None for audit-CODE.zip here.
            options: how it is made.
            progress: called with 1 twice for each entry of the journal.

        Raises:
            UsageError: the place is taken, a file cannot be read, or there is no signing key.
            JournalError: the ledger does not verify; nothing was written.
        """
        from tracelink.services import exporting  # noqa: PLC0415

        require_text("code", code)
        how = options or exporting.ExportOptions()
        for name in ("since", "checkpoint", "key"):
            optional_file(f"ExportOptions.{name}", getattr(how, name))
        with self._open.reading() as conn:
            return exporting.export(conn, self.place, code, optional_file("out", out), how, progress)

    def verify(
        self,
        kept: KeptOutside | None = None,
        *,
        tables: bool = True,
        judge_again: bool = False,
        progress: Callable[[int], None] = lambda _seq: None,
    ) -> Verification:
        """Check every entry against the one before, and every table against a replay of the journal.

        Args:
            kept: what was kept outside the plant, to compare with.
            tables: whether to compare the tables, which takes much longer than the journal alone.
            judge_again: whether to judge all raw scans again and compare what they lead to with the entries.
            progress: called with each sequence number reached.

        Raises:
            UsageError: something kept outside has the wrong form, or no key is known for it.
        """
        from tracelink.services import verification  # noqa: PLC0415

        with self._open.reading() as conn:
            return verification.verify(
                conn,
                self.place,
                kept or verification.KeptOutside(),
                tables=tables,
                judge_again=judge_again,
                progress=progress,
            )
