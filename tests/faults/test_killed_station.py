"""Acknowledged is durable: kill -9 of a station in the middle of a stream of scans, on both engines.

`RUNOUT_CAMPAIGN=20` kills twenty times as often, each time after another number of verdicts.
"""

import random
import signal
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest
from support_campaign import tries
from support_ledgers import filled
from support_open_carton import open_carton
from support_plant import LINE, START, Floor

from runout import copy_ledger
from tracelink.store.journal.rebuild import rebuild
from tracelink.store.ledger import Ledger

SEED = 1
_MORE = random.Random(SEED)
SHOWN = [1, 2, 31, 64, *(_MORE.randrange(3, 300) for _ in range(tries(4) - 4))]
"""Verdicts after which it is killed."""
ENGINES = [("sqlite", shown) for shown in SHOWN] + [("postgresql", shown) for shown in SHOWN[: tries(2)]]

STREAM = """
    import sys
    sys.path.insert(0, {tests!r})
    from support_plant import LINE, gtin, raw_disc, raw_sleeve
    from tracelink.store.ledger import Ledger
    ledger = Ledger.open({place!r})
    while True:
        for line in (raw_disc(gtin(1), 1, 1), raw_sleeve(gtin(1))):
            verdict = ledger.scan(LINE, line, {at!r})
            print(verdict.word.value, verdict.count, flush=True)
"""


@pytest.fixture
def place(engine, tmp_path, request):
    made = filled(tmp_path / "plant.db", open_carton)
    if engine == "sqlite":
        return str(made)
    server = request.getfixturevalue("pg_place")
    copy_ledger(made, server)
    return server


@pytest.mark.parametrize(("engine", "printed"), ENGINES)
def test_every_verdict_shown_before_the_kill_is_in_the_ledger(place, printed):
    program = textwrap.dedent(STREAM.format(tests=str(Path(__file__).parents[1]), place=place, at=START))
    with subprocess.Popen([sys.executable, "-c", program], stdout=subprocess.PIPE, text=True) as process:
        shown = [process.stdout.readline().split() for _ in range(printed)]
        process.send_signal(signal.SIGKILL)
        shown += [line.split() for line in process.stdout.read().splitlines()]
    assert process.returncode == -signal.SIGKILL
    matches = sum(word == "MATCH" for word, *_ in shown)

    again = Floor(Ledger.open(place))
    # Booked, not read: a server may still be at the last scan of a program that is gone.
    with again.ledger.transaction():
        pass
    assert again.ledger.verify() == again.ledger.head()
    spooled = again.spooled_matches()
    scans = again.count("spool")
    # One scan may have been booked whose verdict the kill kept from being shown, never the other way round.
    assert scans - len(shown) in (0, 1)
    assert matches <= spooled <= matches + 1
    # The run reopens where it was: a disc in hand still waits for its sleeve.
    if scans % 2:
        again.play(LINE, "sleeve 1 -> MATCH")
    again.play(LINE, "disc 1.1 | sleeve 1 -> MATCH")
    units = spooled + scans % 2 + 1
    assert again.verdicts[-1].count == f"{units} of 400 in carton"
    again.play(LINE, "CLOSE -> DONE")
    assert again.read("carton", "units") == [(units,)]
    with again.ledger.transaction() as conn:
        rebuild(conn)
    assert again.read("carton", "units") == [(units,)]
    again.ledger.close()
