"""Tables of a bundle that look back: what the discs were made with, by whom, and how they were judged."""

from __future__ import annotations

from collections.abc import Iterator

from tracelink.facts.bundle_content import BundleFacts, Entry
from tracelink.ledger.export_rule import BundleTable
from tracelink.ledger.kinds.lab import LotDecided, SampleDrawn, SampleJudged, SampleMeasured
from tracelink.ledger.kinds.press import PressStarted
from tracelink.ledger.kinds.press_corrections import CounterCorrected
from tracelink.ledger.kinds.registry import KINDS
from tracelink.ledger.kinds.setup import LotPlanned, MaterialReceived, SleevesReceived
from tracelink.ledger.kinds.tools import MasterRegistered, ToolGrown, ToolRetired
from tracelink.report.format.table import Cell, Kind, Table, keyed, spans, table

Row = tuple[Cell, ...]


def back_tables(facts: BundleFacts) -> list[Table]:
    """Return the tables on making and judging, in reading order."""
    return [_lots(facts), _segments(facts), _tools(facts), _materials(facts), _press(facts), _samples(facts),
            _measurements(facts), _decisions(facts)]  # fmt: skip


def _lots(facts: BundleFacts) -> Table:
    rows = []
    for code, lot in facts.lots.items():
        product = facts.products.get(lot.gtin)
        title, number = (product.title, product.catalogue_number) if product else ("", "")
        matrices = product.matrices.get(lot.piece, ("", "")) if product else ("", "")
        rows.append((code, title, number, lot.gtin, lot.piece, *matrices, lot.planned, lot.counter, lot.status,
                     lot.decision))  # fmt: skip
    columns = (
        ("lot", Kind.CODE), ("title", Kind.TEXT), ("catalogue number", Kind.TEXT), ("GTIN", Kind.CODE), ("disc", Kind.NUMBER), ("matrix A", Kind.CODE),
        ("matrix B", Kind.CODE), ("planned", Kind.COUNT), ("pressed", Kind.COUNT), ("status", Kind.TEXT), ("decision", Kind.TEXT),
    )  # fmt: skip
    return table("lots", "The lots", keyed(columns), rows)


def _segments(facts: BundleFacts) -> Table:
    people = {entry["seq"]: entry for entry in facts.entries}
    rows: list[Row] = []
    for one in facts.segments:
        entry = people.get(one.seq)
        rows.append(
            (
                one.lot,
                spans(one.strokes) or "none",
                len(one.strokes),
                facts.where(one.press),
                *_stamper(one.stamper_a, one.life_a, len(one.strokes)),
                *_stamper(one.stamper_b, one.life_b, len(one.strokes)),
                one.compound,
                one.label_a,
                one.label_b,
                entry["event_time"] if entry else "",
                facts.who(entry["person"]) if entry else "",
                one.seq,
            )
        )
    columns = (
        ("lot", Kind.CODE), ("strokes", Kind.CODE), ("discs", Kind.COUNT), ("press", Kind.TEXT), ("stamper A", Kind.CODE), ("its strokes", Kind.CODE),
        ("stamper B", Kind.CODE), ("its strokes", Kind.CODE), ("compound lot", Kind.CODE), ("label lot A", Kind.CODE), ("label lot B", Kind.CODE),
        ("set up at", Kind.TIME), ("by", Kind.TEXT), ("entry", Kind.NUMBER),
    )  # fmt: skip
    return table(
        "segments",
        "Run segments: strokes pressed without a change of tool, compound or label",
        keyed(columns),
        rows,
    )


def _stamper(code: str, before: int, discs: int) -> tuple[str, str]:
    return code, f"{before + 1}–{before + discs}" if discs else f"from {before + 1}"


