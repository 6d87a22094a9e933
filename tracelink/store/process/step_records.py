"""Process steps as walks and containments see them; a part of `SqlRecords`.

A plant that records no steps is asked once whether it has any, and nothing more.
"""

from typing import Any

from sqlalchemy import Connection, text

from tracelink.genealogy.model.step_facts import EquipmentFact, StepFact, StepItemFact, StepOutputFact
from tracelink.ledger.closed_sets import StepInput
from tracelink.store.statements import short_reads

_ANY = text("SELECT 1 AS one FROM equipment LIMIT 1")
_EQUIPMENT = text("SELECT code, process, name FROM equipment WHERE code = :code")
_STEP = "SELECT s.code, s.process, s.equipment, s.seq, s.began_at, s.ended_at FROM step s "
_BY_CODE = text(_STEP + "WHERE s.code = :code")
_IN_EQUIPMENT = text(_STEP + "WHERE s.equipment = :code ORDER BY s.seq")
_WITH = text(
    "SELECT s.code, s.process, s.equipment, s.seq, s.began_at, s.ended_at FROM step s WHERE s.code IN "
    "(SELECT i.step FROM step_item i WHERE i.thing = :code AND i.taken_back IS NULL "
    "UNION SELECT i.step FROM step_item i WHERE i.lot = :code AND i.taken_back IS NULL) "
    "ORDER BY s.seq"
)
_MADE = text(_STEP + "JOIN step_output o ON o.step = s.code WHERE o.material = :code")
_ITEMS = text(
    'SELECT seq, at, what, thing, lot, "first", "last", amount FROM step_item '
    "WHERE step = :code AND taken_back IS NULL ORDER BY seq"
)
_OUTPUTS = text("SELECT seq, material, amount FROM step_output WHERE step = :code ORDER BY seq")


class StepRecords:
    """Answers questions about process steps inside one transaction."""

    _conn: Connection
    _any_equipment: bool | None = None

    def _has_equipment(self) -> bool:
        if self._any_equipment is None:
            self._any_equipment = bool(short_reads.rows(self._conn, _ANY, {}))
        return self._any_equipment

    def _step_rows(self, query: Any, code: str) -> list[Any]:
        return short_reads.rows(self._conn, query, {"code": code}) if self._has_equipment() else []

    def equipment(self, code: str) -> EquipmentFact | None:
        """The equipment of that code."""
        return next((EquipmentFact(*row) for row in self._step_rows(_EQUIPMENT, code)), None)

    def step(self, code: str) -> StepFact | None:
        """The process step of that code."""
        return next(iter(self._steps(_BY_CODE, code)), None)

    def steps_in(self, equipment: str) -> list[StepFact]:
        """The steps that were done in some equipment, as they began."""
        return self._steps(_IN_EQUIPMENT, equipment)

    def steps_with(self, code: str) -> list[StepFact]:
        """The steps into which a tool, spindle or material went, or discs of a lot."""
        return self._steps(_WITH, code)

    def step_that_made(self, material: str) -> StepFact | None:
        """The step that made a lot of material; None if it came in."""
        return next(iter(self._steps(_MADE, material)), None)

    def _steps(self, query: Any, code: str) -> list[StepFact]:
        return [self._step(row) for row in self._step_rows(query, code)]

    def _step(self, row: Any) -> StepFact:
        return StepFact(
            row.code,
            row.process,
            row.equipment,
            row.seq,
            row.began_at,
            row.ended_at,
            tuple(
                StepItemFact(
                    each.seq,
                    each.at,
                    StepInput(each.what),
                    each.thing,
                    # Pieces of a build order are in no lot of discs: their order stands for one.
                    each.lot or (each.thing if each.first is not None else None),
                    each.first,
                    each.last,
                    each.amount,
                )
                for each in self._step_rows(_ITEMS, row.code)
            ),
            tuple(StepOutputFact(*each) for each in self._step_rows(_OUTPUTS, row.code)),
        )
