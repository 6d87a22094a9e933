"""What was set up is changed by a file: judged, told at the stations, and what was made before stays as it was."""

from datetime import datetime, timedelta

import pytest
from support_cli import write_plant_file
from support_judged import judged, recorded
from support_plant import DOCK, LAB, LINE, PRESS, Floor, carton_sscc, code, gtin, n
from support_sql import change

from tracelink.errors import RefusedByRule, UsageError
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.orders import OrderTaken
from tracelink.ledger.kinds.warehouse import LocationNamed
from tracelink.ledger.proof.origin_check import OriginCheck
from tracelink.services import searching
from tracelink.services.badge_proof import Badge
from tracelink.services.upkeep import plant_files
from tracelink.services.upkeep.plant_files import PlannedBy
from tracelink.store.journal.rebuild import rebuild
from tracelink.store.ledger import Ledger
from tracelink.store.office.packing_facts import packlist
from tracelink.store.records.settings import setting_with_source
from tracelink.store.records.sql_records import SqlRecords
from tracelink.store.stations.answers import SqlStationQueries

ADA, BEN, CLEO = code("P", 1), code("P", 2), code("P", 3)
TODAY = datetime.now().astimezone().date().isoformat()
OTHER_LINE, OTHER_PRESS = code("W", 6), code("W", 7)
BEFORE = "2025-03-03T08:00:00+01:00"
"""Before any change that a test makes; the plant's own days lie after all of them."""


@pytest.fixture
def floor():
    made = Floor.copy()
    made.press(1)
    return made


@pytest.fixture
def plan(floor, tmp_path):
    def planned(by=ADA, second=BEN, reason="as agreed", **tables):
        file = write_plant_file(tmp_path / "changes.toml", tables)
        who = PlannedBy(by and Badge(by), second and Badge(second), reason)
        return plant_files.add(floor.ledger, file, who)

    return planned


def day(days):
    return (datetime.now().astimezone().date() + timedelta(days)).isoformat()


def refused(plan, **tables):
    with pytest.raises(UsageError) as caught:
        plan(**tables)
    return str(caught.value)


def faults(floor):
    check = OriginCheck()
    found = [
        fault.sentence
        for entry, scans in recorded(floor)
        for fault in check.entry(entry, lambda scans=scans: [scan.number for scan in scans])
    ]
    return [*found, *(fault.sentence for fault in check.finish())]


def assert_whole(floor):
    """Every entry follows from the rules, is forced by its scans, and rebuilds to the same rows."""
    assert faults(floor) == []
    assert judged(floor).unforced is None
    before = floor.read("plant_change", order="seq field"), floor.read("station", order="code")
    with floor.ledger.transaction() as conn:
        rebuild(conn)
    assert (floor.read("plant_change", order="seq field"), floor.read("station", order="code")) == before


