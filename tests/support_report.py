"""A lot of real size, invented: 10 spindles, 40 cartons, 2 pallets, 3 shipments, for the tests of reports.

Stampers T0000101 and T0000102 pressed side A of lot L0000012, the first one also the end of lot L0000013. The
fault of T0000101 began between its strokes 701 (good) and 801 (bad, the first one in lot L0000013).
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

HEAD = (12345, "3f9a17c2" * 8)
NOW = "2031-03-14T16:05:00+01:00"
LOT, OTHER, BAD_STAMPER = "L0000012", "L0000013", "T0000101"


def carton(number):
    return f"09520000000{number:07d}"


def pallet(number):
    return f"19520000000{number:07d}"


class Plant:
    """Writes facts in the order of the floor."""

    def __init__(self):
        self.records = MemoryRecords(journal_head=HEAD)
        self.seq = 100

    def move(self, lot, quantity, source, target, *strokes):
        self.seq += 1
        first, last = strokes or (None, None)
        self.records.movements.append(
            MovementFact(self.seq, 0, lot, quantity, source, target, first, last, AT)
        )

    def place(self, code, kind, status=""):
        if self.records.container(code) is None:
            self.records.containers.append(ContainerFact(code, kind, status, ""))

    def stack(self, lot, spindle, first, last):
        self.place(spindle, "spindle", "stacked")
        self.move(lot, last - first + 1, "counter", spindle, first, last)

    def sample(self, lot, spindle, stroke, good, defect=None):
        tag = f"S{len(self.records.judgements) + 1:07d}"
        self.place(tag, "sample", "sample")
        self.move(lot, 1, spindle, tag, stroke, stroke)
        self.records.judgements.append(JudgementFact(tag, lot, stroke, good, defect, self.seq + 500))

    def pack(self, lot, spindle, carton_number, quantity, status="closed"):
        self.place(carton(carton_number), "carton", status)
        self.move(lot, quantity, spindle, carton(carton_number))


def real_lot():
    """Built anew for each test, so that a test may change it."""
    plant = Plant()
    records = plant.records
    for code, kind, parent, matrix, side in (
        ("T0000001", "lacquer", None, "EX-101-A", "A"),
        ("T0000011", "father", "T0000001", "EX-101-A F1", "A"),
        ("T0000021", "mother", "T0000011", "EX-101-A M1", "A"),
        (BAD_STAMPER, "stamper", "T0000021", "EX-101-A S1", "A"),
        ("T0000102", "stamper", "T0000021", "EX-101-A S2", "A"),
        ("T0000002", "lacquer", None, "EX-101-B", "B"),
        ("T0000012", "father", "T0000002", "EX-101-B F1", "B"),
        ("T0000022", "mother", "T0000012", "EX-101-B M1", "B"),
        ("T0000201", "stamper", "T0000022", "EX-101-B S1", "B"),
    ):
        records.tools.append(ToolFact(code, kind, parent, matrix, side, "in use"))
    records.lots += [
        LotFact(LOT, "9520000012342", 1, "Paper Comet Arithmetic", "W0000031", 1000, "pressed, released"),
        LotFact(OTHER, "9520000012342", 1, "Paper Comet Arithmetic", "W0000032", 220, "pressed, undecided"),
    ]
    used = ("C0000007", "E0000041", "E0000042")
    records.segments += [
        SegmentFact(LOT, 1, 800, "W0000031", BAD_STAMPER, "T0000201", 0, 0, *used, 90),
        SegmentFact(LOT, 801, 1000, "W0000031", "T0000102", "T0000201", 0, 800, *used, 95),
        SegmentFact(OTHER, 1, 220, "W0000032", BAD_STAMPER, "T0000201", 800, 1000, *used, 190),
    ]
    for number in range(10):
        first = 100 * number + 1
        spindle = f"K{number + 1:07d}"
        plant.stack(LOT, spindle, first, first + 99)
        if number in {0, 2, 4, 6, 7, 8, 9}:
            plant.sample(LOT, spindle, first, good=True)
        if number == 5:
            plant.sample(LOT, spindle, 601 - 1, good=True)
        if number == 3:
            plant.move(LOT, 2, spindle, "scrap")
    # 25 to a carton; what a spindle lacks is taken from the next, so that some cartons have discs of two.
    left = {f"K{n + 1:07d}": 100 - (n in {0, 2, 4, 5, 6, 7, 8, 9}) - 2 * (n == 3) for n in range(10)}
    for number in range(1, 40):
        wanted = 25
        for spindle, there in left.items():
            taken = min(wanted, there)
            if taken:
                plant.pack(LOT, spindle, number, taken)
                left[spindle] -= taken
                wanted -= taken
    plant.pack(LOT, "K0000010", 40, left["K0000010"] - 5, "open")
    plant.stack(OTHER, "K0000021", 1, 110)
    plant.sample(OTHER, "K0000021", 1, good=False, defect="repeating scratch")
    _ship(plant)
    return records


def _ship(plant):
    records = plant.records
    for number in (1, 2):
        plant.place(pallet(number), "pallet", "shipped" if number == 1 else "closed")
    for number in range(1, 39):
        records.nests.append(NestFact(carton(number), pallet(1 if number <= 20 else 2), 300 + number, None))
    for code, consignee, country, status in (
        ("D0000001", "Example Shop 1", "NO", "shipped"),
        ("D0000002", "Example Shop 2", "DE", "shipped"),
        ("D0000003", "Example Shop 3", "FR", "loading"),
    ):
        plant.place(code, "shipment", status)
        records.shipments.append(ShipmentFact(code, f"O{code[1:]}", consignee, country))
    records.nests += [
        NestFact(pallet(1), "D0000001", 400, None),
        NestFact(carton(39), "D0000002", 401, None),
        NestFact(pallet(2), "D0000003", 402, None),
    ]
    records.batches += [("B0000005", carton(number)) for number in range(1, 41)]
