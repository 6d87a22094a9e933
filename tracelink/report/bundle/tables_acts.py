"""Tables of a bundle that stand beside the flow: clearances, holds, deviations, corrections, late entries, people."""

from __future__ import annotations

import json

from tracelink.facts.bundle_content import BundleFacts, Entry
from tracelink.ledger.export_rule import BundleTable
from tracelink.ledger.kinds.balance import InvestigationClosed, InvestigationOpened
from tracelink.ledger.kinds.lab import HeldItem, HoldLifted, HoldPlaced
from tracelink.ledger.kinds.line import SleevesOpened, SpindleOpened
from tracelink.ledger.lateness import Lateness
from tracelink.ledger.times import lag_s
from tracelink.report.format.table import Cell, Kind, Table, keyed, table

Row = tuple[Cell, ...]


def act_tables(facts: BundleFacts) -> list[Table]:
    """Return the tables, in reading order."""
    return [_clearances(facts), _cases(facts), _holds(facts), _deviations(facts), _investigations(facts), _corrections(facts),
            late_table(facts), _people(facts), _stations(facts), _settings(facts), _nestings(facts), _edges(facts),
            _entries(facts)]  # fmt: skip


def _clearances(facts: BundleFacts) -> Table:
    rows: list[Row] = []
    for entry, body in facts.of_table(BundleTable.CLEARANCES):
        what = ""
        if isinstance(body, SleevesOpened):
            what = body.batch
        elif isinstance(body, SpindleOpened):
            what = body.spindle
        rows.append((entry["event_time"], facts.where(entry["station"]), entry["kind"], what,
                     facts.who(entry["person"]), facts.who(getattr(body, "checked_by", None)), entry["seq"]))  # fmt: skip
    columns = (
        ("at", Kind.TIME), ("line", Kind.TEXT), ("act", Kind.CODE), ("what", Kind.CODE), ("by", Kind.TEXT), ("second person", Kind.TEXT), ("entry", Kind.NUMBER),
    )  # fmt: skip
    return table("line-clearance", "Line clearances, and what was opened after them", keyed(columns), rows)


def _holds(facts: BundleFacts) -> Table:
    lifted = {body.hold: (entry, body) for entry, body in facts.of_kind(HoldLifted)}
    rows: list[Row] = []
    for entry, body in facts.of_kind(HoldPlaced):
        end, lift = lifted.get(body.hold, (None, None))
        things = [_held(item) for item in body.items]
        shown = ", ".join(things[:6]) + (f" and {len(things) - 6} more" if len(things) > 6 else "")
        rows.append(
            (
                body.hold,
                body.cause,
                shown,
                entry["reason"] or "none recorded",
                entry["event_time"],
                facts.who(entry["person"]),
                end["event_time"] if end else "STILL HELD",
                f"{facts.who(end['person'])}, {facts.who(lift.second_person)}" if end and lift else "",
                (end["reason"] or "none recorded") if end else "",
                entry["seq"],
                end["seq"] if end else None,
            )
        )
    columns = (
        ("hold", Kind.CODE), ("cause", Kind.CODE), ("things held", Kind.TEXT), ("reason", Kind.TEXT), ("placed at", Kind.TIME), ("by", Kind.TEXT),
        ("lifted at", Kind.TIME), ("by both", Kind.TEXT), ("why", Kind.TEXT), ("entry", Kind.NUMBER), ("lifted in", Kind.NUMBER),
    )  # fmt: skip
    return table("holds", "Holds", keyed(columns), rows, "No hold was placed on any of it.")


def _cases(facts: BundleFacts) -> Table:
    rows: list[Row] = []
    for entry, _ in facts.of_table(BundleTable.CASES):
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
        ("case", Kind.CODE), ("act", Kind.CODE), ("at", Kind.TIME), ("detail", Kind.TEXT), ("by", Kind.TEXT), ("reason", Kind.TEXT), ("entry", Kind.NUMBER),
    )  # fmt: skip
    return table(
        "cases",
        "Containment cases: opened, told, answered, closed",
        keyed(columns),
        rows,
        "No case is about it.",
    )


