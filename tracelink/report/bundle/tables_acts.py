"""Tables of a bundle that stand beside the flow: clearances, holds, deviations, corrections, late entries, people."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from tracelink.ledger.times import lag_s
from tracelink.report.bundle.facts import BundleFacts, Entry
from tracelink.report.bundle.table import BundleTable, table
from tracelink.report.format.grids import GridCell

Row = tuple[GridCell, ...]


def act_tables(facts: BundleFacts) -> list[BundleTable]:
    """Return the tables, in reading order."""
    return [_clearances(facts), _cases(facts), _holds(facts), _deviations(facts), _investigations(facts), _corrections(facts),
            late_table(facts), _people(facts), _stations(facts), _settings(facts), _nestings(facts), _edges(facts),
            _entries(facts)]  # fmt: skip


def _clearances(facts: BundleFacts) -> BundleTable:
    rows: list[Row] = []
    for entry in facts.of_kind("line-cleared", "sleeves-opened", "spindle-opened", "line-checked"):
        body = entry["body"]
        detail = {"sleeves-opened": "batch", "spindle-opened": "spindle"}.get(entry["kind"])
        what = str(body[detail]) if detail else ""
        rows.append((entry["event_time"], facts.where(entry["station"]), entry["kind"], what,
                     facts.who(entry["person"]), facts.who(body.get("checked_by")), entry["seq"]))  # fmt: skip
    columns = (
        ("at", "w"), ("line", "w"), ("act", ""), ("what", ""), ("by", "w"), ("second person", "w"), ("entry", "n"),
    )  # fmt: skip
    return table("line-clearance", "Line clearances, and what was opened after them", columns, rows)


def _holds(facts: BundleFacts) -> BundleTable:
    lifted = {entry["body"]["hold"]: entry for entry in facts.of_kind("hold-lifted")}
    rows: list[Row] = []
    for entry in facts.of_kind("hold-placed"):
        body = entry["body"]
        end = lifted.get(body["hold"])
        things = [_held(item) for item in body["items"]]
        shown = ", ".join(things[:6]) + (f" and {len(things) - 6} more" if len(things) > 6 else "")
        rows.append(
            (
                body["hold"],
                body["cause"],
                shown,
                entry["reason"] or "none recorded",
                entry["event_time"],
                facts.who(entry["person"]),
                end["event_time"] if end else "STILL HELD",
                f"{facts.who(end['person'])}, {facts.who(end['body']['second_person'])}" if end else "",
                (end["reason"] or "none recorded") if end else "",
                entry["seq"],
                end["seq"] if end else None,
            )
        )
    columns = (
        ("hold", ""), ("cause", ""), ("things held", "w"), ("reason", "w"), ("placed at", "w"), ("by", "w"),
        ("lifted at", "w"), ("by both", "w"), ("why", "w"), ("entry", "n"), ("lifted in", "n"),
    )  # fmt: skip
    return table("holds", "Holds", columns, rows, "No hold was placed on any of it.")


def _cases(facts: BundleFacts) -> BundleTable:
    rows: list[Row] = []
    for entry in facts.entries:
        if not entry["kind"].startswith("case-"):
            continue
        body = entry["body"]
        said = {
            name: value for name, value in body.items() if isinstance(value, str | int) and name != "case"
        }
        if "scope" in body:
            said = {"cause": body["scope"]["cause"], "lots": ", ".join(body["scope"]["lots"])}
        detail = ", ".join(f"{name.replace('_', ' ')} {value}" for name, value in said.items())
        rows.append((body["case"], entry["kind"], entry["event_time"], detail, facts.who(entry["person"]),
                     entry["reason"] or "", entry["seq"]))  # fmt: skip
    columns = (
        ("case", ""), ("act", ""), ("at", "w"), ("detail", "w"), ("by", "w"), ("reason", "w"), ("entry", "n"),
    )  # fmt: skip
    return table(
        "cases", "Containment cases: opened, told, answered, closed", columns, rows, "No case is about it."
    )


def _held(item: Mapping[str, Any]) -> str:
    return (
        str(item["subject"])
        if item["first"] is None
        else f"{item['subject']} strokes {item['first']}–{item['last']}"
    )


_DEVIATIONS = (
    "scan-refused", "no-read", "line-stopped", "disc-rejected", "discs-scrapped", "trial-thrown", "hold-back-opened",
    "hold-back-closed", "unit-taken-out", "match-undone", "manual-entry", "carton-reopened", "carton-broken",
    "carton-repacked", "cartons-merged", "carton-unstacked", "pallet-reopened", "unloaded", "load-agreed",
    "carton-open-checked", "stock-counted", "label-voided", "tool-retired", "reject-undone", "mixed-counted", "partner-event",
)  # fmt: skip


def _deviations(facts: BundleFacts) -> BundleTable:
    rows = [
        (entry["event_time"], facts.where(entry["station"]), entry["kind"], _sentence(entry),
         facts.who(entry["person"]), entry["reason"] or "", entry["seq"])
        for entry in facts.of_kind(*_DEVIATIONS)
    ]  # fmt: skip
    columns = (
        ("at", "w"), ("station", "w"), ("what", ""), ("detail", "w"), ("by", "w"), ("reason", "w"), ("entry", "n"),
    )  # fmt: skip
    return table(
        "deviations",
        "Refused scans, rejects, stops, concessions and other departures",
        columns,
        rows,
        "None recorded.",
    )


def _sentence(entry: Entry) -> str:
    body = entry["body"]
    if "sentence" in body:
        return f"{body.get('finding', '')}: {body['sentence']}".lstrip(": ")
    moved = body.get("moves") or ([body["moved"]] if "moved" in body else [])
    if moved:
        return "; ".join(f"{m['quantity']} of {m['lot']} from {m['source']} to {m['target']}" for m in moved)
    plain = {
        name: value
        for name, value in body.items()
        if isinstance(value, str | int) and value not in ("", None)
    }
    return ", ".join(f"{name.replace('_', ' ')} {value}" for name, value in plain.items())


def _investigations(facts: BundleFacts) -> BundleTable:
    closed = {entry["body"]["investigation"]: entry for entry in facts.of_kind("investigation-closed")}
    rows: list[Row] = []
    for entry in facts.of_kind("investigation-opened"):
        end = closed.get(entry["seq"])
        rows.append((entry["seq"], entry["body"]["subject"], entry["body"]["difference"], entry["reason"] or "",
                     facts.who(entry["person"]), end["event_time"] if end else "STILL OPEN",
                     (end["reason"] or "") if end else "", end["seq"] if end else None))  # fmt: skip
    columns = (
        ("entry", "n"), ("about", ""), ("difference", "n"), ("reason", "w"), ("opened by", "w"), ("closed at", "w"),
        ("what was found", "w"), ("closed in", "n"),
    )  # fmt: skip
    return table("investigations", "Investigations of differences", columns, rows, "None recorded.")


def _corrections(facts: BundleFacts) -> BundleTable:
    rows = [
        (entry["seq"], entry["corrects"], entry["kind"], entry["event_time"], facts.who(entry["person"]),
         entry["reason"] or "NONE")
        for entry in facts.entries
        if entry["corrects"] is not None
    ]  # fmt: skip
    columns = (
        ("entry", "n"), ("corrects entry", "n"), ("kind", ""), ("at", "w"), ("by", "w"), ("reason", "w"),
    )  # fmt: skip
    return table("corrections", "Corrections", columns, rows, "No entry of this bundle corrects another.")


def late_minutes(entry: Entry) -> int:
    """Return the whole minutes from when an entry says it happened to when it was recorded; below zero if before."""
    return int(lag_s(entry["event_time"], entry["recorded_at"]) // 60)


def late_table(facts: BundleFacts) -> BundleTable:
    """Return the entries recorded long after they happened, and those that say they happen after they were recorded."""
    rows: list[Row] = []
    for entry in facts.entries:
        late = late_minutes(entry)
        # A minute ahead is the resolution of the recording time and of clocks.
        if late >= facts.late_minutes or late < -1:
            word = "late" if late > 0 else "BEFORE ITS TIME"
            rows.append((entry["seq"], entry["kind"], entry["event_time"], entry["recorded_at"], late, word,
                         facts.where(entry["station"])))  # fmt: skip
    columns = (
        ("entry", "n"), ("kind", ""), ("happened at", "w"), ("recorded at", "w"), ("minutes between", "n"),
        ("flag", ""), ("station", "w"),
    )  # fmt: skip
    caption = f"Late entries: recorded {facts.late_minutes} minutes or more after they happened, or before"
    return table("late-entries", caption, columns, rows, "No entry of this bundle is late.")


def _people(facts: BundleFacts) -> BundleTable:
    acts: dict[str, int] = {}
    for entry in facts.entries:
        if entry["person"] is not None:
            acts[entry["person"]] = acts.get(entry["person"], 0) + 1
    rows = [
        (badge, name or "shown by badge only", roles, acts.get(badge, 0))
        for badge, (name, roles) in facts.people.items()
    ]
    columns = (("badge", ""), ("name", "w"), ("roles", "w"), ("entries in this bundle", "n"))
    return table("people", "People", columns, rows)


def _stations(facts: BundleFacts) -> BundleTable:
    rows = [(code, area, name) for code, (area, name) in facts.stations.items()]
    return table("stations", "Stations", (("station", ""), ("area", ""), ("name", "w")), rows)


def _settings(facts: BundleFacts) -> BundleTable:
    columns = (("setting", ""), ("value", "n"), ("where it comes from", "w"))
    return table("settings", "Limits and rules in force at this plant", columns, facts.settings)


def _nestings(facts: BundleFacts) -> BundleTable:
    rows = [(each.child, each.parent, each.opened, each.closed) for each in facts.nestings]
    columns = (("child", ""), ("stood in", ""), ("from entry", "n"), ("to entry", "n"))
    return table("nesting", "What stood in what", columns, rows, in_report=False)


def _edges(facts: BundleFacts) -> BundleTable:
    kinds = {node.code: node.kind for node in facts.tree.nodes}
    rows = [
        (kinds[edge.parent], edge.parent, edge.relation, kinds[edge.child], edge.child, edge.lot or "",
         "" if edge.strokes is None else str(edge.strokes), edge.quantity)
        for edge in facts.tree.edges
    ]  # fmt: skip
    columns = (
        ("from", ""), ("code", ""), ("how", ""), ("to", ""), ("code", ""), ("lot", ""), ("strokes", ""),
        ("discs at most", "n"),
    )  # fmt: skip
    return table("genealogy", "The genealogy as a table: every link", columns, rows, in_report=False)


def _entries(facts: BundleFacts) -> BundleTable:
    rows = [
        (entry["seq"], entry["kind"], entry["event_time"], entry["recorded_at"], facts.where(entry["station"]),
         entry["station_seq"], facts.who(entry["person"]), entry["reason"] or "", entry["corrects"],
         "yes" if entry["scans"] else "no", json.dumps(entry["body"], ensure_ascii=False, sort_keys=True))
        for entry in facts.entries
    ]  # fmt: skip
    columns = (
        ("entry", "n"), ("kind", ""), ("happened at", ""), ("recorded at", ""), ("station", ""), ("scan", "n"),
        ("person", ""), ("reason", ""), ("corrects", "n"), ("raw scans", ""), ("content", ""),
    )  # fmt: skip
    return table("entries", "All entries of this bundle, one a row", columns, rows, in_report=False)
