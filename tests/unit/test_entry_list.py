"""Entries by station, kind, person and day: the pages together are what reading every entry finds, each once."""

import pytest
from support_plant import DOCK, LINE, Floor, code, n

from tracelink.facts.upkeep.journal_page import EntriesAsked
from tracelink.ledger.entry import Stamp
from tracelink.ledger.entry_tally import BLOCK
from tracelink.ledger.kinds.warehouse import LocationNamed
from tracelink.store.compact.stored_rows import said
from tracelink.store.journal import entry_list, journal
from tracelink.store.journal.entry_list import entries_before

RARE = {BLOCK - 5, 2 * BLOCK + 3, 4 * BLOCK, 4 * BLOCK + 1}


@pytest.fixture(scope="module")
def floor():
    made = Floor.copy()
    with made.ledger.transaction() as conn:
        while (head := journal.head(conn)).seq < 4 * BLOCK + 9:
            seq = head.seq + 1
            stamp = Stamp(
                f"2031-03-{4 + seq % 5:02d}T23:30:00-05:00",
                "2031-03-09T08:00:00Z",
                station=DOCK if seq in RARE else LINE,
                person=n("P2") if seq % 3 else n("P1"),
            )
            journal.append(conn, journal.NewEntry(LocationNamed(f"Y{seq:07d}", "rack"), stamp))
    return made


def every(conn):
    stored = conn.exec_driver_sql("SELECT stored FROM journal ORDER BY seq DESC").scalars()
    return [said(each) for each in stored]


def pages(conn, asked, most=50):
    found, newest = [], None
    while True:
        page = entries_before(conn, asked, newest, most)
        assert len(page.entries) <= most
        found += [each.seq for each in page.entries]
        if page.older is None:
            return found
        newest = page.older


ASKED = {
    "all": (EntriesAsked(), lambda _entry: True),
    "station": (EntriesAsked(station=DOCK), lambda entry: entry["station"] == DOCK),
    "kind": (EntriesAsked(kind="plant-described"), lambda entry: entry["kind"] == "plant-described"),
    "person": (EntriesAsked(person=n("P1")), lambda entry: entry["person"] == n("P1")),
    "days": (
        EntriesAsked(since="2031-03-05", until="2031-03-06"),
        lambda entry: entry["event_time"][:10] in ("2031-03-05", "2031-03-06"),
    ),
    "both": (
        EntriesAsked(station=LINE, person=n("P2"), since="2031-03-08"),
        lambda entry: (entry["station"], entry["person"]) == (LINE, n("P2")) and entry["event_time"] >= "2031-03-08",
    ),
    "nobody": (EntriesAsked(person=code("P", 77)), lambda _entry: False),
}  # fmt: skip


@pytest.mark.parametrize("case", ASKED)
def test_the_pages_together_are_what_reading_every_entry_finds(floor, case):
    asked, is_such = ASKED[case]
    with floor.ledger.reading() as conn:
        assert pages(conn, asked) == [entry["seq"] for entry in every(conn) if is_such(entry)]


def test_a_page_says_from_where_the_next_goes_on(floor):
    with floor.ledger.reading() as conn:
        page = entries_before(conn, EntriesAsked(), 100, 7)
        assert [each.seq for each in page.entries] == [100, 99, 98, 97, 96, 95, 94]
        assert (page.newest, page.older) == (100, 93)
        last = entries_before(conn, EntriesAsked(), 7, 7)
        assert (len(last.entries), last.older) == (7, None)


def test_a_question_that_finds_little_ends_early_and_goes_on_where_it_ended(floor, monkeypatch):
    monkeypatch.setattr(entry_list, "_MOST_READ", 300)
    asked, is_such = ASKED["nobody"][0], EntriesAsked(since="2031-03-04", until="2031-03-04", station=DOCK)
    with floor.ledger.reading() as conn:
        days = EntriesAsked(since="1999-01-01", until="1999-01-02")
        page = entries_before(conn, days, None, 50)
        assert page.entries == ()
        assert page.older is not None
        assert pages(conn, days) == []
        assert pages(conn, asked) == []
        assert pages(conn, is_such) == [
            entry["seq"]
            for entry in every(conn)
            if entry["station"] == DOCK and entry["event_time"][:10] == "2031-03-04"
        ]


def test_blocks_without_what_is_asked_for_are_not_read(floor):
    with floor.ledger.reading() as conn:
        size = conn.execute(entry_list._LAST).scalar()
        stretches = list(entry_list._stretches(conn, EntriesAsked(station=DOCK), size, 4 * BLOCK + 9))
        none = list(entry_list._stretches(conn, EntriesAsked(station=DOCK, kind="never"), size, 2 * BLOCK))
    assert stretches == [
        (4 * BLOCK, 4 * BLOCK + 9),
        (3 * BLOCK, 4 * BLOCK),
        (2 * BLOCK, 3 * BLOCK),
        (0, BLOCK),
    ]
    assert none == []