class TestBadges:
    def test_who_leaves_is_told_at_the_next_scan_and_another_person_goes_on(self, floor, plan):
        floor.open_line(1, [11], 1)
        floor.match(1, 2)
        floor.play(LINE, "disc 1.1 -> NEXT")
        plan(
            person=[{"code": code("P", 4), "name": "Dov", "roles": ["line", "quality"]}],
            withdrawn_badge=[{"badge": ADA, "reason": "left the plant"}],
        )
        floor.play(
            LINE,
            """
            sleeve 1 -> STOP badge-withdrawn; The badge of Ada, who is signed on here, was withdrawn...
            P2 -> STOP disc-in-hand
            STOP -> DONE; Stopped. Put the disc back on spindle {K11}. Put aside what else you hold.
            disc 1.1 -> STOP badge-withdrawn
            P1 -> STOP badge-withdrawn; Badge {P1} of Ada was withdrawn...
            P2 -> DONE
            disc 1.1 | sleeve 1 -> MATCH [3 of 5 in carton]
            """,
        )
        assert_whole(floor)

    def test_who_leaves_is_told_to_stop_where_pieces_are_in_hand_and_only_there(self, floor, plan):
        floor.open_line(1, [11], 1)
        floor.play(LINE, "disc 1.1 -> NEXT")
        floor.play(DOCK, "P1 -> DONE")
        plan(
            person=[{"code": code("P", 4), "name": "Dov", "roles": ["line", "quality"]}],
            withdrawn_badge=[{"badge": ADA, "reason": "left the plant"}],
        )
        told = {station: floor.scan(station, "sleeve 1").sentence for station in (LINE, DOCK)}
        assert told[LINE].endswith("Scan STOP and do what it says; then somebody else scans their badge.")
        assert told[DOCK].endswith("). Somebody else scans their badge.")

    def test_the_old_and_the_new_badge_of_one_person_are_one_person(self, floor, plan):
        """Ada began a clearance with the badge that she lost since: her new one is no second person."""
        floor.press(2)
        floor.scan(LINE, "P1", "CLEAR")
        new = code("P", 9)
        plan(replaced_badge=[{"badge": ADA, "new_badge": new, "reason": "lost"}])
        floor.play(
            LINE,
            """
            P9 -> DONE; Ada is signed on. Scan CLEAR, then a second person's badge.
            CLEAR -> NEXT
            P9 -> STOP same-person
            P2 -> DONE
            """,
        )
        assert_whole(floor)

    def test_what_somebody_began_whose_badge_counts_no_longer_nobody_finishes(self, floor, plan):
        floor.scan(LINE, "P1", "CLEAR")
        floor.scan(DOCK, "P1", "DESTROY")
        plan(
            person=[{"code": code("P", 4), "name": "Dov", "roles": ["line", "quality"]}],
            withdrawn_badge=[{"badge": ADA, "reason": "left the plant"}],
        )
        floor.play(LINE, "P2 -> DONE; Ben is signed on. Scan CLEAR, then a second person's badge.")
        floor.play(
            DOCK, "P2 -> DONE; Ben is signed on. DESTROY cancelled: it was not finished. Scan an action card."
        )
        assert "line-cleared" not in floor.kinds()
        assert_whole(floor)

    def test_a_second_count_with_the_new_badge_of_who_counted_confirms_nothing(self, floor, plan):
        floor.open_line(1, [11], 1)
        floor.match(1, 2)
        floor.scan(LINE, "CLOSE", "COUNT", "carton 1", "#1")
        plan(replaced_badge=[{"badge": ADA, "new_badge": code("P", 9), "reason": "lost"}])
        floor.play(LINE, "P9 -> DONE\nCOUNT | carton 1 | #1 -> STOP count-differs")
        assert floor.read("carton", "units") == [(2,)]

    def test_a_withdrawn_badge_agrees_to_nothing_and_acts_in_no_command(self, floor, plan):
        plan(withdrawn_badge=[{"badge": BEN}])
        floor.play(LINE, "P1 | CLEAR | P2 -> STOP badge-withdrawn")
        with pytest.raises(RefusedByRule, match=f"badge {BEN} of Ben was withdrawn"):
            plan(by=BEN, second=None, location=[{"code": code("Y", 8), "name": "rack 8"}])

    def test_scans_of_before_are_judged_by_what_held_then(self, floor, plan):
        plan(withdrawn_badge=[{"badge": BEN}])
        floor.at = BEFORE
        floor.play(LINE, "P2 -> DONE")
        assert_whole(floor)

    def test_a_badge_used_after_its_time_is_a_finding(self, floor, plan):
        floor.at = BEFORE
        floor.play(LINE, "P2 | nonsense -> STOP wrong-symbology")
        floor.at = "2025-03-05T08:00:00+01:00"
        floor.play(LINE, "nonsense -> STOP wrong-symbology")
        plan(withdrawn_badge=[{"badge": BEN, "since": "2025-03-04"}])
        assert floor.read("finding", "subject", "found", finding="badge-used-after") == [(BEN, "1")]
        floor.at = BEFORE
        floor.play(DOCK, "P2 -> DONE")
        floor.at = "2025-03-05T08:00:00+01:00"
        floor.play(DOCK, "P2 -> STOP badge-withdrawn")
        assert_whole(floor)

    def test_a_lost_badge_is_replaced_with_its_roles(self, floor, plan):
        new = code("P", 9)
        plan(replaced_badge=[{"badge": BEN, "new_badge": new, "reason": "lost"}])
        floor.play(LINE, "P2 -> STOP badge-withdrawn")
        floor.play(LINE, "P9 -> DONE; Ben is signed on. Scan CLEAR, then a second person's badge.")
        assert floor.read("person_role", "role", order="role", person=new) == [("line",), ("quality",)]
        assert_whole(floor)

    def test_one_badge_a_person(self, floor, plan):
        told = refused(plan, person=[{"code": code("P", 9), "name": "Ben", "roles": ["line"]}])
        assert f"Ben has badge {BEN}: expected one badge a person" in told

    def test_the_last_person_of_quality_stays(self, floor, plan):
        told = refused(plan, withdrawn_badge=[{"badge": ADA}, {"badge": BEN}])
        assert "line 3: [[withdrawn_badge]] number 2: nobody would have the role quality from" in told
        assert floor.count("plant_change") == 0
        told = refused(
            plan,
            changed_roles=[{"badge": BEN, "roles": ["line"], "since": day(3)}],
            withdrawn_badge=[{"badge": ADA, "since": day(9)}],
        )
        assert "nobody would have the role quality" in told

    def test_one_of_two_may_leave_and_then_anybody_is_the_witness(self, floor, plan):
        plan(withdrawn_badge=[{"badge": BEN}])
        with pytest.raises(UsageError, match="expected --second BADGE"):
            plan(second=None, person=[{"code": code("P", 9), "name": "Dov", "roles": ["quality"]}])
        plan(second=CLEO, person=[{"code": code("P", 9), "name": "Dov", "roles": ["quality"]}])
        told = refused(plan, second=CLEO, changed_roles=[{"badge": CLEO, "roles": ["press", "quality"]}])
        assert "Cleo cannot be the second person: that needs the role quality" in told
        assert_whole(floor)

    def test_a_forged_grant_of_roles_is_named(self, floor, plan):
        plan(by=ADA, second=BEN, changed_roles=[{"badge": CLEO, "roles": ["press", "quality"]}])
        entry, _scans = recorded(floor)[-1]
        assert (entry.kind, entry.stamp.person, entry.reason) == ("roles-changed", ADA, "as agreed")
        assert entry.body["second_person"] == BEN


