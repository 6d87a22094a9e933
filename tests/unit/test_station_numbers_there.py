"""NUMBERS: the sleeves that are in a numbered carton counted short, scanned one by one; what is missing is lost by number."""

import pytest
from support_asking import contain
from support_counted import close, stock, units
from support_judged import judged
from support_pins import rebuilds
from support_plant import DOCK, LINE, LINE_2, Floor, n

from tracelink.balance.labels import serial_balance
from tracelink.genealogy.model.shapes import Shape
from tracelink.store.records.label_facts import serial_records
from tracelink.store.records.sql_records import SqlRecords


@pytest.fixture
def floor():
    """Carton 1 with numbers 1 to 4 of the numbered edition; Ada is at the dock, Ben at the second line."""
    made = Floor.copy()
    made.press(4)
    made.open_line(3, [41], 1)
    for number in (1, 2, 3, 4):
        made.scan(LINE, "disc 3.1", f"sleeve 3 no {number}")
    made.scan(LINE, "CLOSE")
    made.scan(DOCK, "P1")
    made.scan(LINE_2, "P2")
    return made


@pytest.fixture
def short(floor):
    """Ben found 3 in it."""
    floor.play(LINE_2, "COUNT | carton 1 | #3 -> STOP count-differs")
    return floor


@pytest.fixture
def scanned(short):
    """Ada found numbers 1, 2 and 4."""
    short.play(
        DOCK,
        f"""
        NUMBERS -> NEXT; Scan the carton.
        carton 1 -> NEXT; Scan the sleeves that are in the carton, one by one: 0 of 3.
        sleeve 3 no 4 -> NEXT; Scan the sleeves that are in the carton, one by one: 1 of 3.
        sleeve 3 no 1 -> NEXT
        sleeve 3 no 2 -> DONE; Carton {n("carton 1")} holds 3 units, each scanned by number, and the system shows 3 from now on. Sleeve number 3 is lost.
        """,
    )
    return short


class TestWhatIsThere:
    def test_what_was_scanned_is_the_content_and_the_rest_is_lost_by_number(self, scanned):
        assert units(scanned) == 3
        assert stock(scanned, "L4")["lost"] == 1
        assert scanned.read("numbered_sleeve", "number", order="number") == [("1",), ("2",), ("4",)]
        assert scanned.read("lost_number", "number", "carton") == [("3", n("carton 1"))]
        assert scanned.kinds()[-3:] == ["count-confirmed", "numbers-lost", "stock-counted"]
        rebuilds(scanned)
        assert judged(scanned).unforced is None

    def test_the_balance_of_numbers_names_it_as_missing(self, scanned):
        with scanned.ledger.reading() as conn:
            found = serial_balance(serial_records(conn, n("B3")))
        assert "3" in found.missing
        assert not {"1", "2", "4"} & set(found.missing)

    def test_the_carton_goes_with_what_it_has_once_the_investigation_is_closed(self, scanned):
        scanned.play(DOCK, "PALLET | pallet 1 -> DONE\ncarton 1 -> STOP under-investigation")
        close(scanned)
        scanned.play(DOCK, "carton 1 -> DONE")

    def test_whoever_comes_back_goes_on_and_nothing_is_booked_before_the_last(self, short):
        short.play(
            DOCK,
            """
            NUMBERS | carton 1 | sleeve 3 no 1 -> NEXT
            ? -> NEXT; Scan the sleeves that are in the carton, one by one: 1 of 3. NUMBERS is not finished.
            CANCEL -> DONE
            """,
        )
        assert units(short) == 4
        short.play(DOCK, "NUMBERS | carton 1 | sleeve 3 no 1 | sleeve 3 no 2 | sleeve 3 no 3 -> DONE")
        assert short.read("lost_number", "number") == [("4",)]

    def test_a_broken_carton_is_sealed_again_with_what_is_there(self, short):
        short.play(
            DOCK,
            """
            BREAK | carton 1 | "torn -> DONE
            REPACK | carton 1 -> NEXT
            #3 -> STOP not-inferable
            CANCEL | NUMBERS | carton 1 | sleeve 3 no 1 | sleeve 3 no 2 | sleeve 3 no 3 -> DONE
            REPACK | carton 1 | #3 | "by number -> DONE
            """,
        )
        assert units(short) == 3

    def test_an_empty_carton_asks_for_no_sleeve(self, floor):
        floor.play(LINE_2, "COUNT | carton 1 | #0 -> STOP count-differs")
        floor.play(DOCK, "NUMBERS | carton 1 -> DONE")
        assert floor.count("lost_number") == 4

    def test_a_lost_number_that_turns_up_stops_line_and_dock(self, scanned):
        told = f"as lost from carton {n('carton 1')}. Put"
        scanned.play(
            DOCK,
            f'sleeve 3 no 3 -> STOP lost-number; The system shows number 3 of "Nine Pale Windmills" {told}...',
        )
        scanned.play(
            LINE,
            f"""
            carton 2 | disc 3.1 -> NEXT
            sleeve 3 no 3 -> STOP lost-number; The system shows sleeve number 3 {told} this sleeve aside for quality and scan STOP.
            CLOSE -> STOP line-stopped
            sleeve 3 no 5 -> MATCH
            """,
        )

    def test_limits_of_the_carton_are_what_was_confirmed(self, short):
        def most():
            with short.ledger.reading() as conn:
                scope = contain(SqlRecords(conn), n("L4"), Shape.WHOLE_LIFE)
            return [each.most for each in scope.containers if each.code == n("carton 1")]

        assert most() == [4]
        short.scan(DOCK, "NUMBERS", "carton 1", "sleeve 3 no 1", "sleeve 3 no 2", "sleeve 3 no 4")
        assert most() == [3]


