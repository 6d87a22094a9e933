"""What went through a process step, or through some equipment in a period.

Which disc met which bath is not recorded: a spindle goes in with all that is on it, from the time of its scan to the
end of the step. Discs are followed by stroke where the strokes on the spindle were known then, and by place where they
were not. A tool is suspect with its whole life and all that was grown from it: what it made before the step nobody parts
from the rest. Material that a blend took is gone, and what was made of it is suspect; material that only went through is
suspect itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from tracelink.genealogy.flow.follow import ordered_movements, pressed_of, replay
from tracelink.genealogy.flow.pools import NOTHING
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.step_facts import EQUIPMENT, StepFact, StepItemFact
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.suspects.activity import Period
from tracelink.genealogy.suspects.closure import Axis, Closure, Stretch, closure_of
from tracelink.ledger.closed_sets import StepInput


@dataclass(frozen=True, slots=True, order=True)
class Stood:
    """A spindle that went into a step when it was not known which strokes were on it."""

    seq: int
    """Journal sequence of its scan."""
    place: str
    """The spindle."""
    lot: str
    """Lot of its discs."""
    count: int = field(compare=False)
    """How many there were, by the movements."""
    strokes: StrokeSet = field(compare=False)
    """Those that may have been there."""


@dataclass(frozen=True, slots=True)
class StepReach:
    """What a step, or equipment in a period, touched."""

    steps: tuple[StepFact, ...]
    """The steps, as they began."""
    items: int
    """Things that were in them then."""
    discs: Axis
    """Discs that are known by stroke; in no order, because within a bath there is none."""
    stood: tuple[Stood, ...]
    """Spindles of which it was not known which strokes were on them."""
    closures: tuple[Closure, ...]
    """Tools and material that went in or came out, with all that was made with them."""


def reach_of(records: Records, code: str, kind: str, period: Period) -> StepReach:
    """Find what a step or some equipment touched.

    Args:
        records: the records.
        code: of the step or the equipment.
        kind: `STEP` or `EQUIPMENT`.
        period: when, for equipment.
    """
    if kind == EQUIPMENT:
        steps = [step for step in records.steps_in(code) if period.meets(step.began_at, step.ended_at)]
    else:
        found = records.step(code)
        steps = [] if found is None else [found]
    inside = [
        (step, item)
        for step in steps
        for item in step.items
        if kind != EQUIPMENT or step.outputs or period.meets(item.at, step.ended_at)
    ]
    items = [item for _step, item in inside]
    strokes, stood = discs_in(records, items)
    codes = dict.fromkeys(
        [
            *(item.thing for item in items if item.what is StepInput.TOOL),
            *(item.thing for step, item in inside if _only_went_through(step, item)),
            *(output.material for step in steps for output in step.outputs),
        ]
    )
    return StepReach(
        steps=tuple(steps),
        items=len(items),
        discs=_laid_out(code, kind, strokes),
        stood=tuple(stood),
        closures=tuple(closure_of(records, each) for each in codes),
    )


def _only_went_through(step: StepFact, item: StepItemFact) -> bool:
    return not step.outputs and item.what is StepInput.MATERIAL


def discs_in(records: Records, items: Sequence[StepItemFact]) -> tuple[dict[str, StrokeSet], list[Stood]]:
    """Return lot -> strokes that went in, and the spindles of which the strokes were not known.

    Args:
        records: the records.
        items: discs that went into steps; anything else is passed over.
    """
    known: dict[str, StrokeSet] = {}
    stood: list[Stood] = []
    marks: dict[str, list[tuple[int, str]]] = {}
    for item in items:
        if item.what is StepInput.SPINDLE and item.lot is not None:
            marks.setdefault(item.lot, []).append((item.seq, item.thing))
        elif item.what is StepInput.STROKES and item.lot is not None and item.strokes is not None:
            met = item.strokes & pressed_of(records, item.lot)
            known[item.lot] = known.get(item.lot, NO_STROKES) | met
    for lot, of_lot in marks.items():
        pressed = pressed_of(records, lot)
        history = replay(lot, pressed, ordered_movements(records, lot, pressed), of_lot)
        for mark in of_lot:
            there = history.marked.get(mark, NOTHING)
            if there.shares or history.conflicts:
                stood.append(Stood(*mark, lot, there.count, history.marked_strokes[mark]))
            else:
                known[lot] = known.get(lot, NO_STROKES) | there.exact
    return known, sorted(stood)


def _laid_out(code: str, kind: str, strokes: dict[str, StrokeSet]) -> Axis:
    stretches: list[Stretch] = []
    made = 0
    for lot, of_lot in strokes.items():
        if of_lot:
            stretches.append(Stretch(lot, of_lot, made))
            made += of_lot.last
    return Axis(code, kind, tuple(stretches), ordered=False)
