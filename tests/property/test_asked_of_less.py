"""Questions that read only what they are about answer as a look at every row does: on random days of docks and lines."""

import support_sql
from support_campaign import tries
from support_histories import dock_history, history
from support_plant import gtin

from tracelink.store.office.board import board
from tracelink.store.stations.answers import SqlStationQueries


def _units(conn, shipments, product):
    """Units on vehicles, carton by carton: where it stands, and where that stands."""
    parent = dict(support_sql.read(conn, "nesting", "child", "parent", closed_seq=None))
    cartons = support_sql.read(conn, "carton", "sscc", "units", gtin=product)
    inside = [(units, parent.get(sscc), parent.get(parent.get(sscc))) for sscc, units in cartons]
    return sum(units for units, near, far in inside if near in shipments or far in shipments)


def test_units_on_a_vehicle_and_sent_for_an_order_are_those_of_its_cartons():
    loaded = 0
    for seed in range(tries(4)):
        made = dock_history(seed)
        made.run(120)
        with made.floor.ledger.reading() as conn:
            queries = SqlStationQueries(conn)
            shipments = support_sql.read(conn, "shipment", "code", "order_code", "status")
            for product in (gtin(1), gtin(3)):
                for code, _order, _status in shipments:
                    assert queries.units_in(code, product) == _units(conn, {code}, product)
                    loaded += queries.units_in(code, product)
                for order in {row[1] for row in shipments}:
                    left = {
                        code for code, other, status in shipments if other == order and status == "shipped"
                    }
                    assert queries.units_sent(order, product) == _units(conn, left, product)
    assert loaded, "no history loaded anything"


def test_the_board_of_a_day_counts_the_movements_of_that_day():
    counted = 0
    for seed in range(tries(3)):
        made = history(seed)
        made.run(120)
        with made.floor.ledger.reading() as conn:
            moves = support_sql.read(conn, "movement", "quantity", "source", "target", "at")
            stacks = {code for (code,) in support_sql.read(conn, "spindle", "code")}
            for day in {at[:10] for *_others, at in moves} | {"2031-03-02", "2031-03-05"}:
                shown = {count.what: count.quantity for count in board(conn, "press", day).counts}
                that_day = [move for move in moves if move[3][:10] == day]
                stacked = sum(
                    quantity
                    for quantity, source, target, _at in that_day
                    if source == "counter" and target in stacks
                )
                assert shown["discs stacked"] == stacked
                assert shown["trial discs scrapped"] == sum(
                    move[0] for move in that_day if move[2] == "set-up"
                )
                counted += stacked
    assert counted, "no history stacked anything"
