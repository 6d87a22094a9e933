"""Tables of a bundle that look back: what the discs were made with, by whom, and how they were judged."""

from __future__ import annotations

from collections.abc import Iterator

from tracelink.facts.bundle_content import BundleFacts, Entry
from tracelink.ledger.export_rule import BundleTable
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.lab import (
    LotDecided,
    SampleDrawn,
    SampleJudged,
    SampleMeasured,
    SampleTaken,
)
from tracelink.ledger.kinds.measuring.result_entries import ResultRecorded
from tracelink.ledger.kinds.press import Mounted, PressStarted, Reading
from tracelink.ledger.kinds.press_corrections import CounterCorrected
from tracelink.ledger.kinds.setup import LotPlanned, MaterialReceived, SleevesReceived
from tracelink.ledger.kinds.tools import MasterRegistered, ToolGrown, ToolReceived, ToolRetired
from tracelink.ledger.limit_words import limit_words, of_side
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
    made = {body.tool: entry for entry, body in facts.of_kind(MasterRegistered, ToolGrown)}
    made |= {body.tool: entry for entry, body in facts.of_kind(ToolReceived)}
    ended = {body.tool: entry for entry, body in facts.of_kind(ToolRetired)}
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
    rows: list[Row] = [
        (*_received(body), entry["event_time"], entry["seq"])
        for entry, body in facts.of_kind(MaterialReceived, SleevesReceived)
    ]
    columns = (
        ("code", Kind.CODE), ("what", Kind.CODE), ("detail", Kind.TEXT), ("GTIN", Kind.CODE), ("side", Kind.CODE), ("received", Kind.COUNT), ("at", Kind.TIME),
        ("entry", Kind.NUMBER),
    )  # fmt: skip
    return table("materials", "Compound, labels and sleeves", keyed(columns), rows)


def _received(body: MaterialReceived | SleevesReceived) -> Row:
    if isinstance(body, MaterialReceived):
        side = f"side {body.side}" if body.side else ""
        return body.material, body.what, body.detail, body.gtin, side, None
    numbers = "" if body.first_number is None else f"numbers {body.first_number}–{body.last_number}"
    state = "superseded" if body.superseded else ""
    detail = ", ".join(part for part in (numbers, state) if part)
    return body.batch, "sleeves", detail, body.gtin, "", body.quantity


def _press(facts: BundleFacts) -> Table:
    rows = [
        (entry["event_time"], body.export.called, *_press_detail(facts, body), facts.where(entry["station"]),
         facts.who(entry["person"]), entry["reason"] or "", entry["seq"])
        for entry, body in facts.of_table(BundleTable.PRESS_ACTS)
    ]  # fmt: skip
    columns = (
        ("at", Kind.TIME), ("act", Kind.TEXT), ("lot", Kind.CODE), ("detail", Kind.TEXT), ("station", Kind.TEXT), ("by", Kind.TEXT), ("reason", Kind.TEXT),
        ("entry", Kind.NUMBER),
    )  # fmt: skip
    return table("press-acts", "At the press: set-up, first-off, changes, stop", keyed(columns), rows)


def _press_detail(facts: BundleFacts, body: EntryBody) -> tuple[str, str]:
    if isinstance(body, PressStarted):
        lot = facts.lots.get(body.lot)
        product = facts.products.get(lot.gtin) if lot else None
        wanted = product.matrices.get(lot.piece) if product and lot else None
        read = f"matrix read by eye: A {body.read_a}, B {body.read_b}"
        return body.lot, read + (f"; expected A {wanted[0]}, B {wanted[1]}" if wanted else "")
    if isinstance(body, LotPlanned):
        return body.lot, f"{body.quantity} discs planned"
    if isinstance(body, CounterCorrected):
        agreed = facts.who(body.agreed_by)
        return body.lot, f"counter {body.counter} instead of {body.before}, agreed by {agreed}"
    reading, mounted = getattr(body, "reading", None), getattr(body, "mounted", None)
    parts = []
    if isinstance(reading, Reading):
        parts.append(f"counter {reading.counter}")
    if isinstance(mounted, Mounted):
        parts.append(
            f"stampers {mounted.stamper_a} (after {mounted.life_a} strokes) and {mounted.stamper_b} (after {mounted.life_b}), "
            f"compound {mounted.compound}, labels {mounted.label_a} and {mounted.label_b}"
        )
    lot_code = reading.lot if isinstance(reading, Reading) else getattr(body, "lot", "")
    return lot_code, "; ".join(parts)


