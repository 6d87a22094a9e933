"""Tables of a scope document as paper has them: what is alike in one row, so that a wide cause stays readable.

The workbook, the CSV and the JSON keep every row.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from tracelink.facts.scope_cause import JudgedDisc, TierLine
from tracelink.genealogy.model.shapes import TierName
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.ledger.count_words import OF_DISCS, PieceWords, counted, few, words_of_all
from tracelink.report.format.table import Cell, Column, Kind, Table, spans, table
from tracelink.report.scope.document import ScopeDocument
from tracelink.report.scope.tables_cause import samples, tiers
from tracelink.report.scope.tables_places import identifiers_in_short

_MOST_SAMPLES = 25
"""Judged discs on paper one by one; above that the good ones are told lot by lot."""

_MOST_TIERS = 8
"""Lots of one tier that are told one by one on paper."""

_MOST_ALIKE = 2
"""Items by name that the same text marks: outside the plant it is the text that counts."""

_EXAMPLES = 3
"""A list too long for paper is there as an example, and has this part of the rows that it may have."""

_GOOD = (
    Column("lot", "lot"),
    Column("discs", "discs judged good", Kind.COUNT),
    Column("strokes", "strokes of the lot", Kind.TEXT),
)


def on_sheet(count: int, most: int) -> int:
    """Return how many of `count` rows a sheet has: all up to `most`, of more the first few as examples."""
    return count if count <= most else max(1, most // _EXAMPLES)


def samples_folded(evidence: Sequence[JudgedDisc], words: PieceWords = OF_DISCS) -> list[Table]:
    """Return the judged discs; of many, the bad ones one by one and the good ones with one row per lot."""
    whole = samples(evidence, words).without("life")
    if len(evidence) <= _MOST_SAMPLES:
        return [whole]
    bad = samples((one for one in evidence if not one.good), words).without("life", "position")
    # A disc speaks for the stampers of both of its sides: here it is one row.
    bad = replace(bad, rows=tuple(dict.fromkeys(bad.rows)))
    lots: dict[str, dict[tuple[str, int, int], None]] = {}
    for one in evidence:
        if one.good:
            lots.setdefault(one.lot, {})[one.sample, one.stroke, one.entry] = None
    rows = [
        (lot, len(found), few([str(stroke) for stroke in sorted({stroke for _, stroke, _ in found})]))
        for lot, found in lots.items()
    ]
    count = sum(len(found) for found in lots.values())
    good = table(
        "", f"Judged good, {words.whole} by {words.whole}", _GOOD, rows, foot=[("together", count, "")]
    )
    return [bad, good] if bad.rows else [good]


def tiers_folded(document: ScopeDocument) -> Table:
    """Return the tiers with one row per lot and reason; of many lots, with one row per reason."""
    found: dict[TierName, dict[tuple[str, str], list[TierLine]]] = {}
    for one in document.tiers:
        found.setdefault(one.name, {}).setdefault((one.lot, one.reason), []).append(one)
    rows: list[tuple[Cell, ...]] = []
    for name, lines in found.items():
        if len(lines) > _MOST_TIERS:
            rows += _by_reason(name, lines)
        else:
            rows += [
                (name.value, lot, spans(_strokes(same)), sum(one.discs for one in same), reason)
                for (lot, reason), same in lines.items()
            ]
    whole = tiers(document)
    return table("", whole.caption, whole.columns, rows, whole.otherwise, foot=whole.foot)


def _by_reason(
    name: TierName, lines: Mapping[tuple[str, str], Sequence[TierLine]]
) -> Iterator[tuple[Cell, ...]]:
    reasons: dict[str, dict[str, int]] = {}
    for (lot, reason), same in lines.items():
        reasons.setdefault(reason, {})[lot] = sum(one.discs for one in same)
    for reason, lots in reasons.items():
        strokes = f"of {counted(len(lots), words_of_all(lots).whole)}: {few(list(lots), _MOST_TIERS)}; the workbook lists them"
        yield name.value, "several", strokes, sum(lots.values()), reason


def _strokes(lines: Iterable[TierLine]) -> StrokeSet:
    return StrokeSet.of(*(span for line in lines for span in line.strokes.spans))


def identifiers_folded(document: ScopeDocument) -> Table:
    """Return what to look for with one row per text, however many items it is the same for."""
    whole = identifiers_in_short(document)
    found: dict[str, list[str]] = {}
    for thing, says in whole.rows:
        found.setdefault(str(says), []).append(str(thing))
    rows = [(few(_together(things), _MOST_ALIKE), says) for says, things in found.items()]
    return table("", whole.caption, whole.columns, rows, whole.otherwise)


def _together(things: Iterable[str]) -> list[str]:
    """Return names with their kind once: `stamper T001, T002`."""
    said, before = [], ""
    for thing in things:
        kind, _, code = thing.rpartition(" ")
        said.append(code if kind and kind == before else thing)
        before = kind
    return said