class TestRoles:
    def test_roles_hold_from_their_day_on(self, floor, plan):
        floor.play(PRESS, "P3 -> DONE")
        plan(changed_roles=[{"badge": CLEO, "roles": ["line"], "since": day(2)}])
        with floor.ledger.reading() as conn:
            assert SqlStationQueries(conn).person(CLEO).roles == {"press"}
        floor.play(PRESS, "SETUP -> STOP wrong-role")
        floor.play(LINE, "P3 -> DONE")
        floor.at = BEFORE
        floor.play(OTHER_PRESS, "P3 | SETUP -> NEXT")
        assert_whole(floor)

    def test_who_may_not_pack_any_more_is_told_while_packing(self, floor, plan):
        floor.open_line(1, [11], 1)
        floor.play(LINE, "P2 | disc 1.1 -> NEXT")
        plan(changed_roles=[{"badge": BEN, "roles": ["quality"]}])
        floor.play(LINE, "sleeve 1 -> STOP wrong-role")
        floor.play(LINE, "STOP -> DONE")
        floor.play(LINE, "P1 | disc 1.1 | sleeve 1 -> MATCH")
        assert_whole(floor)

    def test_roles_need_two_people_of_quality_and_a_reason(self, floor, plan):
        wanted = {"changed_roles": [{"badge": CLEO, "roles": ["line"]}]}
        assert "expected --second BADGE" in refused(plan, second=None, **wanted)
        assert "Ada cannot be both people" in refused(plan, second=ADA, **wanted)
        assert "reason is missing: expected why" in refused(plan, reason=None, **wanted)
        assert "Cleo may not change the plant" in refused(plan, by=CLEO, **wanted)
        assert floor.count("plant_change") == 0


