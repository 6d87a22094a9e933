"""The second hall of the demo books what its player really did: stops, where the bad reel's parts are, and what adds up."""

import json
from collections import Counter

import pytest
from sqlalchemy import text
from support_asking import contain
from support_demo import stops_of

from runout import open_ledger
from tracelink.genealogy.model.shapes import Shape
from tracelink.services.balancing import balance
from tracelink.store.ledger import Ledger
from tracelink.store.records.sql_records import SqlRecords

MISSING = {"F000807Z": 1, "F0008134": 2}
"""One connector and two screws are missing at the end; all else is there to the piece."""


@pytest.fixture(scope="module")
def built(demo):
    """What really happened in the hall, which no record says."""
    return json.loads((demo / "hall" / "built.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def conn(demo):
    with Ledger.open(str(demo / "runout.db"), read_only=True).reading() as conn:
        yield conn


def rows(conn, query, **values):
    return [tuple(row) for row in conn.execute(text(query), values)]


def test_the_hall_stops_what_its_story_tells_and_nothing_else(demo, built):
    told = {(station, *stop) for station, stops in built["stops"].items() for stop in stops}
    found = json.loads(stops_of(demo).read_text(encoding="utf-8"))
    assert {tuple(stop) for stop in found if stop[0] in built["benches"]} == told
    assert len(told) == 10


def test_the_reel_of_those_that_break_is_what_tells_them_from_the_others(built, demo):
    """Of six turntables that is one chance in fifteen: the reel comes first, and too few were dropped for it to stand out."""
    with open_ledger(demo / "runout.db", read_only=True) as ledger:
        found = ledger.cause(defect="connector loose")
    first, *_others = found.to_dict()["candidates"]
    names = ("code", "bad_with", "good_with", "bad_without", "good_without", "significant")
    told = {name: first[name] for name in names}
    assert told == {
        "code": built["bad_reel"],
        "bad_with": 2,
        "good_with": 0,
        "bad_without": 0,
        "good_without": 4,
        "significant": False,
    }


def test_all_units_are_built_tested_and_packed_but_those_of_the_lab(built, conn):
    packed = [one for one in built["units"] if one["carton"]]
    assert len(built["units"]) - len(packed) == len(built["kept"])
    nested = "SELECT child, parent FROM nesting WHERE child LIKE 'U39%' AND closed_seq IS NULL"
    assert dict(rows(conn, nested)) == {one["unit"]: one["carton"] for one in packed}
    boards = "SELECT parent, child FROM nesting WHERE child LIKE 'U31%' AND parent LIKE 'U39%' AND closed_seq IS NULL"
    assert dict(rows(conn, boards)) == {one["unit"]: one["board"] for one in built["units"]}
    versions = "SELECT b.version, COUNT(*) FROM piece p JOIN build b ON b.code = p.build WHERE b.part = 'EX-3900' GROUP BY 1"
    half = len(built["units"]) // 2
    assert rows(conn, versions) == [("A", half), ("B", half)]


def test_the_bad_reel_is_contained_to_the_very_units_and_customers(built, conn):
    scope = contain(SqlRecords(conn), built["bad_reel"], Shape.INTERMITTENT)
    said = {one.code: (one.least, one.most) for one in (*scope.containers, *scope.groups) if one.most}
    units = {one["unit"]: one["off_the_bad_reel"] for one in built["units"] if one["off_the_bad_reel"]}
    assert {code: most for code, (_least, most) in said.items() if code.startswith("U39")} == units
    # That a broken turntable has a bad connector can be proven; of no other one it can.
    proven = {
        one[what] for one in built["units"] for what in ("unit", "board") if one["unit"] in built["broken"]
    }
    assert {code for code, (least, _most) in said.items() if least} <= proven
    assert len(units) > 5
    consignees = dict(rows(conn, "SELECT code, consignee FROM customer_order"))
    expected = Counter()
    for one in built["units"]:
        for place in (one["carton"], one["pallet"], consignees.get(one["order"])):
            if place is not None:
                expected[place] += one["off_the_bad_reel"]
    for place, parts in expected.items():
        assert said.get(place, (0, 0)) == (0, parts), place
    assert {group.code for group in scope.groups if group.kind == "consignee" and group.most} == {
        place for place, parts in expected.items() if parts and place.startswith("Example")
    }
    # Where connectors were thrown away, nobody knows which positions are in a turntable: its breaking proves nothing of them.
    assert {gap.partition(" ")[0] for gap in scope.gaps} <= set(built["broken"])
    assert all("nobody recorded which parts" in gap for gap in scope.gaps)
    assert scope.contradictions == ()


def test_the_bad_lot_is_where_its_parts_really_are(built, conn):
    """Nobody knows which three connectors were thrown away, so each limit holds what really happened."""
    scope = contain(SqlRecords(conn), built["bad_lot"], Shape.INTERMITTENT)
    said = {one.code: one.most for one in (*scope.containers, *scope.groups)}
    for one in built["units"]:
        assert one["of_the_bad_lot"] <= said.get(one["unit"], 0) <= 2, one
    may_have = {code for code, most in said.items() if most and code.startswith("U39")}
    assert may_have <= {one["unit"] for one in built["units"] if one["off_the_bad_reel"]}
    # Of the bad lot a second reel was made, which nobody used.
    assert "F000808X" in {tier.lot for tier in scope.tiers}
    assert sum(one["of_the_bad_lot"] for one in built["units"]) > 5


def test_the_other_reel_of_the_bad_lot_is_held_before_anybody_loads_it(conn):
    held = "SELECT COUNT(*) FROM hold_item i JOIN hold h ON h.code = i.hold WHERE i.subject = :reel AND h.lifted_seq IS NULL"
    assert rows(conn, held, reel="F000808X") == [(1,)]


def test_parts_add_up_to_the_piece(conn):
    reels = [code for (code,) in rows(conn, "SELECT code FROM reel ORDER BY code")]
    lots = [code for (code,) in rows(conn, "SELECT code FROM part_lot ORDER BY code")]
    assert (len(reels), len(lots)) == (17, 16)
    found = {code: balance(conn, code).difference for code in (*reels, *lots)}
    assert {code: off for code, off in found.items() if off} == MISSING