def _held(item: HeldItem) -> str:
    return item.subject if item.first is None else f"{item.subject} strokes {item.first}–{item.last}"


def _deviations(facts: BundleFacts) -> Table:
    rows = [
        (entry["event_time"], facts.where(entry["station"]), entry["kind"], _sentence(entry),
         facts.who(entry["person"]), entry["reason"] or "", entry["seq"])
        for entry, _ in facts.of_table(BundleTable.DEVIATIONS)
    ]  # fmt: skip
    columns = (
        ("at", Kind.TIME), ("station", Kind.TEXT), ("what", Kind.CODE), ("detail", Kind.TEXT), ("by", Kind.TEXT), ("reason", Kind.TEXT), ("entry", Kind.NUMBER),
    )  # fmt: skip
    return table(
        "deviations",
        "Refused scans, rejects, stops, concessions and other departures",
        keyed(columns),
        rows,
        "No deviation is recorded.",
    )


def _sentence(entry: Entry) -> str:
    body = entry["body"]
    if "sentence" in body:
        return f"{body.get('finding', '')}: {body['sentence']}".lstrip(": ")
    moved = body.get("moves") or ([body["moved"]] if body.get("moved") else [])
    if "looked_at" in body:
        place = body.get("spindle") or body["place"]
        bad = sum(m["quantity"] for m in moved)
        return f"{body['looked_at']} of {body['lot']} in {place} sorted by {body['defect']}, {bad} bad and thrown out"
    if moved:
        return "; ".join(f"{m['quantity']} of {m['lot']} from {m['source']} to {m['target']}" for m in moved)
    plain = {
        name: value
        for name, value in body.items()
        if isinstance(value, str | int) and value not in ("", None)
    }
    return ", ".join(f"{name.replace('_', ' ')} {value}" for name, value in plain.items())


def _investigations(facts: BundleFacts) -> Table:
    closed = {body.investigation: entry for entry, body in facts.of_kind(InvestigationClosed)}
    rows: list[Row] = []
    for entry, opened in facts.of_kind(InvestigationOpened):
        end = closed.get(entry["seq"])
        rows.append((entry["seq"], opened.subject, opened.difference, entry["reason"] or "",
                     facts.who(entry["person"]), end["event_time"] if end else "STILL OPEN",
                     (end["reason"] or "") if end else "", end["seq"] if end else None))  # fmt: skip
    columns = (
        ("entry", Kind.NUMBER), ("about", Kind.CODE), ("difference", Kind.DIFFERENCE), ("reason", Kind.TEXT), ("opened by", Kind.TEXT), ("closed at", Kind.TEXT),
        ("what was found", Kind.TEXT), ("closed in", Kind.NUMBER),
    )  # fmt: skip
    return table(
        "investigations",
        "Investigations of differences",
        keyed(columns),
        rows,
        "No investigation was opened.",
    )


def _corrections(facts: BundleFacts) -> Table:
    rows = [
        (entry["seq"], entry["corrects"], entry["kind"], entry["event_time"], facts.who(entry["person"]),
         entry["reason"] or "NONE")
        for entry in facts.entries
        if entry["corrects"] is not None
    ]  # fmt: skip
    columns = (
        ("entry", Kind.NUMBER), ("corrects entry", Kind.NUMBER), ("kind", Kind.CODE), ("at", Kind.TIME), ("by", Kind.TEXT), ("reason", Kind.TEXT),
    )  # fmt: skip
    return table(
        "corrections", "Corrections", keyed(columns), rows, "No entry of this bundle corrects another."
    )


