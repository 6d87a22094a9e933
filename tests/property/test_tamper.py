"""A few of the changes of tests/bench/tamper.py, with a fixed seed: each is told, and told at its place."""

import pytest
from support_tamper import CLASSES, Ledgers, campaign

TRIALS = {
    "one byte of the file": 24,
    "one field of one row": 6,
    "tail written anew": 2,
    "a table of another day": 2,
}


@pytest.fixture(scope="module")
def ledgers(tmp_path_factory):
    return Ledgers(tmp_path_factory.mktemp("tamper"))


def test_an_unchanged_ledger_says_nothing(ledgers):
    assert ledgers.sentences(ledgers.copy(), ledgers.kept) == []


@pytest.mark.parametrize("name", CLASSES)
def test_every_change_that_matters_is_told_at_its_place(ledgers, name):
    trials = TRIALS.get(name, 3)
    tally = campaign(ledgers, name, trials, seed=20310303)
    assert tally.misses == []
    assert tally.badly_placed == []
    assert tally.told + sum(tally.harmless.values()) == trials
    assert tally.told > 0


def test_a_change_that_nothing_could_show_is_called_a_miss(ledgers, monkeypatch):
    """The campaign itself must be able to fail."""
    monkeypatch.setattr(Ledgers, "sentences", lambda *_args: [])
    tally = campaign(ledgers, "one field of one row", 2, seed=1)
    assert len(tally.misses) == 2
