"""Scans that one transaction both takes and seals need no row in the spool; whoever asks the spool finds those that wait."""

import pytest
from sqlalchemy import select, text
from support_plant import LINE, Floor, carton_sscc, gtin, n, raw_disc, raw_sleeve
from support_plant import raw as raw_of

from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced
from tracelink.ledger.packs import RawScan
from tracelink.store.database.tables import SHADOW
from tracelink.store.database.tables_stations import last_scan, spool
from tracelink.store.journal import rebuild
from tracelink.store.ledger import Ledger
from tracelink.store.statements import short_reads

PAIR = (raw_disc(gtin(1), 1, 1), raw_sleeve(gtin(1)))
NOW = "2031-03-03T11:00:00Z"
AT = "2031-03-03T12:{:02}:{:02}+01:00"
SPOOLED = text("SELECT number FROM spool ORDER BY number")


@pytest.fixture
def place(tmp_path):
    floor = Floor.copy()
    floor.press(1, strokes=60, stacks=1)
    floor.open_line(1, [11], 1)
    return str(floor.saved(tmp_path / "line.db"))


def opened(place):
    return Ledger.open(place, now=lambda: NOW)


def scans(*raws, after=0):
    return [
        RawScan(number, AT.format(number // 12, 5 * (number % 12)), raw)
        for number, raw in enumerate(raws, after + 1)
    ]


def book(booking, raws):
    first = booking.last_number(LINE)
    return [booking.book(LINE, scan) for scan in scans(*raws, after=first)]


def all_rows(ledger):
    with ledger.reading() as conn:
        tables = (*SHADOW, spool, last_scan)
        return ledger.head(), [sorted(map(repr, conn.execute(select(table)))) for table in tables]


DAY = (*PAIR * 5, "CLOSE", carton_sscc(2), *PAIR * 3, PAIR[0], raw_sleeve(gtin(2)), *PAIR, *PAIR * 2, PAIR[0])
"""Ten scans that are sealed with a carton, a wrong sleeve, and a disc whose sleeve never comes."""


def test_many_scans_in_one_transaction_leave_the_ledger_as_one_by_one(place, tmp_path):
    copy = tmp_path / "copy.db"
    copy.write_bytes((tmp_path / "line.db").read_bytes())
    raws = [raw_of(line) for line in DAY]
    with opened(place) as ledger:
        with ledger.writing() as booking:
            together = [verdict.word for verdict in book(booking, raws)]
        left = all_rows(ledger)
        with ledger.transaction() as conn:
            rebuild.rebuild(conn)
        assert all_rows(ledger) == left
    with opened(str(copy)) as ledger:
        alone = []
        for raw in raws:
            with ledger.writing() as booking:
                alone += [verdict.word for verdict in book(booking, [raw])]
        assert (together, left) == (alone, all_rows(ledger))
    assert "STOP" in {word.name for word in alone}
    assert left[1][-2]


@pytest.mark.parametrize(
    "ask", [lambda conn: conn.execute(SPOOLED).all(), lambda conn: short_reads.rows(conn, SPOOLED, {})]
)
def test_whoever_asks_the_spool_within_the_transaction_finds_them(place, ask):
    with opened(place) as ledger, ledger.writing() as booking:
        assert ask(booking.connection) == []
        before = booking.last_number(LINE)
        book(booking, PAIR)
        assert booking.queries.spindle(n("K11")).remaining == 59
        assert [number for (number,) in ask(booking.connection)] == [before + 1, before + 2]
        book(booking, PAIR)
        assert booking.queries.spindle(n("K11")).remaining == 58
        assert len(ask(booking.connection)) == 4


def test_of_a_transaction_that_ends_badly_none_is_left(place):
    def fail(ledger):
        with ledger.writing() as booking:
            book(booking, PAIR)
            raise KeyboardInterrupt

    with opened(place) as ledger:
        before = all_rows(ledger)
        with pytest.raises(KeyboardInterrupt):
            fail(ledger)
        assert all_rows(ledger) == before
        with ledger.writing() as booking:
            assert booking.queries.spindle(n("K11")).remaining == 60
            book(booking, PAIR)


def test_an_answer_stands_until_the_next_entry_and_is_dropped_with_what_is_taken_back(place):
    held = HoldPlaced(n("H1"), n("K11"), (HeldItem(n("K11"), None, None),))
    with opened(place) as ledger:
        with ledger.writing() as booking:
            queries = booking.queries
            assert queries.hold_on_spindle(n("K11")) is None
            assert queries.hold_on(n("K11")) is None

            def try_it():
                with booking.attempt():
                    booking.record(held, Stamp(AT.format(0, 0), NOW), "looks dull")
                    assert queries.hold_on_spindle(n("K11")).hold == n("H1")
                    raise KeyboardInterrupt

            with pytest.raises(KeyboardInterrupt):
                try_it()
            assert queries.hold_on_spindle(n("K11")) is None
            [first] = book(booking, PAIR[:1])
            assert first.word.name == "NEXT"
        with opened(place) as other, other.writing() as booking:
            booking.record(held, Stamp(AT.format(0, 0), NOW), "looks dull")
        with ledger.writing() as booking:
            [second] = book(booking, PAIR[1:])
            assert second.word.name == "STOP"
            assert booking.queries.hold_on(n("K11")).hold == n("H1")
