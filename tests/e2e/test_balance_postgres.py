"""Balances, counts by hand, investigations and the board ask PostgreSQL the very same questions."""

import pytest
from support_plant import LAB, LINE, LINE_2, Floor, carton_sscc, code, n
from support_postgres import pg_place, pg_server  # noqa: F401  fixtures

from tracelink.balance.labels import LabelBalance, serial_balance
from tracelink.balance.lot import lot_balance
from tracelink.ledger.entry import Stamp
from tracelink.store import investigations
from tracelink.store.balance import lot_records
from tracelink.store.board import board
from tracelink.store.labelbalance import label_records, serial_records


@pytest.fixture
def floor(pg_place):  # noqa: F811
    floor = Floor.new(pg_place)
    floor.tools()
    yield floor
    floor.ledger.close()


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
    with floor.ledger.writing() as booking:
        number = investigations.open_one(booking, stamp, n("L1"), 1, "short")
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
        f'packs "Harbour Lights", 3 of 5 in carton {carton_sscc(1)}'
    }
    with floor.ledger.writing() as booking:
        investigations.close_one(booking, stamp, number, "found")
    floor.scan(LAB, "CANCEL", "RELEASE", "L1", '"heard')
    assert floor.rows("SELECT decision FROM lot WHERE decision <> 'pending'") == [("released",)]
