"""The records as plain lists: the reference implementation of `Records`.

It says in the fewest words what each question means. Use it for tests and for small cases; it scans its
lists, so it is not for a plant's whole history.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from tracelink.genealogy.model.facts import (
    ActFact,
    ContainerFact,
    JudgementFact,
    LotFact,
    MovementFact,
    MovementRow,
    MovementSums,
    NestFact,
    PickedSum,
    ReturnFact,
    SegmentFact,
    ShipmentFact,
    ToolFact,
    UnreadJudgement,
    row_of,
)
from tracelink.genealogy.model.part_facts import (
    PartLotFact,
    PartMoveFact,
    ReelItemFact,
    SinglePiece,
    build_movements,
    reel_movements,
)
from tracelink.genealogy.model.step_facts import EquipmentFact, StepFact
from tracelink.ledger.closed_sets import DiscPlace
from tracelink.ledger.plant.default_settings import DEFAULT_SETTINGS

_DEFAULTS = {setting.name: setting.value for setting in DEFAULT_SETTINGS}


@dataclass(slots=True)
class MemoryRecords:
    """Facts in lists, in any order; the answers come ordered as `Records` demands."""

    tools: list[ToolFact] = field(default_factory=list)
    """Masters and grown tools."""
    lots: list[LotFact] = field(default_factory=list)
    """Lots."""
    segments: list[SegmentFact] = field(default_factory=list)
    """Segments of all lots."""
    movements: list[MovementFact] = field(default_factory=list)
    """Movements of all lots."""
    nests: list[NestFact] = field(default_factory=list)
    """Nestings, open and ended."""
    judgements: list[JudgementFact] = field(default_factory=list)
    """Judgements that stand."""
    containers: list[ContainerFact] = field(default_factory=list)
    """Spindles, cartons, pallets, samples."""
    shipments: list[ShipmentFact] = field(default_factory=list)
    """Shipments."""
    batches: list[tuple[str, str]] = field(default_factory=list)
    """(sleeve batch, carton) pairs."""
    stations: dict[str, str] = field(default_factory=dict)
    """Station -> area."""
    people: dict[str, str] = field(default_factory=dict)
    """Badge -> name."""
    acts: list[ActFact] = field(default_factory=list)
    """Entries, in journal order."""
    spooled: list[tuple[str, str, MovementFact]] = field(default_factory=list)
    """(station, badge, movement) of each match that is not sealed yet."""
    settings: dict[str, int] = field(default_factory=dict)
    """Limits and trade numbers; what is not in it is 0."""
    emptyings: list[tuple[str, str, int]] = field(default_factory=list)
    """(press, lot, last stroke before) of each emptying of a hopper, in journal order."""
    unread: list[UnreadJudgement] = field(default_factory=list)
    """Judgements that stand, on samples whose stroke nobody knows."""
    returns: list[ReturnFact] = field(default_factory=list)
    """What was read off loose discs that came back."""
    steps: list[StepFact] = field(default_factory=list)
    """Process steps, in the order in which they began."""
    equipments: list[EquipmentFact] = field(default_factory=list)
    """Baths, blenders and the like."""
    part_lots: list[PartLotFact] = field(default_factory=list)
    """Part lots."""
    items_on_reels: list[ReelItemFact] = field(default_factory=list)
    """What reels and trays were made of."""
    part_moves: list[PartMoveFact] = field(default_factory=list)
    """Recorded movements of parts, in journal order."""
    pieces: list[SinglePiece] = field(default_factory=list)
    """Built pieces that were handled by themselves."""
    mistakes: list[tuple[str, str, int, int]] = field(default_factory=list)
    """(reel, build order, first, last piece) of each reel that was found in the slot of another."""
    journal_head: tuple[int, str] = (0, "")
    """Sequence and hash of the last entry."""

    def tool(self, code: str) -> ToolFact | None:
        """The tool of that code."""
        return next((fact for fact in self.tools if fact.code == code), None)

    def children_of(self, tool: str) -> list[ToolFact]:
        """The tools grown directly from a tool."""
        return sorted((fact for fact in self.tools if fact.parent == tool), key=lambda fact: fact.code)

    def segments_with(self, code: str) -> list[SegmentFact]:
        """The segments that used a stamper, compound lot, label lot or press."""
        return sorted(
            (
                fact
                for fact in self.segments
                if code
                in (fact.stamper_a, fact.stamper_b, fact.compound, fact.label_a, fact.label_b, fact.press)
            ),
            key=lambda fact: (fact.seq, fact.lot, fact.first),
        )

    def segments_of(self, lot: str) -> list[SegmentFact]:
        """The segments of a lot."""
        return sorted((fact for fact in self.segments if fact.lot == lot), key=lambda fact: fact.first)

    def lot(self, code: str) -> LotFact | None:
        """The lot of that code."""
        return next((fact for fact in self.lots if fact.code == code), None)

    def movements_of(self, lot: str) -> list[MovementFact]:
        """Every movement of discs of a lot."""
        moves = [fact for fact in [*self.movements, *self._of_parts(lot)] if fact.lot == lot]
        return sorted(moves, key=lambda fact: (fact.seq, fact.line))

    def _of_parts(self, lot: str) -> list[MovementFact]:
        """What follows from the movements of parts, of one reel or build order."""
        own = [piece for piece in self.pieces if piece.build == lot]
        moves = [move for move in self.part_moves if move.reel == lot]
        return [*build_movements(own, ""), *reel_movements(moves, self.pieces)]

    def movement_rows(self, lot: str) -> list[MovementRow]:
        """The same as rows."""
        return [row_of(move) for move in self.movements_of(lot)]

    def sums_of(self, lots: Sequence[str]) -> dict[str, MovementSums]:
        """The movements of some lots, summed up; nothing lies in a spool here."""
        return {lot: self._sums(self.movements_of(lot)) for lot in lots if self.movements_of(lot)}

    def _sums(self, moves: list[MovementFact]) -> MovementSums:
        picked: dict[tuple[str, str, str, str], list[MovementFact]] = {}
        for move in moves:
            if move.source != DiscPlace.COUNTER:
                fact = self.container(move.target)
                is_carton = fact is not None and fact.kind == "carton"
                kind = "scrap" if move.target == DiscPlace.SCRAP else "carton" if is_carton else ""
                for parent in [nest.parent for nest in self.parents_of(move.target) if not nest.closed] or [
                    ""
                ]:
                    key = (move.source, kind, fact.status if is_carton else "", parent)
                    picked.setdefault(key, []).append(move)
        return MovementSums(
            tuple(move for move in moves if move.source == DiscPlace.COUNTER),
            tuple(
                PickedSum(
                    *key,
                    sum(move.quantity for move in some),
                    len(some),
                    min(move.seq for move in some),
                    sum(move.first is not None or move.sense is not None for move in some),
                )
                for key, some in picked.items()
            ),
            len(moves),
            waiting=False,
        )

    def returns_of(self, lot: str) -> list[ReturnFact]:
        """What was read off discs that came back without a carton; these lists know of one lot only."""
        seqs = {move.seq for move in self.movements if move.lot == lot}
        return [fact for fact in self.returns if fact.seq in seqs]

    def movements_into(self, place: str) -> list[MovementFact]:
        """Every movement into a place."""
        lots = dict.fromkeys([*(one.reel for one in self.part_moves), *(one.build for one in self.pieces)])
        moves = [*self.movements, *(move for lot in lots for move in self._of_parts(lot))]
        return sorted(
            (fact for fact in moves if fact.target == place), key=lambda fact: (fact.seq, fact.line)
        )

    def parents_of(self, code: str) -> list[NestFact]:
        """Where a carton or pallet is and was nested."""
        return sorted((fact for fact in self.nests if fact.child == code), key=lambda fact: fact.opened)

    def children_in(self, code: str) -> list[NestFact]:
        """What is and was nested in a pallet or shipment."""
        return sorted((fact for fact in self.nests if fact.parent == code), key=lambda fact: fact.opened)

    def judgements_of(self, lot: str) -> list[JudgementFact]:
        """The lab's judgements on discs of a lot."""
        return sorted((fact for fact in self.judgements if fact.lot == lot), key=lambda fact: fact.seq)

    def judged_unread(self, lot: str) -> list[UnreadJudgement]:
        """The lab's judgements on samples of a lot whose stroke nobody knows, those that stand."""
        return [fact for fact in self.unread if fact.lot == lot]

    def look_up_tools(self, tools: Iterable[str]) -> None:
        """Nothing to read ahead: everything is here."""

    def look_up_lots(self, lots: Iterable[str]) -> None:
        """Nothing to read ahead: everything is here."""

    def look_up_moved(self, lots: Iterable[str]) -> None:
        """Nothing to read ahead: everything is here."""

    def look_up(self, places: Iterable[str]) -> None:
        """Nothing to read ahead: everything is here."""

    def container(self, code: str) -> ContainerFact | None:
        """The container of that code."""
        return next((fact for fact in self.containers if fact.code == code), None)

    def sleeve_batch_cartons(self, batch: str) -> list[str]:
        """The cartons into which sleeves of a batch went."""
        return sorted(carton for name, carton in self.batches if name == batch)

    def carton_batches(self, sscc: str) -> list[str]:
        """The sleeve batches that went into a carton."""
        return sorted(name for name, carton in self.batches if carton == sscc)

    def shipment(self, code: str) -> ShipmentFact | None:
        """The shipment of that code."""
        return next((fact for fact in self.shipments if fact.code == code), None)

    def station_area(self, code: str) -> str | None:
        """What kind of station this is."""
        return self.stations.get(code)

    def person_name(self, badge: str) -> str | None:
        """Whose badge this is."""
        return self.people.get(badge)

    def acts_at(self, station: str) -> list[ActFact]:
        """Every entry of a station."""
        return [act for act in self.acts if act.station == station]

    def acts_by(self, badge: str) -> list[ActFact]:
        """Every entry of the person signed on with a badge."""
        return [act for act in self.acts if act.person == badge]

    def unsealed(self, code: str) -> list[MovementFact]:
        """The matches of a station or a badge that lie in the spool."""
        return [move for station, badge, move in self.spooled if code in (station, badge)]

    def movements_in(self, seqs: Sequence[int]) -> list[MovementFact]:
        """The movements of some entries."""
        found = [move for move in self.movements if move.seq in set(seqs)]
        return sorted(found, key=lambda move: (move.seq, move.line))

    def nests_in(self, seqs: Sequence[int]) -> list[NestFact]:
        """The nestings that some entries opened."""
        return sorted((nest for nest in self.nests if nest.opened in set(seqs)), key=lambda nest: nest.opened)

    def segments_begun(self, seqs: Sequence[int]) -> list[SegmentFact]:
        """The segments that some entries began."""
        return [segment for segment in self.segments if segment.seq in set(seqs)]

    def press_setting(self, name: str, press: str) -> int:
        """A limit or trade number of the plant."""
        return self.settings.get(name, _DEFAULTS[name])

    def emptied(self, press: str) -> list[tuple[str, int]]:
        """(lot, last stroke before) of each recorded emptying of a press's hopper."""
        return [(lot, after) for where, lot, after in self.emptyings if where == press]

    def part_lot(self, code: str) -> PartLotFact | None:
        """The part lot of that code."""
        return next((fact for fact in self.part_lots if fact.code == code), None)

    def reel_items(self, reel: str) -> list[ReelItemFact]:
        """What a reel or tray was made of."""
        return sorted((one for one in self.items_on_reels if one.reel == reel), key=lambda one: one.first)

    def reels_with(self, part_lot: str) -> list[ReelItemFact]:
        """The positions of reels and trays that are of a part lot."""
        found = [one for one in self.items_on_reels if one.part_lot == part_lot]
        return sorted(found, key=lambda one: (one.reel, one.first))

    def found_by_mistake(self, reel: str) -> list[tuple[str, int, int]]:
        """Pieces that may have parts of a reel which was found in the slot of another."""
        return [rest for found, *rest in self.mistakes if found == reel]

    def taken_by(self, build: str) -> list[PartMoveFact]:
        """The movements of parts onto pieces of a build order."""
        return [move for move in self.part_moves if move.build == build]

    def piece(self, code: str) -> SinglePiece | None:
        """The built piece with that serial label."""
        return next((one for one in self.pieces if one.code == code), None)

    def equipment(self, code: str) -> EquipmentFact | None:
        """The equipment of that code."""
        return next((fact for fact in self.equipments if fact.code == code), None)

    def step(self, code: str) -> StepFact | None:
        """The process step of that code."""
        return next((fact for fact in self.steps if fact.code == code), None)

    def steps_in(self, equipment: str) -> list[StepFact]:
        """The steps that were done in some equipment."""
        return [fact for fact in self.steps if fact.equipment == equipment]

    def steps_with(self, code: str) -> list[StepFact]:
        """The steps into which a thing went, or discs of a lot."""
        return [fact for fact in self.steps if any(code in (item.thing, item.lot) for item in fact.items)]

    def step_that_made(self, material: str) -> StepFact | None:
        """The step that made a lot of material."""
        return next(
            (fact for fact in self.steps if any(made.material == material for made in fact.outputs)), None
        )

    def head(self) -> tuple[int, str]:
        """The last journal sequence and its hash."""
        return self.journal_head
