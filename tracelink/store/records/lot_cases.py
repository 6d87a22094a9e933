"""The containment cases that lots and their cartons are in, by the newest scope of each."""

from collections.abc import Collection

from sqlalchemy import Connection

from tracelink.facts.lot_stops import CaseOfLot
from tracelink.genealogy.case.compare_scopes import strokes_of
from tracelink.genealogy.model.shapes import TierName
from tracelink.ledger.kinds.case_scope import ScopeSummary
from tracelink.store.office.cases import all_cases, case_facts


def cases_of_lots(conn: Connection, lots: Collection[str], things: Collection[str]) -> tuple[CaseOfLot, ...]:
    """Return the cases about lots or things, the oldest first.

    Args:
        conn: a connection that reads one state.
        lots: the lots whose discs are counted; all of the case's if it is in none of them, as when a tool is shown
            without what was pressed with it.
        things: cartons, tools and whatever else is shown; a case about one of them is told too.
    """
    found = []
    for case in all_cases(conn):
        facts = case_facts(conn, case.code)
        scope = facts.recorded.scopes[-1]
        concerned = set(lots).intersection(scope.lots)
        if concerned or case.cause in things:
            counted = concerned or set(scope.lots)
            cartons = {
                held.code for held in scope.containers if held.kind == "carton" and held.lot in counted
            }
            found.append(
                CaseOfLot(
                    code=case.code,
                    cause=case.cause,
                    reason=case.reason,
                    opened_at=facts.opened_at,
                    closed_entry=case.closed_seq,
                    proven=_discs(scope, counted, TierName.PROVEN),
                    possible=_discs(scope, counted, TierName.POSSIBLE),
                    cartons=len(cartons),
                )
            )
    return tuple(found)


def _discs(scope: ScopeSummary, lots: Collection[str], name: TierName) -> int:
    return sum(len(strokes_of(tier)) for tier in scope.tiers if tier.tier == name and tier.lot in lots)
