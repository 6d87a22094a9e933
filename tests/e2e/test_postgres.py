"""The same code and migrations run on PostgreSQL by changing the URL."""

import threading

import pytest
from sqlalchemy import text
from support_asking import contain
from support_clock import station_clock
from support_plant import (
    DOCK,
    LAB,
    LINE,
    LINE_2,
    carton_sscc,
    code,
    gtin,
    pallet_sscc,
    raw,
    raw_disc,
    raw_sleeve,
    stamper,
)

from runout import Badge, open_ledger
from tracelink.errors import RefusedByRule, StationTaken, StorageFailed
from tracelink.genealogy.containment.lives import lives_of
from tracelink.genealogy.model.shapes import Shape
from tracelink.ledger.entry import Stamp
from tracelink.ledger.proof import merkle_proofs
from tracelink.services.scope_document import scope_document
from tracelink.store.database.engine import ledger_url, open_engine
from tracelink.store.database.tables import SHADOW
from tracelink.store.journal import journal, rebuild, subtrees
from tracelink.store.journal.verify import examine
from tracelink.store.office import order_book
from tracelink.store.records.scope_facts import scope_facts
from tracelink.store.records.sql_records import SqlRecords
from tracelink.store.stations.claim import station_claim


def rows(floor):
    with floor.ledger.reading() as conn:
        return {table.name: sorted(map(tuple, conn.execute(table.select())), key=repr) for table in SHADOW}


def test_a_lot_runs_is_contained_held_and_rebuilt(pg_grown):
    floor = pg_grown
    floor.press(1)
    floor.open_line(1, [11, 12], 1)
    assert floor.match(1, 3).count == "3 of 5 in carton"
    floor.scan(
        LAB,
        "P1",
        "SAMPLE",
        "L1",
        "S1",
        "#3",
        "K11",
        "GOOD",
        "S1",
        "SAMPLE",
        "L1",
        "S2",
        "#19",
        "K12",
        "BAD",
        "S2",
        '"scratch',
    )
    with floor.ledger.reading() as conn:
        records = SqlRecords(conn)
        scope = contain(records, stamper("EX-101-A"), Shape.FROM_ONSET)
        lives = lives_of(scope)
        facts = scope_facts(conn, scope, [one.judgement for life in lives for one in life.judged])
        document = scope_document(records, scope, lives, facts, at=floor.at)
    # Every question of the document has been asked; what the answers are is tested on SQLite.
    assert (document.trigger.first_bad.stroke, document.trigger.first_bad.judged_by) == (19, "Ada")
    assert len(document.free) == 2
    assert [(tier.name.value, str(tier.strokes)) for tier in scope.tiers] == [
        ("cleared", "1-3"),
        ("possible", "4-18"),
        ("proven", "19-20"),
    ]
    floor.scan(LAB, "HOLD", "L1", '"scratch on side A')
    assert floor.scan(LINE, raw_disc(gtin(1), 1, 1)).finding == "on-hold"
    live, head = rows(floor), floor.ledger.verify()
    with floor.ledger.transaction() as conn:
        assert rebuild.rebuild(conn) == head
    assert rows(floor) == live


@pytest.mark.parametrize("statement", ["UPDATE journal SET kind = 'x'", "DELETE FROM journal WHERE seq = 1"])
def test_the_journal_is_append_only(pg_plant, statement):
    floor = pg_plant
    with pytest.raises(RefusedByRule, match="the journal is append-only"), floor.ledger.transaction() as conn:
        conn.execute(text(statement))