class TestProducts:
    def test_a_carton_closed_at_the_old_size_stays_full_and_the_next_takes_the_new(self, floor, plan):
        floor.open_line(1, [11, 12], 1)
        floor.match(1, 5)
        floor.play(LINE, "carton 2 -> DONE [0 of 5 in carton]")
        plan(changed_product=[{"gtin": gtin(1), "carton_size": 3}])
        floor.match(1, 2)
        floor.play(LINE, "disc 1.1 | sleeve 1 -> MATCH [3 of 3 in carton]")
        floor.play(LINE, "disc 1.1 -> STOP carton-full")
        floor.play(LINE, "carton 3 -> DONE [0 of 3 in carton]")
        assert floor.read("carton", "units", "status", order="sscc")[:2] == [(5, "closed"), (3, "closed")]
        assert_whole(floor)

    def test_a_size_that_an_open_carton_holds_more_than_is_refused(self, floor, plan):
        floor.open_line(1, [11], 1)
        floor.match(1, 3)
        told = refused(plan, changed_product=[{"gtin": gtin(1), "carton_size": 2}])
        assert f"carton_size is 2, and carton {carton_sscc(1)} is open at {LINE} with 3 units" in told
        plan(changed_product=[{"gtin": gtin(1), "carton_size": 4}])

    def test_a_title_is_told_by_the_time_of_the_scan(self, floor, plan):
        plan(changed_product=[{"gtin": gtin(1), "title": "Paper Comet Algebra"}])
        floor.play(LINE, 'P1 | CLEAR | P2 | B1 -> DONE; Sleeves of "Paper Comet Algebra" EX 101 are open...')
        floor.at = BEFORE
        floor.play(
            OTHER_LINE, 'P1 | CLEAR | P2 | B1 -> DONE; Sleeves of "Paper Comet Arithmetic" EX 101 are open...'
        )

    def test_what_changes_nothing_or_is_past_is_refused(self, floor, plan):
        same = {"gtin": gtin(1), "title": "Paper Comet Arithmetic"}
        assert "nothing changes" in refused(plan, changed_product=[same])
        past = {"gtin": gtin(1), "title": "New", "since": day(-1)}
        told = refused(plan, changed_product=[past])
        assert f"since is {day(-1)}, before today" in told
        assert f"expected {TODAY} or later" in told
        assert "is not in the system" in refused(plan, changed_product=[{"gtin": gtin(9), "title": "New"}])


