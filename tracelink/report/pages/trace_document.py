"""The genealogy of one thing as a document: the picture, what stops it, and both directions as tables."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from tracelink.facts.lot_stops import CaseOfLot
from tracelink.genealogy.model.facts import JudgementFact, UnreadJudgement
from tracelink.genealogy.model.tree import Node, Tree
from tracelink.ledger.count_words import kind_words
from tracelink.report.format.document import Block, Bullets, Document, FactList, Picture, Section
from tracelink.report.format.shown import with_moments
from tracelink.report.format.table import Cell, Column, Kind, Table
from tracelink.report.pictures.tree_text import TREE_COLUMNS, tree_rows

_HELD = (
    Column("hold", "hold"),
    Column("things", "things held", Kind.COUNT),
    Column("first", "the first of them", Kind.TEXT),
)
MOST_HELD = 6
"""Things under one hold that are named; `runout hold` lists all."""
_CASES = (
    Column("code", "case"),
    Column("cause", "about"),
    Column("reason", "reason", Kind.TEXT),
    Column("proven", "affected for certain", Kind.COUNT),
    Column("possible", "possibly", Kind.COUNT),
    Column("closed_entry", "closed by entry", Kind.NUMBER),
)
_JUDGED = (
    Column("sample", "sample"),
    Column("lot", "lot"),
    Column("stroke", "disc", Kind.NUMBER),
    Column("result", "result"),
    Column("defect", "defect", Kind.TEXT),
)
_TITLES = {"back": "What it was made of", "forward": "Where it went"}


@dataclass(frozen=True, slots=True)
class TracedThing:
    """What a trace found, as far as a page shows it."""

    code: str
    """The thing."""
    trees: Mapping[str, Tree]
    """`back`, `forward`, or both."""
    holds: Mapping[str, str]
    """Thing in the trees -> the hold on it."""
    cases: tuple[CaseOfLot, ...]
    """Containment cases about what is in the trees."""
    judged: Sequence[JudgementFact | UnreadJudgement]
    """Judged samples."""
    picture: str
    """The family as SVG."""


def trace_document(traced: TracedThing, imprint: str) -> Document:
    """Return the genealogy as sections, what stops the thing first.

    Args:
        traced: what was found.
        imprint: the records looked at.
    """
    root = next(iter(traced.trees.values())).nodes[0]
    sections = [
        Section(
            "What it is", (FactList((("kind", kind_words(root.kind)), ("code", root.code), *_facts(root))),)
        )
    ]
    sections += _stopped(traced)
    sections.append(Section("Family", (Picture(traced.picture, "The tables below say the same in words."),)))
    sections += [
        Section(_TITLES[name], (*_table(_TITLES[name], tree), *_conflicts(tree)))
        for name, tree in traced.trees.items()
    ]
    if traced.judged:
        rows = tuple(map(_judged, traced.judged))
        sections.append(Section("Samples judged", (Table("", "Samples judged", _JUDGED, rows),)))
    kind = kind_words(root.kind).capitalize()
    return Document(kind, f"{kind} {traced.code}", imprint, imprint, tuple(sections))


def _facts(thing: Node) -> Iterator[tuple[str, str]]:
    return ((name, with_moments(value)) for name, value in thing.facts)


def _stopped(traced: TracedThing) -> Iterator[Section]:
    if traced.cases:
        rows = tuple(tuple(getattr(case, column.key) for column in _CASES) for case in traced.cases)
        yield Section("Cases", (Table("", "Cases", _CASES, rows),))
    if traced.holds:
        yield Section("On hold", (Table("", "On hold", _HELD, tuple(_held(traced.holds))),))


def things_by_hold(holds: Mapping[str, str]) -> dict[str, list[str]]:
    """Return the things under each hold, of thing -> the hold on it."""
    things: dict[str, list[str]] = {}
    for thing, hold in holds.items():
        things.setdefault(hold, []).append(thing)
    return things


def _held(holds: Mapping[str, str]) -> Iterator[tuple[Cell, ...]]:
    for hold, held in things_by_hold(holds).items():
        yield hold, len(held), held[:MOST_HELD]


def _table(title: str, tree: Tree) -> Iterable[Block]:
    rows = tuple(tuple(_shown(row[column.key]) for column in TREE_COLUMNS) for row in tree_rows(tree))
    yield Table("", title, TREE_COLUMNS, rows, otherwise="Nothing is recorded.")


def _shown(cell: Cell) -> Cell:
    return with_moments(cell) if isinstance(cell, str) else cell


def _conflicts(tree: Tree) -> Iterable[Block]:
    if tree.conflicts:
        yield Bullets(tree.conflicts)


def _judged(one: JudgementFact | UnreadJudgement) -> tuple[Cell, ...]:
    stroke = None if isinstance(one, UnreadJudgement) else one.stroke
    return one.sample, one.lot, stroke, "good" if one.good else "BAD", one.defect
