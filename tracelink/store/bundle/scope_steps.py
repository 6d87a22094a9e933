"""The process steps that an audit bundle touches: of its tools, discs and material, back to what material was blended of."""

from __future__ import annotations

from collections.abc import Iterator

from tracelink.genealogy.model.step_facts import StepFact
from tracelink.ledger.closed_sets import StepInput
from tracelink.store.bundle.scope_codes import BundleScope
from tracelink.store.records.sql_records import SqlRecords


def add_steps(records: SqlRecords, scope: BundleScope) -> None:
    """Add the steps, their equipment and processes, and the material lots that blends were made of.

    Of discs that were ground the lot is not added: what else was made of it is another story.
    """
    for step in _through(records, scope):
        _add(scope, step)
    todo = sorted(scope.materials)
    for material in todo:
        # The list grows while it is read: what a part of a blend was itself blended of.
        made = records.step_that_made(material)
        if made is None or made.code in scope.steps:
            continue
        _add(scope, made)
        new = {item.thing for item in made.items if item.what is StepInput.MATERIAL} - scope.materials
        scope.materials |= new
        todo += sorted(new)


def _through(records: SqlRecords, scope: BundleScope) -> Iterator[StepFact]:
    """The steps that tools, discs and material went through, and were the same afterwards."""
    for code in sorted(scope.tools | scope.materials):
        yield from (step for step in records.steps_with(code) if not step.outputs)
    for lot in sorted(scope.lots):
        for step in records.steps_with(lot):
            of_it = [item for item in step.items if item.lot == lot]
            if lot in scope.whole or any(
                item.thing in scope.spindles or item.what is StepInput.STROKES for item in of_it
            ):
                yield step


def _add(scope: BundleScope, step: StepFact) -> None:
    scope.steps.add(step.code)
    scope.equipment.add(step.equipment)
    scope.processes.add(step.process)
