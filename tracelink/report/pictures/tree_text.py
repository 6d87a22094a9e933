"""A family tree as text, and as rows for csv and json."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tracelink.genealogy.model.tree import Edge, Node, Tree
from tracelink.ledger.count_words import kind_words, piece_words
from tracelink.report.format.plain import can_draw, visible
from tracelink.report.format.table import Cell, Column, Kind

TREE_COLUMNS = (
    Column("parent_kind", "from"),
    Column("parent", "code"),
    Column("relation", "how"),
    Column("child_kind", "to"),
    Column("child", "code"),
    Column("lot", "lot"),
    Column("strokes", "strokes", Kind.TEXT),
    Column("quantity", "discs at most", Kind.COUNT),
    Column("details", "details", Kind.TEXT),
)
"""The columns of `tree_rows`."""


@dataclass(frozen=True, slots=True)
class _TreeStrokes:
    """The pieces a tree is drawn with, each four characters but for the ends."""

    branch: str
    last: str
    through: str
    nothing: str


_LINES = _TreeStrokes("├── ", "└── ", "│   ", "    ")
_ASCII = _TreeStrokes("|-- ", "`-- ", "|   ", "    ")


def tree_text(tree: Tree, encoding: str | None = "utf-8") -> str:
    """Draw a tree with one line per thing; a thing reached twice is followed once and says so after that.

    Args:
        tree: a walk.
        encoding: of the stream it will be written to; without line characters in it, the tree is drawn in ASCII.

    Returns:
        Text that ends in a line feed.
    """
    pen = _LINES if can_draw(encoding, "├└│─") else _ASCII
    lines = list(_lines(tree, pen))
    if tree.conflicts:
        lines += [
            "",
            "Movements that cannot all be true:",
            *(f"- {visible(text)}" for text in tree.conflicts),
        ]
    return "\n".join(lines) + "\n"


def tree_rows(tree: Tree) -> list[dict[str, Cell]]:
    """Each edge as one row with the keys of `TREE_COLUMNS`, in the order in which the walk found them.

    `parent` is the end nearer to the code that was asked about. A tree of one thing has no edge and no row.
    """
    return list(edge_rows(tree))


def edge_rows(tree: Tree) -> Iterator[dict[str, Cell]]:
    """Yield the rows of `tree_rows` one by one, for trees whose rows need not be in memory together."""
    nodes = {node.code: node for node in tree.nodes}
    for edge in tree.edges:
        yield {
            "parent_kind": nodes[edge.parent].kind,
            "parent": edge.parent,
            "relation": edge.relation,
            "child_kind": nodes[edge.child].kind,
            "child": edge.child,
            "lot": edge.lot,
            "strokes": None if edge.strokes is None else str(edge.strokes),
            "quantity": edge.quantity,
            "details": "; ".join(f"{name} {value}" for name, value in nodes[edge.child].facts),
        }


def discs_on(edge: Edge, *, is_exact: bool) -> str:
    """What went along an edge, in words: `25 discs of strokes 1-100`, `strokes 1-400`; empty for no discs.

    Args:
        edge: the edge.
        is_exact: whether the count is that of the movement itself; in a walk from a stamper it is only the most
            of its discs that can have gone that way.
    """
    if edge.strokes is None:
        return ""
    words = piece_words(edge.lot)
    which = f"{words.number if len(edge.strokes) == 1 else words.numbers} {edge.strokes}"
    if edge.quantity is None:
        return which
    pieces = f"{edge.quantity} {words.one if edge.quantity == 1 else words.many}"
    if edge.quantity == len(edge.strokes):
        return f"{pieces}, {which}"
    return f"{'' if is_exact else 'up to '}{pieces} of {words.numbers} {edge.strokes}"


def counts_are_exact(tree: Tree) -> bool:
    """Return whether the quantities of a tree are those of whole movements: so in the walk of a lot, which takes all."""
    return tree.nodes[0].kind == "lot"


def _lines(tree: Tree, pen: _TreeStrokes) -> Iterator[str]:
    nodes = {node.code: node for node in tree.nodes}
    below: dict[str, list[Edge]] = {}
    for edge in tree.edges:
        below.setdefault(edge.parent, []).append(edge)
    is_exact = counts_are_exact(tree)
    shown = {tree.root}
    yield _described(nodes[tree.root])
    # A list instead of recursion: a long chain of repacking must not meet Python's limit.
    todo = _branches(below.get(tree.root, []), "")
    while todo:
        edge, stem, is_last = todo.pop()
        text = f"{stem}{pen.last if is_last else pen.branch}{_how(edge, is_exact=is_exact)}{_described(nodes[edge.child])}"
        if edge.child in shown:
            # With nothing below it there is nothing to look up above.
            yield text + (" (see above)" if edge.child in below else "")
            continue
        shown.add(edge.child)
        yield text
        todo += _branches(below.get(edge.child, []), stem + (pen.nothing if is_last else pen.through))


def _branches(edges: list[Edge], stem: str) -> list[tuple[Edge, str, bool]]:
    """The edges as work to do, the first one last, with whether it is the last of its siblings."""
    return [(edge, stem, edge is edges[-1]) for edge in reversed(edges)]


def _described(node: Node) -> str:
    # `scrap L0000012` names its kind already.
    name = node.code if node.code.startswith(f"{node.kind} ") else f"{kind_words(node.kind)} {node.code}"
    # What a thing is in more detail says so by itself.
    told = (value if fact == "detail" else f"{fact} {value}" for fact, value in node.facts)
    return visible(", ".join([name, *told]))


def _how(edge: Edge, *, is_exact: bool) -> str:
    discs = discs_on(edge, is_exact=is_exact)
    return visible(f"{edge.relation} ({discs}): " if discs else f"{edge.relation}: ")
