"""Drills: held against the clock, recorded, listed."""

from __future__ import annotations

import secrets
import time
from dataclasses import asdict, dataclass

from sqlalchemy import Connection

from tracelink.facts.held_drill import Drill, RecordedDrill
from tracelink.report.format.render import Cell
from tracelink.services.badge_proof import Badge, acting, stamp_of
from tracelink.services.drill import hold_drill
from tracelink.store.ledger import Ledger
from tracelink.store.office import case_acts
from tracelink.store.records.drill_rows import held_drills

_SEEDS = 1_000_000


@dataclass(frozen=True, slots=True)
class RecordedDrills:
    """The drills that were recorded, oldest first."""

    drills: tuple[RecordedDrill, ...]

    def to_dict(self) -> list[dict[str, Cell]]:
        """Return the same data as `runout drill --held --format json`."""
        return [asdict(one) for one in self.drills]


def hold(conn: Connection, what: str, seed: int | None, *, judge_again: bool) -> Drill:
    """Draw something and trace, contain and balance it. Nothing is written.

    Args:
        conn: a connection inside a transaction.
        what: one of `facts.held_drill.DRAWN_FROM`.
        seed: for the draw; None to take one.
        judge_again: also judge all raw scans again.

    Raises:
        UsageError: there is nothing to draw.
    """
    taken = secrets.randbelow(_SEEDS) if seed is None else seed
    return hold_drill(conn, what, taken, time.perf_counter, judge_again=judge_again)


def recorded(conn: Connection) -> RecordedDrills:
    """Return the drills that were recorded."""
    return RecordedDrills(tuple(held_drills(conn)))


def record(ledger: Ledger, drill: Drill, by: Badge) -> None:
    """Record a drill that was held.

    Raises:
        RefusedByRule: the person may not.
    """
    with acting(ledger, by) as booking:
        case_acts.record_drill(case_acts.CaseAuthor(booking, stamp_of(by)), drill.entry())