class TestThings:
    def test_a_print_that_is_superseded_stops_the_line_that_packs_it(self, floor, plan):
        floor.open_line(1, [11], 1)
        floor.match(1)
        plan(superseded_print=[{"code": n("B1")}])
        floor.play(
            LINE,
            """
            disc 1.1 -> STOP superseded-sleeve
            B1 -> STOP superseded-sleeve
            B6 -> DONE
            disc 1.1 | sleeve 1 -> MATCH [2 of 5 in carton]
            """,
        )
        assert "is superseded already" in refused(plan, superseded_print=[{"code": n("B1")}])
        assert "is superseded already" in refused(plan, superseded_print=[{"code": n("B4")}])
        plan(superseded_print=[{"code": n("I1")}])
        with floor.ledger.reading() as conn:
            assert SqlStationQueries(conn).kit_item(n("I1")).status == "superseded"
        assert_whole(floor)

    def test_a_setting_holds_from_its_day_on(self, floor, plan):
        plan(changed_setting=[{"name": "rest_minutes", "value": 60, "since": day(1)}])
        with floor.ledger.reading() as conn:
            queries = SqlStationQueries(conn)
            assert queries.setting("rest_minutes") == 0
            queries.at = f"{day(2)}T00:00:00+00:00"
            assert queries.setting("rest_minutes") == 60
        told = refused(plan, changed_setting=[{"name": "rest_minuts", "value": 60}])
        assert "name is 'rest_minuts': expected one of rest_minutes, " in told

    def test_a_station_is_closed_when_nothing_is_open_there(self, floor, plan):
        floor.open_line(1, [11], 1)
        told = refused(plan, closed_station=[{"station": LINE}])
        assert (
            f"station {LINE} cannot be closed: carton {carton_sscc(1)} is open with 0 units, Ada is signed on"
            in told
        )
        floor.match(1)
        floor.play(LINE, "CLOSE -> DONE")
        plan(closed_station=[{"station": LINE, "reason": "sold"}])
        floor.play(LINE, f"P1 -> STOP station-closed; Station {LINE} was closed...")
        assert "is closed already" in refused(plan, closed_station=[{"station": LINE}])
        assert_whole(floor)

    def test_a_station_is_closed_from_a_day_on_and_finishes_what_is_open_then(self, floor, plan):
        floor.open_line(1, [11], 1)
        plan(closed_station=[{"station": LINE, "since": "2031-03-05"}])
        assert "is closed already" in refused(plan, closed_station=[{"station": LINE}])
        floor.at = "2031-03-04T08:00:00+01:00"
        floor.play(LINE, "disc 1.1 | sleeve 1 -> MATCH [1 of 5 in carton]")
        floor.at = "2031-03-06T08:00:00+01:00"
        floor.play(
            LINE,
            f"""
            disc 1.1 | sleeve 1 x 4 -> MATCH [5 of 5 in carton]
            carton 2 -> STOP station-closed; Station {LINE} was closed...
            CLOSE -> DONE
            disc 1.1 -> STOP station-closed
            P1 -> STOP station-closed
            """,
        )
        assert_whole(floor)

    def test_a_dock_that_is_closed_finishes_its_pallet_and_begins_none(self, floor, plan):
        floor.open_line(1, [11], 1)
        floor.match(1)
        floor.scan(LINE, "CLOSE")
        plan(closed_station=[{"station": DOCK, "since": "2031-03-05"}])
        floor.at = "2031-03-04T08:00:00+01:00"
        floor.play(DOCK, "P1 | PALLET | pallet 1 -> DONE")
        floor.at = "2031-03-06T08:00:00+01:00"
        floor.play(DOCK, "carton 1 | CLOSE -> DONE\nPALLET -> STOP station-closed")
        assert_whole(floor)

    def test_a_press_with_a_lot_on_it_is_not_closed(self, floor, plan):
        floor.scan(PRESS, "P1", "SETUP", "L5")
        assert "SETUP is not finished" in refused(plan, closed_station=[{"station": PRESS}])


def test_another_program_that_has_the_ledger_open_takes_notice(tmp_path):
    floor = Floor.new(str(tmp_path / "plant.db"))
    floor.play(LINE, "P2 -> DONE")
    file = write_plant_file(tmp_path / "gone.toml", {"withdrawn_badge": [{"badge": BEN, "reason": "left"}]})
    with Ledger.open(str(tmp_path / "plant.db")) as other:
        plant_files.add(other, file, PlannedBy(Badge(ADA)))
    floor.play(LINE, "P2 -> STOP badge-withdrawn")
    floor.ledger.close()


def test_from_the_first_file_of_a_person_on_none_comes_from_nobody(floor, plan):
    with floor.ledger.writing() as booking:
        booking.record(LocationNamed(code("Y", 8), "rack 8"), Stamp(floor.at, "2031-03-03T07:00:00Z"))
    assert faults(floor) == []
    plan(location=[{"code": code("Y", 9), "name": "rack 9"}])
    assert faults(floor) == []
    with floor.ledger.writing() as booking:
        booking.record(LocationNamed(code("Y", 10), "rack 10"), Stamp(floor.at, "2031-03-03T07:00:00Z"))
    assert [told for told in faults(floor) if "names nobody" in told] != []


