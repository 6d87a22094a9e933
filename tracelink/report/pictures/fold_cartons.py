"""A walk with the cartons of a pallet told in the pallet's box: one column less in its picture.

A picture that is wider than a sheet is printed smaller, and its letters with it. What a carton got is drawn as what
its pallet got; how many cartons those were stands in the box. Cartons on no pallet, on several in turn, or taken off
again keep their own boxes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from tracelink.genealogy.model.tree import Edge, Node, Tree
from tracelink.ledger.count_words import counted

_IN = "in"
CARTONS = "cartons"
"""Name of the fact that says how many cartons a pallet's box stands for."""


def with_cartons_in_pallets(tree: Tree) -> Tree:
    """Return the walk without those cartons; the same walk if there are none."""
    kinds = {node.code: node.kind for node in tree.nodes}
    pallets = _pallets(tree, kinds)
    if not pallets:
        return tree
    held = Counter(pallets.values())
    nodes = [_told(node, held) for node in tree.nodes if node.code not in pallets]
    edges = [moved for edge in tree.edges if (moved := _moved(edge, pallets)) is not None]
    return replace(tree, nodes=tuple(nodes), edges=tuple(edges))


def _pallets(tree: Tree, kinds: dict[str, str]) -> dict[str, str]:
    """Carton -> the one pallet that it stands on, for those that lead nowhere else."""
    onward: dict[str, list[Edge]] = {}
    for edge in tree.edges:
        onward.setdefault(edge.parent, []).append(edge)
    return {
        code: edges[0].child
        for code, edges in onward.items()
        if kinds[code] == "carton" and code != tree.root and _on_one_pallet(edges, kinds)
    }


def _on_one_pallet(edges: Sequence[Edge], kinds: dict[str, str]) -> bool:
    return len(edges) == 1 and edges[0].relation == _IN and kinds[edges[0].child] == "pallet"


def _told(node: Node, held: Counter[str]) -> Node:
    if node.code not in held:
        return node
    return node._replace(facts=(*node.facts, (CARTONS, counted(held[node.code], "carton"))))


def _moved(edge: Edge, pallets: dict[str, str]) -> Edge | None:
    """What went into a carton goes into its pallet; the step from one to the other is not drawn."""
    if edge.parent in pallets:
        return None
    return edge._replace(child=pallets[edge.child]) if edge.child in pallets else edge
