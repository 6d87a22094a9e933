"""The ledgers of a group as walks and containments see one: `genealogy.records.Records` over the records of every plant.

Codes are written PLANT:CODE, because each plant counts from one; a thing that passed between plants has one code, that of the plant
that made it, and the answers about it are those of every plant that knows it, put together. The questions are asked by the same
code as in one plant.

Numbers of entries order what happened within one plant. Only materials are compared by them across plants; theirs are made of the
recording time, so that what was blended in one plant from what came of another is followed in the order in which it was made.
"""

import hashlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TypeVar

from tracelink.genealogy.model.built_of import BuiltOf
from tracelink.genealogy.model.facts import (
    ActFact,
    ContainerFact,
    JudgementFact,
    LotFact,
    MovementFact,
    MovementRow,
    MovementSums,
    NestFact,
    ReturnFact,
    SegmentFact,
    ShipmentFact,
    ToolFact,
    UnreadJudgement,
    row_of,
)
from tracelink.genealogy.model.part_facts import PartLotFact, PartMoveFact, ReelItemFact, SinglePiece
from tracelink.genealogy.model.step_facts import EquipmentFact, StepFact
from tracelink.store.group.named_facts import NamedFacts, qualified, within_a_plant
from tracelink.store.records.sql_records import SqlRecords

Fact = TypeVar("Fact")


