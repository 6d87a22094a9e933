"""Random plants most of whose lots were stacked and packed from the stacks, and some of which went everywhere."""

from dataclasses import replace

from support_genealogy import AT, one_stage_floor, wild_floor
from support_memory import MemoryRecords

from tracelink.genealogy.model.facts import (
    ContainerFact,
    JudgementFact,
    LotFact,
    MovementFact,
    NestFact,
    SegmentFact,
    ShipmentFact,
)
from tracelink.ledger.closed_sets import DiscPlace

LOTS = [f"L{number}" for number in range(1, 5)]
CARTONS = {"C1": "095200000000000017", "C2": "095200000000000024"}
PALLETS = ["195200000000000014", "195200000000000021"]
PRESS = "W1"


def mixed_plant(rng):
    """Lots of one press; most were stacked and packed from the stacks, some went everywhere."""
    records = MemoryRecords(journal_head=(500, "00"))
    for lot in LOTS:
        floor = (wild_floor if rng.random() < 0.25 else one_stage_floor)(rng, lot)
        moves = [
            replace(one, source=_named(one.source, lot), target=_named(one.target, lot))
            for one in floor.movements
        ]
        if rng.random() < 0.1:
            moves.append(MovementFact(len(moves) + 1, 0, lot, 1, DiscPlace.CUSTOMERS, "S9", None, None, AT))
        records.movements += moves
        records.lots.append(
            LotFact(lot, "9520000000011", 1, "Moth Parliament", PRESS, floor.discs, "running")
        )
        records.segments.append(
            SegmentFact(lot, 1, floor.discs, PRESS, "T1", "T2", 0, 0, "C9", "E1", "E2", int(lot[1:]))
        )
        for stroke in rng.sample(range(1, floor.discs + 1), 2):
            good = rng.random() < 0.6
            records.judgements.append(JudgementFact(f"S{lot}{stroke}", lot, stroke, good, None, 400))
    _containers(rng, records)
    return records


def _named(place, lot):
    """Cartons have the digits of an SSCC and may hold several lots; every other place is one of the lot's own."""
    own = place in set(DiscPlace) or place in CARTONS
    return CARTONS.get(place, place) if own else f"{place}{lot}"


def _containers(rng, records):
    places = {move.target for move in records.movements} - set(DiscPlace)
    for place in sorted(places):
        if place.isdigit():
            status = rng.choice(["open", "closed", "closed", "closed", "broken", "returned"])
            records.containers.append(ContainerFact(place, "carton", status, ""))
        elif rng.random() < 0.9:
            records.containers.append(ContainerFact(place, "spindle", "stacked", ""))
    for pallet in PALLETS:
        records.containers.append(ContainerFact(pallet, "pallet", "closed", ""))
    for number, country in ((1, "FR"), (2, "JP")):
        status = rng.choice(["loading", "shipped"])
        records.containers.append(ContainerFact(f"D{number}", "shipment", status, ""))
        records.shipments.append(ShipmentFact(f"D{number}", f"PO-{number}", f"Shop {number}", country))
    for carton in CARTONS.values():
        for parent in rng.sample([*PALLETS, "D1"], rng.choice([0, 1, 1, 1, 2])):
            records.nests.append(NestFact(carton, parent, 300, rng.choice([None, None, None, 350])))
    for pallet in PALLETS:
        records.nests.append(NestFact(pallet, rng.choice(["D1", "D2", "Y1"]), 310, None))
