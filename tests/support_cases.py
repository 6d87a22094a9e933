"""A lot whose stamper turned out bad after some of it was shipped: what the tests of containment cases work on."""

from pathlib import Path

from support_plant import DOCK, LAB, LINE, START, Floor, code, gtin, n, stamper
from support_plantfile import read_plant_file

from tracelink.ledger.entry import Stamp
from tracelink.store.ledger import utc_now

CAUSE = stamper("EX-101-A")
ADA, BEN, CLEO = n("P1"), n("P2"), n("P3")
"""Ada and Ben have the role quality, Cleo has not."""

SECOND_ORDER = {"code": code("O", 9), "consignee": "Shop 9", "country": "FR", "gtin": gtin(1), "quantity": 50}


LEFT = """
P1 | PALLET | pallet 1 | carton 1 | carton 2 | CLOSE | ACCEPT | pallet 1 -> DONE
SHIP | O1 | pallet 1 | DEPART -> DONE
SHIP | O9 | PICK | carton 3 | carton 3"""


def shipped(floor: Floor | None = None, *, second: str = "Shop 9", loading: bool = False) -> Floor:
    """Lot 1, 20 discs; cartons 1 and 2 went to Shop 1, carton 3 to Shop 9, three discs are left on spindle 12.

    Sample 1 (stroke 3) was good; sample 2 (stroke 19) was bad, and judged only after the shipments. Sample 3
    (stroke 12) was drawn and not judged.

    Args:
        floor: a plant whose tools are grown; None makes one in memory.
        second: who gets carton 3.
        loading: carton 3 has not left yet.
    """
    floor = floor or Floor.copy()
    with floor.ledger.writing() as booking:
        for body in read_plant_file({"order": [SECOND_ORDER | {"consignee": second}]}, new_ledger=False):
            booking.record(body, Stamp(START, utc_now()))
    floor.press(1)
    floor.play(
        LAB, "P1 | SAMPLE | L1 | S1 | #3 | K11 | GOOD | S1 -> DONE\nSAMPLE | L1 | S2 | #19 | K12 -> DONE"
    )
    floor.play(LAB, 'SAMPLE | L1 | S3 | #12 | K12 -> DONE\nRELEASE | L1 | "none bad -> DONE')
    floor.open_line(1, [11], 1)
    floor.match(1, 5)
    floor.scan(LINE, "CLOSE", "carton 2")
    floor.match(1, 4)
    floor.scan(LINE, "CLOSE", "K12", "carton 3")
    floor.match(1, 5)
    floor.scan(LINE, "CLOSE")
    stopped = [verdict for verdict in floor.verdicts if verdict.finding]
    assert stopped == [], stopped
    floor.play(DOCK, f"{LEFT} -> DONE" if loading else f"{LEFT} | DEPART -> DONE")
    floor.play(LAB, 'BAD | S2 | "scratch -> DONE')
    return floor


def shipped_file(folder: Path) -> Path:
    """The same as a ledger in a file."""
    floor = shipped()
    place = floor.saved(folder / "plant.db")
    floor.ledger.close()
    return place
