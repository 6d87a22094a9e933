"""What process steps ask the ledger, and the facts it gets back."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from tracelink.ledger.closed_sets import StepStatus, WorksOn


@dataclass(frozen=True, slots=True)
class Parameter:
    """What is read in a step."""

    name: str
    unit: str
    least: str | None
    """Decimal text; None if there is no least."""
    most: str | None


@dataclass(frozen=True, slots=True)
class Equipment:
    """A bath, blender, oven or the like."""

    code: str
    name: str
    process: str
    open_step: str | None
    """The step that is being done in it."""


@dataclass(frozen=True, slots=True)
class ProcessStep:
    """A process step."""

    code: str
    equipment: str
    process: str
    works_on: WorksOn
    unit: str | None
    """Base unit of what goes in; None for discs and tools."""
    status: StepStatus
    taken: int
    """What went in so far, in that unit."""
    made: int
    outside: int
    """Readings outside their limits."""
    items: int
    """Things that went in."""


@dataclass(frozen=True, slots=True)
class StepItem:
    """Something that went into a step."""

    seq: int
    """The entry that booked it in."""
    amount: int | None
    """In the unit of the process; None for discs and tools."""


@dataclass(frozen=True, slots=True)
class Blank:
    """A blank of a master, inspected before it is cut."""

    tool: str
    """The tag of the master that it is to be."""
    blank: str
    """The maker's number."""
    side: str
    matrix: str
    """What is to be cut."""
    fault: str | None
    """Why it may not be cut; None if it may."""


@dataclass(frozen=True, slots=True)
class StepOutput:
    """A lot of material that a step made."""

    made: int
    """The entry that booked it."""
    said_at: int
    """The entry that said its amount last."""
    amount: int
    """In the unit of the process."""
    rests: str | None
    """What was done with it since; None if nothing was."""


class ProcessQueries(Protocol):
    """Questions of process steps; a part of `queries.StationQueries`."""

    def equipment(self, code: str) -> Equipment | None:
        """A piece of equipment."""
        ...

    def blank(self, tool: str) -> Blank | None:
        """The blank that was inspected under a tool tag."""
        ...

    def step(self, code: str) -> ProcessStep | None:
        """A process step."""
        ...

    def parameters(self, process: str) -> Sequence[Parameter]:
        """What is read in steps of a process, in the order of the plant file."""
        ...

    def item_in_step(self, step: str, thing: str) -> StepItem | None:
        """A thing that went into a step, as it was booked last."""
        ...

    def made_in_step(self, step: str, material: str) -> StepOutput | None:
        """A lot of material that a step made; None if it did not make it."""
        ...

    def made_by_step(self, step: str) -> Sequence[str]:
        """The lots of material that a step made and that were not taken back."""
        ...

    def end_of_step(self, step: str) -> int | None:
        """The entry that ended a step; None while it runs."""
        ...

    def unread(self, step: str) -> Sequence[str]:
        """The parameters that were not read in a step."""
        ...
