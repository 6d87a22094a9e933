"""The pictures of a scope: the tool's family, the lives with their samples, where everything went and is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tracelink.genealogy.containment.lives import StrokeLife
from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.model.cause_kinds import TOOL_KINDS, facts, node_of
from tracelink.genealogy.model.facts import STAMPER, JudgementFact
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.tree import Edge, Node, Tree
from tracelink.genealogy.walk.walk import trace_forward
from tracelink.ledger.count_words import kind_words
from tracelink.report.pictures.genealogy_svg import genealogy_svg
from tracelink.report.pictures.places_svg import places_svg
from tracelink.report.pictures.stroke_life_svg import stroke_life_svg
from tracelink.report.scope.cleared_nodes import with_cleared

_MOST_LIVES = 6
"""Pictures of single stampers in one document; the table of tiers has them all."""


@dataclass(frozen=True, slots=True)
class ScopePictures:
    """SVG pictures; an empty text where there is nothing to draw."""

    family: str
    """The master of a tool, and every tool grown from it, with the samples on them."""
    lives: tuple[str, ...]
    """The stroke life of each suspected stamper with its samples and tiers."""
    lives_left_out: int
    """Suspected lives that are not drawn."""
    places: str
    """Where the discs are now."""
    forward: str
    """Where the discs of the cause went."""


def scope_pictures(
    records: Records,
    scope: Scope,
    lives: Sequence[StrokeLife],
    judgements: Sequence[JudgementFact],
    *,
    at: str,
) -> ScopePictures:
    """Draw the pictures of a scope.

    Args:
        records: the records the scope was made from.
        scope: the containment.
        lives: from `lives_of`.
        judgements: the judgements to mark on samples, stampers and lots.
        at: when they are drawn, RFC 3339 with offset.
    """
    suspected = [life for life in lives if life.is_suspected(scope)]
    # A station touches hundreds of lives: a few of them say nothing about the others.
    drawn = [] if scope.clauses and len(suspected) > _MOST_LIVES else suspected[:_MOST_LIVES]
    return ScopePictures(
        family=_family(records, scope, at) if scope.kind in TOOL_KINDS else "",
        lives=tuple(_life(records, scope, life, at) for life in drawn),
        lives_left_out=len(suspected) - len(drawn),
        places=places_svg(
            scope.places,
            title=f"Where the {scope.words.many} in question are: {scope.cause}",
            head=scope.head,
            at=at,
            words=scope.words,
        )
        if any(place.pieces for place in scope.places)
        else "",
        forward=_forward(records, scope, judgements, at),
    )


def _life(records: Records, scope: Scope, life: StrokeLife, at: str) -> str:
    lots = dict.fromkeys(stretch.lot for stretch in life.axis.stretches)
    return stroke_life_svg(
        life.axis,
        title=f"The life of {kind_words(life.axis.kind)} {life.axis.code}: samples and what is suspected",
        head=scope.head,
        at=at,
        tiers=scope.tiers,
        judged=life.judged,
        segments=[segment for lot in lots for segment in records.segments_of(lot)],
    )


def _forward(records: Records, scope: Scope, judgements: Sequence[JudgementFact], at: str) -> str:
    if scope.clauses:
        # Several causes have no one tree.
        return ""
    tree = trace_forward(records, scope.cause)
    if len(tree.nodes) == 1:
        return ""
    tree = with_cleared(tree, scope)
    title = f"Where did the {scope.words.many} of {kind_words(scope.kind)} {scope.cause} go?"
    return genealogy_svg(tree, title=title, head=scope.head, at=at, judgements=judgements, for_sheet=True)


def _family(records: Records, scope: Scope, at: str) -> str:
    tree = _family_tree(records, scope.cause)
    if len(tree.nodes) == 1:
        return ""
    lots = dict.fromkeys(edge.lot for edge in tree.edges if edge.lot is not None)
    judgements = [fact for lot in lots for fact in records.judgements_of(lot)]
    title = f"The family of {scope.kind} {scope.cause}: what do the samples on its relatives say?"
    return genealogy_svg(
        tree, title=title, head=scope.head, at=at, judgements=judgements, marked=scope.cause, for_sheet=True
    )


def _family_tree(records: Records, cause: str) -> Tree:
    """From the master of a tool to every stamper grown from it, and the lots that those pressed."""
    master = cause
    while (tool := records.tool(master)) is not None and tool.parent is not None:
        master = tool.parent
    nodes = {master: node_of(records, master)}
    edges: list[Edge] = []
    for code in (waiting := [master]):
        # The list grows while it is read: children of children follow.
        for child in records.children_of(code):
            waiting.append(child.code)
            nodes[child.code] = node_of(records, child.code)
            edges.append(Edge(code, child.code, "grown from", None, None, None))
        if nodes[code].kind == STAMPER:
            edges += _pressed(records, code, nodes)
    return Tree(master, tuple(nodes.values()), tuple(edges), ())


def _pressed(records: Records, stamper: str, nodes: dict[str, Node]) -> Iterator[Edge]:
    for segment in records.segments_with(stamper):
        if not segment.strokes:
            continue
        if segment.lot not in nodes:
            lot = records.lot(segment.lot)
            nodes[segment.lot] = Node("lot", segment.lot, facts(("title", lot.title)) if lot else ())
        yield Edge(stamper, segment.lot, "pressed", segment.lot, segment.strokes, len(segment.strokes))
