"""Through which equipment a disc, its tools and its material went, as far as that is known for the single disc."""

from __future__ import annotations

from collections.abc import Iterator

from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.step_facts import DISC_INPUTS, EQUIPMENT
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.suspects.step_reach import discs_in
from tracelink.ledger.closed_sets import StepInput

Factor = tuple[str, str]
"""Kind and code of a thing that a disc was made with."""


class StepExposure:
    """Looks up process steps, each question once.

    Args:
        records: the records.
    """

    def __init__(self, records: Records) -> None:
        self._records = records
        self._of_thing: dict[str, tuple[tuple[Factor, int], ...]] = {}
        self._of_lot: dict[str, tuple[tuple[StrokeSet, Factor, int], ...]] = {}

    def of_disc(self, lot: str, stroke: int) -> Iterator[tuple[Factor, int]]:
        """Yield the equipment that a disc was in for certain, each with the entry of its step."""
        if lot not in self._of_lot:
            self._of_lot[lot] = tuple(self._washes(lot))
        for strokes, factor, seq in self._of_lot[lot]:
            if stroke in strokes:
                yield factor, seq

    def _washes(self, lot: str) -> Iterator[tuple[StrokeSet, Factor, int]]:
        for step in self._records.steps_with(lot):
            items = [item for item in step.items if item.what in DISC_INPUTS and item.lot == lot]
            known, _ = discs_in(self._records, items)
            yield known.get(lot, NO_STROKES), (EQUIPMENT, step.equipment), step.seq

    def of_tool(self, tool: str) -> tuple[tuple[Factor, int], ...]:
        """The equipment that a tool went through."""
        if tool not in self._of_thing:
            self._of_thing[tool] = tuple(self._through(tool))
        return self._of_thing[tool]

    def of_material(self, material: str) -> tuple[tuple[Factor, int], ...]:
        """The equipment that a material went through or was made in, and the lots it was blended of."""
        if material not in self._of_thing:
            # Noted before it is read: what is asked again on the way was there before.
            self._of_thing[material] = ()
            self._of_thing[material] = tuple(dict.fromkeys(self._upstream(material)))
        return self._of_thing[material]

    def _through(self, thing: str) -> Iterator[tuple[Factor, int]]:
        for step in self._records.steps_with(thing):
            if not step.outputs:
                yield (EQUIPMENT, step.equipment), step.seq

    def _upstream(self, material: str) -> Iterator[tuple[Factor, int]]:
        yield from self._through(material)
        made = self._records.step_that_made(material)
        if made is None:
            return
        yield (EQUIPMENT, made.equipment), made.seq
        for item in made.items:
            if item.what is StepInput.MATERIAL:
                yield ("compound", item.thing), item.seq
                yield from self.of_material(item.thing)
