"""Facts of one plant's records as a group tells them: with PLANT:CODE for each code, one for each thing whatever plants know it."""

import json
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from functools import cache
from typing import Any

from sqlalchemy import Connection

from tracelink.errors import UsageError
from tracelink.genealogy.model import facts, part_facts, step_facts
from tracelink.ledger.closed_sets import DiscPlace, StepInput, is_return
from tracelink.store.group.same_things import SameThings, Thing
from tracelink.store.journal import journal
from tracelink.store.records.sql_records import SqlRecords

_CODES: Mapping[type, tuple[str, ...]] = {
    facts.ToolFact: ("code", "parent"),
    facts.SegmentFact: ("lot", "press", "stamper_a", "stamper_b", "compound", "label_a", "label_b"),
    facts.MovementFact: ("lot", "source", "target"),
    facts.NestFact: ("child", "parent"),
    facts.JudgementFact: ("sample", "lot"),
    facts.UnreadJudgement: ("sample", "lot"),
    facts.ContainerFact: ("code",),
    facts.LotFact: ("code", "press"),
    facts.ShipmentFact: ("code", "order"),
    facts.PickedSum: ("source", "parent"),
    step_facts.StepFact: ("code", "equipment"),
    step_facts.StepItemFact: ("thing", "lot"),
    step_facts.StepOutputFact: ("material",),
    step_facts.EquipmentFact: ("code",),
    part_facts.PartLotFact: ("code",),
    part_facts.ReelItemFact: ("reel", "part_lot"),
    part_facts.PartMoveFact: ("reel", "source", "target", "build"),
    part_facts.SinglePiece: ("code", "build"),
}
"""Kind of fact -> its fields that are codes of the plant."""

_PLACES = frozenset(DiscPlace)


def qualified(thing: Thing) -> str:
    """Return a thing's code in the group."""
    return ":".join(thing)


def within_a_plant(what: str) -> UsageError:
    """Return the error about a question whose answer lies in one plant."""
    return UsageError(
        f"{what}: what was done at a station or by a person, or between two times, is asked of its plant, at its own ledger"
    )


class NamedFacts:
    """Gives the facts of every plant the codes of the group.

    Args:
        plants: name of each plant -> a connection to its copy, inside a transaction that reads one state.
    """

    def __init__(self, plants: Mapping[str, Connection]) -> None:
        self.plants = plants
        self.of = {plant: SqlRecords(conn) for plant, conn in plants.items()}
        self.same = SameThings(plants)
        self.recorded = cache(self._recorded_at)
        """Plant and entry -> a number that orders entries of all plants by the time they were recorded."""

    def name(self, plant: str, code: str) -> str:
        """Return the group's code of a plant's code; places that are no things have the same name everywhere."""
        if not code or code in _PLACES or is_return(code):
            return code
        return qualified(self.same.made_as((plant, code)))

    def homes(self, code: str) -> list[Thing]:
        """Return a group's code as each plant knows it; every plant where it is a place that is no thing."""
        plant, colon, own = code.partition(":")
        if not colon:
            return [(plant, code) for plant in self.of]
        return self.same.known_as((plant, own)) if plant in self.of else []

    def named(self, plant: str, fact: Any) -> Any:
        """Return a fact of a plant with the group's codes."""
        changed: dict[str, Any] = {
            field: self.name(plant, value)
            for field in _CODES[type(fact)]
            if (value := getattr(fact, field)) is not None
        }
        if isinstance(fact, step_facts.StepFact):
            changed["items"] = tuple(self._ordered(plant, item) for item in fact.items)
            changed["outputs"] = tuple(self._ordered(plant, made) for made in fact.outputs)
        return fact._replace(**changed) if hasattr(fact, "_replace") else replace(fact, **changed)

    def _ordered(self, plant: str, item: step_facts.StepItemFact | step_facts.StepOutputFact) -> Any:
        named = self.named(plant, item)
        if isinstance(item, step_facts.StepItemFact) and item.what not in (
            StepInput.MATERIAL,
            StepInput.GROUND,
        ):
            # Discs are followed along the movements of their lot, which have the numbers of their plant.
            return named
        return replace(named, seq=self.recorded(plant, item.seq))

    def _recorded_at(self, plant: str, seq: int) -> int:
        entry = json.loads(journal.row_at(self.plants[plant], seq).canonical)
        return (int(datetime.fromisoformat(entry["recorded_at"]).timestamp()) << 32) + seq
