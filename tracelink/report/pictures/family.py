"""From a walk to the boxes and lines of its picture: what is alike and too many becomes one box with a count.

Each kind of thing is looked at on its own. While there are few of a kind, each has its box. If there are more,
things that hang on the same others both ways share a box; if that is still too many, those with the same things
before them; then those that share the first of these; at last, all of a kind. Bad samples are counted apart
from good ones, and so are stampers and lots with bad samples, so that none disappears among the others.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from tracelink.genealogy.model.facts import JudgementFact
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.model.tree import Edge, Node, Tree
from tracelink.ledger.count_words import counted, kind_words, piece_words, words_of_all
from tracelink.report.pictures.family_samples import GOOD, UNJUDGED, sampled_on, tally, verdicts_of
from tracelink.report.pictures.fold_cartons import CARTONS
from tracelink.report.pictures.tree_text import counts_are_exact

MOST_OF_A_KIND = 12
"""Boxes of one kind that a reader still takes in, and that fit on a printed page (own trial on drawn lots)."""

MOST_GOOD_SAMPLES = 1
"""Good samples, and those not judged, say less one by one."""

CLEARED_FACT = ("suspicion", "cleared")
"""The fact of a node of which the scope says that it can hold no affected disc."""

HOLD = "hold"
"""Name of the fact that says which open hold names a thing."""

_ENDED = "was in"
_SPANS_SHOWN = 2
_FACTS_SHOWN = 2


@dataclass(frozen=True, slots=True)
class Box:
    """One box of the picture."""

    kind: str
    """The kind of what it stands for."""
    codes: tuple[str, ...]
    """The codes it stands for, in order; one for a single thing."""
    heading: str
    """What it is: `spindle`, `37 cartons, 912 discs`."""
    names: tuple[str, ...]
    """The code, or the first and the last."""
    notes: tuple[str, ...]
    """What helps to know it again, and what came into it."""
    verdict: str
    """GOOD, BAD or UNJUDGED for samples; empty for other things."""
    is_cleared: bool = False
    """True if none of it can hold an affected disc."""


@dataclass(frozen=True, slots=True)
class FamilyLine:
    """One line between boxes."""

    parent: str
    """Key of the box nearer to the root."""
    child: str
    """Key of the other one."""
    ended: bool
    """True if all that it stands for is over: taken off the pallet again."""


@dataclass(frozen=True, slots=True)
class Family:
    """A walk, ready to be laid out."""

    boxes: Mapping[str, Box]
    """By key; the root first, then in the order of the walk."""
    lines: tuple[FamilyLine, ...]
    """Each pair of boxes once."""
    collapsed: bool
    """True if any box stands for several things."""


def family_of(tree: Tree, judgements: Iterable[JudgementFact] = (), *, most: int = MOST_OF_A_KIND) -> Family:
    """Collapse a walk.

    Args:
        tree: the walk.
        judgements: the lab's judgements; those on discs outside the walk are left out.
        most: boxes of one kind.
    """
    judged = list(judgements)
    verdicts = verdicts_of(tree, judged)
    sampled = sampled_on(tree, judged)
    with_bad = {code for code, discs in sampled.items() if not all(discs.values())}
    keys = _keys(tree, verdicts, with_bad, most)
    members: dict[str, list[Node]] = {}
    for node in tree.nodes:
        members.setdefault(keys[node.code], []).append(node)
    edges_into: dict[str, list[Edge]] = {}
    for edge in tree.edges:
        edges_into.setdefault(keys[edge.child], []).append(edge)
    is_exact = counts_are_exact(tree)
    kinds = {node.code: _noun(node.kind) for node in tree.nodes}
    boxes = {
        key: _box(nodes, edges_into.get(key, []), verdicts, kinds, is_exact=is_exact)
        for key, nodes in members.items()
    }
    together: dict[str, dict[tuple[str, int], bool]] = {}
    for code, discs in sampled.items():
        together.setdefault(keys[code], {}).update(discs)
    for key, discs in together.items():
        boxes[key] = replace(boxes[key], notes=(*boxes[key].notes, tally(discs)))
    return Family(boxes, _lines(tree, keys), any(len(nodes) > 1 for nodes in members.values()))


Signature = Callable[[str], tuple[object, ...]]


def _keys(tree: Tree, verdicts: Mapping[str, str], with_bad: Container[str], most: int) -> dict[str, str]:
    """The key of the box of each code."""
    before: dict[str, list[str]] = {}
    after: dict[str, list[str]] = {}
    for edge in tree.edges:
        before.setdefault(edge.child, []).append(edge.parent)
        after.setdefault(edge.parent, []).append(edge.child)
    alike: dict[tuple[str, str, bool, bool, str], list[str]] = {}
    for node in tree.nodes[1:]:
        held = dict(node.facts).get(HOLD, "")
        kind = (node.kind, verdicts.get(node.code, ""), node.code in with_bad, _is_cleared(node), held)
        alike.setdefault(kind, []).append(node.code)
    keys = {node.code: node.code for node in tree.nodes}
    # In the order of the walk, so that what stands before a thing has its box already.
    for (_, verdict, *_), codes in alike.items():
        boxes = MOST_GOOD_SAMPLES if verdict in {GOOD, UNJUDGED} else most
        for group in _groups(codes, _signatures(keys, before, after), boxes):
            for code in group:
                keys[code] = group[0]
    return keys


def _signatures(
    keys: Mapping[str, str], before: Mapping[str, list[str]], after: Mapping[str, list[str]]
) -> list[Signature]:
    """What things must have in common to share a box, the strictest first."""

    def parents(code: str) -> frozenset[str]:
        return frozenset(keys[other] for other in before.get(code, ()))

    return [
        lambda code: (code,),
        lambda code: (parents(code), frozenset(after.get(code, ()))),
        lambda code: (parents(code),),
        lambda code: (keys[before[code][0]] if code in before else "",),
        lambda _: (),
    ]


def _groups(codes: Sequence[str], signatures: Iterable[Signature], most: int) -> list[list[str]]:
    groups: dict[tuple[object, ...], list[str]] = {}
    for signature in signatures:
        groups = {}
        for code in codes:
            groups.setdefault(signature(code), []).append(code)
        if len(groups) <= most:
            break
    return list(groups.values())


def _box(
    nodes: Sequence[Node],
    edges: Sequence[Edge],
    verdicts: Mapping[str, str],
    kinds: Mapping[str, str],
    *,
    is_exact: bool,
) -> Box:
    first = nodes[0]
    verdict = verdicts.get(first.code, "")
    codes = tuple(sorted(node.code for node in nodes))
    if len(nodes) == 1:
        notes = [*_facts(first), *_arrivals(edges, kinds, is_exact=is_exact)]
        heading = _heading(first, edges)
        return Box(first.kind, codes, heading, _names(first), tuple(notes), verdict, _is_cleared(first))
    discs = sum(edge.quantity or 0 for edge in edges)
    heading = counted(len(nodes), _noun(first.kind))
    if discs and first.kind != "sample":
        heading += f", {'' if is_exact else 'up to '}{counted(discs, piece_words(edges[0].lot).one)}"
    names = (codes[0], f"to {codes[-1]}")
    return Box(first.kind, codes, heading, names, _shared(nodes), verdict, _is_cleared(first))


def _is_cleared(node: Node) -> bool:
    return CLEARED_FACT in node.facts


def _shared(nodes: Iterable[Node]) -> tuple[str, ...]:
    """What the facts of several things are, each once, while they are few."""
    lines = dict.fromkeys("; ".join(_facts(node)) for node in nodes)
    return tuple(line for line in lines if line) if len(lines) <= _FACTS_SHOWN else ()


def _noun(kind: str) -> str:
    return {"compound": "compound lot", "label": "label lot"}.get(kind) or kind_words(kind)


def _heading(node: Node, edges: Iterable[Edge]) -> str:
    sides = dict.fromkeys(_side(edge.relation) for edge in edges)
    return ", ".join([_noun(node.kind), *(side for side in sides if side)])


def _side(relation: str) -> str:
    """The side of the record, from relations such as `side A by` and `label A`."""
    words = relation.split()
    return f"side {words[1]}" if len(words) > 1 and words[0] in {"side", "label"} else ""


def _names(node: Node) -> tuple[str, ...]:
    # `scrap L0000012`: the place is in the heading, the lot is what is left to say.
    return (node.code.removeprefix(f"{node.kind} "),)


_TOLD = {
    "lacquer": ("matrix",),
    "copper": ("matrix",),
    "father": ("matrix",),
    "mother": ("matrix",),
    "stamper": ("matrix",),
    "lot": ("title", "status"),
    "carton": ("status",),
    "pallet": ("status", CARTONS),
    "shipment": ("to", "country"),
    "reel": ("part",),
    "part-lot": ("supplier's lot",),
    "build": ("part",),
    "piece": ("part",),
    "step": ("process",),
}
"""The facts of each kind that fit into its box; all of them are in the table."""


def _facts(node: Node) -> list[str]:
    facts = dict(node.facts)
    found = [facts[name] for name in _TOLD.get(node.kind, ()) if name in facts]
    if HOLD in facts:
        found.append(f"on hold: {facts[HOLD]}")
    return [", ".join(found)] if node.kind == "shipment" and found else found


def _arrivals(edges: Sequence[Edge], kinds: Mapping[str, str], *, is_exact: bool) -> list[str]:
    """What came into a single thing, in a few words."""
    nested = [kinds[edge.parent] for edge in edges if edge.strokes is None and edge.relation == "in"]
    strokes: dict[str | None, StrokeSet] = {}
    # Of a unit its parts are told; that it is one piece of its build order stands at the order.
    parts = [edge for edge in edges if kinds[edge.parent] != "build"]
    for edge in parts or edges:
        if edge.strokes is not None:
            strokes[edge.lot] = strokes.get(edge.lot, NO_STROKES) | edge.strokes
    if len(strokes) > 1:
        discs = sum(edge.quantity or 0 for edge in parts or edges)
        words = words_of_all(lot for lot in strokes if lot is not None)
        of = f"of {counted(len(strokes), words.whole)}"
        return [f"{'' if is_exact else 'up to '}{counted(discs, words.one)} {of}" if discs else of]
    notes = [_carried(edges, lot, some, is_exact=is_exact) for lot, some in strokes.items()]
    if len(nested) <= 1 or notes:
        return notes
    # Things of one kind are named by it; the picture does not say of each where it is.
    return [f"{len(nested)} of these {nested[0]}s" if len(set(nested)) == 1 else f"{len(nested)} of these"]


def _carried(edges: Iterable[Edge], lot: str | None, strokes: StrokeSet, *, is_exact: bool) -> str:
    words = piece_words(lot)
    quantities = [edge.quantity for edge in edges if edge.quantity is not None]
    shown = f"{words.number if len(strokes) == 1 else words.numbers} {short(strokes)}"
    if not quantities or (sum(quantities) == 1 == len(strokes)):
        return shown
    pieces = sum(quantities)
    if pieces == len(strokes):
        return f"{counted(pieces, words.one)}, {shown}"
    return f"{'' if is_exact else 'up to '}{pieces} of {shown}"


def short(strokes: StrokeSet) -> str:
    """Strokes in a few words: spans while they are few, else the whole reach and the number of gaps in it."""
    if len(strokes.spans) <= _SPANS_SHOWN:
        return str(strokes)
    return f"{strokes.first}-{strokes.last}, {len(strokes.spans) - 1} gaps"


def _lines(tree: Tree, keys: Mapping[str, str]) -> tuple[FamilyLine, ...]:
    ended: dict[tuple[str, str], bool] = {}
    for edge in tree.edges:
        pair = (keys[edge.parent], keys[edge.child])
        if pair[0] != pair[1]:
            ended[pair] = ended.get(pair, True) and edge.relation == _ENDED
    return tuple(FamilyLine(parent, child, was) for (parent, child), was in ended.items())
