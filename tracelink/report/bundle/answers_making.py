"""Answers to an auditor: what the discs were made with, and how they were judged."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping

from tracelink.facts.bundle_content import BundleFacts
from tracelink.genealogy.model.facts import STAMPER
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.ledger.count_words import counted, grouped
from tracelink.ledger.time_words import moment
from tracelink.report.bundle.answer_words import Rows, by_whom, few, number, period, sentence, strokes_text


def _lots(rows: Rows) -> str:
    said = [
        f'{row["lot"]}: "{row["title"]}" ({row["catalogue_number"]}), disc {row["disc"]}; {number(row["planned"])} planned, '
        f"{number(row['pressed'])} pressed; {row['status']}, {row['decision']}"
        for row in rows
    ]
    return sentence(few(said, "lots"))


def _segments(facts: BundleFacts) -> str:
    made: dict[tuple[str, str], StrokeSet] = {}
    worn: dict[str, StrokeSet] = {}
    for one in facts.segments:
        for stamper, life in ((one.stamper_a, one.life_a), (one.stamper_b, one.life_b)):
            made[stamper, one.lot] = made.get((stamper, one.lot), NO_STROKES) | one.strokes
            own = StrokeSet.between(life + 1, life + len(one.strokes)) if one.strokes else NO_STROKES
            worn[stamper] = worn.get(stamper, NO_STROKES) | own
    tools = [
        f"stamper {stamper}: strokes {strokes_text(strokes)} of lot {lot}"
        for (stamper, lot), strokes in made.items()
    ]
    lives = [f"{stamper} made its own strokes {strokes_text(strokes)}" for stamper, strokes in worn.items()]
    used = dict.fromkeys(
        f"compound {one.compound} with labels {one.label_a} and {one.label_b}" for one in facts.segments
    )
    return sentence(". ".join(part for part in (few(tools), few(lives), few(used)) if part))


def _tools(facts: BundleFacts) -> str:
    said = []
    for code, tool in facts.tools.items():
        if tool.kind != STAMPER:
            continue
        line, parent = [], tool.parent
        while parent is not None and parent in facts.tools:
            line.append(f"{facts.tools[parent].kind} {parent}")
            parent = facts.tools[parent].parent
        said.append(
            f"side {tool.side}: stamper {code} ({tool.matrix}) from {', '.join(line) or 'no recorded tool'}"
        )
    return sentence(few(said, "stampers"))


def _materials(rows: Rows) -> str:
    return sentence(
        few(
            f"{row['what']} {row['code']} ({row['detail'] or 'no detail'}), received {moment(str(row['at']))}"
            for row in rows
        )
    )


def _press_acts(rows: Rows) -> str:
    stations = few((str(row["station"]) for row in rows), joint=", ")
    read = [f"lot {row['lot']}: {row['detail']}" for row in rows if "read by eye" in str(row["detail"])]
    acts = (
        f"{counted(len(rows), 'act')} at {stations}{period(rows, 'at')}{by_whom(rows, 'by')}" if rows else ""
    )
    return sentence(". ".join(part for part in (acts, few(read)) if part))


def _samples(rows: Rows) -> str:
    rows = [row for row in rows if row["corrected_by"] is None]
    if not rows:
        return ""
    verdicts = Counter(str(row["judged"]).lower() for row in rows)
    said = ", ".join(f"{grouped(count)} {verdict}" for verdict, count in verdicts.most_common())
    bad = [
        f"{row['sample']} (lot {row['lot']}, stroke {row['stroke']}): {row['defect'] or 'no defect named'}"
        for row in rows
        if row["judged"] == "BAD"
    ]
    found = f"{counted(len(rows), 'sample')}: {said}{period(rows, 'drawn_at')}{by_whom(rows, 'judged_by')}"
    return sentence(". ".join(part for part in (found, f"Bad: {few(bad)}" if bad else "") if part))


def _measurements(rows: Rows) -> str:
    what = few((f"{row['measured']} in {row['unit']}" for row in rows), joint=", ")
    return sentence(f"{counted(len(rows), 'measured value')}: {what}") if rows else "Nothing was measured."


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
    "press-acts": _press_acts,
    "samples": _samples,
    "measurements": _measurements,
    "decisions": _decisions,
}
"""Table -> its answer from its rows."""

OF_FACTS: Mapping[str, Callable[[BundleFacts], str]] = {
    "segments": _segments,
    "tools": _tools,
}
"""Table -> its answer from the facts behind it."""