def test_an_order_of_a_person_says_nothing_of_plant_files(floor):
    """Programs that took plant files from nobody took orders from people: their ledgers are as true as before."""
    with floor.ledger.writing() as booking:
        order = OrderTaken(code("O", 9), "Shop 9", "FR", gtin(1), 50)
        booking.record(order, Stamp(floor.at, "2031-03-03T07:00:00Z", person=ADA))
        booking.record(LocationNamed(code("Y", 8), "rack 8"), Stamp(floor.at, "2031-03-03T07:00:00Z"))
    assert faults(floor) == []


class TestDocumentsOfThen:
    """What is old stays true: a document names things as they were called when what it is about was made."""

    @pytest.fixture
    def renamed(self, floor, plan):
        plan(
            changed_product=[{"gtin": gtin(1), "title": "Paper Comet Algebra", "catalogue_number": "EX 901"}],
            changed_setting=[{"name": "drill_minutes", "value": 90}],
        )
        return floor

    def test_a_lot_is_called_as_when_it_was_pressed(self, floor, plan):
        floor.at = BEFORE
        floor.press(5, press=OTHER_PRESS)
        plan(
            changed_product=[{"gtin": gtin(1), "title": "Paper Comet Algebra", "catalogue_number": "EX 901"}]
        )
        with floor.ledger.reading() as conn:
            old, new, unpressed = (SqlRecords(conn).lot(n(lot)) for lot in ("L5", "L1", "L2"))
        assert (old.title, old.catalogue_number) == ("Paper Comet Arithmetic", "EX 101")
        assert (new.title, new.catalogue_number) == ("Paper Comet Algebra", "EX 901")
        assert unpressed.title == "Moth Parliament"

    def test_a_packing_list_keeps_the_title_of_the_day_it_left(self, floor, plan):
        floor.at = BEFORE
        floor.press(5, press=OTHER_PRESS)
        floor.play(LAB, 'P1 | RELEASE | L5 | "none bad -> DONE')
        floor.scan(OTHER_LINE, "P1", "CLEAR", "P2", "B1", "K51", "carton 1")
        floor.match(1, 5, OTHER_LINE)
        floor.scan(OTHER_LINE, "carton 2")
        floor.scan(
            DOCK,
            "P1",
            "PALLET",
            "pallet 1",
            "carton 1",
            "CLOSE",
            "ACCEPT",
            "pallet 1",
            "SHIP",
            "O1",
            "pallet 1",
        )
        with floor.ledger.reading() as conn:
            shipment = SqlStationQueries(conn).open_shipment(DOCK)[0]
        floor.play(DOCK, "DEPART -> DONE")
        plan(changed_product=[{"gtin": gtin(1), "title": "Paper Comet Algebra"}])
        with floor.ledger.reading() as conn:
            left, now = packlist(conn, shipment), packlist(conn, carton_sscc(1))
        assert {line.title for line in (*left.cartons, *left.lines)} == {"Paper Comet Arithmetic"}
        assert [line.title for line in now.cartons] == ["Paper Comet Algebra"]

    def test_reports_go_by_the_setting_that_holds_and_say_since_when(self, renamed):
        with renamed.ledger.reading() as conn:
            found = setting_with_source(conn, "drill_minutes")
        assert (found.value, found.source[:17]) == (90, "plant file, from ")

    def test_a_product_is_found_by_every_title_it_had(self, renamed):
        with renamed.ledger.reading() as conn:
            for words in ("Comet Algebra", "Comet Arithmetic", "EX 901"):
                found = searching.search(conn, words, 20)
                assert gtin(1) in [hit.code for hit in found.hits], words


def test_a_setting_that_an_older_ledger_lacks_is_its_default_and_looked_up_once(floor):
    asked = []
    with floor.ledger._engine.begin() as conn:
        change(conn, "setting", {"name": "not known then"}, name="clock_ahead_days")
        queries = SqlStationQueries(conn)
        conn.connection.driver_connection.set_trace_callback(asked.append)
        assert [queries.setting("clock_ahead_days") for _scan in range(3)] == [30, 30, 30]
        conn.connection.driver_connection.set_trace_callback(None)
    assert len([one for one in asked if "FROM setting" in one]) == 1
