"""The result of a walk: a family tree whose branches may meet again.

Nodes and edges are named tuples: a wide walk makes ten thousand, and a frozen dataclass takes six times as long to make.
`parent` is always the end nearer to the code that was asked about, whichever
way the walk went.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from tracelink.genealogy.model.strokes import StrokeSet


class Node(NamedTuple):
    """One thing in the tree."""

    kind: str
    """lacquer, copper, father, mother, stamper, lot, press, compound, label, spindle, carton, pallet, shipment,
    sample, sleeve-batch, scrap or counter."""
    code: str
    """Its code; discs at the counter and scrapped ones have the place and the lot, such as `scrap L0000012`."""
    facts: tuple[tuple[str, str], ...]
    """What a reader needs to find it: (name, value) pairs in reading order; empty values are left out."""


class Edge(NamedTuple):
    """One recorded relation between two things."""

    parent: str
    """Code of the node nearer to the root."""
    child: str
    """Code of the node farther from the root."""
    relation: str
    """How they belong together, in the plant's words, such as `grown from` or `stacked on`."""
    lot: str | None
    """The lot the strokes count in; None where no disc is concerned."""
    strokes: StrokeSet | None
    """The strokes that went, or may have gone, this way; None where no disc is concerned."""
    quantity: int | None
    """The most discs of those strokes that went this way, over all its movements; None where none was counted."""


@dataclass(frozen=True, slots=True)
class Tree:
    """What is linked to a code, in one direction."""

    root: str
    """The code asked about."""
    nodes: tuple[Node, ...]
    """Each thing once, the root first."""
    edges: tuple[Edge, ...]
    """In the order they were found; several may join the same two things."""
    conflicts: tuple[str, ...]
    """Sentences on movements met on the way that cannot all be true."""

    def node(self, code: str) -> Node | None:
        """The node of a code, if it was reached."""
        return next((node for node in self.nodes if node.code == code), None)

    def children(self, code: str) -> tuple[Edge, ...]:
        """The edges that lead away from a node."""
        return tuple(edge for edge in self.edges if edge.parent == code)


def joined(back: Tree, forward: Tree) -> Tree:
    """One tree of both walks from the same thing, running from what it was made of to where it went.

    Here `parent` is always the earlier end: the edges of the walk back are turned round.

    Args:
        back: the walk back from a code.
        forward: the walk forward from the same code.
    """
    known = {node.code for node in back.nodes}
    nodes = (*back.nodes, *(node for node in forward.nodes if node.code not in known))
    turned = tuple(edge._replace(parent=edge.child, child=edge.parent) for edge in reversed(back.edges))
    return Tree(back.root, nodes, (*turned, *forward.edges), (*back.conflicts, *forward.conflicts))
