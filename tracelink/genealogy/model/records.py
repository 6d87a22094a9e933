"""The questions this room asks of the records.

Each question is about one code, so that an answer costs what the code touched and never a read of everything.
`store/` answers from tables, the tests from lists; both must give the same answers.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Protocol

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
)
from tracelink.genealogy.model.part_facts import PartLotFact, PartMoveFact, ReelItemFact, SinglePiece
from tracelink.genealogy.model.step_facts import EquipmentFact, StepFact


class Records(Protocol):
    """What a walk and a containment need to know. Sequences are in journal order unless said otherwise."""

    def tool(self, code: str) -> ToolFact | None:
        """The tool of that code."""

    def children_of(self, tool: str) -> Sequence[ToolFact]:
        """The tools grown directly from a tool, by code."""

    def segments_with(self, code: str) -> Sequence[SegmentFact]:
        """The segments that used a stamper, compound lot, label lot or press."""

    def segments_of(self, lot: str) -> Sequence[SegmentFact]:
        """The segments of a lot, by first stroke."""

    def lot(self, code: str) -> LotFact | None:
        """The lot of that code."""

    def movements_of(self, lot: str) -> Sequence[MovementFact]:
        """Every movement of discs of a lot, by (seq, line)."""

    def movement_rows(self, lot: str) -> Sequence[MovementRow]:
        """The same as rows."""

    def sums_of(self, lots: Sequence[str]) -> Mapping[str, MovementSums]:
        """The movements of some lots, summed up; of each lot that has any."""

    def returns_of(self, lot: str) -> Sequence[ReturnFact]:
        """What was read off discs of a lot that came back without a carton, by seq."""

    def movements_into(self, place: str) -> Sequence[MovementFact]:
        """Every movement into a place, of any lot, by (seq, line)."""

    def parents_of(self, code: str) -> Sequence[NestFact]:
        """Where a carton or pallet is and was nested, ended nestings too."""

    def children_in(self, code: str) -> Sequence[NestFact]:
        """What is and was nested in a pallet or shipment, ended nestings too."""

    def judgements_of(self, lot: str) -> Sequence[JudgementFact]:
        """The lab's judgements on discs of a lot, those that stand."""

    def judged_unread(self, lot: str) -> Sequence[UnreadJudgement]:
        """The lab's judgements on samples of a lot whose stroke nobody knows, those that stand."""

    def look_up_tools(self, tools: Iterable[str]) -> None:
        """Say of which tools children and segments will be asked for, so that they can be read at once."""

    def look_up_lots(self, lots: Iterable[str]) -> None:
        """Say of which lots segments and judgements will be asked for, so that they can be read at once."""

    def look_up_moved(self, lots: Iterable[str]) -> None:
        """Say of which lots `movement_rows` will be asked for, and the places in them, so that they can be read at once."""

    def look_up(self, places: Iterable[str]) -> None:
        """Say which places `container` and `parents_of` will be asked about, so that they can be read at once."""

    def container(self, code: str) -> ContainerFact | None:
        """The container of that code."""

    def sleeve_batch_cartons(self, batch: str) -> Sequence[str]:
        """The cartons into which sleeves of a batch went."""

    def carton_batches(self, sscc: str) -> Sequence[str]:
        """The sleeve batches that went into a carton."""

    def shipment(self, code: str) -> ShipmentFact | None:
        """The shipment of that code."""

    def station_area(self, code: str) -> str | None:
        """What kind of station this is, such as press or line; None if it is not a station."""

    def person_name(self, badge: str) -> str | None:
        """The name of the owner of a badge; None if the code is not a badge."""

    def acts_at(self, station: str) -> Sequence[ActFact]:
        """Every entry of a station."""

    def acts_by(self, badge: str) -> Sequence[ActFact]:
        """Every entry of the person signed on with a badge."""

    def unsealed(self, code: str) -> Sequence[MovementFact]:
        """The matches of a station or a badge that lie in the spool, one movement each, with its own time."""

    def movements_in(self, seqs: Sequence[int]) -> Sequence[MovementFact]:
        """The movements of some entries, by (seq, line)."""

    def nests_in(self, seqs: Sequence[int]) -> Sequence[NestFact]:
        """The nestings that some entries opened."""

    def segments_begun(self, seqs: Sequence[int]) -> Sequence[SegmentFact]:
        """The segments that some entries began."""

    def press_setting(self, name: str, press: str) -> int:
        """A trade number of the plant that has a press, its default if it was never set."""

    def emptied(self, press: str) -> Sequence[tuple[str, int]]:
        """(lot, last stroke before) of each recorded emptying of a press's hopper, in journal order."""

    def equipment(self, code: str) -> EquipmentFact | None:
        """The equipment of that code."""

    def step(self, code: str) -> StepFact | None:
        """The process step of that code."""

    def steps_in(self, equipment: str) -> Sequence[StepFact]:
        """The steps that were done in some equipment, as they began."""

    def steps_with(self, code: str) -> Sequence[StepFact]:
        """The steps into which a tool, spindle or material went, or discs of a lot, as they began."""

    def step_that_made(self, material: str) -> StepFact | None:
        """The step that made a lot of material; None if it came in."""

    def part_lot(self, code: str) -> PartLotFact | None:
        """The part lot of that code."""

    def reel_items(self, reel: str) -> Sequence[ReelItemFact]:
        """What a reel or tray was made of, by position."""

    def reels_with(self, part_lot: str) -> Sequence[ReelItemFact]:
        """The positions of reels and trays that are of a part lot, by reel and position."""

    def found_by_mistake(self, reel: str) -> Sequence[tuple[str, int, int]]:
        """(build order, first, last piece) that may have parts of a reel which was found in the slot of another."""

    def taken_by(self, build: str) -> Sequence[PartMoveFact]:
        """The movements of parts onto pieces of a build order, in journal order."""

    def piece(self, code: str) -> SinglePiece | None:
        """The built piece with that serial label; its sequence is 0 if it was never handled by itself."""

    def built_of(self, piece: str, seq: int) -> Sequence[BuiltOf]:
        """What a built piece was built of before an entry: pieces of its order and of others, and positions of reels."""

    def head(self) -> tuple[int, str]:
        """The last journal sequence the answers include, and its hash in hexadecimal."""
