"""How far a containment case is, for the terminal and for programs; and which rules that list follows."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from tracelink.genealogy.case.case_facts import CaseFacts
from tracelink.genealogy.case.judge_replies import ReplyFinding, reply_findings
from tracelink.genealogy.case.next_step import next_step
from tracelink.genealogy.case.open_points import open_points
from tracelink.genealogy.case.standing import CaseStatus, ConsigneeLine
from tracelink.genealogy.containment.in_plant import InPlant, free_to_ship
from tracelink.ledger.count_words import PieceWords, counted
from tracelink.report.case.in_plant_rows import (
    FREE_COLUMNS,
    STOPPED_COLUMNS,
    InPlantNow,
    free_row,
    stopped_rows,
)
from tracelink.report.case.rows import plain
from tracelink.report.format.disc_columns import LEAST, MAY_HOLD, MOST, least_note, worded
from tracelink.report.format.render import render
from tracelink.report.format.table import Cell, Column, Kind

STATUS_COLUMNS = (
    Column("consignee", "consignee"),
    MAY_HOLD,
    LEAST,
    MOST,
    Column("notified", "notified", Kind.TIME),
    Column("method", "by"),
    Column("replied", "answered", Kind.TIME),
    Column("on_hand", "on hand when told", Kind.COUNT),
    Column("returned_said", "returned (they say)", Kind.COUNT),
    Column("returned", "returned (booked here)", Kind.COUNT),
    Column("returned_difference", "difference", Kind.DIFFERENCE),
    Column("destroyed_said", "destroyed (they say)", Kind.COUNT),
    Column("destroyed", "destroyed (booked here)", Kind.COUNT),
    Column("accounted", "accounted for", Kind.COUNT),
    Column("unaccounted", "not accounted for", Kind.DIFFERENCE),
    Column("check", "effect check"),
)


def status_rows(status: CaseStatus) -> list[dict[str, Cell]]:
    """Return one row per consignee, keys of `STATUS_COLUMNS`."""
    return [_row(line) for line in status.lines]


def _row(line: ConsigneeLine) -> dict[str, Cell]:
    reply, difference = line.reply, line.returned_difference
    return {
        "consignee": line.consignee,
        "may_hold": line.may_hold,
        "least": line.least,
        "most": line.most,
        "notified": line.notice.at if line.notice else "NOT",
        "method": line.notice.method if line.notice else "",
        "replied": reply.at if reply else "NOT",
        "on_hand": None if reply is None else reply.on_hand,
        "returned_said": None if reply is None else reply.returned,
        "returned": line.returned,
        "returned_difference": difference,
        "destroyed_said": None if reply is None else reply.destroyed,
        "destroyed": line.destroyed,
        "accounted": line.accounted,
        "unaccounted": line.unaccounted,
        "check": line.check.result if line.check else ("to be done" if line.to_check else ""),
    }


def status_json(facts: CaseFacts, status: CaseStatus, found: InPlantNow) -> dict[str, Any]:
    """Return the status as plain data."""
    lines = status.lines
    return {
        "case": facts.case.code,
        "safety": facts.case.safety,
        "closed_by_entry": facts.case.closed_seq,
        "last_entry": facts.case.last_seq,
        "scopes": len(facts.scope_entries),
        "notified": sum(line.notice is not None for line in lines),
        "responding": sum(line.reply is not None for line in lines),
        "not_responding": [line.consignee for line in status.silent],
        "consignees": status_rows(status),
        "returned_without_carton": status.loose,
        "effectiveness": None
        if status.draw is None
        else {
            "level": status.draw.level,
            "percent": status.draw.percent,
            "source": status.draw.source,
            "among": status.draw.among,
            "chosen": list(status.draw.chosen),
            "results": [_check(line) for line in lines if line.check],
        },
        "estimated_completion": status.estimate,
        "root_cause": facts.recorded.root_cause,
        "actions": plain(facts.recorded.actions),
        "investigations": list(facts.recorded.investigations),
        "findings": [finding_row(one) for one in reply_findings(status)],
        "open_points": open_points(status),
        "in_plant": {
            "records_up_to": found.head[0],
            "free_to_ship": found.free_most,
            "stopped_by": stopped_rows(found),
            "free": [free_row(row) for row in free_to_ship(found.rows)],
        },
    }


def _check(line: ConsigneeLine) -> dict[str, Any]:
    assert line.check is not None
    return {"consignee": line.consignee, "result": line.check.result, "at": line.check.at}


def finding_row(found: ReplyFinding) -> dict[str, Any]:
    """Return one finding on an answer as plain data."""
    return {
        "finding": found.code.value,
        "consignee": found.consignee,
        "said": found.said,
        "recorded": found.recorded,
        "entries": list(found.entries),
        "sentence": found.sentence,
    }


def status_text(facts: CaseFacts, status: CaseStatus, found: InPlantNow, clock: str | None = None) -> str:
    """Return the status for a screen.

    Args:
        facts: the case.
        status: how far it is.
        found: what is in the plant.
        clock: a sentence on a clock that the law may have started; None if there is none to show.
    """
    case, lines = facts.case, status.lines
    told = sum(line.notice is not None for line in lines)
    answered = sum(line.reply is not None for line in lines)
    closed = "open" if case.closed_seq is None else f"closed by entry {case.closed_seq}"
    found_in_replies = reply_findings(status)
    points = open_points(status)
    following = next_step(facts, status, is_free=bool(free_to_ship(found.rows)))
    parts = [
        f"Status of case {case.code} ({closed}), last entry {case.last_seq}, scope {len(facts.scope_entries)}",
        "",
        *(f"FINDING  {one.sentence}" for one in found_in_replies),
        *([""] if found_in_replies else []),
        f"Open points: {len(points)}",
        *(f"  - {point}" for point in points),
        *([f"Next: {following}"] if following else []),
        "",
        f"Consignees: {len(lines)}; notified {told}; answered {answered}; told and not answered {len(status.silent)}.",
        f"Estimated completion, given by a person: {status.estimate or 'none given'}.",
        effect_sentence(status),
        *(f"{name}: {said}" for name, said in measure_facts(facts)),
        *([clock] if clock else []),
        "",
        *_consignees(status),
        "",
        f"Suspect {status.words.many} in the plant, asked of the records up to entry {found.head[0]}: what stops them",
        render(stopped_rows(found), worded(STOPPED_COLUMNS, status.words), "table").rstrip("\n"),
        *_listed_free(free_to_ship(found.rows), status.words),
        "",
        "The list is that of 21 CFR 7.53(b), a model for such a plant, not checked against the original text; see runout case rules.",
    ]
    return "\n".join(parts) + "\n"


def measure_facts(facts: CaseFacts) -> list[tuple[str, str]]:
    """Return what a person stated and set: names and values."""
    recorded = facts.recorded
    due = "; ".join(f"{one.words} ({one.owner}, due {one.due})" for one in recorded.actions)
    return [
        ("Root cause", recorded.root_cause or "none stated by a person"),
        ("Corrective actions", due or "none set by a person"),
        ("Investigations", ", ".join(map(str, recorded.investigations)) or "none linked"),
    ]


def effect_sentence(status: CaseStatus) -> str:
    """Say how many consignees are checked, and on what grounds."""
    draw = status.draw
    if draw is None:
        return "Effectiveness checks: nobody has decided on them."
    done = sum(line.check is not None for line in status.lines)
    return (
        f"Effectiveness checks: level {draw.level}, {draw.percent} % ({draw.source}); "
        f"{counted(len(draw.chosen), 'consignee')} drawn of {draw.among}, {done} checked."
    )


def _consignees(status: CaseStatus) -> list[str]:
    """Two narrow tables: one of sixteen columns does not fit a screen."""
    lines, words = status.lines, status.words
    rows = [_row(line) for line in lines]
    total = [total_row(lines)] if rows else []
    return [
        "Told and answered",
        render(rows, told_columns(lines), "table").rstrip("\n"),
        *([least_note(words)] if rows else []),
        "",
        f"Quantities in {words.many}",
        render([*rows, *total], worded(COUNTED_COLUMNS, words), "table").rstrip("\n"),
    ]


_TOLD = {"consignee", "least", "most", "notified", "method", "replied", "check"}
_COUNTED = {
    "consignee",
    "may_hold",
    "on_hand",
    "returned_said",
    "returned",
    "returned_difference",
    "destroyed_said",
    "destroyed",
    "accounted",
    "unaccounted",
}
COUNTED_COLUMNS = tuple(column for column in STATUS_COLUMNS if column.key in _COUNTED)
"""What they have and what came back."""


def told_columns(lines: Iterable[ConsigneeLine]) -> tuple[Column, ...]:
    """Return the columns on who was told and what they did; the heading says how the least is meant."""
    wider = "affected at least, apart from what is on its way"
    is_joint = all(line.is_joint for line in lines)
    return tuple(
        column if is_joint or column.key != "least" else replace(column, title=wider)
        for column in STATUS_COLUMNS
        if column.key in _TOLD
    )


def total_row(lines: Iterable[ConsigneeLine]) -> dict[str, Cell]:
    """Return the sums of the quantities, with the keys of those columns."""
    rows = [_row(line) for line in lines]
    total: dict[str, Cell] = {key: sum(_number(row[key]) for row in rows) for key in _COUNTED - {"consignee"}}
    return {"consignee": "total", **total}


def _number(cell: Cell) -> int:
    return cell if isinstance(cell, int) else 0


def _listed_free(free: Sequence[InPlant], words: PieceWords) -> list[str]:
    rows = [free_row(row) for row in free]
    return ["", render(rows, worded(FREE_COLUMNS, words), "table").rstrip("\n")] if free else []
