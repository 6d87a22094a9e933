"""Every command of a day of work killed at some moment, then typed again, on both engines.

On request, as it takes minutes: `RUNOUT_CAMPAIGN=2 python -m pytest -s tests/faults/test_killed_day.py` kills every command twice. The
default run kills six of them (`test_killed_commands.py`), and what makes a ledger.

The moment is one of the processor time that the command uses, so that a busy machine kills it in the middle as well as a quiet one.
"""

import os
import random
import signal
from collections import Counter

import pytest
from support_campaign import TIMES, tries
from support_cases import shipped_file
from support_cli import run, write_plant_file
from support_clock import station_clock
from support_killed import ENGINES, ledger_on, whole
from support_typed_day import INVESTIGATION, day

from runout import open_ledger
from tracelink.store.ledger import read_ledger

SEED = 15
LONGEST_S = 0.15
"""Of processor time: most commands take less, once everything is imported."""


@pytest.fixture(params=ENGINES)
def place(request, tmp_path):
    return ledger_on(request, tmp_path)


def killed(words, place, scans, after_s):
    """Type a command in a process of its own that is killed when it was at work so long; returns whether it was not done by then."""
    child = os.fork()
    if child == 0:
        # As SIGKILL: the system ends the process, which gets to do nothing any more.
        signal.signal(signal.SIGPROF, signal.SIG_DFL)
        signal.setitimer(signal.ITIMER_PROF, after_s)
        os._exit(run(*words, ledger=place, scans=scans).code)
    return os.WIFSIGNALED(os.waitpid(child, 0)[1])


def investigation(place):
    with read_ledger(place) as conn:
        return conn.exec_driver_sql("SELECT MAX(seq) FROM investigation").scalar()


def head(place):
    with open_ledger(place) as opened:
        return opened.head[0]


@pytest.mark.skipif(TIMES == 1, reason="on request: RUNOUT_CAMPAIGN=2")
def test_every_command_of_a_day_is_carried_out_or_not_and_can_be_typed_again(place, tmp_path, monkeypatch):
    rng, fell = random.Random(SEED), Counter()
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("RUNOUT_PIN_KEY", "pin.key")
    with station_clock():
        run("health", ledger=place)
        before = whole(place)
        for made in day(tmp_path):
            words = [investigation(place) if word is INVESTIGATION else word for word in made.words]
            for _ in range(TIMES):
                was_killed = killed(words, place, made.scans, rng.uniform(0, LONGEST_S))
                after = whole(place)
                went_on, before = after - before, after
                assert went_on >= 0
                fell["killed after something was booked" if went_on else "killed before"] += was_killed
                fell["had ended"] += not was_killed
            again = run(*words, ledger=place, scans=made.scans)
            # 2 and 4: what the killed one had carried out is in the ledger already.
            assert again.code in (0, 1, 2, 4), (words, again)
            fell["typed again, and refused as done already"] += again.code in (2, 4)
            before = head(place)
    with open_ledger(place) as opened:
        assert opened.verify(judge_again=True).faults == ()
    print(f"seed {SEED}: {dict(fell)}; 0 half done")


@pytest.mark.parametrize("engine", ENGINES)
def test_making_a_ledger_that_is_killed_can_be_done_again(engine, request, tmp_path):
    rng = random.Random(SEED)
    fell = 0
    running = request.getfixturevalue("pg_running") if engine == "postgresql" else None
    plan = write_plant_file(tmp_path / "plant.toml")
    run("health", ledger=shipped_file(tmp_path))
    for number in range(tries(3)):
        place = tmp_path / f"new-{number}.db" if running is None else running.database()
        # On a server the key lies where it is said; each try has its own.
        words = ("init", "--plant", plan, "--key", tmp_path / f"key-{number}")
        fell += killed(words, place, "", rng.uniform(0, LONGEST_S))
        again = run(*words, ledger=place)
        if again.code:
            assert again.code == 2
            assert "exists already" in again.err, again
        assert whole(str(place)) > 0
    print(f"seed {SEED}: {fell} kills of {tries(3)} tries on {engine}; each could be made again")
