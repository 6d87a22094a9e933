"""Random small plants with process steps, and a view of them disc by disc and gram by gram."""

import itertools
from dataclasses import dataclass, field
from fractions import Fraction

from support_genealogy import AT, Floor
from support_memory import MemoryRecords

from tracelink.genealogy.model.facts import ContainerFact, LotFact, SegmentFact
from tracelink.genealogy.model.step_facts import EquipmentFact, StepFact, StepItemFact, StepOutputFact
from tracelink.ledger.closed_sets import DiscPlace, StepInput


@dataclass
class WashedFloor:
    """A lot of which spindles and strokes go through two baths while discs move; `washed` has the truth."""

    floor: Floor
    steps: list[StepFact] = field(default_factory=list)
    washed: dict[str, set[int]] = field(default_factory=dict)
    """Bath -> discs that were in it."""
    known: bool = True
    """True if for each spindle that went in, the records said which strokes were on it."""
    marks: list[tuple[int, str, str]] = field(default_factory=list)
    """(number of movements before, bath, spindle or empty for strokes)."""

    def wash(self, bath, item):
        at = len(self.floor.movements)
        # Its entry stands behind the movements so far, and before the next one: between two whole numbers.
        code = f"X{len(self.steps) + 1}"
        self.steps.append(StepFact(code, "wash", bath, at, AT, AT, (item(at),), ()))

    def wash_spindle(self, bath, spindle):
        self.washed.setdefault(bath, set()).update(self.floor.at(spindle))
        self.marks.append((len(self.floor.movements), bath, spindle))
        self.wash(
            bath,
            lambda at: StepItemFact(at, AT, StepInput.SPINDLE, spindle, self.floor.lot, None, None, None),
        )

    def wash_strokes(self, bath, first, last):
        self.washed.setdefault(bath, set()).update(range(first, last + 1))
        lot = self.floor.lot
        self.wash(bath, lambda at: StepItemFact(at, AT, StepInput.STROKES, lot, lot, first, last, None))


