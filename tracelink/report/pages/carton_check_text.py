"""How many cartons to open and what those opened showed, as rows and as text."""

from __future__ import annotations

from tracelink.facts.dock_stock import CheckPlan
from tracelink.ledger.count_words import counted
from tracelink.report.format.table import Column, Kind

COLUMNS = (
    Column("carton", "carton"),
    Column("state", "state"),
    Column("entry", "counted in entry", Kind.ENTRY),
)


def check_sentence(plan: CheckPlan, draws: str = "--by BADGE") -> str:
    """Say how many to open, what was opened, and what that speaks for.

    Args:
        plan: the check.
        draws: by what somebody draws the cartons.
    """
    said = (
        f"{plan.subject}: to speak against {plan.detect_percent} % or more of its {counted(plan.total, 'carton')} being wrong, with "
        f"{plan.confidence_percent} % confidence, open {plan.wanted} of them, drawn at random, and accept none that "
        f"differs. {_drawn(plan, draws)}{_since(plan, draws)}"
    )
    if plan.differing:
        return (
            f"{said} {len(plan.differing)} differ: {', '.join(plan.differing)}. The check has failed, whatever the "
            "number opened: quality decides."
        )
    if not plan.sample:
        return said
    opened = f"{said} {plan.opened} opened{', all agreed' if plan.opened else ''}."
    if plan.left_unopened:
        gone = ", ".join(plan.left_unopened)
        return f"{opened} Left before they were opened: {gone}. The check cannot be met: quality decides."
    return f"{opened} {len(plan.next)} more to open, named above." if plan.next else opened


def _drawn(plan: CheckPlan, draws: str) -> str:
    if plan.drawn_in is not None:
        return f"Drawn in entry {plan.drawn_in}."
    return "That is all of them." if plan.sample else f"Not drawn yet: {draws} draws them and records it."


def _since(plan: CheckPlan, draws: str) -> str:
    count = len(plan.came_since)
    return f" {count} came since and must be drawn too: {draws}." if count else ""
