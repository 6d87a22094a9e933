"""Walk the records back to where a thing came from, and forward to where it went.

Theory of operation. Tools, lots and cartons are joined by edges that carry strokes where discs are concerned.
Within a lot the walk runs over its movements once, in their order going forward and in reverse going back,
and carries the strokes along: a spindle is passed only if its strokes meet those sought, and a movement
before the discs arrived takes none of them away. Where a pick was not recorded disc by disc, the strokes are
those that may have gone. The cost is the tools, lots, movements and nestings that the code touches.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tracelink.genealogy.model.cause_kinds import (
    LOT_KINDS,
    PLACE_KINDS,
    TOOL_KINDS,
    USED_KINDS,
    place_node,
    role_in,
    used_in,
)
from tracelink.genealogy.model.part_facts import BUILD, PART_LOT, REEL
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.step_facts import EQUIPMENT, STEP, StepFact
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.model.tree import Node, Tree
from tracelink.genealogy.walk.lot_walk import gather_followed, gather_plain, spread_followed, spread_plain
from tracelink.genealogy.walk.part_walk import found_by_mistake, part_lots_of, reels_of, taken_by
from tracelink.genealogy.walk.step_walk import (
    disc_steps,
    into,
    made_from,
    made_of,
    outputs,
    steps_of_equipment,
    through,
    tool_steps,
)
from tracelink.genealogy.walk.tree_builder import Discs, TreeBuilder
from tracelink.ledger.closed_sets import DiscPlace, StepInput


def trace_back(records: Records, code: str) -> Tree:
    """Everything a thing was made of, back to the master, the press and the pellets.

    Args:
        records: the records.
        code: see `node_of`.

    Raises:
        UnknownCode: no record names the code.
    """
    weave = TreeBuilder(records, code)
    if weave.root.kind in TOOL_KINDS:
        _grown(weave, code)
    elif weave.root.kind in LOT_KINDS:
        history = weave.history(code)
        _made(weave, code, history.pressed)
        disc_steps(weave, code, history, {code: history.pressed})
    elif weave.root.kind == "compound":
        _material(weave, code)
    elif weave.root.kind == STEP:
        _into_step(weave, code)
    else:
        weave.inwards(code)
        _filled(weave, weave.codes(PLACE_KINDS))
    return weave.tree()


def trace_forward(records: Records, code: str) -> Tree:
    """Everything that was made from a thing, out to the shipments.

    Args:
        records: the records.
        code: see `node_of`.

    Raises:
        UnknownCode: no record names the code.
    """
    weave = TreeBuilder(records, code)
    if weave.root.kind == PART_LOT:
        _on_reels(weave, reels_of(weave, code))
    elif weave.root.kind in (REEL, BUILD):
        _on_reels(weave, [(code, weave.history(code).pressed)])
    elif weave.root.kind == "lot":
        _spread(weave, code, DiscPlace.COUNTER, weave.history(code).pressed)
        _pressed(weave, made_of(weave, code, ground=True))
    elif weave.root.kind in TOOL_KINDS | USED_KINDS:
        _pressed(weave, [code])
    elif weave.root.kind == STEP:
        step = records.step(code)
        _out_of_steps(weave, [] if step is None else [step])
    elif weave.root.kind == EQUIPMENT:
        _out_of_steps(weave, steps_of_equipment(weave, code))
    elif weave.root.kind == "sleeve-batch":
        for carton in records.sleeve_batch_cartons(code):
            weave.join(code, weave.place(carton, ""), "sleeves in")
            weave.outwards(carton)
    else:
        _onward(weave, code)
        weave.outwards(code)
    return weave.tree()


def _on_reels(weave: TreeBuilder, stretches: Iterable[tuple[str, StrokeSet]]) -> None:
    """Forward from positions of reels and numbers of build orders."""
    for lot, strokes in list(stretches):
        _spread(weave, lot, DiscPlace.COUNTER, strokes)
        for build, pieces in found_by_mistake(weave, lot):
            _spread(weave, build, DiscPlace.COUNTER, pieces)


def _out_of_steps(weave: TreeBuilder, steps: Sequence[StepFact]) -> None:
    """Forward from process steps: discs from where they were then, tools and material with all that was made."""
    used: dict[str, None] = {}
    for step, item in through(weave, steps):
        if item.what is StepInput.SPINDLE and item.lot is not None:
            strokes = weave.history(item.lot).ever_in(item.thing)
            weave.join(step.code, weave.place(item.thing, item.lot), "held", Discs(item.lot, strokes))
            _spread(weave, item.lot, item.thing, strokes)
        elif item.what is StepInput.STROKES and item.strokes is not None:
            strokes = item.strokes & weave.history(item.thing).pressed
            weave.join(step.code, weave.lot(item.thing), "held", Discs(item.thing, strokes))
            _spread(weave, item.thing, DiscPlace.COUNTER, strokes)
        elif item.what is StepInput.TOOL or (item.what is StepInput.MATERIAL and not step.outputs):
            used[item.thing] = None
    used.update((material, None) for step in steps for material in outputs(weave, step))
    _pressed(weave, used)


def _into_step(weave: TreeBuilder, code: str) -> None:
    """Back from a process step to what was blended and ground in it."""
    step = weave.records.step(code)
    if step is not None:
        for lot in into(weave, step):
            _made(weave, lot, weave.history(lot).pressed)


def _material(weave: TreeBuilder, material: str) -> None:
    """Back from a material to what it was blended and ground of, with what made the discs that were ground."""
    for lot in made_from(weave, material):
        _made(weave, lot, weave.history(lot).pressed)


def _pressed(weave: TreeBuilder, roots: Iterable[str]) -> None:
    """Forward from tools and material to what was made of them, and to what that pressed."""
    todo = list(roots)
    weave.look_ahead(todo)
    # What a tool did to a groove is gone when the disc is ground; what was in the material is not.
    follows_ground = weave.root.kind not in TOOL_KINDS | USED_KINDS - {"compound"}
    pressed: dict[str, StrokeSet] = {}
    while todo:
        code = todo.pop()
        if weave.kind(code) in TOOL_KINDS:
            tool_steps(weave, code)
        else:
            todo += made_of(weave, code, ground=False)
        for child in weave.records.children_of(code):
            weave.join(code, weave.tool(child.code, child.kind), "grew")
            todo.append(child.code)
        for segment in weave.records.segments_with(code):
            if not segment.strokes:
                weave.join(code, weave.lot(segment.lot), "set up for")
                continue
            weave.join(code, weave.lot(segment.lot), "pressed", Discs(segment.lot, segment.strokes))
            if follows_ground and segment.compound == code:
                todo += made_of(weave, segment.lot, ground=True)
            pressed[segment.lot] = pressed.get(segment.lot, NO_STROKES) | segment.strokes
    for lot in weave.in_turn(pressed):
        _spread(weave, lot, DiscPlace.COUNTER, pressed[lot])


def _onward(weave: TreeBuilder, place: str) -> None:
    """Forward from a spindle, carton or sample: whatever was ever moved into it."""
    for lot in dict.fromkeys(move.lot for move in weave.records.movements_into(place)):
        _spread(weave, lot, place, weave.history(lot).ever_in(place))


def _spread(weave: TreeBuilder, lot: str, start: str, strokes: StrokeSet) -> None:
    """Carry strokes of a lot along its movements, beginning at one place."""
    history = weave.history(lot)
    reach = {start: strokes}
    if history.plain is None:
        spread_followed(weave, history, reach)
    else:
        spread_plain(weave, history, history.plain, reach)
    waiting = history.at_press()
    if start == DiscPlace.COUNTER and (still := history.strokes_in(waiting) & strokes):
        quantity = min(waiting.count, len(still))
        counter = place_node(weave.records, DiscPlace.COUNTER, lot)
        weave.join(lot, counter, "counted, not booked on", Discs(lot, still, quantity))
    disc_steps(weave, lot, history, {**reach, lot: strokes if start == DiscPlace.COUNTER else NO_STROKES})
    for place in reach:
        if place not in (DiscPlace.COUNTER, DiscPlace.SCRAP):
            weave.outwards(place)


def _filled(weave: TreeBuilder, places: list[str]) -> None:
    """Back from places. Each lot is asked for once, whatever the number of cartons: it is walked once."""
    sought: dict[str, set[str]] = {}
    for place in places:
        for move in weave.records.movements_into(place):
            sought.setdefault(move.lot, set()).add(place)
        for batch in weave.records.carton_batches(place):
            weave.join(place, Node("sleeve-batch", batch, ()), "sleeves from")
    for lot in weave.in_turn(sought):
        _gather(weave, lot, sought[lot])


def _gather(weave: TreeBuilder, lot: str, starts: set[str]) -> None:
    """Carry strokes back along the movements of a lot, from several places at once."""
    history = weave.history(lot)
    wanted = {place: history.ever_in(place) for place in starts}
    if history.plain is None:
        at_press = gather_followed(weave, history, wanted)
    else:
        at_press = gather_plain(weave, history, history.plain, wanted)
    _made(weave, lot, at_press)
    disc_steps(weave, lot, history, {**wanted, lot: at_press})


def _made(weave: TreeBuilder, lot: str, strokes: StrokeSet) -> None:
    """Back from strokes of a lot to what they were pressed with, from positions to part lots, from pieces to reels."""
    if weave.kind(lot) == BUILD and weave.root.code == lot:
        for reel, positions in taken_by(weave, lot):
            part_lots_of(weave, reel, positions)
    part_lots_of(weave, lot, strokes)
    for segment in weave.records.segments_of(lot):
        met = strokes & segment.strokes
        if not met:
            continue
        for code, relation in used_in(segment):
            node = weave.tool(code, role_in(segment, code))
            if weave.join(lot, node, relation, Discs(lot, met)) and node.kind == "compound":
                _material(weave, code)
        _grown(weave, segment.stamper_a)
        _grown(weave, segment.stamper_b)


def _grown(weave: TreeBuilder, code: str) -> None:
    """Back from a tool to its master."""
    tool = weave.records.tool(code)
    tool_steps(weave, code)
    while tool is not None and tool.parent is not None:
        if not weave.join(tool.code, weave.tool(tool.parent, "tool"), "grown from"):
            # The parent was reached before, and so was everything behind it.
            return
        tool_steps(weave, tool.parent)
        tool = weave.records.tool(tool.parent)
