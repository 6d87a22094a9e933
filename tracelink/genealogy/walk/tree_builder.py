"""What a walk in either direction needs: each thing once, edges summed up, one history for each lot."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Final, Literal

from tracelink.genealogy.flow.follow import history_of
from tracelink.genealogy.flow.pools import History, Passage
from tracelink.genealogy.model.cause_kinds import node_of, place_node, used_node
from tracelink.genealogy.model.facts import NestFact
from tracelink.genealogy.model.part_facts import BUILD, PIECE, REEL
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.genealogy.model.tree import Edge, Node, Tree

_LOTS_AT_A_TIME = 100
"""Lots whose movements are held at once: enough that their containers are read by the hundred."""

_CHILD: Final = 0
_PARENT: Final = 1
"""The ends of a nesting."""

_VERBS = {
    "spindle": "stacked on",
    "carton": "packed in",
    "sample": "drawn as",
    "scrap": "scrapped",
    "boards": "placed on",
    PIECE: "is in",
}
"""How discs get into a place of each kind."""


def verb_into(target: Node) -> str:
    """Say how discs got into a place."""
    return _VERBS.get(target.kind, "moved to")


_FROM = {REEL: "off the reel", BUILD: "built by"}
"""Where discs begin, for what is no lot of discs."""


def verb_from_start(target: Node, lot: Node) -> str:
    """Say how discs got into a place from where they begin: the press of a lot, a reel, a build order."""
    return _FROM[lot.kind] if lot.kind in _FROM else f"{verb_into(target)} from the press"


@dataclass(frozen=True, slots=True)
class Discs:
    """Discs that an edge carries."""

    lot: str
    """Their lot."""
    strokes: StrokeSet
    """The strokes that went, or may have gone."""
    quantity: int | None = None
    """How many of them at most; None where none was counted."""


def carried(passage: Passage, strokes: StrokeSet) -> Discs:
    """Return strokes that went with a passage, no more of them than its movement took."""
    return Discs(passage.movement.lot, strokes, min(passage.movement.quantity, len(strokes)))


class TreeBuilder:
    """Collects nodes and edges while a walk goes on.

    Args:
        records: the records.
        code: the code asked about.

    Raises:
        UnknownCode: no record names the code.
    """

    def __init__(self, records: Records, code: str) -> None:
        self.records = records
        self.root = node_of(records, code)
        self._nodes: dict[str, Node] = {code: self.root}
        self._edges: dict[tuple[str, str, str, str | None], Edge] = {}
        self._histories: dict[str, History] = {}
        self._conflicts: dict[str, list[str]] = {}

    def tree(self) -> Tree:
        """What was collected."""
        conflicts = [text for found in self._conflicts.values() for text in found]
        return Tree(
            self.root.code, tuple(self._nodes.values()), tuple(self._edges.values()), tuple(conflicts)
        )

    def history(self, lot: str) -> History:
        """The movements of a lot, followed once."""
        if lot not in self._histories:
            self.follow([lot])
        return self._histories[lot]

    def follow(self, lots: Iterable[str]) -> None:
        """Follow the movements of lots that will be asked for, and read their containers at once."""
        new = [lot for lot in lots if lot not in self._histories]
        self.records.look_up_lots(new)
        self.records.look_up_moved(new)
        for lot in new:
            self._histories[lot] = history = history_of(self.records, lot)
            self._conflicts[lot] = history.conflicts
        self.records.look_up(place for lot in new for place in self._histories[lot].targets())

    def in_turn(self, lots: Iterable[str]) -> Iterator[str]:
        """Yield lots that are followed now, and forget each group of them before the next: a press made thousands."""
        left = iter(lots)
        while group := list(islice(left, _LOTS_AT_A_TIME)):
            known = self._histories.keys() & group
            self.follow(group)
            yield from group
            for lot in group:
                if lot not in known:
                    del self._histories[lot]

    def look_ahead(self, roots: Iterable[str]) -> None:
        """Say of which tools and lots will be asked, level by level: one by one, the statements are what costs."""
        lots: dict[str, None] = {}
        level = list(roots)
        while level:
            self.records.look_up_tools(level)
            lots.update((segment.lot, None) for code in level for segment in self.records.segments_with(code))
            level = [child.code for code in level for child in self.records.children_of(code)]
        self.records.look_up_lots(lots)

    def join(self, parent: str, node: Node, relation: str, discs: Discs | None = None) -> bool:
        """Add an edge, or add the discs to it if it is there; say whether the node is new."""
        if discs is None:
            return self.carry(parent, node, relation, None, None, None)
        return self.carry(parent, node, relation, discs.lot, discs.strokes, discs.quantity)

    def carry(  # noqa: PLR0913, PLR0917 - the fields of an edge, of which a wide walk has ten thousand
        self,
        parent: str,
        node: Node,
        relation: str,
        lot: str | None,
        strokes: StrokeSet | None,
        quantity: int | None,
    ) -> bool:
        """The same with the fields of the discs."""
        code, edges = node.code, self._edges
        is_new = code not in self._nodes
        if is_new:
            self._nodes[code] = node
        key = parent, code, relation, lot
        before = edges.get(key)
        if before is None:
            edges[key] = Edge(parent, code, relation, lot, strokes, quantity)
        elif strokes is not None:
            edges[key] = _with_more(before, strokes, quantity)
        return is_new

    def kind(self, code: str) -> str:
        """The kind of a thing that was reached; empty for any other."""
        found = self._nodes.get(code)
        return "" if found is None else found.kind

    def codes(self, kinds: Iterable[str]) -> list[str]:
        """The codes reached so far of some kinds."""
        return [node.code for node in self._nodes.values() if node.kind in kinds]

    def place(self, place: str, lot: str) -> Node:
        """The node of a place that a movement names."""
        return self._nodes.get(place) or place_node(self.records, place, lot)

    def lot(self, code: str) -> Node:
        """The node of a lot; one that is named but nowhere described is shown by its code."""
        return self._nodes.get(code) or self._named(
            code, "lot", is_described=self.records.lot(code) is not None
        )

    def tool(self, code: str, kind: str) -> Node:
        """The node of a tool, compound lot, label lot or press that a record names."""
        return self._nodes.get(code) or self._named(
            code, kind, is_described=self.records.tool(code) is not None
        )

    def outwards(self, code: str) -> None:
        """Follow what a carton or pallet stands or stood in, to the end."""
        self._nested(code, self.records.parents_of, _PARENT)

    def inwards(self, code: str) -> None:
        """Follow what stands or stood in a pallet or shipment, to the end."""
        self._nested(code, self.records.children_in, _CHILD)

    def _nested(self, code: str, step: Callable[[str], Iterable[NestFact]], end: Literal[0, 1]) -> None:
        todo = [code]
        while todo:
            here = todo.pop()
            for nest in step(here):
                other = nest[end]
                known = self._nodes.get(other)
                if known is None:
                    todo.append(other)
                    known = self._nest_node(other)
                self.carry(here, known, "in" if nest.closed is None else "was in", None, None, None)

    def _named(self, code: str, kind: str, *, is_described: bool) -> Node:
        return node_of(self.records, code) if is_described else used_node(code, kind)

    def _nest_node(self, code: str) -> Node:
        is_shipment = self.records.shipment(code) is not None
        return node_of(self.records, code) if is_shipment else place_node(self.records, code, "")


def _with_more(edge: Edge, strokes: StrokeSet, quantity: int | None) -> Edge:
    counted = [number for number in (edge.quantity, quantity) if number is not None]
    known = strokes if edge.strokes is None else edge.strokes | strokes
    return edge._replace(strokes=known, quantity=sum(counted) if counted else None)
