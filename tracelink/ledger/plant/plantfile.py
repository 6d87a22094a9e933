"""A plant file: what a ledger must know before the first scan, as data already parsed from TOML.

Sections: `[plant]` (only for a new ledger), `[[person]]`, `[[station]]`, `[[product]]` with `parts` and, where
more than discs goes into a unit, `kit`; `[[item]]`, `[[lot]]`, `[[material]]`, `[[sleeves]]`, `[[sscc]]`, `[[order]]`, `[[location]]`,
`[[contact]]`, `[[reason]]`, `[[process]]`, `[[equipment]]`, `[[lab_test]]`, `[[limit]]`, `[[gauge]]`, `[[calibrated_gauge]]`, `[[instrument]]`, `[[slow_test]]`, `[[sampling_plan]]`, `[[part]]`, `[[bill]]`, `[[slot]]`; and
for a ledger that exists the tables of changes (`plantchanges.py`). Codes are plant codes with their
check character. A file with new sections may be added to a ledger at any time.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any, TypeVar

from tracelink.identity.matrix import MatrixGrammar
from tracelink.ledger.kinds import setup
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.plant import plant_tables, plantkits
from tracelink.ledger.plant.plantchanges import PlantChange
from tracelink.ledger.plant.plantsection import FileFault, FileFaults, FilePlace, PlantSection

_T = TypeVar("_T")


@dataclass(frozen=True, slots=True)
class FileEntry:
    """One thing that a plant file says, and where it stands there."""

    body: EntryBody | PlantChange
    """What is new; or what is to change, which the ledger makes an entry of."""
    place: FilePlace
    where: str
    """The table, for sentences."""


@dataclass(frozen=True, slots=True)
class PlantFileContent:
    """What a plant file says, in an order that the ledger takes."""

    entries: tuple[FileEntry, ...]
    faults: tuple[FileFault, ...]
    """All that is wrong in it; if there is any, the entries hold something else in place of it."""


def examine_plant_file(data: Mapping[str, Any], *, new_ledger: bool) -> PlantFileContent:
    """Return what a plant file says, and all that is wrong in it.

    Args:
        data: the parsed TOML document.
        new_ledger: whether `[plant]` is wanted; a file added later must not have it.
    """
    reading = _FileReading(data, new_ledger=new_ledger)
    reading.plant()
    for name, read in plant_tables.SECTIONS.items():
        reading.tables(name, read)
    reading.end()
    return PlantFileContent(tuple(reading.entries), tuple(reading.faults.found))


class _FileReading:
    """One pass over a plant file."""

    def __init__(self, data: Mapping[str, Any], *, new_ledger: bool) -> None:
        self.faults = FileFaults()
        self.entries: list[FileEntry] = []
        self._new_ledger = new_ledger
        self._rest = dict(data)
        self._grammar: MatrixGrammar | None = None
        self._kits: list[FileEntry] = []
        """Not among the entries yet."""

    def plant(self) -> None:
        """Read `[plant]`, or refuse it."""
        plant = self._take("plant", PlantSection.table) or {}
        place = FilePlace("plant")
        if self._new_ledger and not plant:
            self._refuse(FilePlace(), "plant file: the section [plant] is missing; a new ledger needs it")
        elif plant and not self._new_ledger:
            self._refuse(
                place, "plant file: [plant] is set when a ledger is made; leave it out of later files"
            )
        elif plant:
            for body in self.faults.read(place, lambda: self._plant(plant, place)) or ():
                self._add(body, place, "[plant]")

    def _plant(self, plant: Mapping[str, Any], place: FilePlace) -> list[EntryBody]:
        fields = dict(plant)
        areas, domain = fields.pop("clearance_areas", None), fields.pop("domain", None)
        section = PlantSection("[plant]", fields, place, self.faults)
        named = plant_tables.plant_named(section)
        bodies: list[EntryBody] = [named, *plant_tables.domain_entry(domain)]
        if areas is not None:
            bodies.append(plantkits.clearance_areas("[plant]: clearance_areas", areas))
        self._grammar = plant_tables.grammar_of(named, section)
        return bodies

    def tables(self, name: str, read: Callable[[PlantSection], EntryBody | PlantChange]) -> None:
        """Read all tables of a name."""
        for number, fields in enumerate(self._take(name, PlantSection.many) or [], 1):
            place, where = FilePlace(name, number), f"[[{name}]] number {number}"
            made = self.faults.read(place, partial(self._table, read, where, fields, place))
            if made is not None:
                self._add(made[0], place, where)
                # A kit names items, which name products: it comes after both.
                self._kits += [FileEntry(kit, place, where) for kit in made[1:]]
        if name == "item":
            self.entries += self._kits

    def _table(
        self,
        read: Callable[[PlantSection], EntryBody | PlantChange],
        where: str,
        fields: object,
        place: FilePlace,
    ) -> list[EntryBody | PlantChange]:
        section = PlantSection(where, fields, place, self.faults)
        kit = section.many("kit") if place.section == "product" else []
        body = read(section)
        section.end()
        made: list[EntryBody | PlantChange] = [body]
        if isinstance(body, setup.ProductDefined):
            if kit:
                made.append(plantkits.kit(where, kit, body))
            if self._grammar is not None:
                made[0] = plant_tables.normalised(body, self._grammar, where)
        return made

    def end(self) -> None:
        """Refuse tables that nobody asked for."""
        if self._rest:
            place = FilePlace(min(self._rest))
            self._refuse(place, f"plant file: unknown {', '.join(sorted(self._rest))}")

    def _take(self, name: str, take: Callable[[PlantSection, str], _T]) -> _T | None:
        if name not in self._rest:
            return None
        fields = {name: self._rest.pop(name)}
        place = FilePlace(name)
        return self.faults.read(
            place, lambda: take(PlantSection("plant file", fields, place, self.faults), name)
        )

    def _add(self, body: EntryBody | PlantChange, place: FilePlace, where: str) -> None:
        self.entries.append(FileEntry(body, place, where))

    def _refuse(self, place: FilePlace, sentence: str) -> None:
        self.faults.found.append(FileFault(place, sentence))