class TestRefused:
    def test_a_sleeve_that_is_not_of_this_carton(self, short):
        short.play(
            DOCK,
            """
            NUMBERS | carton 1 | sleeve 3 no 1 -> NEXT
            sleeve 3 no 9 -> STOP wrong-sleeve; The system does not show sleeve number 9 in this carton. Check the number.
            sleeve 1 -> STOP wrong-thing
            """,
        )
        short.at = "2031-03-03T12:00:00+01:00"
        short.play(
            DOCK,
            "sleeve 3 no 1 -> STOP wrong-number; Sleeve number 1 was scanned before: 1 of 3. Scan the next one; if two sleeves have this number, put both aside for quality.",
        )

    def test_whoever_counted_does_not_scan_too(self, short):
        short.scan(DOCK, "COUNT", "carton 1", "#3")
        short.play(
            DOCK,
            f"NUMBERS -> NEXT\ncarton 1 -> STOP same-person; Ada counted carton {n('carton 1')}. Another person scans the sleeves that are in it.",
        )

    def test_a_carton_that_nobody_counted_short(self, floor):
        floor.play(
            DOCK,
            f"NUMBERS -> NEXT\ncarton 1 -> STOP wrong-count; No count of carton {n('carton 1')} differs from the system. Count it with COUNT first.",
        )

    def test_an_edition_without_numbers(self, floor):
        floor.press(1)
        floor.scan(LINE, "CLEAR", "P2", "B1", "K11", "carton 2", "disc 1.1", "sleeve 1", "CLOSE")
        floor.play(
            DOCK,
            f'NUMBERS -> NEXT\ncarton 2 -> STOP wrong-number; The sleeves of "Paper Comet Arithmetic" in carton {n("carton 2")} have no numbers. A second person counts it with COUNT.',
        )

    def test_a_carton_with_too_many(self, floor):
        floor.play(LINE_2, "COUNT | carton 1 | #5 -> STOP count-differs")
        floor.play(DOCK, "NUMBERS -> NEXT\ncarton 1 -> STOP not-inferable")