def washed_floor(rng, most_discs=7):
    """Discs are stacked, picked, read and moved back in any order, and now and then something is washed."""
    made = WashedFloor(Floor(rng, "L1", rng.randint(4, most_discs)))
    floor = made.floor
    for _ in range(rng.randint(3, 9)):
        source = rng.choice(floor.occupied())
        target = rng.choice([name for name in ("K1", "K2", "C1", "C2", DiscPlace.SCRAP) if name != source])
        kind = rng.random()
        spindles = [name for name in floor.occupied() if name in ("K1", "K2")]
        if kind < 0.3 and spindles:
            made.wash_spindle(rng.choice(["V1", "V2"]), rng.choice(spindles))
        elif kind < 0.36:
            first = rng.randint(1, floor.discs)
            made.wash_strokes(rng.choice(["V1", "V2"]), first, rng.randint(first, floor.discs))
        elif source == DiscPlace.COUNTER and kind < 0.85:
            floor.stack(target, rng.randint(1, 4))
        elif kind < 0.5:
            floor.read(source, target)
        else:
            floor.pick(source, target, rng.randint(1, (1 + len(floor.at(source))) // 2))
    return made


def washed_records(made):
    """The plant as the records know it."""
    floor = made.floor
    lot = floor.lot
    records = MemoryRecords(
        lots=[LotFact(lot, "9520000012342", 1, "Moth Parliament", "W1", floor.discs, "")],
        segments=[SegmentFact(lot, 1, floor.discs, "W1", "T1", "T2", 0, 0, "C1", "E1", "E2", 1)],
        movements=list(floor.movements),
        steps=made.steps,
        equipments=[EquipmentFact("V1", "wash", "wash bath 1"), EquipmentFact("V2", "wash", "wash bath 2")],
        journal_head=(len(floor.movements) + 1, ""),
    )
    kinds = {"K": "spindle", "C": "carton"}
    places = {place for move in floor.movements for place in (move.source, move.target)}
    records.containers = [
        ContainerFact(place, kinds[place[0]], "", "") for place in sorted(places) if place[0] in kinds
    ]
    return records


def ways_with_washes(made, bath):
    """Every way the discs may have gone: final place of each disc, and whether it was in the bath.

    Returns:
        A set of (places, discs that were in the bath).
    """
    floor = made.floor
    strokes = {
        disc
        for step in made.steps
        for item in step.items
        if step.equipment == bath and item.what is StepInput.STROKES
        for disc in range(item.first, item.last + 1)
    }
    states = {((DiscPlace.COUNTER,) * floor.discs, frozenset(strokes))}
    marks = [(at, spindle) for at, of, spindle in made.marks if of == bath]
    for number, move in enumerate([*floor.movements, None]):
        for at, spindle in marks:
            if at == number:
                states = {
                    (places, wet | {disc for disc, here in enumerate(places, 1) if here == spindle})
                    for places, wet in states
                }
        if move is None:
            break
        reached = set()
        for places, wet in states:
            here = [
                disc
                for disc, place in enumerate(places, 1)
                if place == move.source and (move.first is None or move.first <= disc <= move.last)
            ]
            for chosen in itertools.combinations(here, move.quantity):
                after = list(places)
                for disc in chosen:
                    after[disc - 1] = move.target
                reached.add((tuple(after), wet))
        states = reached
    return states


RECEIVED = ("C1", "C2", "C3")
"""Compound lots that came in."""


def kitchen(rng, lots=3, steps=6):
    """Records of compound lots that are pressed, ground and blended in any order."""
    materials = list(RECEIVED)
    records = MemoryRecords(equipments=[EquipmentFact("V1", "blending", "blender")])
    seq = 10
    for _ in range(steps + lots):
        seq += 10
        if len(records.lots) < lots and (not records.lots or rng.random() < 0.5):
            lot = f"L{len(records.lots) + 1}"
            used = rng.sample(materials, rng.randint(1, 2))
            records.lots.append(LotFact(lot, "9520000012342", 1, "Moth Parliament", "W1", 4 * len(used), ""))
            records.segments += [
                SegmentFact(lot, 4 * n + 1, 4 * n + 4, f"W{lot}", "T1", "T2", 0, 0, compound, "E1", "E2", seq)
                for n, compound in enumerate(used)
            ]
            continue
        items = []
        for number in range(rng.randint(1, 3)):
            if records.lots and rng.random() < 0.4:
                lot = rng.choice(records.lots).code
                what, thing, of = StepInput.GROUND, lot, lot
            else:
                what, thing, of = StepInput.MATERIAL, rng.choice(materials), None
            items.append(StepItemFact(seq + number, AT, what, thing, of, None, None, rng.randint(1, 9)))
        made = f"C{100 + seq}"
        materials.append(made)
        output = StepOutputFact(seq + 5, made, sum(item.amount for item in items))
        records.steps.append(StepFact(f"X{seq}", "blending", "V1", seq, AT, AT, tuple(items), (output,)))
    return records


def most_of(records, origin):
    """Material -> the greatest share of a compound lot in it, over every way the ground discs may have been chosen.

    Each item that was ground came from one of the segments of its lot: shares are linear, so no mixture of two holds more.
    """
    ground = [item for step in records.steps for item in step.items if item.what is StepInput.GROUND]
    ways = [[segment.compound for segment in records.segments if segment.lot == item.lot] for item in ground]
    most = {}
    for chosen in itertools.product(*ways):
        of = dict(zip(ground, chosen, strict=True))
        content = {code: Fraction(code == origin) for code in RECEIVED}
        for step in records.steps:
            held = sum(content[of.get(item, item.thing)] * item.amount for item in step.items)
            for output in step.outputs:
                content[output.material] = held / step.taken
        for code, share in content.items():
            most[code] = max(most.get(code, Fraction(0)), share)
    return {code: share for code, share in most.items() if share}