class JoinedRecords(NamedFacts):
    """Answers the questions of walks for a whole group; each answer costs what the code touched, in the plants that know it."""

    def _all(self, code: str, ask: Callable[[SqlRecords, str], Iterable[Fact]]) -> list[Fact]:
        return [
            self.named(plant, fact) for plant, own in self.homes(code) for fact in ask(self.of[plant], own)
        ]

    def _one(self, code: str, ask: Callable[[SqlRecords, str], Fact | None]) -> Fact | None:
        for plant, own in self.homes(code):
            if (found := ask(self.of[plant], own)) is not None:
                named: Fact = self.named(plant, found)
                return named
        return None

    def _codes(self, code: str, ask: Callable[[SqlRecords, str], Iterable[str]]) -> list[str]:
        return [
            self.name(plant, found) for plant, own in self.homes(code) for found in ask(self.of[plant], own)
        ]

    def _ahead(self, codes: Iterable[str], look_up: Callable[[SqlRecords, list[str]], None]) -> None:
        asked: dict[str, list[str]] = {}
        for code in codes:
            for plant, own in self.homes(code):
                asked.setdefault(plant, []).append(own)
        for plant, codes_there in asked.items():
            look_up(self.of[plant], codes_there)

    def head(self) -> tuple[int, str]:
        """The entries of all plants together, and one hash over where each plant's journal ends."""
        heads = {plant: records.head() for plant, records in self.of.items()}
        told = "".join(f"{plant} {seq} {digest}\n" for plant, (seq, digest) in sorted(heads.items()))
        return sum(seq for seq, _ in heads.values()), hashlib.sha256(told.encode()).hexdigest()

    def look_up(self, places: Iterable[str]) -> None:
        """Read containers and what they stand in ahead of the questions about them."""
        self._ahead(places, SqlRecords.look_up)

    def look_up_tools(self, tools: Iterable[str]) -> None:
        """Read tools and their segments ahead of the questions about them."""
        self._ahead(tools, SqlRecords.look_up_tools)

    def look_up_lots(self, lots: Iterable[str]) -> None:
        """Read lots, their segments and judgements ahead of the questions about them."""
        self._ahead(lots, SqlRecords.look_up_lots)

    def look_up_moved(self, lots: Iterable[str]) -> None:
        """Read the movements of lots and their cartons ahead of the questions about them."""
        self._ahead(lots, SqlRecords.look_up_moved)

    def tool(self, code: str) -> ToolFact | None:
        """The tool of that code, as its maker knows it."""
        return self._one(code, SqlRecords.tool)

    def children_of(self, tool: str) -> list[ToolFact]:
        """The tools grown directly from a tool, in any plant, by code."""
        return sorted(self._all(tool, SqlRecords.children_of), key=lambda grown: grown.code)

    def segments_with(self, code: str) -> list[SegmentFact]:
        """The segments that used a stamper, compound lot, label lot or press, in any plant."""
        return [self._lived(segment) for segment in self._all(code, SqlRecords.segments_with)]

    def segments_of(self, lot: str) -> list[SegmentFact]:
        """The segments of a lot, by first stroke."""
        return [self._lived(segment) for segment in self._all(lot, SqlRecords.segments_of)]

    def _lived(self, segment: SegmentFact) -> SegmentFact:
        """Count into the life of a stamper what other plants had pressed with it before: each counts its own strokes."""
        more_a, more_b = (
            self._elsewhere(stamper, segment) for stamper in (segment.stamper_a, segment.stamper_b)
        )
        if not (more_a or more_b):
            return segment
        return replace(segment, life_a=segment.life_a + more_a, life_b=segment.life_b + more_b)

    def _elsewhere(self, stamper: str, segment: SegmentFact) -> int:
        plant = segment.lot.partition(":")[0]
        return sum(
            len(other.strokes)
            for at, own in self.homes(stamper)
            if at != plant
            for other in self.of[at].segments_with(own)
            if self.recorded(at, other.seq) < self.recorded(plant, segment.seq)
        )

    def lot(self, code: str) -> LotFact | None:
        """The lot of that code."""
        return self._one(code, SqlRecords.lot)

    def movements_of(self, lot: str) -> list[MovementFact]:
        """Every movement of discs of a lot, by (seq, line)."""
        return self._all(lot, SqlRecords.movements_of)

    def movement_rows(self, lot: str) -> list[MovementRow]:
        """The same as rows."""
        return [row_of(move) for move in self.movements_of(lot)]

    def sums_of(self, lots: Sequence[str]) -> Mapping[str, MovementSums]:
        """The movements of some lots, summed up; of each lot that has any."""
        return {
            qualified((plant, lot)): replace(
                sums,
                pressed=tuple(self.named(plant, one) for one in sums.pressed),
                picked=tuple(self.named(plant, one) for one in sums.picked),
            )
            for plant, records in self.of.items()
            for lot, sums in records.sums_of(
                [own for lot in lots for at, own in self.homes(lot) if at == plant]
            ).items()
        }

    def returns_of(self, lot: str) -> list[ReturnFact]:
        """What was read off discs of a lot that came back without a carton, by seq."""
        return [
            replace(
                fact,
                mark=self.name(plant, fact.mark) if self.of[plant].tool(fact.mark) else fact.mark,
                cartons=tuple(self.name(plant, carton) for carton in fact.cartons),
            )
            for plant, own in self.homes(lot)
            for fact in self.of[plant].returns_of(own)
        ]

    def movements_into(self, place: str) -> list[MovementFact]:
        """Every movement into a place, of any lot, by (seq, line)."""
        return self._all(place, SqlRecords.movements_into)

    def parents_of(self, code: str) -> list[NestFact]:
        """Where a carton or pallet is and was nested, ended nestings too."""
        return self._all(code, SqlRecords.parents_of)

    def children_in(self, code: str) -> list[NestFact]:
        """What is and was nested in a pallet or shipment, ended nestings too."""
        return self._all(code, SqlRecords.children_in)

    def judgements_of(self, lot: str) -> list[JudgementFact]:
        """The lab's judgements on discs of a lot, those that stand."""
        return self._all(lot, SqlRecords.judgements_of)

    def judged_unread(self, lot: str) -> list[UnreadJudgement]:
        """The lab's judgements on samples of a lot whose stroke nobody knows, those that stand."""
        return self._all(lot, SqlRecords.judged_unread)

    def container(self, code: str) -> ContainerFact | None:
        """The container of that code, with the plants that say that it came in there."""
        found = self._one(code, SqlRecords.container)
        if found is None or ":" not in code:
            return found
        plant, _, own = code.partition(":")
        came = [f"came in at {other} {at}" for other, at in self.same.came_in.get((plant, own), ())]
        return found._replace(detail="; ".join(filter(None, [found.detail, *came])))

    def sleeve_batch_cartons(self, batch: str) -> list[str]:
        """The cartons into which sleeves of a batch went."""
        return self._codes(batch, SqlRecords.sleeve_batch_cartons)

    def carton_batches(self, sscc: str) -> list[str]:
        """The sleeve batches that went into a carton."""
        return self._codes(sscc, SqlRecords.carton_batches)

    def shipment(self, code: str) -> ShipmentFact | None:
        """The shipment of that code."""
        return self._one(code, SqlRecords.shipment)

    def station_area(self, code: str) -> str | None:
        """What kind of station this is, such as press or line; None if it is not a station."""
        return next((self.of[plant].station_area(own) for plant, own in self.homes(code)), None)

    def person_name(self, badge: str) -> str | None:
        """The name of the owner of a badge; None if the code is not a badge."""
        return next((self.of[plant].person_name(own) for plant, own in self.homes(badge)), None)

    def acts_at(self, station: str) -> list[ActFact]:
        """Refused: what was done at a station is asked of its plant."""
        raise within_a_plant(station)

    def acts_by(self, badge: str) -> list[ActFact]:
        """Refused: what a person did is asked of their plant."""
        raise within_a_plant(badge)

    def unsealed(self, code: str) -> list[MovementFact]:
        """Refused, as `acts_at`."""
        raise within_a_plant(code)

    def movements_in(self, seqs: Sequence[int]) -> list[MovementFact]:
        """Refused, as `acts_at`: an entry's number says nothing without its plant."""
        raise within_a_plant(f"entry {seqs[0]}")

    def nests_in(self, seqs: Sequence[int]) -> list[NestFact]:
        """Refused, as `movements_in`."""
        raise within_a_plant(f"entry {seqs[0]}")

    def segments_begun(self, seqs: Sequence[int]) -> list[SegmentFact]:
        """Refused, as `movements_in`."""
        raise within_a_plant(f"entry {seqs[0]}")

    def press_setting(self, name: str, press: str) -> int:
        """A trade number of the plant that has a press, its default if it was never set."""
        [(plant, own)] = self.homes(press)[:1]
        return self.of[plant].press_setting(name, own)

    def emptied(self, press: str) -> list[tuple[str, int]]:
        """(lot, last stroke before) of each recorded emptying of a press's hopper, in journal order."""
        return [
            (self.name(plant, lot), after)
            for plant, own in self.homes(press)
            for lot, after in self.of[plant].emptied(own)
        ]

    def equipment(self, code: str) -> EquipmentFact | None:
        """The equipment of that code."""
        return self._one(code, SqlRecords.equipment)

    def step(self, code: str) -> StepFact | None:
        """The process step of that code."""
        return self._one(code, SqlRecords.step)

    def steps_in(self, equipment: str) -> list[StepFact]:
        """The steps that were done in some equipment, as they began."""
        return self._all(equipment, SqlRecords.steps_in)

    def steps_with(self, code: str) -> list[StepFact]:
        """The steps into which a tool, spindle or material went, or discs of a lot, in any plant."""
        return self._all(code, SqlRecords.steps_with)

    def step_that_made(self, material: str) -> StepFact | None:
        """The step that made a lot of material; None if it came in from outside the group."""
        return self._one(material, SqlRecords.step_that_made)

    def part_lot(self, code: str) -> PartLotFact | None:
        """The part lot of that code."""
        return self._one(code, SqlRecords.part_lot)

    def reel_items(self, reel: str) -> list[ReelItemFact]:
        """What a reel or tray was made of."""
        return self._all(reel, SqlRecords.reel_items)

    def reels_with(self, part_lot: str) -> list[ReelItemFact]:
        """The positions of reels and trays that are of a part lot."""
        return self._all(part_lot, SqlRecords.reels_with)

    def found_by_mistake(self, reel: str) -> list[tuple[str, int, int]]:
        """Pieces that may have parts of a reel which was found in the slot of another."""
        return [
            (self.name(plant, build), first, last)
            for plant, own in self.homes(reel)
            for build, first, last in self.of[plant].found_by_mistake(own)
        ]

    def taken_by(self, build: str) -> list[PartMoveFact]:
        """The movements of parts onto pieces of a build order."""
        return self._all(build, SqlRecords.taken_by)

    def piece(self, code: str) -> SinglePiece | None:
        """The built piece with that serial label."""
        return self._one(code, SqlRecords.piece)

    def built_of(self, piece: str, seq: int) -> list[BuiltOf]:
        """Refused, as `movements_in`."""
        raise within_a_plant(f"unit {piece} before entry {seq}")
