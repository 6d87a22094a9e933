"""What the lab's judgements say about the things of a walk."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from tracelink.genealogy.model.facts import JudgementFact
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.genealogy.model.tree import Edge, Tree

GOOD, BAD, UNJUDGED = "good", "BAD", "not judged"
"""What is printed on a sample; capitals, because colour alone does not tell."""

_SAMPLED = frozenset({"lot", "stamper"})
"""Kinds that say how the samples of their strokes were judged."""


def verdicts_of(tree: Tree, judgements: Iterable[JudgementFact]) -> dict[str, str]:
    """The verdict on each sample of a walk, by code; a disc judged both ways counts as bad."""
    found = {node.code: UNJUDGED for node in tree.nodes if node.kind == "sample"}
    for fact in judgements:
        if fact.sample in found and found[fact.sample] != BAD:
            found[fact.sample] = GOOD if fact.good else BAD
    return found


def sampled_on(tree: Tree, judgements: Iterable[JudgementFact]) -> dict[str, dict[tuple[str, int], bool]]:
    """The judged discs of each lot and stamper, as far as the walk carries their strokes.

    Returns:
        code -> (lot, stroke) -> whether the disc counts as good.
    """
    kinds = {node.code: node.kind for node in tree.nodes}
    carrying: dict[str | None, list[tuple[Edge, StrokeSet]]] = {}
    for edge in tree.edges:
        if edge.strokes is not None:
            carrying.setdefault(edge.lot, []).append((edge, edge.strokes))
    found: dict[str, dict[tuple[str, int], bool]] = {}
    for fact in judgements:
        disc = (fact.lot, fact.stroke)
        for edge, strokes in carrying.get(fact.lot, ()):
            if fact.stroke not in strokes:
                continue
            for code in (edge.parent, edge.child):
                if kinds[code] in _SAMPLED:
                    discs = found.setdefault(code, {})
                    discs[disc] = fact.good and discs.get(disc, True)
    return found


def tally(discs: Mapping[tuple[str, int], bool]) -> str:
    """How many were good and BAD: `samples: 6 good, 1 BAD`."""
    good = sum(discs.values())
    parts = [f"{good} {GOOD}"] if good else []
    return "samples: " + ", ".join(parts + ([f"{len(discs) - good} {BAD}"] if good < len(discs) else []))
