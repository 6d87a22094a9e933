"""One line for each consignee of the summary of a case, as a table."""

from __future__ import annotations

from tracelink.report.format.disc_columns import MAY_HOLD
from tracelink.report.format.table import Column, Kind

SUMMARY_COLUMNS = (
    Column("name", "consignee", Kind.TEXT),
    MAY_HOLD,
    Column("least", "affected at least", Kind.COUNT),
    Column("most", "at most", Kind.COUNT),
    Column("told_at", "told", Kind.TIME),
    Column("method", "by"),
    Column("sha256", "hash of the notice"),
    Column("answered_at", "answered", Kind.TIME),
    Column("on_hand", "on hand when told", Kind.COUNT),
    Column("returned_said", "returned (they say)", Kind.COUNT),
    Column("destroyed_said", "destroyed (they say)", Kind.COUNT),
    Column("returned", "came back", Kind.COUNT),
    Column("destroyed", "destroyed", Kind.COUNT),
)
