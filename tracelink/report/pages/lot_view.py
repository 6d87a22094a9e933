"""What the page of a lot prints, gathered from the records."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from tracelink.errors import UnknownCode
from tracelink.facts.lot_stops import LotStops
from tracelink.genealogy.containment.gaps import gaps_of
from tracelink.genealogy.containment.whereabouts import Whereabouts
from tracelink.genealogy.flow.follow import history_of
from tracelink.genealogy.flow.pool_bounds import Bound
from tracelink.genealogy.flow.pools import History
from tracelink.genealogy.model.facts import JudgementFact, LotFact, SegmentFact, UnreadJudgement
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.genealogy.suspects.closure import closure_of
from tracelink.genealogy.walk.walk import trace_back, trace_forward
from tracelink.ledger.closed_sets import DiscPlace
from tracelink.ledger.count_words import signed
from tracelink.report.format.table import Cell, Kind, Table, keyed, number_of, spans, table
from tracelink.report.pages.lot_stops_text import stop_sentences
from tracelink.report.pictures.genealogy_svg import genealogy_svg
from tracelink.report.pictures.held_nodes import with_holds

_SEGMENTS = keyed(
    (
        ("strokes", Kind.CODE),
        ("discs", Kind.COUNT),
        ("press", Kind.CODE),
        ("stamper A", Kind.CODE),
        ("its strokes", Kind.CODE),
        ("stamper B", Kind.CODE),
        ("its strokes", Kind.CODE),
        ("compound lot", Kind.CODE),
        ("label lot A", Kind.CODE),
        ("label lot B", Kind.CODE),
        ("entry", Kind.NUMBER),
    )
)
_TOOLS = keyed(
    (
        ("tool", Kind.CODE),
        ("code", Kind.CODE),
        ("grown from", Kind.CODE),
        ("matrix", Kind.TEXT),
        ("side", Kind.CODE),
        ("status", Kind.TEXT),
    )
)
_SAMPLES = keyed(
    (
        ("sample", Kind.CODE),
        ("stroke", Kind.NUMBER),
        ("stroke of A", Kind.NUMBER),
        ("stroke of B", Kind.NUMBER),
        ("judged", Kind.CODE),
        ("defect", Kind.TEXT),
        ("entry", Kind.NUMBER),
    )
)
_PLACES = keyed(
    (
        ("place", Kind.CODE),
        ("code", Kind.CODE),
        ("status", Kind.TEXT),
        ("discs", Kind.COUNT),
        ("strokes", Kind.TEXT),
        ("on pallet, shipment", Kind.TEXT),
        ("consignee", Kind.TEXT),
        ("left the plant", Kind.CODE),
    )
)
_MOVES = keyed(
    (
        ("entry", Kind.NUMBER),
        ("when", Kind.TIME),
        ("discs", Kind.COUNT),
        ("from", Kind.CODE),
        ("to", Kind.CODE),
        ("strokes", Kind.CODE),
    )
)


def lot_view(records: Records, lot: str, *, at: str, stops: LotStops) -> dict[str, Any]:
    """Gather the page of a lot.

    Args:
        records: the records.
        lot: the lot's code.
        at: when the page is made, RFC 3339 with offset.
        stops: holds and cases about what the page shows.

    Returns:
        The names that templates/lot.html.j2 uses.

    Raises:
        UnknownCode: no record describes a lot of that code.
    """
    fact = records.lot(lot)
    if fact is None:
        raise UnknownCode(
            f"{lot!r} is not a lot in the records up to entry {records.head()[0]}: expected a lot code"
        )
    judgements = records.judgements_of(lot)
    history = history_of(records, lot)
    segments = records.segments_of(lot)
    whereabouts = Whereabouts(records)
    places = _places(records, whereabouts, history)
    gaps = [*gaps_of(records, closure_of(records, lot), judgements, None), *whereabouts.gaps]
    head = records.head()
    pictures = {
        f"{name}_picture": genealogy_svg(
            with_holds(walk(records, lot), stops.by_thing),
            title=title,
            head=head,
            at=at,
            judgements=judgements,
            for_sheet=True,
        )
        for name, walk, title in (
            ("back", trace_back, f"What lot {lot} was pressed with"),
            ("forward", trace_forward, f"Where the discs of lot {lot} went"),
        )
    }
    return {
        "lot": fact,
        "on_hold": stop_sentences(stops),
        "segments": _segments(fact, segments),
        "tools": _tools(records, segments),
        "samples": _samples(segments, judgements, records.judged_unread(lot)),
        "places": places,
        "moves": _moves(history),
        "gaps": gaps,
        "conflicts": history.conflicts,
        **pictures,
    }


def _segments(lot: LotFact, segments: Sequence[SegmentFact]) -> Table:
    rows: list[tuple[Cell, ...]] = [
        (
            spans(one.strokes) or "none yet",
            len(one.strokes),
            one.press,
            one.stamper_a,
            _life(one, one.life_a),
            one.stamper_b,
            _life(one, one.life_b),
            one.compound,
            one.label_a,
            one.label_b,
            one.seq,
        )
        for one in segments
    ]
    total = number_of(row[1] for row in rows)
    return table(
        "",
        "Strokes of the lot, and the tools and materials they were pressed with",
        _SEGMENTS,
        rows,
        foot=[
            _foot("together", total, len(_SEGMENTS)),
            _foot("counted at the press", lot.pressed, len(_SEGMENTS)),
            _foot("difference", signed(total - lot.pressed), len(_SEGMENTS)),
        ],
    )


def _foot(name: str, cell: Cell, columns: int, at: int = 1) -> tuple[Cell, ...]:
    """A line under the rule: a name at the left and one number."""
    return (name, *[""] * (at - 1), cell, *[""] * (columns - at - 1))


def _life(segment: SegmentFact, before: int) -> str:
    return spans(segment.strokes.shifted(before - segment.first + 1)) or "none yet"


def _tools(records: Records, segments: Sequence[SegmentFact]) -> Table:
    codes = dict.fromkeys(code for one in segments for code in (one.stamper_a, one.stamper_b))
    lines = dict.fromkeys(code for stamper in codes for code in _line_of(records, stamper))
    rows: list[tuple[Cell, ...]] = []
    for code in lines:
        tool = records.tool(code)
        rows.append(
            (tool.kind, code, tool.parent, tool.matrix, tool.side, tool.status)
            if tool
            else ("not recorded", code, None, "", "", "")
        )
    return table("", "The tools, from the stamper back to the master", _TOOLS, rows)


def _line_of(records: Records, stamper: str) -> Iterator[str]:
    seen: set[str] = set()
    code: str | None = stamper
    while code is not None and code not in seen:
        seen.add(code)
        yield code
        tool = records.tool(code)
        code = tool.parent if tool else None


def _samples(
    segments: Sequence[SegmentFact],
    judgements: Sequence[JudgementFact],
    unread: Sequence[UnreadJudgement],
) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for fact in sorted(judgements, key=lambda one: (one.stroke, one.seq)):
        made = next((one for one in segments if fact.stroke in one.strokes), None)
        rows.append(
            (
                fact.sample,
                fact.stroke,
                made.life_a + fact.stroke - made.first + 1 if made else None,
                made.life_b + fact.stroke - made.first + 1 if made else None,
                "good" if fact.good else "BAD",
                fact.defect or "",
                fact.seq,
            )
        )
    rows += [
        (one.sample, None, None, None, "good" if one.good else "BAD", one.defect or "", one.seq)
        for one in unread
    ]
    return table("", "Judgements that stand, by stroke", _SAMPLES, rows, "No disc of this lot was judged.")


def _places(records: Records, whereabouts: Whereabouts, history: History) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for place, lump in history.at.items():
        strokes = _which(history.strokes_in(lump), lump.count)
        if place in {DiscPlace.COUNTER, DiscPlace.SCRAP}:
            name = "unaccounted" if place == DiscPlace.COUNTER else DiscPlace.SCRAP
            status = "counted, not booked on" if place == DiscPlace.COUNTER else ""
            rows.append((name, "", status, lump.count, strokes, "", "", ""))
            continue
        held = whereabouts.container(place, history.lot, Bound(lump.count, 0, 0, None, tight=False))
        left = "yes" if held.shipped else "no"
        status = "" if held.status == held.kind else held.status
        parents = ", ".join(held.parents)
        rows.append((held.kind, place, status, lump.count, strokes, parents, held.consignee, left))
    rows.sort(key=lambda row: (_ORDER.get(str(row[0]), 0), str(row[1])))
    total = number_of(row[3] for row in rows)
    lot = records.lot(history.lot)
    counted = lot.pressed if lot else 0
    return table(
        "",
        "Where the discs are now",
        _PLACES,
        rows,
        "No disc of this lot is recorded anywhere.",
        foot=[
            _foot("together", total, len(_PLACES), at=3),
            _foot("counted at the press", counted, len(_PLACES), at=3),
            _foot("difference", signed(total - counted), len(_PLACES), at=3),
        ],
    )


_MOST_SPANS = 4

_ORDER = {"spindle": 1, "sample": 2, "carton": 3, DiscPlace.SCRAP: 8, "unaccounted": 9}
"""The order of places on the page: that of the floor, what is missing at the end."""


def _which(strokes: StrokeSet, count: int) -> str:
    shown = spans(strokes)
    if len(strokes.spans) > _MOST_SPANS:
        # One cell with fifty spans would squeeze every other column; the movements below have them.
        shown = f"{strokes.first}–{strokes.last}, {len(strokes.spans) - 1} gaps"
    return shown if len(strokes) == count else f"{count} of {shown}"


def _moves(history: History) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for passage in history.passages:
        move = passage.movement
        strokes = "not recorded"
        if move.first is not None and move.last is not None:
            strokes = spans(StrokeSet.between(move.first, move.last))
        rows.append((move.seq, move.at, move.quantity, move.source, move.target, strokes))
    return table("", "Every movement of its discs, in the order of the journal", _MOVES, rows)
