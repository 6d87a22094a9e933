"""Which boxes of a tree are on hold: marked, because a picture must not show held stock as any other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from tracelink.genealogy.model.tree import Tree
from tracelink.report.pictures.family import HOLD


def with_holds(tree: Tree, holds: Mapping[str, str]) -> Tree:
    """Return the tree with the hold on every thing that one names, and on a pallet with a carton that one names.

    Args:
        tree: a walk.
        holds: thing -> the open hold on it.
    """
    known = dict(holds)
    for edge in tree.edges:
        if edge.relation == "in" and edge.parent in holds:
            known.setdefault(edge.child, holds[edge.parent])
    nodes = tuple(
        node._replace(facts=(*node.facts, (HOLD, known[node.code])))
        if node.code in known and node.kind != "shipment"
        else node
        for node in tree.nodes
    )
    return replace(tree, nodes=nodes)
