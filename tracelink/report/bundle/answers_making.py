"""Answers to an auditor: what the discs were made with, and how they were judged."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping

from tracelink.facts.bundle_content import BundleFacts
from tracelink.genealogy.model.facts import STAMPER
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.ledger.count_words import counted, grouped
from tracelink.ledger.export_rule import BundleTable
from tracelink.ledger.kinds.press import PressStarted
from tracelink.ledger.kinds.tools import MasterRegistered, ToolGrown, ToolReceived
from tracelink.ledger.time_words import moment
from tracelink.report.bundle.answer_words import (
    Rows,
    by_whom,
    few,
    number,
    period,
    sentence,
    sentences,
)
from tracelink.report.format.table import spans


def _lots(rows: Rows) -> str:
    said = [
        f'{row["lot"]}: "{row["title"]}" ({row["catalogue_number"]}), disc {row["disc"]}; {number(row["planned"])} planned, '
        f"{number(row['pressed'])} pressed; {row['status']}, {row['decision']}"
        for row in rows
    ]
    return sentence(few(said, "lots"))


def _segments(facts: BundleFacts) -> str:
    made: dict[tuple[str, str], StrokeSet] = {}
    for one in facts.segments:
        for stamper in (one.stamper_a, one.stamper_b):
            made[stamper, one.lot] = made.get((stamper, one.lot), NO_STROKES) | one.strokes
    tools = [
        f"stamper {stamper}: strokes {spans(strokes) or 'none'} of lot {lot}"
        for (stamper, lot), strokes in made.items()
    ]
    used = dict.fromkeys(
        f"compound {one.compound} with labels {one.label_a} and {one.label_b}" for one in facts.segments
    )
    return sentences(few(tools), few(used))


def _stroke_counts(facts: BundleFacts) -> str:
    runs = [
        f"stamper {stamper} in lot {one.lot}: {grouped(life)} at the start, {grouped(life + len(one.strokes))} at the end"
        for one in facts.segments
        for stamper, life in ((one.stamper_a, one.life_a), (one.stamper_b, one.life_b))
    ]
    return sentence(few(runs, "runs"))


def _tools(facts: BundleFacts) -> str:
    said = []
    made = {body.tool: entry for entry, body in facts.of_kind(MasterRegistered, ToolGrown)}
    made |= {body.tool: entry for entry, body in facts.of_kind(ToolReceived)}
    for code, tool in facts.tools.items():
        if tool.kind != STAMPER:
            continue
        line, parent = [], tool.parent
        while parent is not None and parent in facts.tools:
            line.append(f"{facts.tools[parent].kind} {parent}")
            parent = facts.tools[parent].parent
        entry = made.get(code)
        grown = f", made {moment(entry['event_time'])} by {facts.who(entry['person'])}" if entry else ""
        said.append(
            f"side {tool.side}: stamper {code} ({tool.matrix}){grown}, from {', '.join(line) or 'no recorded tool'}"
        )
    return sentence(few(said, "stampers"))


def _materials(rows: Rows) -> str:
    return sentence(
        few(
            f"{row['what']} {row['code']} ({row['detail'] or 'no detail'}), received {moment(str(row['at']))}"
            for row in rows
        )
    )


def _press_acts(facts: BundleFacts) -> str:
    acts = [entry for entry, _ in facts.of_table(BundleTable.PRESS_ACTS)]
    stations = few((facts.where(entry["station"]) for entry in acts if entry["station"]), joint=", ")
    people = few((facts.who(entry["person"]) for entry in acts), joint=", ")
    read = [
        f"lot {body.lot}: first-off approved {moment(entry['event_time'])} by {facts.who(entry['person'])}, matrix read by eye "
        f"{body.read_a} and {body.read_b}"
        for entry, body in facts.of_kind(PressStarted)
    ]
    return sentences(f"{counted(len(acts), 'act')} at {stations} by {people}", few(read)) if acts else ""


def _samples(rows: Rows) -> str:
    rows = [row for row in rows if row["corrected_by"] is None]
    if not rows:
        return ""
    verdicts = Counter(str(row["judged"]).lower() for row in rows)
    said = ", ".join(f"{grouped(count)} {verdict}" for verdict, count in verdicts.most_common())
    bad = [
        f"{row['sample']} (lot {row['lot']}, stroke {row['stroke'] or 'unknown'}): {row['defect'] or 'no defect named'}"
        for row in rows
        if row["judged"] == "BAD"
    ]
    found = f"{counted(len(rows), 'sample')}: {said}{period(rows, 'drawn_at')}{by_whom(rows, 'judged_by')}"
    return sentences(found, f"bad: {few(bad)}" if bad else "")


def _measurements(rows: Rows) -> str:
    what = few((f"{row['measured']} in {row['unit']}" for row in rows), joint=", ")
    return sentence(f"{counted(len(rows), 'measured value')}: {what}")


def _decisions(rows: Rows) -> str:
    return sentence(
        few(
            f"lot {row['lot']} {row['decision']} {moment(str(row['at']))} by {row['by']}, second person {row['second_person']}: "
            f"{row['grounds']}"
            for row in rows
        )
    )


OF_ROWS: Mapping[str, Callable[[Rows], str]] = {
    "lots": _lots,
    "materials": _materials,
    "samples": _samples,
    "measurements": _measurements,
    "decisions": _decisions,
}
"""Table -> its answer from its rows, of which there is one at least."""

OF_FACTS: Mapping[str, Callable[[BundleFacts], str]] = {
    "segments": _segments,
    "stroke-counts": _stroke_counts,
    "tools": _tools,
    "press-acts": _press_acts,
}
"""Table -> its answer from the facts behind it."""
