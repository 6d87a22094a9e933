"""A journal that a second process replays is judged as by one, whatever that process meets."""

import os
import tempfile
import threading

import pytest
from support_schema import lay_down_tables
from support_tamper import CLASSES, Ledgers, campaign

from tracelink.store.database import scratch
from tracelink.store.journal import replay_beside, verify
from tracelink.store.ledger import Ledger


@pytest.fixture(scope="module")
def ledgers(tmp_path_factory):
    return Ledgers(tmp_path_factory.mktemp("beside"))


@pytest.fixture
def beside(monkeypatch, tmp_path):
    """Every journal is replayed by a second process, with its file in a folder of its own."""
    monkeypatch.setattr(verify, "pays", lambda _live: True)
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    yield
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(ChildProcessError):
        os.waitpid(-1, os.WNOHANG)


def in_turn(monkeypatch):
    """Let this process replay."""
    monkeypatch.setattr(verify, "pays", lambda _live: False)


def never(*_args):
    raise AssertionError("replayed in this process")


def examined(ledgers, monkeypatch):
    """What is found of a whole ledger, with scans in its spool; each entry is reached once."""
    monkeypatch.setattr(scratch, "lay_down_schema", lay_down_tables)
    ledger = Ledger.open(str(ledgers.base), read_only=True)
    reached = []
    try:
        with ledger.reading() as conn:
            found = verify.examine(conn, ledgers.kept, reached.append)
    finally:
        ledger.close()
    assert reached == [*range(1, ledgers.size + 1)]
    return found


@pytest.mark.usefixtures("beside")
def test_a_whole_ledger_is_found_whole_and_not_replayed_in_this_process(ledgers, monkeypatch):
    with monkeypatch.context() as patched:
        patched.setattr(verify, "Replaying", never)
        found = examined(ledgers, monkeypatch)
    in_turn(monkeypatch)
    assert found == examined(ledgers, monkeypatch)
    assert found.faults == []


@pytest.mark.usefixtures("beside")
@pytest.mark.parametrize("name", CLASSES)
def test_what_is_wrong_is_told_in_the_same_words(ledgers, monkeypatch, name):
    told = Ledgers.sentences

    def both(self, place, kept):
        found = told(self, place, kept)
        with monkeypatch.context() as patched:
            in_turn(patched)
            assert told(self, place, kept) == found
        return found

    monkeypatch.setattr(Ledgers, "sentences", both)
    assert campaign(ledgers, name, 2, seed=20310304).told > 0


@pytest.mark.usefixtures("beside")
@pytest.mark.parametrize("end", [lambda *_args: os._exit(9), never], ids=["killed", "stumbles"])
def test_where_the_second_process_ends_early_this_one_replays(ledgers, monkeypatch, end):
    monkeypatch.setattr(replay_beside, "entries_said", end)
    assert examined(ledgers, monkeypatch).faults == []


@pytest.mark.usefixtures("beside")
def test_where_no_process_can_begin_this_one_replays(ledgers, monkeypatch):
    def full():
        raise BlockingIOError("no room for another process")

    monkeypatch.setattr(os, "fork", full)
    assert examined(ledgers, monkeypatch).faults == []


@pytest.mark.usefixtures("beside")
def test_nothing_is_left_behind_where_reading_is_broken_off(ledgers, monkeypatch):
    def stop(_seq):
        raise KeyboardInterrupt

    ledger = Ledger.open(str(ledgers.base), read_only=True)
    with pytest.raises(KeyboardInterrupt), ledger.reading() as conn:
        verify.examine(conn, progress=stop)
    ledger.close()


def test_a_second_process_begins_for_a_long_journal_on_an_idle_processor(ledgers, monkeypatch):
    monkeypatch.setattr(threading, "active_count", lambda: 1)
    monkeypatch.setattr(os, "sched_getaffinity", lambda _pid: {0, 1})
    monkeypatch.setattr(os, "getloadavg", lambda: (1.0, 9.0, 9.0))
    ledger = Ledger.open(str(ledgers.base), read_only=True)
    with ledger.reading() as conn:
        assert not replay_beside.pays(conn)
        monkeypatch.setattr(replay_beside, "LEAST", ledgers.size)
        assert replay_beside.pays(conn)
        with monkeypatch.context() as patched:
            patched.setattr(os, "sched_getaffinity", lambda _pid: {0})
            assert not replay_beside.pays(conn)
        with monkeypatch.context() as patched:
            patched.setattr(os, "getloadavg", lambda: (1.5, 0.0, 0.0))
            assert not replay_beside.pays(conn)
        monkeypatch.setattr(threading, "active_count", lambda: 2)
        assert not replay_beside.pays(conn)
    ledger.close()
