"""What stations are told by tables in which something else looks much alike."""

import pytest
from sqlalchemy import create_engine

from tracelink.store.stations import answers_dock, answers_labels, answers_line

TABLES = (
    "return_line (number, carton, status, matrix, discs)",
    "product_part (gtin, matrix_a, matrix_b)",
    "number_fate (return_number, gtin, number, fate, seq)",
    'run_segment (lot, stamper_a, stamper_b, "first", "last")',
    "tool (code, matrix, what)",
    "movement (lot, target)",
    "nesting (child, parent)",
    "shipment (code, status)",
    "issued_number (gtin, number, batch)",
    "numbered_sleeve (gtin, number, carton)",
    "carton_sleeve (carton, batch, units)",
    "clearance_area (line, name)",
)


@pytest.fixture
def conn():
    """The columns that are asked for, empty."""
    with create_engine("sqlite://").connect() as connection:
        for table in TABLES:
            connection.exec_driver_sql(f"CREATE TABLE {table}")
        yield connection


def put(conn, table, *rows):
    for row in rows:
        conn.exec_driver_sql(f"INSERT INTO {table} VALUES ({', '.join('?' * len(row))})", row)


def asked(conn, query, **values):
    return [tuple(row) for row in conn.execute(query, values)]


def test_a_loose_return_takes_numbers_until_each_of_its_discs_has_one(conn):
    put(conn, "return_line", (1, None, "quarantine", "M1", 2), (2, None, "quarantine", "M2", 9))
    put(conn, "product_part", ("G1", "M1", "M3"), ("G2", "M2", "M4"))
    put(conn, "number_fate", (1, "G1", 7, "returned", 1), (1, "G1", 8, "destroyed", 2))
    assert asked(conn, answers_dock._LOOSE_LINE, gtin="G1") == [(1,)]
    put(conn, "number_fate", (1, "G1", 9, "returned", 3))
    assert asked(conn, answers_dock._LOOSE_LINE, gtin="G1") == []


def test_a_lot_is_shipped_if_it_was_made_of_the_matrix_by_the_tool_and_left(conn):
    put(conn, "tool", ("T1", "M1", "stamper"), ("T2", "M1", "stamper"), ("T9", "M9", "stamper"))
    put(
        conn,
        "run_segment",
        ("L1", "T1", "T9", 1, 9),
        ("L2", "T2", "T9", 1, 9),
        # Set up and taken off again before the first stroke.
        ("L3", "T1", "T9", 5, 4),
        # Packed, and loaded in a shipment that has not left.
        ("L4", "T1", "T9", 1, 9),
        # Still on its spindle.
        ("L5", "T1", "T9", 1, 9),
    )
    put(conn, "movement", ("L1", "C1"), ("L2", "C1"), ("L3", "C1"), ("L4", "C4"), ("L5", "K5"))
    put(conn, "nesting", ("C1", "P1"), ("P1", "D1"), ("C4", "D4"))
    put(conn, "shipment", ("D1", "shipped"), ("D4", "loading"))
    assert asked(conn, answers_dock._SHIPPED_LOTS, matrix="M1", tool=None) == [("L1",), ("L2",)]
    assert asked(conn, answers_dock._SHIPPED_LOTS, matrix="M1", tool="T1") == [("L1",)]
    assert asked(conn, answers_dock._SHIPPED_LOTS, matrix="M1", tool="T3") == []


def test_a_number_is_issued_by_product_number_and_batch_together(conn):
    put(conn, "issued_number", ("G1", 7, "B1"), ("G1", 8, "B2"), ("G2", 9, "B1"))
    known = {"gtin": "G1", "number": 7, "batch": "B1"}
    assert asked(conn, answers_labels._ISSUED_NUMBER, **known) == [(1,)]
    for other in ({"gtin": "G3"}, {"number": 6}, {"batch": "B3"}):
        assert asked(conn, answers_labels._ISSUED_NUMBER, **known | other) == []
    put(conn, "issued_number", ("G1", 6, "B1"))
    assert len(asked(conn, answers_labels._ISSUED_NUMBER, **known)) == 1


def test_the_fate_of_a_number_is_the_last_one_of_that_number_of_that_product(conn):
    put(conn, "numbered_sleeve", ("G1", 7, "C1"), ("G1", 8, "C2"))
    put(conn, "number_fate", (None, "G1", 7, "returned", 1), (None, "G1", 7, "restocked", 2))
    put(conn, "number_fate", (None, "G1", 8, "destroyed", 3), (None, "G2", 7, "destroyed", 4))
    assert asked(conn, answers_labels._NUMBER, gtin="G1", number=7) == [("C1", "restocked")]
    assert asked(conn, answers_labels._NUMBER, gtin="G1", number=8) == [("C2", "destroyed")]


def test_the_sleeves_of_a_carton_are_its_own_and_still_in_it(conn):
    put(conn, "carton_sleeve", ("C1", "B2", 3), ("C1", "B1", 4), ("C1", "B3", 0), ("C2", "B4", 5))
    assert asked(conn, answers_line._BATCHES, sscc="C1") == [("B1", 4), ("B2", 3)]


def test_a_plant_that_lists_no_places_clears_the_usual_ones(conn):
    line = answers_line.LineAnswers.__new__(answers_line.LineAnswers)
    line._conn = conn
    assert line.clearance_areas() == answers_line.USUAL_AREAS
    put(conn, "clearance_area", (2, "floor"), (1, "table"))
    assert list(line.clearance_areas()) == ["table", "floor"]
