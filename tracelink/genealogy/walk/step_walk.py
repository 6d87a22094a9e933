"""Process steps on a walk: what things went through, what was made of material, and what was ground.

A step hangs on the things that went through it. Material goes on: forward into the blends that took it and the material
ground from its discs, back to what it was blended and ground of.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from tracelink.genealogy.flow.pools import History
from tracelink.genealogy.model.cause_kinds import equipment_node, step_node
from tracelink.genealogy.model.step_facts import StepFact, StepItemFact
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.genealogy.walk.tree_builder import Discs, TreeBuilder
from tracelink.ledger.closed_sets import StepInput

_THROUGH = "went through"


def tool_steps(weave: TreeBuilder, tool: str) -> None:
    """Hang the steps of a tool on it."""
    for step in weave.records.steps_with(tool):
        _hang(weave, tool, step)


def disc_steps(weave: TreeBuilder, lot: str, history: History, reach: Mapping[str, StrokeSet]) -> None:
    """Hang the steps of discs on the spindles or on the lot.

    Args:
        weave: the tree.
        lot: the lot of the discs.
        history: its movements.
        reach: place -> the strokes that are followed there; the lot itself stands for its strokes.
    """
    for step in weave.records.steps_with(lot):
        for item in step.items:
            strokes = _went_in(item, lot, history)
            met = None if strokes is None else strokes & reach.get(item.thing, StrokeSet())
            if met:
                _hang(weave, item.thing, step, Discs(lot, met))


def _went_in(item: StepItemFact, lot: str, history: History) -> StrokeSet | None:
    """The strokes of a lot that went in, or may have; None for what is no disc any more."""
    if item.lot != lot:
        return None
    return history.ever_in(item.thing) if item.what is StepInput.SPINDLE else item.strokes


def _hang(weave: TreeBuilder, thing: str, step: StepFact, discs: Discs | None = None) -> None:
    if weave.root.code in (step.code, step.equipment):
        # It was followed from there, and says so with what it held.
        return
    if weave.join(thing, step_node(step), _THROUGH, discs):
        _in_equipment(weave, step)


def _in_equipment(weave: TreeBuilder, step: StepFact) -> None:
    placed = weave.records.equipment(step.equipment)
    if placed is not None:
        weave.join(step.code, equipment_node(placed), "done in")


def made_of(weave: TreeBuilder, thing: str, *, ground: bool) -> Iterator[str]:
    """Join what steps made of a thing; yield the new material.

    Args:
        weave: the tree.
        thing: a material lot, or a lot whose discs were ground.
        ground: True for such a lot.
    """
    for step in weave.records.steps_with(thing):
        items = [item for item in step.items if item.thing == thing and _is_used_up(item, ground=ground)]
        if not items:
            continue
        if not step.outputs:
            _hang(weave, thing, step)
            continue
        weave.join(thing, step_node(step), "ground in" if ground else "blended in")
        yield from outputs(weave, step)


def outputs(weave: TreeBuilder, step: StepFact) -> Iterator[str]:
    """Join what a step made; yield what is new."""
    for output in step.outputs:
        if weave.join(step.code, weave.tool(output.material, "compound"), "made"):
            yield output.material


def _is_used_up(item: StepItemFact, *, ground: bool) -> bool:
    return item.what is (StepInput.GROUND if ground else StepInput.MATERIAL)


def made_from(weave: TreeBuilder, material: str) -> Iterator[str]:
    """Join the step that made a material and what went into it; yield the lots of discs that were ground for it."""
    for step in weave.records.steps_with(material):
        if not step.outputs:
            _hang(weave, material, step)
    made = weave.records.step_that_made(material)
    if made is not None and weave.join(material, step_node(made), "made in"):
        yield from into(weave, made)


def into(weave: TreeBuilder, step: StepFact) -> Iterator[str]:
    """Join what went into a step, and its equipment; yield the lots of discs that were ground in it.

    Args:
        weave: the tree.
        step: the step.
    """
    _in_equipment(weave, step)
    for item in step.items:
        if item.what is StepInput.GROUND:
            if weave.join(step.code, weave.lot(item.thing), "ground from"):
                yield item.thing
        elif item.what is StepInput.MATERIAL and step.outputs:
            weave.join(step.code, weave.tool(item.thing, "compound"), "blended from")
            yield from made_from(weave, item.thing)


def steps_of_equipment(weave: TreeBuilder, equipment: str) -> list[StepFact]:
    """Join the steps that were done in some equipment."""
    steps = list(weave.records.steps_in(equipment))
    for step in steps:
        weave.join(equipment, step_node(step), "did")
    return steps


def through(weave: TreeBuilder, steps: Iterable[StepFact]) -> Iterator[tuple[StepFact, StepItemFact]]:
    """Join tools and material that only went through steps; yield all that went in, with its step."""
    for step in steps:
        for item in step.items:
            if item.what is StepInput.TOOL:
                weave.join(step.code, weave.tool(item.thing, "stamper"), "worked on")
            elif item.what is StepInput.MATERIAL and not step.outputs:
                weave.join(step.code, weave.tool(item.thing, "compound"), "worked on")
            yield step, item
