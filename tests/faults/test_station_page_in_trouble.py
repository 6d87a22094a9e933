"""A station page while its ledger is in trouble, or its tablet's clock: a sentence on the page, nothing lost, nothing twice."""

from datetime import UTC, datetime, timedelta

from support_browser import StationTab
from support_plant import LINE, raw
from support_web import served

from runout import open_ledger
from tracelink.store.compact.stored_rows import said
from tracelink.web.station import seats

OPENING = ("P1", "CLEAR", "P2", "B1", "K11", "carton 1")


def last_scan(place):
    with open_ledger(place, read_only=True) as ledger, ledger.stations._ledger.reading() as conn:
        return conn.exec_driver_sql(f"SELECT last_number FROM station WHERE code = '{LINE}'").scalar()


def stopped(page, line):
    """Scan what cannot be booked, and return what the page says."""
    page.tab.evaluate("delete document.body.dataset.sounded")
    page.type(line)
    page.tab.wait_for_selector('body[data-sounded="STOP"]')
    return page.text("#said") or page.text("#away")


def test_a_full_disk_stops_the_page_and_the_scan_is_made_again(tabs, place, monkeypatch):
    """SQLite's own page limit stands in for the disk: it is reported by the same error, SQLITE_FULL."""
    opened = []

    def noted(*given, **how):
        opened.append(open_ledger(*given, **how))
        return opened[-1]

    monkeypatch.setattr(seats, "open_ledger", noted)
    with served(place) as port:
        line = StationTab(tabs, port, LINE).is_open()
        line.scan(*OPENING, "disc 1.1", "sleeve 1")
        with opened[-1].stations._ledger._engine.connect() as conn:
            limited = conn.connection.dbapi_connection
        pages = limited.execute("PRAGMA page_count").fetchone()[0]
        limited.execute(f"PRAGMA max_page_count = {pages}")
        before = line.number
        # Refusals with long texts fill the room that is left.
        for number in range(200):
            told = stopped(line, f"]C0{'X' * 900}{number}")
            if "is full" in told:
                break
        assert f"the disk that holds {place} is full: nothing was booked; make room and scan again" in told
        assert line.text("#word") == "STOP"
        booked = line.number
        assert booked == before + number == last_scan(place)
        assert "is full" in stopped(line, f"]C0{'Y' * 900}")
        assert last_scan(place) == booked
        limited.execute("PRAGMA max_page_count = 1000000")
        line.done(lambda: line.type(f"]C0{'Z' * 900}"))
        assert line.number == last_scan(place) == booked + 1
    with open_ledger(place) as ledger:
        assert ledger.verify(judge_again=True).faults == ()


def test_a_damaged_ledger_is_told_and_takes_nothing(tabs, place):
    with served(place) as port:
        line = StationTab(tabs, port, LINE).is_open()
        line.scan(*OPENING, "disc 1.1")
    whole = place.read_bytes()
    place.write_bytes(whole[:4096] + b"\xa5" * (len(whole) - 4096))
    with served(place, at=port):
        line.tab.wait_for_selector("#away .big:has-text('NOT OPEN')")
        told = line.text("#away .more")
        line.type(raw("UNDO"))
    assert told.startswith(f"The ledger {place} is damaged: database disk image is malformed. Keep the file")
    assert place.read_bytes()[4096:] == b"\xa5" * (len(whole) - 4096)
    place.write_bytes(whole)
    with served(place, at=port):
        line.is_open()
        assert line.number == last_scan(place) == 7
        assert line.scan("sleeve 1") == "MATCH"


def test_the_clock_of_the_tablet_does_not_matter(tabs, place):
    with served(place) as port:
        line = StationTab(tabs, port, LINE)
        line.tab.clock.set_system_time(line.tab.evaluate("Date.now()") + 14 * 3_600_000)
        line.is_open()
        line.scan(*OPENING, "disc 1.1")
        assert line.scan("sleeve 1") == "MATCH"
    with open_ledger(place, read_only=True) as ledger, ledger.stations._ledger.reading() as conn:
        rows = conn.exec_driver_sql("SELECT stored FROM journal ORDER BY seq DESC LIMIT 4").all()
    times = [datetime.fromisoformat(said(row[0])["event_time"]) for row in rows]
    assert all(abs(datetime.now(UTC) - each) < timedelta(hours=2) for each in times)
