"""Balances, counts by hand, investigations and the board ask PostgreSQL the very same questions."""

import pytest
from support_plant import DOCK, LAB, LINE, LINE_2, PRESS, carton_sscc, code, gtin, n

from tracelink.balance.labels import LabelBalance, serial_balance
from tracelink.balance.lot import lot_balance
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.orders import OrderLine, OrderLinesTaken
from tracelink.store.office import investigations, order_book
from tracelink.store.office.board import board
from tracelink.store.office.carton_checks import check_plan, draw_cartons
from tracelink.store.office.packing_facts import packlist
from tracelink.store.records.balance_facts import lot_records
from tracelink.store.records.label_facts import label_records, serial_records
from tracelink.store.records.late_entries import late_about, late_entries


@pytest.fixture
def floor(pg_grown):
    return pg_grown


def test_balances_and_board(floor):
    floor.press(1)
    floor.press(4)
    floor.open_line(1, [11], 1)
    floor.match(1, 3)
    floor.open_line(3, [41], 2, LINE_2)
    floor.scan(LINE_2, "disc 3.1", "sleeve 3 no 5")
    with floor.ledger.reading() as conn:
        assert lot_balance(lot_records(conn, n("L1"))).first is None
    floor.scan(LAB, "P1", "COUNT", "K12", "#9")
    assert floor.verdicts[-1].finding == "count-differs"
    with floor.ledger.reading() as conn:
        assert lot_balance(lot_records(conn, n("L1"))).difference == 1
    stamp = Stamp(floor.at, "2031-03-03T07:30:00Z", person=code("P", 2))
    # The count has opened it.
    [(number,)] = floor.read("investigation", "seq")
    assert floor.scan(LAB, "RELEASE", "L1", '"heard').finding == "under-investigation"
    with floor.ledger.reading() as conn:
        found = [LabelBalance(label_records(conn, subject)) for subject in (n("B1"), n("B3"), n("E1"))]
        assert [(each.accounted, each.difference) for each in found] == [(3, 97), (1, 99), (20, None)]
        assert LabelBalance(label_records(conn, carton_sscc(9))).difference == 998
        numbers = serial_balance(serial_records(conn, n("B3")))
        assert (numbers.used, len(numbers.missing)) == (1, 99)
        shown = board(conn, None, floor.at[:10])
        assert board(conn, "line", floor.at[:10]).counts[0].quantity == 4
    assert [each.finding for each in shown.stops] == ["count-differs", "under-investigation"]
    assert (len(shown.waiting), [each.number for each in shown.investigations]) == (2, [number])
    assert {each.doing for each in shown.stations if each.station == LINE} == {
        f'packs "Paper Comet Arithmetic" EX 101, 3 of 5 in carton {carton_sscc(1)}'
    }
    with floor.ledger.writing() as booking:
        investigations.close_one(booking, stamp, number, "found")
    floor.scan(LAB, "CANCEL", "RELEASE", "L1", '"heard')
    assert [one for one in floor.read("lot", "decision") if one != ("pending",)] == [("released",)]


def test_returns_numbers_orders_and_corrections(floor):
    """Every question that the floor's newer acts ask, once."""
    floor.scan(PRESS, "P1", "SETUP", "L1", "T4", "T14", "C1", "E1", "E2", "START", '"EX-101-A', '"EX-101-B')
    floor.play(PRESS, 'STACK | K11 | #10 | CORRECT | #8 | "misread | P2 | STOP | #8 -> DONE')
    floor.play(PRESS, 'RESUME | L1 | T4 | T14 | C1 | E1 | E2 | "loose | STOP | #8 -> DONE')
    floor.press(4)
    floor.open_line(1, [11], 1)
    floor.match(1, 5)
    floor.play(
        LINE, "carton 2 | disc 1.1 | sleeve 1 | disc 1.1 | REJECT | UNDO | CLOSE | UNDO | CLOSE -> DONE"
    )
    floor.open_line(3, [41], 3, LINE_2)
    floor.play(LINE_2, "disc 3.1 | sleeve 3 no 5 | CLOSE -> DONE")
    floor.play(LAB, 'P1 | RELEASE | L1 | "heard | RELEASE | L4 | "heard -> DONE')
    with floor.ledger.reading() as conn:
        plan = check_plan(conn, n("L1"), 95, "5")
    assert (len(plan.cartons), plan.wanted, len(plan.next)) == (2, 2, 2)
    stamp = Stamp(floor.at, "2031-03-03T09:30:00Z", person=code("P", 1))
    with floor.ledger.writing() as booking:
        assert draw_cartons(booking, stamp, n("L1")) == 2
    lines = (OrderLine(gtin(1), 5), OrderLine(gtin(3), 2))
    with floor.ledger.writing() as booking:
        order_book.take_orders(booking, [(2, OrderLinesTaken(code("O", 9), "Shop", "DE", lines))], stamp)
        kept, short, _barred = order_book.allocate(booking, code("O", 9), stamp)
    assert ([one.code for one in kept], short) == ([carton_sscc(1), carton_sscc(3)], {gtin(3): 1})
    floor.play(
        DOCK, "P1 | SHIP | O9 | PICK | carton 1 | carton 1 | PICK | carton 3 | carton 3 | DEPART -> DONE"
    )
    with floor.ledger.reading() as conn:
        listed = packlist(conn, n("D1"))
    assert [(line.gtin, line.difference) for line in listed.lines] == [(gtin(1), 0), (gtin(3), -1)]
    floor.play(DOCK, 'RETURN | carton 3 | "dented | sleeve 3 no 5 | DESTROY | carton 3 | "wet | P2 -> DONE')
    floor.play(DOCK, "sleeve 3 no 5 -> STOP destroyed-number")
    floor.play(DOCK, 'RETURNNOMARK | "EX-101-A | #2 | RESTOCKLOOSE | #2 | K77 | "new -> DONE')
    floor.play(LINE, "K77 -> DONE")
    with floor.ledger.reading() as conn:
        assert lot_balance(lot_records(conn, n("L1"))).first is None
        numbers = serial_balance(serial_records(conn, n("B3")))
        assert (numbers.destroyed, numbers.destroyed_but_seen) == (1, ("5",))
        assert late_about(conn, [n("L1")])[1] == []
        late = [each.stamp.kind for each in late_entries(conn, 5)[0] if each.step is None]
        assert late == ["allocation-made", "order-lines-taken"]
    assert floor.ledger.verify() == floor.ledger.head()
