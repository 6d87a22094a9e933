"""Opening an investigation when a label balance that is complete lies outside its limit.

While labels still lie at a press or printer they are in the difference, so a positive difference is judged when
what was left over is counted back; more labels than were ever issued are wrong at any time.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tracelink.balance.labels import LabelBalance
from tracelink.ledger.count_words import signed
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.balance import InvestigationOpened
from tracelink.store.records.label_facts import label_records
from tracelink.store.stations.answers import SqlStationQueries

if TYPE_CHECKING:
    from tracelink.store.stations.booking import Booking

LAST_FATE = "returned"
"""Counted when a job is over: the rest comes back."""


def watch_labels(booking: Booking, stamp: Stamp, subject: str, fate: str) -> str:
    """Open an investigation of a batch of labels if its balance says so; in the transaction of the count.

    Args:
        booking: the count is booked in it already.
        stamp: of the count.
        subject: sleeve batch or label lot.
        fate: what was counted.

    Returns:
        What the person is told; empty if there is nothing to look into.
    """
    balance = LabelBalance(label_records(booking.connection, subject))
    off = balance.difference
    if off is None or balance.within or (off > 0 and fate != LAST_FATE):
        return ""
    limit = f"{balance.records.limit_permille / 10:g} %"
    why = f"difference {signed(off)} of {balance.records.issued}, outside the limit of {limit}"
    queries = SqlStationQueries(booking.connection)
    if queries.investigation_about(subject) is None:
        booking.record(InvestigationOpened(subject, off), stamp, f"labels counted as {fate}: {why}")
    number = queries.investigation_about(subject)
    return f"{subject}: {why}. Investigation {number} bars the release of its lots until quality closes it."
