"""A walk as GraphML, for graph programs: one node per thing, one edge per recorded relation.

Source: GraphML primer, http://graphml.graphdrawing.org/primer/graphml-primer.html (keys, directed graph, data).
"""

from __future__ import annotations

from xml.sax.saxutils import escape, quoteattr

from tracelink.genealogy.model.tree import Edge, Tree
from tracelink.report.format.plain import visible

_HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<graphml xmlns="http://graphml.graphdrawing.org/xmlns" '
    'xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" '
    'xsi:schemaLocation="http://graphml.graphdrawing.org/xmlns '
    'http://graphml.graphdrawing.org/xmlns/1.0/graphml.xsd">\n'
)
_KEYS = (
    ("kind", "node", "string"),
    ("details", "node", "string"),
    ("relation", "edge", "string"),
    ("lot", "edge", "string"),
    ("strokes", "edge", "string"),
    ("quantity", "edge", "int"),
)


def graphml(tree: Tree) -> str:
    """Return the tree as a GraphML document.

    Nodes are named by their codes; edges have a number, because several may join the same two things. What is not
    known is left out. Text of scans is shown with everything in it visible, since XML forbids most controls.
    """
    keys = "".join(
        f'<key id="{name}" for="{what}" attr.name="{name}" attr.type="{kind}"/>\n'
        for name, what, kind in _KEYS
    )
    nodes = "".join(
        f"<node id={_quoted(node.code)}>{_data('kind', node.kind)}"
        f"{_data('details', '; '.join(f'{name} {value}' for name, value in node.facts))}</node>\n"
        for node in tree.nodes
    )
    edges = "".join(_edge(number, edge) for number, edge in enumerate(tree.edges, 1))
    return f'{_HEAD}{keys}<graph id="genealogy" edgedefault="directed">\n{nodes}{edges}</graph>\n</graphml>\n'


def _edge(number: int, edge: Edge) -> str:
    data = [_data("relation", edge.relation)]
    if edge.lot is not None:
        data.append(_data("lot", edge.lot))
    if edge.strokes is not None:
        data.append(_data("strokes", str(edge.strokes)))
    if edge.quantity is not None:
        data.append(_data("quantity", str(edge.quantity)))
    ends = f"source={_quoted(edge.parent)} target={_quoted(edge.child)}"
    return f'<edge id="e{number}" {ends}>{"".join(data)}</edge>\n'


def _data(key: str, value: str) -> str:
    return f'<data key="{key}">{escape(visible(value))}</data>'


def _quoted(value: str) -> str:
    return quoteattr(visible(value))