def late_table(facts: BundleFacts) -> Table:
    """Return the entries recorded long after they happened, and those that say they happen after they were recorded."""
    rows: list[Row] = []
    for entry in facts.entries:
        found = facts.lateness(entry)
        if found is not Lateness.IN_TIME:
            word = "late" if found is Lateness.LATE else "BEFORE ITS TIME"
            minutes = int(lag_s(entry["event_time"], entry["recorded_at"]) // 60)
            rows.append((entry["seq"], entry["kind"], entry["event_time"], entry["recorded_at"], minutes, word,
                         facts.where(entry["station"])))  # fmt: skip
    columns = (
        ("entry", Kind.NUMBER), ("kind", Kind.CODE), ("happened at", Kind.TIME), ("recorded at", Kind.TIME), ("minutes between", Kind.COUNT),
        ("flag", Kind.CODE), ("station", Kind.TEXT),
    )  # fmt: skip
    caption = f"Late entries: recorded more than {facts.late_minutes} minutes after they happened, or before"
    return table("late-entries", caption, keyed(columns), rows, "No entry of this bundle is late.")


def _people(facts: BundleFacts) -> Table:
    acts: dict[str, int] = {}
    for entry in facts.entries:
        if entry["person"] is not None:
            acts[entry["person"]] = acts.get(entry["person"], 0) + 1
    rows = [
        (badge, name or "shown by badge only", roles, acts.get(badge, 0))
        for badge, (name, roles) in facts.people.items()
    ]
    columns = (
        ("badge", Kind.CODE),
        ("name", Kind.TEXT),
        ("roles", Kind.TEXT),
        ("entries in this bundle", Kind.COUNT),
    )
    return table("people", "People", keyed(columns), rows)


def _stations(facts: BundleFacts) -> Table:
    rows = [(code, area, name) for code, (area, name) in facts.stations.items()]
    columns = (("station", Kind.CODE), ("area", Kind.CODE), ("name", Kind.TEXT))
    return table("stations", "Stations", keyed(columns), rows)


def _settings(facts: BundleFacts) -> Table:
    columns = (("setting", Kind.CODE), ("value", Kind.NUMBER), ("where it comes from", Kind.TEXT))
    return table("settings", "Limits and rules in force at this plant", keyed(columns), facts.settings)


def _nestings(facts: BundleFacts) -> Table:
    rows = [(each.child, each.parent, each.opened, each.closed) for each in facts.nestings]
    columns = (
        ("child", Kind.CODE),
        ("stood in", Kind.CODE),
        ("from entry", Kind.NUMBER),
        ("to entry", Kind.NUMBER),
    )
    return table("nesting", "What stood in what", keyed(columns), rows)


def _edges(facts: BundleFacts) -> Table:
    kinds = {node.code: node.kind for node in facts.tree.nodes}
    rows = [
        (kinds[edge.parent], edge.parent, edge.relation, kinds[edge.child], edge.child, edge.lot or "",
         "" if edge.strokes is None else str(edge.strokes), edge.quantity)
        for edge in facts.tree.edges
    ]  # fmt: skip
    columns = (
        ("from", Kind.CODE), ("code", Kind.CODE), ("how", Kind.CODE), ("to", Kind.CODE), ("code", Kind.CODE), ("lot", Kind.CODE), ("strokes", Kind.CODE),
        ("discs at most", Kind.COUNT),
    )  # fmt: skip
    return table("genealogy", "The genealogy as a table: every link", keyed(columns), rows)


def _entries(facts: BundleFacts) -> Table:
    rows = [
        (entry["seq"], entry["kind"], entry["event_time"], entry["recorded_at"], facts.where(entry["station"]),
         entry["station_seq"], facts.who(entry["person"]), entry["reason"] or "", entry["corrects"],
         "yes" if entry["scans"] else "no", json.dumps(entry["body"], ensure_ascii=False, sort_keys=True))
        for entry in facts.entries
    ]  # fmt: skip
    columns = (
        ("entry", Kind.NUMBER), ("kind", Kind.CODE), ("happened at", Kind.TIME), ("recorded at", Kind.TIME), ("station", Kind.CODE), ("scan", Kind.NUMBER),
        ("person", Kind.CODE), ("reason", Kind.CODE), ("corrects", Kind.NUMBER), ("raw scans", Kind.CODE), ("content", Kind.CODE),
    )  # fmt: skip
    return table("entries", "All entries of this bundle, one a row", keyed(columns), rows)
