"""The small plant with stock in its warehouse, for tests of the dock."""

from support_plant import DOCK, DOCK_2, LAB, LINE, LINE_2, Floor, n


def plant(ordered=50, **settings):
    """The small plant with other settings, Dan who works at the dock only, and orders for so many units."""
    floor = Floor.copy()
    with floor.ledger._engine.begin() as conn:
        for name, value in {"line_reasons": 0, **settings}.items():
            conn.exec_driver_sql(f"INSERT OR REPLACE INTO setting VALUES ('{name}', {value}, 'test')")
        conn.exec_driver_sql(f"INSERT INTO person VALUES ('{n('P4')}', 'Dan', 1)")
        conn.exec_driver_sql(f"INSERT INTO person_role VALUES ('{n('P4')}', 'dock')")
        conn.exec_driver_sql(f"UPDATE customer_order SET quantity = {ordered}")
        conn.exec_driver_sql(f"UPDATE order_line SET quantity = {ordered}")
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
    return dict(floor.rows(f"SELECT {key}, status FROM {table}"))


def discs(floor, place):
    return dict(floor.rows(f"SELECT lot, quantity FROM stock WHERE place = '{place}' AND quantity > 0"))
