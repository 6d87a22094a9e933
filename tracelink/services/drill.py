"""A drill: something that was shipped is drawn, and traced back, forward, contained and balanced, against the clock.

The draw is by hash behind a seed, so that anybody can draw the same thing again and nobody can steer it by the
order of a list. The clock is that of the machine: it times the records, not the people who would work with them.
"""

import hashlib
from collections.abc import Callable, Sequence
from typing import TypeVar

from sqlalchemy import Connection

from tracelink.balance.lot import LotBalance, lot_balance
from tracelink.errors import UsageError
from tracelink.facts.held_drill import Drill, DrillLot, DrillStep
from tracelink.genealogy.containment.held import UNACCOUNTED
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.model.part_facts import REEL
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.model.tree import Tree
from tracelink.genealogy.walk.walk import trace_back, trace_forward
from tracelink.identity.plantcode import CodeKind
from tracelink.ledger.count_words import words_of_all
from tracelink.ledger.proof.judged import JudgedAgain
from tracelink.services.containment import scope_of
from tracelink.store.assembly.part_books import parts_balance
from tracelink.store.records.balance_facts import lot_records
from tracelink.store.records.drill_rows import drawable
from tracelink.store.records.settings import setting_with_source
from tracelink.store.records.sql_records import SqlRecords
from tracelink.store.stations.judge_again import judge_again as judge

T = TypeVar("T")

_NONE = {
    "carton": "according to the records, no carton has left the plant",
    "stamper": "no stamper has pressed a disc yet",
    "reel": "no part was taken off a reel or tray yet",
    "part-lot": "no part lot is on a reel or in a tray yet",
    "bath": "nothing went through a step yet",
    "blend": "no step has made material yet",
}


_OF_THE_HALL = frozenset({CodeKind.REEL.value, CodeKind.BUILD.value})


def drawn_by(seed: int, codes: Sequence[str]) -> str:
    """Draw one of several codes: that with the lowest SHA-256 behind the seed.

    Args:
        seed: a whole number.
        codes: at least one, in any order.
    """
    return min(codes, key=lambda code: hashlib.sha256(f"{seed}\n{code}".encode()).digest())


class _Watch:
    """Times one step after the other."""

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock

    def time(self, act: Callable[[], T]) -> tuple[T, int]:
        """Do something and return it with the milliseconds it took."""
        begun = self._clock()
        done = act()
        return done, round((self._clock() - begun) * 1000)


def hold_drill(
    conn: Connection, what: str, seed: int, clock: Callable[[], float], *, judge_again: bool = False
) -> Drill:
    """Draw something and trace, contain and balance it. Nothing is written.

    Args:
        conn: a connection inside a transaction.
        what: one of `facts.held_drill.DRAWN_FROM`.
        seed: for the draw.
        clock: seconds that run on, such as `time.perf_counter`.
        judge_again: also judge all raw scans again; it takes about as long as booking them.

    Raises:
        UsageError: there is nothing to draw.
    """
    codes = drawable(conn, what)
    if not codes:
        raise UsageError(f"there is nothing to draw: {_NONE[what]}")
    subject = drawn_by(seed, codes)
    watch = _Watch(clock)
    back, back_ms = watch.time(lambda: trace_back(SqlRecords(conn), subject))
    forward, forward_ms = watch.time(lambda: trace_forward(SqlRecords(conn), subject))
    # Intermittent: no sample clears anything, so the exercise always has goods to find.
    cause = _within(back, seed) if what == "carton" else subject
    query = ContainmentQuery(cause, Shape.INTERMITTENT)
    scope, contain_ms = watch.time(lambda: scope_of(SqlRecords(conn), query))
    lots = list(dict.fromkeys([*(tier.lot for tier in scope.tiers), *scope.co_affected]))
    balances, balance_ms = watch.time(lambda: [(lot, *_balanced(conn, lot)) for lot in lots])
    limit = setting_with_source(conn, "drill_minutes")
    consignees = tuple(
        (group.code, group.bound.pieces) for group in scope.groups if group.kind == "consignee"
    )
    steps: tuple[DrillStep, ...] = (
        DrillStep("back trace", f"runout trace {subject} --back", back_ms, f"things: {len(back.nodes)}"),
        DrillStep(
            "forward trace", f"runout trace {subject} --forward", forward_ms, f"things: {len(forward.nodes)}"
        ),
        DrillStep(
            "containment",
            f"runout contain {cause} --shape {Shape.INTERMITTENT.value}",
            contain_ms,
            f"containers: {len(scope.containers)}, consignees: {len(consignees)}",
        ),
        DrillStep("balance", "runout balance LOT", balance_ms, f"{words_of_all(lots).wholes}: {len(lots)}"),
    )
    unforced: tuple[str, ...] = ()
    if judge_again:
        judged, judged_ms = watch.time(lambda: judge(conn))
        steps = (*steps, _judging(judged, judged_ms))
        unforced = judged.faults
    return Drill(
        seed=seed,
        what=what,
        subject=subject,
        among=len(codes),
        cause=cause,
        steps=steps,
        lots=tuple(_lot(*each) for each in balances),
        consignees=consignees,
        discs=sum(pressed for _lot_code, pressed, _balance in balances),
        unaccounted=next((line.pieces for line in scope.places if line.place == UNACCOUNTED), 0),
        gaps=(*_gaps(back, forward, scope), *unforced),
        limit_minutes=limit.value,
        limit_source=limit.source,
        head=scope.head,
    )


def _judging(judged: JudgedAgain, ms: int) -> DrillStep:
    seconds = max(ms, 1) / 1000
    told = (
        f"scans: {judged.scans} ({judged.scans / seconds:.0f} a second), entries they force: {judged.forced} "
        f"({judged.forced / seconds:.0f} a second), entries not judged: {judged.not_judged}"
    )
    return DrillStep("scans judged again", "runout audit verify --judge-again", ms, told)


def _within(back: Tree, seed: int) -> str:
    """What would have been at fault: one of the stampers, or else reels, that the back trace of a carton leads to."""
    for kind in ("stamper", REEL):
        found = [node.code for node in back.nodes if node.kind == kind]
        if found:
            return drawn_by(seed, found)
    raise UsageError(
        f"the back trace of {back.root} leads to no stamper and no reel: there is nothing to contain"
    )


def _balanced(conn: Connection, lot: str) -> tuple[int, LotBalance]:
    if lot[:1] in _OF_THE_HALL:
        found = parts_balance(conn, lot)
        first = found.lines[0].came if found.lines else ()
        return sum(term.quantity for term in first), found
    records = lot_records(conn, lot)
    return records.pressed, lot_balance(records)


def _lot(lot: str, pressed: int, balance: LotBalance) -> DrillLot:
    first = balance.first
    return DrillLot(lot, pressed, balance.difference, "" if first is None else first.name)


def _gaps(back: Tree, forward: Tree, scope: Scope) -> tuple[str, ...]:
    """Each sentence once: the walks and the containment see the same movements."""
    return tuple(dict.fromkeys([*back.conflicts, *forward.conflicts, *scope.contradictions, *scope.gaps]))
