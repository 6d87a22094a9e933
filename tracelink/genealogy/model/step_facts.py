"""What the records say of process steps: what went through which equipment, and what was made of it."""

from __future__ import annotations

from dataclasses import dataclass

from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.ledger.closed_sets import StepInput

STEP, EQUIPMENT = "step", "equipment"
"""Kinds of causes that are followed by what went through them."""

DISC_INPUTS = frozenset({StepInput.SPINDLE, StepInput.STROKES})
"""Inputs that are discs, and stay discs."""


@dataclass(frozen=True, slots=True)
class StepItemFact:
    """Something that went into a step."""

    seq: int
    """Journal sequence."""
    at: str
    """When it went in, RFC 3339 with offset."""
    what: StepInput
    """How it is known."""
    thing: str
    """Code of the tool, spindle, lot or material."""
    lot: str | None
    """Lot of the discs; None for tools and material."""
    first: int | None
    """First stroke, if strokes were named."""
    last: int | None
    """Last stroke."""
    amount: int | None
    """In the unit of the step; None for discs and tools."""

    @property
    def strokes(self) -> StrokeSet | None:
        """The strokes that were named; None if none were."""
        if self.first is None or self.last is None:
            return None
        return StrokeSet.between(self.first, self.last)


@dataclass(frozen=True, slots=True)
class StepOutputFact:
    """A lot of material that a step made."""

    seq: int
    """Journal sequence."""
    material: str
    """Its code."""
    amount: int
    """In the unit of the step."""


@dataclass(frozen=True, slots=True)
class StepFact:
    """A process step."""

    code: str
    """Code of its card."""
    process: str
    """What was done, such as wash."""
    equipment: str
    """Code of the equipment."""
    seq: int
    """Journal sequence of its begin."""
    began_at: str
    """RFC 3339 with offset."""
    ended_at: str | None
    """RFC 3339 with offset; None while it runs."""
    items: tuple[StepItemFact, ...]
    """What went in, in the order in which it did."""
    outputs: tuple[StepOutputFact, ...]
    """What was made; none where what went in only went through."""

    @property
    def taken(self) -> int:
        """What went in altogether, in the unit of the step."""
        return sum(item.amount or 0 for item in self.items)


@dataclass(frozen=True, slots=True)
class EquipmentFact:
    """A bath, blender, oven or the like."""

    code: str
    """The code of its tag."""
    process: str
    """What is done in it."""
    name: str
    """What it is called."""