def _samples(facts: BundleFacts) -> Table:
    drawn = {body.sample: (entry, body) for entry, body in facts.of_kind(SampleDrawn, SampleTaken)}
    judged: dict[str, list[tuple[Entry, SampleJudged]]] = {}
    for entry, judgement in facts.of_kind(SampleJudged):
        judged.setdefault(judgement.sample, []).append((entry, judgement))
    corrected = {entry["corrects"]: entry["seq"] for entry, _ in facts.of_kind(SampleJudged)}
    rows: list[Row] = []
    for entry, body in sorted(drawn.values(), key=_by_stroke):
        lot = body.moved.lot
        on_tools = (None, None) if body.stroke is None else _on_tools(facts, lot, body.stroke)
        begin = (body.sample, lot, body.stroke, *on_tools, entry["event_time"], facts.who(entry["person"]))
        found = [_judgement(facts, *one, corrected) for one in judged.get(body.sample, ())]
        rows += [(*begin, *one, entry["seq"]) for one in found or [_NOT_JUDGED]]
    columns = (
        ("sample", Kind.CODE), ("lot", Kind.CODE), ("stroke", Kind.NUMBER), ("stroke of A", Kind.NUMBER), ("stroke of B", Kind.NUMBER), ("drawn at", Kind.TIME),
        ("by", Kind.TEXT), ("judged", Kind.CODE), ("defect", Kind.TEXT), ("judged at", Kind.TIME), ("judged by", Kind.TEXT), ("corrected by", Kind.NUMBER),
        ("judged in entry", Kind.NUMBER), ("drawn in entry", Kind.NUMBER),
    )  # fmt: skip
    return table("samples", "Samples and how they were judged", keyed(columns), rows, "No sample was drawn.")


_NOT_JUDGED: Row = ("not judged", "", "", "", None, None)


def _by_stroke(drawn: tuple[Entry, SampleDrawn | SampleTaken]) -> tuple[str, bool, int]:
    """Samples of unknown stroke stand after the others of their lot."""
    body = drawn[1]
    return body.moved.lot, body.stroke is None, body.stroke or 0


def _on_tools(facts: BundleFacts, lot: str, stroke: int) -> tuple[int | None, int | None]:
    for one in facts.segments:
        if one.lot == lot and stroke in one.strokes:
            return one.life_a + stroke - one.first + 1, one.life_b + stroke - one.first + 1
    return None, None


def _judgement(facts: BundleFacts, entry: Entry, body: SampleJudged, corrected: dict[int | None, int]) -> Row:
    by = corrected.get(entry["seq"])
    word = "good" if body.good else "BAD"
    return word, body.defect or "", entry["event_time"], facts.who(entry["person"]), by, entry["seq"]


def _measurements(facts: BundleFacts) -> Table:
    found: list[tuple[Entry, SampleMeasured | ResultRecorded]]
    found = [*facts.of_kind(SampleMeasured), *facts.of_kind(ResultRecorded)]
    rows = [
        (
            body.sample,
            _measured(body),
            body.value,
            body.unit,
            *_gauge_and_limit(body),
            entry["event_time"],
            facts.who(entry["person"]),
            entry["seq"],
        )
        for entry, body in sorted(found, key=lambda each: each[0]["seq"])
    ]
    columns = (
        ("sample", Kind.CODE), ("measured", Kind.CODE), ("value", Kind.CODE), ("unit", Kind.CODE), ("instrument", Kind.TEXT), ("limit in force", Kind.TEXT),
        ("at", Kind.TIME), ("by", Kind.TEXT), ("entry", Kind.NUMBER),
    )  # fmt: skip
    return table("measurements", "Measured values", keyed(columns), rows, "Nothing was measured.")


def _measured(body: SampleMeasured | ResultRecorded) -> str:
    side = body.side if isinstance(body, ResultRecorded) else None
    return f"{body.quantity}{of_side(side)}"


def _gauge_and_limit(body: SampleMeasured | ResultRecorded) -> tuple[str, str]:
    if isinstance(body, SampleMeasured):
        return "not recorded", "not recorded"
    gauge = f"{body.gauge}, calibration overdue" if body.overdue else body.gauge
    if body.limit is None:
        return gauge, "none held"
    limit = limit_words(body.limit.lower, body.limit.upper, body.unit)
    return gauge, f"{limit} (entry {body.limit.entry}): {body.standing}"


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
    for entry, body in facts.of_kind(LotDecided):
        second = facts.who(body.second_person) or "none recorded"
        yield (
            entry["event_time"], body.lot, body.decision, facts.who(entry["person"]), second,
            entry["reason"] or "none recorded", entry["seq"],
        )  # fmt: skip
