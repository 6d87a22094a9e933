"""Which boxes of the tree of a scope can hold no affected disc: marked, so that a reader need not look them up."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.model.shapes import TierName
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.model.tree import Edge, Tree
from tracelink.report.pictures.family import CLEARED_FACT

_PASSED = "spindle"
"""Things that are emptied: what went through one is known by its strokes, though nothing is in it now."""


def with_cleared(tree: Tree, scope: Scope) -> Tree:
    """Return the tree with the fact of being cleared on every thing that holds, or passed on, no suspect disc.

    Args:
        tree: where the discs of the cause went.
        scope: what is suspect. One that is followed by place clears nothing: the tree is returned as it is.
    """
    if not scope.tiers:
        return tree
    cleared = _now(scope)
    known = {held.code for held in scope.containers}
    suspect = _suspect(scope)
    into: dict[str, list[Edge]] = {}
    for edge in tree.edges:
        into.setdefault(edge.child, []).append(edge)
    for node in tree.nodes:
        if node.kind == _PASSED and node.code not in known and _clean(into.get(node.code, ()), suspect):
            cleared.add(node.code)
    nodes = tuple(
        node._replace(facts=(*node.facts, CLEARED_FACT)) if node.code in cleared else node
        for node in tree.nodes
    )
    return replace(tree, nodes=nodes)


def _now(scope: Scope) -> set[str]:
    """Containers, pallets and shipments that hold discs of the lots, and none that can be affected; no samples."""
    touched = {held.code for held in scope.containers if held.most}
    touched |= {group.code for group in scope.groups if group.bound.most}
    held = {held.code for held in scope.containers if held.kind != "sample"}
    return (held | {group.code for group in scope.groups}) - touched


def _suspect(scope: Scope) -> dict[str, StrokeSet]:
    found: dict[str, StrokeSet] = {}
    for tier in scope.tiers:
        if tier.name is not TierName.CLEARED:
            found[tier.lot] = found.get(tier.lot, NO_STROKES) | tier.strokes
    return found


def _clean(edges: Iterable[Edge], suspect: dict[str, StrokeSet]) -> bool:
    """True if strokes are known of all that came in, and none of them is suspect."""
    each = list(edges)
    return bool(each) and all(
        edge.strokes is not None
        and edge.lot is not None
        and not edge.strokes & suspect.get(edge.lot, NO_STROKES)
        for edge in each
    )