def test_two_lines_on_one_spindle_never_take_more_than_it_holds(pg_grown):
    floor = pg_grown
    floor.press(1, strokes=8, stacks=1)
    floor.open_line(1, [11], 1)
    floor.open_line(1, [11], 2, LINE_2)

    def pack(station):
        for _ in range(5):
            floor.ledger.scan(station, raw_disc(gtin(1), 1, 1), floor.at)
            floor.ledger.scan(station, raw_sleeve(gtin(1)), floor.at)

    threads = [threading.Thread(target=pack, args=(station,)) for station in (LINE, LINE_2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    cartons = carton_sscc(1), carton_sscc(2)
    sealed = sum(discs for one in cartons for (discs,) in floor.read("movement", "quantity", target=one))
    assert floor.spooled_matches() + sealed == 8
    floor.ledger.verify()


def test_the_warehouse_finds_allocates_picks_takes_back_and_rebuilds(pg_grown):
    floor = pg_grown
    floor.press(1)
    floor.open_line(1, [11], 1)
    floor.match(1, 2)
    floor.scan(LINE, "CLOSE", "carton 2")
    floor.match(1, 2)
    floor.scan(LINE, "CLOSE")
    floor.play(LAB, 'P1 | RELEASE | L1 | "good -> DONE')
    floor.play(
        DOCK, "P1 | PALLET | pallet 1 | carton 1 | CLOSE | ACCEPT | pallet 1 | PUT | pallet 1 | Y1 -> DONE"
    )
    stamp = Stamp(floor.at, "2031-03-03T07:30:00Z", person=code("P", 1))
    with floor.ledger.writing() as booking:
        kept, short, _barred = order_book.allocate(booking, code("O", 1), stamp)
    assert [(one.code, one.units) for one in kept] == [(pallet_sscc(1), 2), (carton_sscc(2), 2)]
    assert short == {gtin(1): 46}
    with floor.ledger.reading() as conn:
        [found] = order_book.find(conn, code("Y", 1))
    assert (found.code, found.kept_for) == (pallet_sscc(1), code("O", 1))
    floor.play(
        DOCK,
        """
        SHIP | O1 | pallet 1 | PICK | carton 2 | carton 2 | DRIVER | "Dora | DEPART -> DONE
        RETURN | carton 2 | "wrong | RESTOCK | carton 2 | "new | RETURN | carton 1 | "torn -> DONE
        RETURNNOMARK | "EX-101-A | #1 -> STOP more-than-shipped
        DESTROY | carton 1 | "no use | P2 | DESTROY | #3 | "no use | P2 | BREAK | carton 2 | "wet -> DONE
        REPACK | carton 2 | #1 | "short -> DONE
        """,
    )
    live, head = rows(floor), floor.ledger.verify()
    with floor.ledger.transaction() as conn:
        assert rebuild.rebuild(conn) == head
    assert rows(floor) == live


def test_a_station_is_open_in_one_terminal_only(pg_plant):
    """A disc scanned at one must not be matched with a sleeve scanned at the other."""
    floor = pg_plant
    with station_claim(floor.ledger.place, LINE):
        with (
            pytest.raises(
                RefusedByRule, match=f"station {LINE} is open in another terminal. Close it there first"
            ),
            station_claim(floor.ledger.place, LINE),
        ):
            pytest.fail("two terminals at one station")
        with station_claim(floor.ledger.place, LINE_2):
            floor.scan(LINE, "no code")
    with station_claim(floor.ledger.place, LINE):
        pass


def end_all_connections(place):
    """End every connection to a database, as a server that is started again does."""
    engine = open_engine(ledger_url(place))
    others = "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()"
    with engine.begin() as conn:
        conn.execute(text(others))
    engine.dispose()


def scan_until_back(here, code):
    """Scan until the connection is there again; the first one finds that it was lost."""
    try:
        return here.scan(raw(code))
    except StorageFailed:
        return here.scan(raw(code))


def test_a_station_whose_server_was_started_again_goes_on_if_nobody_took_its_place(pg_plant):
    place = pg_plant.ledger.place
    with open_ledger(place) as ledger, ledger.stations.live(LINE) as here:
        here.scan(raw("P1"))
        end_all_connections(place)
        assert scan_until_back(here, "CLEAR").finding is None
        with (
            open_ledger(place) as second,
            pytest.raises(RefusedByRule, match="is open in another terminal"),
            second.stations.live(LINE),
        ):
            pytest.fail("two terminals at one station")


def test_a_station_that_lost_its_place_books_nothing_more(pg_plant):
    place = pg_plant.ledger.place
    with (
        open_ledger(place) as ledger,
        ledger.stations.live(LINE) as here,
        open_ledger(place) as second,
    ):
        here.scan(raw("P1"))
        end_all_connections(place)
        with second.stations.live(LINE) as there:
            with pytest.raises(StationTaken, match=f"station {LINE} is open in another terminal now"):
                scan_until_back(here, "CLEAR")
            assert there.scan(raw("CLEAR")).finding is None
        with pytest.raises(StationTaken, match="its last scan here was 1, and it has 2 now"):
            here.scan(raw("P2"))


def test_the_tree_grows_is_proven_and_verified(pg_plant):
    floor = pg_plant
    floor.scan(LAB, *["no code"] * 40)
    with floor.ledger.reading() as conn:
        found = examine(conn)
        assert (found.faults, found.head) == ([], journal.head(conn))
        size = found.head.seq
        assert subtrees.root(conn, size) == found.root
        leaves = list(subtrees.leaves(conn))
        merkle_proofs.verify_inclusion(leaves[4], 4, size, found.root, subtrees.inclusion(conn, 5, size))
    with floor.ledger.transaction() as conn:
        conn.execute(text("UPDATE tree_node SET hash = decode(repeat('00', 32), 'hex') WHERE position = 1"))
        conn.execute(text("UPDATE product SET title = 'Another' WHERE gtin = :gtin"), {"gtin": gtin(1)})
        conn.execute(text("ALTER TABLE journal DISABLE TRIGGER journal_no_update"))
    with floor.ledger.reading() as conn:
        trigger, node, title = examine(conn).faults
    assert trigger == "the trigger journal_no_update of the schema is gone or switched off"
    assert node.startswith("the stored tree over entries 17 to 32 is 0000000000000000..., the entries give ")
    assert title == f"product {gtin(1)}: title is 'Another', the journal says 'Paper Comet Arithmetic'"


def test_scans_are_signed_and_judged_again(pg_grown, tmp_path):
    """The empty ledger that they are judged in is one of SQLite: both must answer alike."""
    floor = pg_grown
    floor.press(1)
    floor.open_line(1, [11, 12], 1)
    floor.match(1, 3)
    with open_ledger(floor.ledger.place) as ledger:
        key = ledger.stations.make_key(LINE, file=tmp_path / "line.key")
        ledger.stations.enrol_key(key.public, Badge(code("P", 1)), Badge(code("P", 2)), "its own machine")
        with station_clock(), ledger.stations.live(LINE, key=key.file) as line:
            verdicts = [
                line.scan(each) for each in (raw_disc(gtin(1), 1, 1), raw_sleeve(gtin(1)), raw("STOP"))
            ]
        assert [verdict.finding for verdict in verdicts] == [None, None, None]
        with pytest.raises(
            RefusedByRule, match="its key is not here: expected it in a file named with --key"
        ):
            ledger.stations.live(LINE).__enter__()
        found = ledger.verify(judge_again=True)
        assert found.faults == ()
        assert found.judged.not_judged == 0
        assert found.judged.forced > 80
    [(_station, first, last, _key, _value)] = floor.read(
        "scan_signature", "station", "first", "last", "key", "signature"
    )
    assert last == first + 2


def test_a_spool_whose_rows_lie_in_another_order_is_read_as_it_was_scanned(pg_grown):
    floor = pg_grown
    floor.press(1)
    floor.open_line(1, [11, 12], 1)
    floor.match(1, 2)
    floor.scan(LINE, raw_disc(gtin(1), 1, 1))
    live, head = rows(floor), floor.ledger.verify()
    with floor.ledger.transaction() as conn:
        # A server writes a row that it changes in another place, as its own cleaning may move any.
        conn.execute(text("UPDATE spool SET at = at WHERE number < (SELECT MAX(number) FROM spool)"))
        first = conn.execute(text("SELECT number FROM spool LIMIT 1")).scalar()
    assert first != min(number for (number,) in floor.read("spool", "number"))
    with floor.ledger.reading() as conn:
        assert examine(conn).faults == []
    with floor.ledger.transaction() as conn:
        assert rebuild.rebuild(conn) == head
    assert rows(floor) == live
    assert floor.scan(LINE, raw_sleeve(gtin(1))).count == "3 of 5 in carton"
