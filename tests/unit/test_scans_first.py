"""Scans go before what stands beside a verdict."""

import threading

import pytest

from tracelink.errors import ScanCame
from tracelink.web.station.scans_first import ScansFirst

WAIT_S = 20


class Aside:
    """Something done in a thread of its own, with all that came of it."""

    def __init__(self, work):
        self.came, self._work = [], work
        self._thread = threading.Thread(target=self._run)
        self._thread.start()

    def _run(self):
        try:
            self._work(self.came.append)
        except ScanCame as problem:
            self.came.append(str(problem))

    def after_a_while(self):
        self._thread.join(0.05)
        return list(self.came)

    def ended(self):
        self._thread.join(WAIT_S)
        assert not self._thread.is_alive()
        return self.came


def test_who_looks_goes_on_while_nobody_scans():
    first = ScansFirst()
    with first.looking("W1") as give_way:
        give_way()
    with first.looking("W2") as give_way:
        give_way()


def test_the_next_scan_of_a_station_ends_what_is_looked_up_for_the_one_before():
    first = ScansFirst()
    with first.looking("W1") as give_way, first.scan("W1"), pytest.raises(ScanCame, match="the next scan of"):
        give_way()
    with first.scan("W1"), pytest.raises(ScanCame), first.looking("W1"):
        pass


def test_a_scan_elsewhere_goes_first_and_does_not_stop_it_for_ever():
    first = ScansFirst()
    with first.looking("W1") as give_way, first.scan("W2"):
        # On a floor where somebody always scans, it goes on after a while.
        give_way()


def test_it_goes_on_as_soon_as_the_scan_elsewhere_is_booked(monkeypatch):
    monkeypatch.setattr("tracelink.web.station.scans_first._LONGEST_S", WAIT_S)
    first, scanning = ScansFirst(), threading.Event()

    def look(note):
        with first.looking("W1") as give_way:
            scanning.wait(WAIT_S)
            give_way()
            note("went on")

    with first.scan("W2"):
        looks = Aside(look)
        scanning.set()
        assert looks.after_a_while() == []
    assert looks.ended() == ["went on"]


def test_one_station_at_a_time_looks_and_one_that_waits_is_ended_by_its_own_scan():
    first = ScansFirst()

    def look(note):
        with first.looking("W2"):
            note("looks")

    with first.looking("W1"):
        waits = Aside(look)
        assert waits.after_a_while() == []
        with first.scan("W2"):
            assert waits.ended() == ["the next scan of station W2 is there"]
        waits = Aside(look)
    assert waits.ended() == ["looks"]


def test_one_scan_is_booked_at_a_time_unless_the_ledger_is_kept_busy(monkeypatch):
    first = ScansFirst()

    def book(note):
        with first.turn():
            note("books")

    with first.turn():
        waits = Aside(book)
        assert waits.after_a_while() == []
    assert waits.ended() == ["books"]
    monkeypatch.setattr("tracelink.web.station.scans_first._TURN_S", 0.01)
    with first.turn():
        assert Aside(book).ended() == ["books"]
