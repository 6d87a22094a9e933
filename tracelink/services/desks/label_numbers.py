"""The label store: numbers are given out once, and every label is accounted for."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from tracelink.clock import local_now, utc_now
from tracelink.errors import UsageError
from tracelink.facts.plant_reasons import PlantReason
from tracelink.identity.confusable import ConfusablePair, confusable
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.report.format.render import Cell
from tracelink.services.badge_proof import Badge, acting
from tracelink.store.ledger import Ledger
from tracelink.store.office import label_stock as stock
from tracelink.store.office.label_watch import watch_labels
from tracelink.store.office.office_acts import OfficeAct
from tracelink.store.records.codes_in_use import codes_in_use, largest_number
from tracelink.store.records.reason_list import reasons_of

if TYPE_CHECKING:
    from tracelink.store.stations.booking import Booking


@dataclass(frozen=True, slots=True)
class LabelBlock:
    """SSCC labels that were given out."""

    first: str
    last: str


@dataclass(frozen=True, slots=True)
class LabelCount:
    """A count of labels that was recorded."""

    subject: str
    """The sleeve batch or label lot."""
    warning: str
    """What the person is told, such as that an investigation was opened; empty if nothing."""


@dataclass(frozen=True, slots=True)
class ConfusableCodes:
    """Codes in use that one swap of two characters turns into each other."""

    pairs: tuple[ConfusablePair, ...]

    def to_dict(self) -> list[dict[str, Cell]]:
        """Return the same data as `runout label confusable --format json`."""
        return [
            {"first": pair.first, "second": pair.second, "position": pair.position} for pair in self.pairs
        ]


@contextmanager
def _acting(
    ledger: Ledger, by: Badge, act: OfficeAct = OfficeAct.HANDLE_LABELS
) -> Iterator[tuple[Booking, stock.Clerk]]:
    with acting(ledger, by) as booking:
        yield booking, stock.clerk(booking, by.code, local_now(), utc_now(), act)


def issue_block(ledger: Ledger, what: str, count: int, by: Badge) -> LabelBlock:
    """Give out the next SSCCs for labels of cartons or pallets.

    Raises:
        RefusedByRule: the numbers are used up, or the person may not.
    """
    act = OfficeAct.ISSUE_PALLET_LABELS if what == "pallet" else OfficeAct.HANDLE_LABELS
    with _acting(ledger, by, act) as (booking, who):
        return LabelBlock(*stock.issue_ssccs(booking, who, what, count))


def issue_numbers(ledger: Ledger, batch: str, count: int, by: Badge) -> tuple[str, ...]:
    """Give out numbers in no order for a sleeve batch of a numbered edition.

    Raises:
        UsageError: there is no such batch.
        RefusedByRule: it is not of a numbered edition, came in with numbers, or the person may not.
    """
    code = _batch(batch)
    with _acting(ledger, by) as (booking, who):
        return stock.issue_numbers(booking, who, code, count)


def take_back(ledger: Ledger, first: str, last: str, by: Badge) -> int:
    """Take unused SSCC labels back, both ends included; returns how many.

    Raises:
        UsageError: they are no part of one block that was given out.
        RefusedByRule: one of them is in use, or the person may not.
    """
    with _acting(ledger, by) as (booking, who):
        return stock.return_ssccs(booking, who, first, last)


def plant_reasons(conn: Connection, area: str) -> tuple[PlantReason, ...]:
    """Return the plant's reasons for the acts of a kind of station."""
    return reasons_of(conn, area)


def count_labels(ledger: Ledger, subject: str, fate: str, quantity: int, by: Badge) -> LabelCount:
    """Record how many labels were printed, spoiled, returned, destroyed or kept.

    Raises:
        UsageError: the subject is neither a sleeve batch nor a label lot.
        RefusedByRule: the person may not.
    """
    code = PlantCode.parse(subject).text
    with _acting(ledger, by) as (booking, who):
        stock.count_labels(booking, who, code, fate, quantity)
        return LabelCount(code, watch_labels(booking, who.stamp, code, fate))


def void_sscc(ledger: Ledger, sscc: str, reason: str, by: Badge, *, reprint: bool) -> str | None:
    """Make an unused SSCC label void; returns the SSCC in its place if a reprint is wanted.

    Raises:
        UsageError: it was never issued here.
        RefusedByRule: it is in use or void already, or the person may not.
    """
    with _acting(ledger, by) as (booking, who):
        return stock.void_sscc(booking, who, sscc, reason, reprint=reprint)


def void_number(  # noqa: PLR0913  who voids what, and why
    ledger: Ledger, batch: str, number: str, reason: str, by: Badge, *, reprint: bool
) -> str | None:
    """Make an unused sleeve number void; returns the number in its place if a reprint is wanted.

    Raises:
        UsageError: the batch has no such number.
        RefusedByRule: it is packed or void already, or the person may not.
    """
    with _acting(ledger, by) as (booking, who):
        return stock.void_number(booking, who, _batch(batch), number, reason, reprint=reprint)


def confusable_codes(conn: Connection, *, with_ssccs: bool) -> ConfusableCodes:
    """Return the pairs of codes in use of which one swap of two characters makes the other."""
    return ConfusableCodes(tuple(confusable(codes_in_use(conn, with_ssccs=with_ssccs), reach=2)))


def next_number(conn: Connection, letter: str) -> int:
    """Return the number after the largest of a letter that the ledger knows.

    Raises:
        UsageError: no plant code begins with it.
    """
    kind = next((kind for kind in CodeKind if kind.value == letter and kind is not CodeKind.ACT), None)
    if kind is None:
        raise UsageError(f"{letter!r} is not a letter of plant codes")
    return largest_number(conn, kind) + 1


def _batch(given: str) -> str:
    return PlantCode.parse_one(CodeKind.SLEEVE_BATCH, given).text
