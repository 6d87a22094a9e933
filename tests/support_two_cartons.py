"""A floor with two cartons of one lot: the smallest on which a written scope has something to say."""

from support_plant import DOCK, LAB, LINE, Floor
from support_sql import set_setting


def two_cartons():
    """Lot 1 on two spindles, two cartons of it, disc 3 good and disc 15 bad; nothing lies in the spool."""
    floor = Floor.copy()
    with floor.ledger._engine.begin() as conn:
        set_setting(conn, "line_reasons", 0)
    floor.press(1)
    floor.scan(LAB, "P1", "SAMPLE", "L1", "S1", "#3", "K11", "GOOD", "S1")
    floor.scan(LAB, "SAMPLE", "L1", "S2", "#15", "K12", "BAD", "S2", '"scratch')
    floor.open_line(1, [11], 1)
    floor.match(1, 4)
    floor.scan(LINE, "CLOSE", "carton 2")
    floor.match(1, 3)
    floor.scan(LINE, "CLOSE")
    return floor


def ship_the_first(floor):
    """Ship carton 1 on a pallet to Shop 1."""
    # A lot with a bad disc is released by two people only; what is asked here is where its discs went.
    assert floor.scan(LAB, "OVERRULE", "L1", '"agreed', "P2").word.value == "DONE"
    floor.scan(DOCK, "P1", "PALLET", "pallet 1", "carton 1", "CLOSE", "ACCEPT", "pallet 1")
    floor.scan(DOCK, "SHIP", "O1", "pallet 1", "DEPART")
