"""A containment case as it was recorded: rows, text and plain data."""

from collections.abc import Iterable, Sequence
from dataclasses import fields, is_dataclass
from typing import Any

from tracelink.genealogy.case.case_facts import Case, CaseFacts
from tracelink.genealogy.case.compare_scopes import strokes_of
from tracelink.genealogy.case.kept_question import ScopedBody, query_of
from tracelink.genealogy.containment.query_words import to_words
from tracelink.ledger.entry import Entry
from tracelink.ledger.kinds.case_scope import ScopeSummary
from tracelink.ledger.kinds.registry import read_body
from tracelink.report.format.disc_columns import LEAST, MOST, worded
from tracelink.report.format.plain import command_of, visible
from tracelink.report.format.render import render
from tracelink.report.format.table import Cell, Column, Kind

CASE_COLUMNS = (
    Column("case", "case"),
    Column("cause", "cause"),
    Column("kind", "marked as"),
    Column("status", "status"),
    Column("reason", "reason", Kind.TEXT),
    Column("opened_by", "opened by"),
    Column("entry", "entry", Kind.ENTRY),
    Column("last_entry", "last entry", Kind.ENTRY),
)
HISTORY_COLUMNS = (
    Column("entry", "entry", Kind.ENTRY),
    Column("at", "when", Kind.TIME),
    Column("person", "by"),
    Column("kind", "what"),
    Column("consignee", "consignee"),
    Column("detail", "detail", Kind.TEXT),
    Column("reason", "reason", Kind.TEXT),
)
_SCOPES = [
    Column("scope", "scope", Kind.NUMBER),
    Column("entry", "entry", Kind.ENTRY),
    Column("head", "records up to", Kind.NUMBER),
    LEAST,
    MOST,
    Column("containers", "containers", Kind.COUNT),
    Column("gaps", "gaps", Kind.COUNT),
]
_TIERS = [
    Column("tier", "tier"),
    Column("lot", "lot"),
    Column("strokes", "strokes", Kind.TEXT),
    Column("discs", "discs", Kind.COUNT),
    Column("reason", "why", Kind.TEXT),
]
_HOLDS = [
    Column("hold", "hold"),
    Column("person", "placed by"),
    Column("reason", "reason", Kind.TEXT),
    Column("entry", "entry", Kind.ENTRY),
    Column("lifted_by", "lifted by entry", Kind.ENTRY),
]
MARKS = {True: "safety matter", False: "commercial"}
"""How a case was marked by the person who opened it."""


def case_rows(cases: Iterable[Case]) -> list[dict[str, Cell]]:
    """Return one row per case, keys of `CASE_COLUMNS`."""
    return [
        {
            "case": case.code,
            "cause": case.cause,
            "kind": MARKS[case.safety],
            "status": "open" if case.closed_seq is None else f"closed by entry {case.closed_seq}",
            "reason": case.reason,
            "opened_by": case.person,
            "entry": case.seq,
            "last_entry": case.last_seq,
        }
        for case in cases
    ]


def history_rows(entries: Iterable[Entry]) -> list[dict[str, Cell]]:
    """Return one row per entry of a case, keys of `HISTORY_COLUMNS`."""
    return [
        {
            "entry": entry.seq,
            "at": entry.stamp.event_time,
            "person": entry.stamp.person,
            "kind": entry.kind,
            "consignee": entry.body.get("consignee", ""),
            "detail": _detail(entry),
            "reason": entry.reason,
        }
        for entry in entries
    ]


def _detail(entry: Entry) -> str:
    body = entry.body
    typed = read_body(entry)
    if isinstance(typed, ScopedBody):
        return f"scope {body.get('version', 1)}: {' '.join(to_words(query_of(typed)))}"
    parts = []
    for name, value in body.items():
        if name in {"case", "consignee"} or value is None:
            continue
        shown = ", ".join(map(str, value)) if isinstance(value, list) else str(value)
        parts.append(f"{name.replace('_', ' ')} {shown or 'none'}")
    return "; ".join(sorted(parts))


def case_text(facts: CaseFacts, entries: Sequence[Entry]) -> str:
    """Return all of a case for a screen."""
    case = facts.case
    scopes = facts.recorded.scopes
    status = "open" if case.closed_seq is None else f"closed by entry {case.closed_seq}"
    parts = [
        f"Case {case.code}, {status}: {MARKS[case.safety]} by its opener {visible(case.name)}. Last entry {case.last_seq}.",
        f"Reason: {visible(case.reason)}",
        f"Question: {command_of(facts.words)}",
        "",
        "Scopes",
        render(_scope_rows(facts), _SCOPES, "table").rstrip("\n"),
        "",
        f"Tiers of scope {len(scopes)}",
        render(_tier_rows(scopes[-1]), worded(_TIERS, facts.recorded.words), "table").rstrip("\n"),
        "",
        "Holds of this case",
        render(_hold_rows(facts), _HOLDS, "table").rstrip("\n"),
        "",
        "Everything recorded of it",
        render(history_rows(entries), HISTORY_COLUMNS, "table").rstrip("\n"),
    ]
    return "\n".join(parts) + "\n"


def _scope_rows(facts: CaseFacts) -> list[dict[str, Cell]]:
    return [
        {
            "scope": number,
            "entry": entry,
            "head": scope.head_seq,
            "least": scope.total.least,
            "most": scope.total.most,
            "containers": len(scope.containers),
            "gaps": len(scope.gaps),
        }
        for number, (scope, entry) in enumerate(
            zip(facts.recorded.scopes, facts.scope_entries, strict=True), 1
        )
    ]


def _tier_rows(scope: ScopeSummary) -> list[dict[str, Cell]]:
    return [
        {
            "tier": tier.tier,
            "lot": tier.lot,
            "strokes": str(strokes_of(tier)),
            "discs": len(strokes_of(tier)),
            "reason": tier.reason,
        }
        for tier in scope.tiers
    ]


def _hold_rows(facts: CaseFacts) -> list[dict[str, Cell]]:
    return [
        {
            "hold": hold.code,
            "person": hold.person,
            "reason": hold.reason,
            "entry": hold.seq,
            "lifted_by": hold.lifted_seq,
        }
        for hold in facts.holds
    ]


def case_json(facts: CaseFacts, entries: Iterable[Entry]) -> dict[str, Any]:
    """Return all of a case as plain data: keys are the names of the recorded facts."""
    return {
        "case": facts.case.code,
        "cause": facts.case.cause,
        "safety": facts.case.safety,
        "reason": facts.case.reason,
        "opened_by": facts.case.person,
        "entry": facts.case.seq,
        "closed_by_entry": facts.case.closed_seq,
        "last_entry": facts.case.last_seq,
        "words": list(facts.words),
        "holds": _hold_rows(facts),
        **{name: plain(getattr(facts.recorded, name)) for name in _recorded(facts)},
        "history": history_rows(entries),
    }


def _recorded(facts: CaseFacts) -> list[str]:
    return [field.name for field in fields(facts.recorded)]


def plain(value: Any) -> Any:
    """Return facts as plain data: dataclasses as objects, tuples as lists."""
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    return [plain(item) for item in value] if isinstance(value, tuple) else value
