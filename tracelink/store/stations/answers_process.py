"""Answers about process steps; a part of `SqlStationQueries`."""

from collections.abc import Sequence

from sqlalchemy import text

from tracelink.ledger.closed_sets import StepStatus, WorksOn
from tracelink.station.common.queries_process import (
    Blank,
    Equipment,
    Parameter,
    ProcessStep,
    StepItem,
    StepOutput,
)
from tracelink.store.stations.asking import Asking

_EQUIPMENT = text(
    "SELECT e.code, e.name, e.process, (SELECT s.code FROM step s WHERE s.equipment = e.code AND s.status = 'open') "
    "AS open_step FROM equipment e WHERE e.code = :code"
)
_BLANK = text("SELECT tool, blank, side, matrix, fault FROM blank WHERE tool = :tool")
_STEP = text(
    "SELECT s.code, s.equipment, s.process, p.works_on, p.unit, s.status, s.taken, s.made, s.outside, "
    "(SELECT COUNT(*) FROM step_item i WHERE i.step = s.code AND i.taken_back IS NULL) AS items "
    "FROM step s JOIN process p ON p.name = s.process WHERE s.code = :code"
)
_PARAMETERS = text(
    "SELECT name, unit, least, most FROM process_parameter WHERE process = :process ORDER BY line"
)
_IN_STEP = text(
    "SELECT seq, amount FROM step_item WHERE step = :step AND thing = :thing AND taken_back IS NULL "
    "ORDER BY seq DESC LIMIT 1"
)
_MADE = text(
    "SELECT seq, COALESCE(corrected_by, seq) AS said_at, amount FROM step_output WHERE step = :step AND material = :material"
)
_MADE_BY = text("SELECT material FROM step_output WHERE step = :step ORDER BY seq")
_RESTS = text(
    "SELECT 'lot ' || MIN(r.lot) || ' was set up with it' AS what FROM run_segment r WHERE r.compound = :material "
    "GROUP BY r.compound UNION ALL SELECT 'it went into step ' || MIN(i.step) FROM step_item i "
    "WHERE i.thing = :material AND i.taken_back IS NULL GROUP BY i.thing "
    "UNION ALL SELECT 'it is or was on hold' FROM hold_item h WHERE h.subject = :material GROUP BY h.subject LIMIT 1"
)
_ENDED = text("SELECT ended_seq FROM step WHERE code = :step")
_UNREAD = text(
    "SELECT p.name FROM process_parameter p JOIN step s ON s.process = p.process WHERE s.code = :step AND NOT EXISTS "
    "(SELECT 1 FROM step_reading r WHERE r.step = s.code AND r.parameter = p.name) ORDER BY p.line"
)


class ProcessAnswers(Asking):
    """Answers about process steps, inside one transaction."""

    def equipment(self, code: str) -> Equipment | None:
        """A piece of equipment."""
        row = self._first(_EQUIPMENT, code=code)
        return None if row is None else Equipment(*row)

    def blank(self, tool: str) -> Blank | None:
        """The blank that was inspected under a tool tag."""
        row = self._first(_BLANK, tool=tool)
        return None if row is None else Blank(*row)

    def step(self, code: str) -> ProcessStep | None:
        """A process step."""
        row = self._first(_STEP, code=code)
        if row is None:
            return None
        return ProcessStep(
            code=row.code,
            equipment=row.equipment,
            process=row.process,
            works_on=WorksOn(row.works_on),
            unit=row.unit,
            status=StepStatus(row.status),
            taken=row.taken,
            made=row.made,
            outside=row.outside,
            items=int(row.items),
        )

    def parameters(self, process: str) -> Sequence[Parameter]:
        """What is read in steps of a process, in the order of the plant file."""
        return [Parameter(*row) for row in self._all(_PARAMETERS, process=process)]

    def item_in_step(self, step: str, thing: str) -> StepItem | None:
        """A thing that went into a step, as it was booked last."""
        row = self._first(_IN_STEP, step=step, thing=thing)
        return None if row is None else StepItem(*row)

    def made_in_step(self, step: str, material: str) -> StepOutput | None:
        """A lot of material that a step made; None if it did not make it."""
        row = self._first(_MADE, step=step, material=material)
        if row is None:
            return None
        rests = self._first(_RESTS, material=material)
        return StepOutput(row.seq, row.said_at, row.amount, None if rests is None else str(rests.what))

    def made_by_step(self, step: str) -> Sequence[str]:
        """The lots of material that a step made and that were not taken back."""
        return self._scalars(_MADE_BY, step=step)

    def end_of_step(self, step: str) -> int | None:
        """The entry that ended a step; None while it runs."""
        row = self._first(_ENDED, step=step)
        return None if row is None else row.ended_seq

    def unread(self, step: str) -> Sequence[str]:
        """The parameters that were not read in a step."""
        return [str(name) for name in self._scalars(_UNREAD, step=step)]
