"""Entries that tell the ledger which processes a plant has, and the equipment for each."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, NoEvent, Taken, Things, on
from tracelink.ledger.origin import FROM_FILE, Origin


@dataclass(frozen=True, slots=True)
class ProcessLimit:
    """A parameter that is read in every step of a process."""

    name: str
    """Small letters, such as bath temperature."""
    unit: str
    least: str | None
    """Least value that is right, as decimal text; None if there is no least."""
    most: str | None


@dataclass(frozen=True, slots=True)
class ProcessDefined:
    """A kind of process step: what it works on, and what is read in it."""

    kind: ClassVar[str] = "process-defined"
    export: ClassVar[ExportRule] = ExportRule(
        on("process", Things.PROCESSES), taken=Taken.SETTING_UP, no_event=NoEvent.SAYS_WHAT_IS
    )
    origin: ClassVar[Origin] = FROM_FILE
    process: str
    """What the floor calls it, such as nickel plating."""
    works_on: str
    """A `WorksOn`: discs, tools, pieces, material, or a blend."""
    unit: str | None
    """Base unit of what goes in; None for discs and tools."""
    parameters: tuple[ProcessLimit, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One process row and one row per parameter."""
        row = {"name": self.process, "works_on": self.works_on, "unit": self.unit, "seq": entry.seq}
        yield Insert("process", row)
        for line, parameter in enumerate(self.parameters):
            yield Insert(
                "process_parameter",
                {
                    "process": self.process,
                    "name": parameter.name,
                    "line": line,
                    "unit": parameter.unit,
                    "least": parameter.least,
                    "most": parameter.most,
                },
            )


@dataclass(frozen=True, slots=True)
class EquipmentPlaced:
    """A bath, blender, oven or the like in which steps of one process are done."""

    kind: ClassVar[str] = "equipment-placed"
    export: ClassVar[ExportRule] = ExportRule(
        on("equipment", Things.EQUIPMENT), taken=Taken.SETTING_UP, no_event=NoEvent.SAYS_WHAT_IS
    )
    origin: ClassVar[Origin] = FROM_FILE
    equipment: str
    process: str
    name: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One equipment row."""
        yield Insert(
            "equipment",
            {"code": self.equipment, "process": self.process, "name": self.name, "seq": entry.seq},
        )


KINDS = (ProcessDefined, EquipmentPlaced)
