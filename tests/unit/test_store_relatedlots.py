"""Other lots that a cause above the one asked about would touch."""

from support_plant import LINE, Floor, n

from tracelink.genealogy.model.facts import SegmentFact
from tracelink.store.records.related_lots import related_lots
from tracelink.store.records.sql_records import SqlRecords


def related(floor, lots, cartons=()):
    with floor.ledger.reading() as conn:
        segments = [one for lot in lots for one in SqlRecords(conn).segments_of(lot)]
        found = related_lots(conn, lots, segments, [n(one) for one in cartons])
        return {(one.lot, one.relation): one for one in found}


def test_the_other_disc_of_a_set_is_named_with_the_carton_they_share():
    floor = Floor.copy()
    floor.press(2)
    floor.press(3)
    floor.open_line(2, [21, 31], 1)
    floor.scan(LINE, "disc 2.1", "sleeve 2", "disc 2.2", "sleeve 2", "CLOSE")
    assert floor.verdicts[-1].finding is None
    found = related(floor, [n("L2")], ["carton 1"])
    kit = found[n("L3"), "same set or kit, in one carton with it"]
    assert (kit.through, kit.title, kit.pressed, kit.in_scope) == (
        n("carton 1"),
        "Moth Parliament",
        20,
        False,
    )


def test_a_carton_merged_into_another_is_told_with_its_entry():
    floor = Floor.copy()
    floor.press(1)
    floor.open_line(1, [11], 1)
    floor.match(1, 1)
    floor.scan(LINE, "CLOSE", "carton 2")
    floor.match(1, 2)
    floor.scan(LINE, "MERGE", "carton 1", '"two part cartons')
    assert floor.verdicts[-1].finding is None
    own = related(floor, [n("L1")])[n("L1"), "repacked or merged carton"]
    assert own.in_scope
    assert own.through.startswith(f"{n('carton 1')} to {n('carton 2')} (entry ")


def test_lots_that_share_nothing_are_not_named():
    floor = Floor.copy()
    floor.press(1)
    assert related(floor, [n("L1")]) == {}
    with floor.ledger.reading() as conn:
        nothing = SegmentFact(n("L1"), 5, 4, n("W2"), "", "", 0, 0, n("C1"), "", "", 1)
        assert related_lots(conn, [n("L1")], [nothing], []) == (), (
            "a set-up that pressed nothing shares nothing"
        )


def test_many_things_shared_are_counted_after_the_first():
    floor = Floor.copy()
    floor.press(2)
    floor.press(3)
    floor.open_line(2, [21, 31], 1)
    for carton in range(1, 9):
        floor.scan(LINE, "disc 2.1", "sleeve 2", "disc 2.2", "sleeve 2", "CLOSE", f"carton {carton + 1}")
    found = related(floor, [n("L2")], [f"carton {number}" for number in range(1, 9)])
    assert found[n("L3"), "same set or kit, in one carton with it"].through.endswith(" and 2 more")
