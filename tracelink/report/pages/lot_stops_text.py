"""What stops a lot, in sentences: first on its page, and before the question of its picture."""

from __future__ import annotations

from collections.abc import Iterable

from tracelink.facts.lot_stops import CaseOfLot, LotStops
from tracelink.ledger.count_words import counted, grouped
from tracelink.ledger.time_words import moment

_MOST = 8
"""Holds, and cases, that are told one by one."""


def stop_sentences(stops: LotStops) -> list[str]:
    """Return one sentence per open hold and per case, and how many more there are."""
    holds = [one for one in stops.holds if one.lifted_entry is None]
    said = [
        f"On hold: {one.code}, {one.reason}, since {moment(one.placed_at)}. It names {counted(one.things, 'code')} of this page."
        for one in holds[:_MOST]
    ]
    if len(holds) > _MOST:
        said.append(f"{len(holds) - _MOST} more open holds; runout hold lists each.")
    said += [_case(one) for one in stops.cases[:_MOST]]
    if len(stops.cases) > _MOST:
        said.append(f"{len(stops.cases) - _MOST} more cases; runout case list shows each.")
    return said


def _case(case: CaseOfLot) -> str:
    state = "open" if case.closed_entry is None else f"closed by entry {case.closed_entry}"
    return (
        f"Case {case.code} about {case.cause}: {case.reason}, since {moment(case.opened_at)}, {state}. Of these discs "
        f"{grouped(case.proven)} are affected for certain and {grouped(case.possible)} possibly, in "
        f"{counted(case.cartons, 'carton')} and elsewhere."
    )


def in_short(holds: Iterable[str], cases: Iterable[CaseOfLot]) -> str:
    """Return codes of holds and of open cases, as the begin of a title; empty if there are none."""
    held = ", ".join(dict.fromkeys(holds))
    open_ones = ", ".join(case.code for case in cases if case.closed_entry is None)
    return f"{f'On hold: {held}. ' if held else ''}{f'In case {open_ones}. ' if open_ones else ''}"
