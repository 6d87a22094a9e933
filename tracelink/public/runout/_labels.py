"""Numbers of labels, and what became of labels."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from runout._areas import Area
from runout._arguments import (
    require_a,
    require_badge,
    require_count,
    require_one_of,
    require_path,
    require_text,
)
from tracelink.facts.plant_reasons import PlantReason
from tracelink.ledger.kinds.label_stock import FATES
from tracelink.ledger.work_areas import AREAS
from tracelink.services.badge_proof import Badge
from tracelink.services.desks import label_numbers, label_printing


class Labels(Area):
    """The label store; `ledger.labels`."""

    def issue(self, what: str, count: int, by: Badge) -> label_numbers.LabelBlock:
        """Give out the next SSCCs for labels, as a block for one printer; a number is given out once.

        Args:
            what: carton or pallet.
            count: how many.
            by: somebody with the role line or quality.

        Raises:
            RefusedByRule: the numbers are used up, or the person may not.
        """
        require_one_of("what", what, ("carton", "pallet"))
        require_count("count", count)
        require_badge(by)
        return label_numbers.issue_block(self._ledger, what, count, by)

    def issue_printed(  # noqa: PLR0913  what is given out by whom, and how it is written
        self,
        what: str,
        count: int,
        by: Badge,
        file: str | Path,
        *,
        lots: Sequence[str] = (),
        dpi: int = 300,
        sheet: bool = False,
        progress: Callable[[int], None] = lambda _made: None,
    ) -> label_numbers.LabelBlock:
        """Give out the next SSCCs and write their labels as a PDF, each proven by reading it back.

        Args:
            what: carton or pallet.
            count: how many.
            by: somebody with the role line or quality; for pallets also dock.
            file: the PDF.
            lots: of which the cartons will be packed full; their product and its carton size are on the labels.
            dpi: dots per inch of the printer.
            sheet: two labels on an A4 page.
            progress: called with each number of labels made.

        Raises:
            UsageError: no lot is named, or the file cannot be written; then no number was given out.
            RefusedByRule: the numbers are used up, or the person may not.
        """
        require_one_of("what", what, ("carton", "pallet"))
        require_count("count", count)
        require_badge(by)
        how = label_printing.LabelPrint(require_path("file", file), dpi, sheet, tuple(lots))
        return label_printing.issue_and_print(self._ledger, what, count, by, how, progress=progress)

    def print(  # noqa: PLR0913  which labels, and how they are written
        self,
        first: str,
        last: str,
        file: str | Path,
        *,
        lots: Sequence[str] = (),
        dpi: int = 300,
        sheet: bool = False,
        progress: Callable[[int], None] = lambda _made: None,
    ) -> int:
        """Write the labels of SSCCs that were given out, with what the ledger has in them now. Returns how many.

        Args:
            first: an SSCC.
            last: an SSCC of the same block, or the same.
            file: the PDF.
            lots: of which cartons will be packed full that are not packed yet.
            dpi: dots per inch of the printer.
            sheet: two labels on an A4 page.
            progress: called with each number of labels made.

        Raises:
            UsageError: one was never given out, or is not packed and no lot is named; or the file cannot be written.
            RefusedByRule: one of them is void.
        """
        require_text("first", first)
        require_text("last", last)
        how = label_printing.LabelPrint(require_path("file", file), dpi, sheet, tuple(lots))
        return label_printing.print_labels(self._ledger, first, last, how, progress=progress)

    def numbers(self, batch: str, count: int, by: Badge) -> tuple[str, ...]:
        """Give out numbers in no order for a sleeve batch of a numbered edition.

        Args:
            batch: the sleeve batch.
            count: how many.
            by: somebody with the role line or quality.

        Raises:
            UsageError: there is no such batch.
            RefusedByRule: it is not of a numbered edition, came in with numbers, or the person may not.
        """
        require_text("batch", batch)
        require_count("count", count)
        require_badge(by)
        return label_numbers.issue_numbers(self._ledger, batch, count, by)

    def take_back(self, first: str, last: str, by: Badge) -> int:
        """Take unused SSCC labels back, both ends included; they are void from then on. Returns how many.

        Args:
            first: an SSCC.
            last: an SSCC of the same block.
            by: somebody with the role line or quality.

        Raises:
            UsageError: they are no part of one block that was given out.
            RefusedByRule: one of them is in use, or the person may not.
        """
        require_text("first", first)
        require_text("last", last)
        require_badge(by)
        return label_numbers.take_back(self._ledger, first, last, by)

    def count(self, subject: str, fate: str, quantity: int, by: Badge) -> label_numbers.LabelCount:
        """Record how many labels of a sleeve batch or label lot were printed, spoiled, returned, destroyed or kept.

        Args:
            subject: the sleeve batch or label lot.
            fate: what became of them.
            quantity: how many, from 1.
            by: somebody with the role line or quality.

        Raises:
            UsageError: the subject is neither a sleeve batch nor a label lot.
            RefusedByRule: the person may not.
        """
        require_text("subject", subject)
        require_one_of("fate", fate, FATES)
        require_count("quantity", quantity)
        require_badge(by)
        return label_numbers.count_labels(self._ledger, subject, fate, quantity, by)

    def void(self, sscc: str, reason: str, by: Badge, *, reprint: bool = False) -> str | None:
        """Make an unused SSCC label void; returns the SSCC in its place if a reprint is wanted.

        Args:
            sscc: the label.
            reason: why.
            by: somebody with the role line or quality.
            reprint: give out a new number in its place.

        Raises:
            UsageError: it was never issued here.
            RefusedByRule: it is in use or void already, or the person may not.
        """
        require_text("sscc", sscc)
        require_a("reason", reason, str)
        require_badge(by)
        return label_numbers.void_sscc(self._ledger, sscc, reason, by, reprint=reprint)

    def void_number(
        self, batch: str, number: str, reason: str, by: Badge, *, reprint: bool = False
    ) -> str | None:
        """Make an unused sleeve number void; returns the number in its place if a reprint is wanted.

        Args:
            batch: the sleeve batch.
            number: the number on the sleeve.
            reason: why.
            by: somebody with the role line or quality.
            reprint: give out a new number in its place.

        Raises:
            UsageError: the batch has no such number.
            RefusedByRule: it is packed or void already, or the person may not.
        """
        require_text("batch", batch)
        require_a("number", number, str)
        require_a("reason", reason, str)
        require_badge(by)
        return label_numbers.void_number(self._ledger, batch, number, reason, by, reprint=reprint)

    def confusable(self, *, with_ssccs: bool = False) -> label_numbers.ConfusableCodes:
        """Return the codes in use of which one swap of two characters makes another code in use.

        Args:
            with_ssccs: compare carton and pallet labels as well; they are many.
        """
        with self._ledger.reading() as conn:
            return label_numbers.confusable_codes(conn, with_ssccs=with_ssccs)

    def reasons(self, area: str) -> tuple[PlantReason, ...]:
        """Return the plant's reasons for the acts of a kind of station, as they are printed on cards.

        Args:
            area: tool, press, lab, line, dock, process or assembly.
        """
        require_one_of("area", area, AREAS)
        with self._ledger.reading() as conn:
            return label_numbers.plant_reasons(conn, area)

    def next_number(self, letter: str) -> int:
        """Return the number after the largest plant code of a kind that the ledger knows.

        Args:
            letter: the first letter of such codes, as in `runout guide plant-file`.

        Raises:
            UsageError: no plant code begins with it.
        """
        require_text("letter", letter)
        with self._ledger.reading() as conn:
            return label_numbers.next_number(conn, letter)