def _tools(facts: BundleFacts) -> Table:
    made = {entry["body"]["tool"]: entry for entry in facts.of_kind(MasterRegistered, ToolGrown)}
    ended = {entry["body"]["tool"]: entry for entry in facts.of_kind(ToolRetired)}
    rows: list[Row] = []
    for code, tool in facts.tools.items():
        entry, end = made.get(code), ended.get(code)
        rows.append(
            (
                code,
                tool.kind,
                tool.parent,
                tool.side,
                tool.matrix,
                entry["event_time"] if entry else "",
                facts.who(entry["person"]) if entry else "",
                "retired" if end else tool.status,
                f"{end['event_time']}: {end['reason'] or 'no reason recorded'}" if end else "",
                entry["seq"] if entry else None,
            )
        )
    columns = (
        ("tool", Kind.CODE), ("kind", Kind.CODE), ("grown from", Kind.CODE), ("side", Kind.CODE), ("matrix", Kind.CODE), ("made at", Kind.TIME), ("by", Kind.TEXT),
        ("status", Kind.TEXT), ("retired", Kind.TEXT), ("entry", Kind.NUMBER),
    )  # fmt: skip
    return table("tools", "The tools, from the stampers back to the masters", keyed(columns), rows)


def _materials(facts: BundleFacts) -> Table:
    rows: list[Row] = []
    for entry in facts.of_kind(MaterialReceived, SleevesReceived):
        body = entry["body"]
        if entry["kind"] == MaterialReceived.kind:
            side = f"side {body['side']}" if body["side"] else ""
            what = (body["material"], body["what"], body["detail"], body["gtin"], side, None)
        else:
            numbers = (
                ""
                if body["first_number"] is None
                else f"numbers {body['first_number']}–{body['last_number']}"
            )
            state = "superseded" if body["superseded"] else ""
            detail = ", ".join(part for part in (numbers, state) if part)
            what = (body["batch"], "sleeves", detail, body["gtin"], "", body["quantity"])
        rows.append((*what, entry["event_time"], entry["seq"]))
    columns = (
        ("code", Kind.CODE), ("what", Kind.CODE), ("detail", Kind.TEXT), ("GTIN", Kind.CODE), ("side", Kind.CODE), ("received", Kind.COUNT), ("at", Kind.TIME),
        ("entry", Kind.NUMBER),
    )  # fmt: skip
    return table("materials", "Compound, labels and sleeves", keyed(columns), rows)


def _press(facts: BundleFacts) -> Table:
    rows = [
        (entry["event_time"], KINDS[entry["kind"]].export.called, *_press_detail(facts, entry), facts.where(entry["station"]),
         facts.who(entry["person"]), entry["reason"] or "", entry["seq"])
        for entry in facts.of_table(BundleTable.PRESS_ACTS)
    ]  # fmt: skip
    columns = (
        ("at", Kind.TIME), ("act", Kind.TEXT), ("lot", Kind.CODE), ("detail", Kind.TEXT), ("station", Kind.TEXT), ("by", Kind.TEXT), ("reason", Kind.TEXT),
        ("entry", Kind.NUMBER),
    )  # fmt: skip
    return table("press-acts", "At the press: set-up, first-off, changes, stop", keyed(columns), rows)


def _press_detail(facts: BundleFacts, entry: Entry) -> tuple[str, str]:
    body, kind = entry["body"], entry["kind"]
    if kind == PressStarted.kind:
        lot = facts.lots.get(body["lot"])
        product = facts.products.get(lot.gtin) if lot else None
        wanted = product.matrices.get(lot.piece) if product and lot else None
        read = f"matrix read by eye: A {body['read_a']}, B {body['read_b']}"
        return body["lot"], read + (f"; expected A {wanted[0]}, B {wanted[1]}" if wanted else "")
    if kind == LotPlanned.kind:
        return body["lot"], f"{body['quantity']} discs planned"
    lot_code = body["lot"] if "lot" in body else body["reading"]["lot"]
    parts = []
    if entry["kind"] == CounterCorrected.kind:
        parts.append(
            f"counter {body['counter']} instead of {body['before']}, agreed by {facts.who(body['agreed_by'])}"
        )
    if "reading" in body:
        parts.append(f"counter {body['reading']['counter']}")
    if "mounted" in body:
        on = body["mounted"]
        parts.append(
            f"stampers {on['stamper_a']} (after {on['life_a']} strokes) and {on['stamper_b']} (after {on['life_b']}), "
            f"compound {on['compound']}, labels {on['label_a']} and {on['label_b']}"
        )
    return lot_code, "; ".join(parts)


