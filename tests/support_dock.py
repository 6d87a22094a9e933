"""The small plant with stock in its warehouse, for tests of the dock."""

from support_plant import DOCK, DOCK_2, LAB, LINE, LINE_2, Floor, n
from support_sql import add, change, set_setting


def plant(ordered=50, **settings):
    """The small plant with other settings, Dan who works at the dock only, and orders for so many units."""
    floor = Floor.copy()
    with floor.ledger._engine.begin() as conn:
        for name, value in {"line_reasons": 0, **settings}.items():
            set_setting(conn, name, value)
        add(conn, "person", code=n("P4"), name="Dan", seq=1)
        add(conn, "person_role", person=n("P4"), role="dock")
        for table in ("customer_order", "order_line"):
            change(conn, table, {"quantity": ordered})
    return floor


def stocked(floor):
    """Cartons 1 and 2 of product 1 with 2 units each, carton 4 of product 3 with one numbered unit; lots released."""
    floor.press(1)
    floor.press(4)
    floor.open_line(1, [11], 1)
    floor.match(1, 2)
    floor.scan(LINE, "CLOSE", "carton 2")
    floor.match(1, 2)
    floor.scan(LINE, "CLOSE", "carton 3")
    floor.open_line(3, [41], 4, LINE_2)
    floor.scan(LINE_2, "disc 3.1", "sleeve 3 no 1", "CLOSE")
    assert [verdict for verdict in floor.verdicts if verdict.finding] == []
    for dock in (DOCK, DOCK_2):
        floor.play(dock, "P1 -> DONE")
    floor.play(LAB, 'P1 | RELEASE | L1 | "good | RELEASE | L4 | "good -> DONE')
    return floor


def statuses(floor, table, key="sscc"):
    return dict(floor.read(table, key, "status"))


def discs(floor, place):
    return {lot: discs for lot, discs in floor.read("stock", "lot", "quantity", place=place) if discs}
