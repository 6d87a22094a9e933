"""One small invented plant, written out by hand, for the tests of the genealogy room.

Family: lacquer T1 - father T2 - mother T3 - stampers T4, T5; mother T6 - stamper T7. Side B is stamper T9.
Lot L1: strokes 1-400 with T4 (its own 1-400), 401-500 with T5. Lot L2: strokes 1-300 with T4 mounted again
(its own 401-700). Lot L3: strokes 1-50 with T7.
"""

from support_genealogy import AT
from support_memory import MemoryRecords

from tracelink.genealogy.model.facts import (
    ContainerFact,
    JudgementFact,
    LotFact,
    MovementFact,
    NestFact,
    SegmentFact,
    ShipmentFact,
    ToolFact,
)

C1, C2, C3, C4, P1 = (f"95200000000000000{n}" for n in range(5))


def move(seq, lot, quantity, source, target, first=None, last=None):  # noqa: PLR0917 - reads as a row of a table
    return MovementFact(seq, 0, lot, quantity, source, target, first, last, AT)


def judged(sample, lot, stroke, good, *, defect=None, seq=900):
    return JudgementFact(sample, lot, stroke, good, defect, seq)


def small_plant():
    """Built anew for each test, so that a test may change it."""
    return MemoryRecords(
        tools=[
            ToolFact("T1", "lacquer", None, "EX-101 A", "A", "in store"),
            ToolFact("T2", "father", "T1", "EX-101 A", "A", "in store"),
            ToolFact("T3", "mother", "T2", "EX-101 A", "A", "in store"),
            ToolFact("T4", "stamper", "T3", "EX-101 A", "A", "mounted"),
            ToolFact("T5", "stamper", "T3", "EX-101 A", "A", "in store"),
            ToolFact("T6", "mother", "T2", "EX-101 A", "A", "in store"),
            ToolFact("T7", "stamper", "T6", "EX-101 A", "A", "in store"),
            ToolFact("T9", "stamper", None, "EX-101 B", "B", "mounted"),
        ],
        lots=[
            LotFact("L1", "9520000012342", 1, "Paper Comet Arithmetic", "W1", 500, "pressed"),
            LotFact("L2", "9520000012342", 1, "Paper Comet Arithmetic", "W1", 300, "running"),
            LotFact("L3", "9520000012342", 1, "Paper Comet Arithmetic", "W2", 50, "pressed"),
        ],
        segments=[
            SegmentFact("L1", 1, 400, "W1", "T4", "T9", 0, 0, "M1", "E1", "E2", 1),
            SegmentFact("L1", 401, 500, "W1", "T5", "T9", 0, 400, "M1", "E1", "E2", 20),
            SegmentFact("L2", 1, 300, "W1", "T4", "T9", 400, 500, "M2", "E1", "E2", 40),
            SegmentFact("L3", 1, 50, "W2", "T7", "T9", 0, 800, "M2", "E1", "E2", 60),
        ],
        movements=[
            move(10, "L1", 200, "counter", "K1", 1, 200),
            move(11, "L1", 1, "K1", "S1", 200, 200),
            move(15, "L1", 200, "counter", "K2", 201, 400),
            move(22, "L1", 100, "counter", "K3", 401, 500),
            move(30, "L1", 40, "K1", C1),
            move(31, "L1", 60, "K2", C2),
            move(32, "L1", 10, "K3", C2),
            move(33, "L1", 5, "K2", "scrap"),
            move(45, "L2", 100, "counter", "K4", 1, 100),
            move(46, "L2", 100, "K4", C3),
            move(65, "L3", 50, "counter", "K5", 1, 50),
            move(66, "L3", 50, "K5", C4),
        ],
        nests=[
            NestFact(C1, P1, 50, None),
            NestFact(C2, P1, 51, None),
            NestFact(C3, P1, 52, 53),
            NestFact(P1, "D1", 54, None),
        ],
        containers=[
            *(ContainerFact(code, "spindle", "", "") for code in ("K1", "K2", "K3", "K4", "K5")),
            *(ContainerFact(code, "carton", "closed", "") for code in (C1, C2, C3, C4)),
            ContainerFact("S1", "sample", "", ""),
            ContainerFact(P1, "pallet", "shipped", ""),
            ContainerFact("D1", "shipment", "shipped", ""),
        ],
        shipments=[ShipmentFact("D1", "O1", "Example Shop 1", "NO", AT, 60)],
        batches=[("B1", C1), ("B1", C4), ("B2", C2)],
        journal_head=(99, "ab" * 32),
    )