def _samples(facts: BundleFacts) -> Table:
    drawn = {entry["body"]["sample"]: entry for entry in facts.of_kind(SampleDrawn)}
    judged: dict[str, list[Entry | None]] = {}
    for entry in facts.of_kind(SampleJudged):
        judged.setdefault(entry["body"]["sample"], []).append(entry)
    corrected = {entry["corrects"]: entry["seq"] for entry in facts.of_kind(SampleJudged)}
    rows: list[Row] = []
    for sample, entry in sorted(
        drawn.items(), key=lambda item: (_lot_of(item[1]), item[1]["body"]["stroke"])
    ):
        lot, stroke = _lot_of(entry), entry["body"]["stroke"]
        on_tools = _on_tools(facts, lot, stroke)
        begin = (sample, lot, stroke, *on_tools, entry["event_time"], facts.who(entry["person"]))
        found = judged.get(sample, [None])
        rows += [(*begin, *_judgement(facts, one, corrected), entry["seq"]) for one in found]
    columns = (
        ("sample", Kind.CODE), ("lot", Kind.CODE), ("stroke", Kind.NUMBER), ("stroke of A", Kind.NUMBER), ("stroke of B", Kind.NUMBER), ("drawn at", Kind.TIME),
        ("by", Kind.TEXT), ("judged", Kind.CODE), ("defect", Kind.TEXT), ("judged at", Kind.TIME), ("judged by", Kind.TEXT), ("corrected by", Kind.NUMBER),
        ("judged in entry", Kind.NUMBER), ("drawn in entry", Kind.NUMBER),
    )  # fmt: skip
    return table("samples", "Samples and how they were judged", keyed(columns), rows, "No sample was drawn.")


def _lot_of(entry: Entry) -> str:
    return str(entry["body"]["moved"]["lot"])


def _on_tools(facts: BundleFacts, lot: str, stroke: int) -> tuple[int | None, int | None]:
    for one in facts.segments:
        if one.lot == lot and stroke in one.strokes:
            return one.life_a + stroke - one.first + 1, one.life_b + stroke - one.first + 1
    return None, None


def _judgement(facts: BundleFacts, entry: Entry | None, corrected: dict[int | None, int]) -> Row:
    if entry is None:
        return "not judged", "", "", "", None, None
    body = entry["body"]
    by = corrected.get(entry["seq"])
    word = "good" if body["good"] else "BAD"
    return word, body["defect"] or "", entry["event_time"], facts.who(entry["person"]), by, entry["seq"]


def _measurements(facts: BundleFacts) -> Table:
    rows = [
        (
            entry["body"]["sample"],
            entry["body"]["quantity"],
            entry["body"]["value"],
            entry["body"]["unit"],
            entry["body"].get("instrument") or "not recorded",
            entry["body"].get("limit") or "not recorded",
            entry["event_time"],
            facts.who(entry["person"]),
            entry["seq"],
        )
        for entry in facts.of_kind(SampleMeasured)
    ]
    columns = (
        ("sample", Kind.CODE), ("measured", Kind.CODE), ("value", Kind.CODE), ("unit", Kind.CODE), ("instrument", Kind.TEXT), ("limit in force", Kind.TEXT),
        ("at", Kind.TIME), ("by", Kind.TEXT), ("entry", Kind.NUMBER),
    )  # fmt: skip
    return table("measurements", "Measured values", keyed(columns), rows, "Nothing was measured.")


def _decisions(facts: BundleFacts) -> Table:
    rows = list(_decided(facts))
    columns = (
        ("at", Kind.TIME), ("lot", Kind.CODE), ("decision", Kind.CODE), ("by", Kind.TEXT), ("second person", Kind.TEXT), ("grounds", Kind.TEXT),
        ("entry", Kind.NUMBER),
    )  # fmt: skip
    return table(
        "decisions",
        "Release and rejection of lots",
        keyed(columns),
        rows,
        "NONE: no lot was released or rejected.",
    )


def _decided(facts: BundleFacts) -> Iterator[Row]:
    for entry in facts.of_kind(LotDecided):
        body = entry["body"]
        second = facts.who(body["second_person"]) or "none recorded"
        yield (
            entry["event_time"], body["lot"], body["decision"], facts.who(entry["person"]), second,
            entry["reason"] or "none recorded", entry["seq"],
        )  # fmt: skip
