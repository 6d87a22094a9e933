"""The answer to the end of a transaction is lost: what is said of it is what the ledger says, or that nobody knows.

The database commits, or does not, and then fails as a disk or a connection does; whoever asked cannot tell which it was.
"""

import json
from contextlib import contextmanager

import pytest
from support_answers import Answers
from support_ledgers import filled, new_plant
from support_plant import TOOL, raw

from runout import Badge, open_ledger
from tracelink.cli import stations
from tracelink.cli.common.ending import ended
from tracelink.errors import BookingUnknown, StorageFailed
from tracelink.services.floor import log_replay
from tracelink.store.ledger import Ledger

LOST = (
    "it is not known whether this was booked, because the answer of the ledger {place} was lost (disk I/O error). Look what is "
    "booked before you do it again"
)


@pytest.fixture
def place(tmp_path):
    return filled(tmp_path / "plant.db", new_plant)


@pytest.fixture
def answers(monkeypatch):
    """Says what becomes of the next transaction that writes."""
    return Answers(monkeypatch)


@contextmanager
def opened(place, answers):
    with open_ledger(place) as ledger:
        answers.of_ledger(ledger)
        yield ledger


def numbers(place):
    """How many scans the tool room has booked, and how many entries there are."""
    with Ledger.open(str(place), read_only=True) as ledger, ledger.reading() as conn:
        last = conn.exec_driver_sql("SELECT last_number FROM station WHERE code = ?", (TOOL,)).scalar()
    with Ledger.open(str(place), read_only=True) as ledger:
        return last, ledger.head().seq


class TestAStation:
    def test_what_was_committed_has_its_verdict(self, place, answers):
        with opened(place, answers) as ledger, ledger.stations.live(TOOL) as here:
            here.scan(raw("P1"))
            answers.lost(committed=True)
            assert here.scan(raw("LACQUER")).sentence == "Scan the new tool tag."
            assert here.scan(raw("T1")).finding is None
        assert numbers(place)[0] == 3

    def test_what_was_not_committed_is_not_booked(self, place, answers):
        with opened(place, answers) as ledger, ledger.stations.live(TOOL) as here:
            answers.lost(committed=False)
            with pytest.raises(StorageFailed) as refused:
                here.scan(raw("P1"))
            assert not isinstance(refused.value, BookingUnknown)
            assert "nothing was booked (disk I/O error)" in str(refused.value)
            assert here.scan(raw("P1")).finding is None
        assert numbers(place)[0] == 1

    @pytest.mark.parametrize("was_booked", [True, False])
    def test_what_nobody_knows_is_said_so_and_settled_with_the_next_scan(self, place, answers, was_booked):
        with opened(place, answers) as ledger, ledger.stations.live(TOOL) as here:
            here.scan(raw("P1"))
            answers.lost(committed=was_booked, away=True)
            with pytest.raises(BookingUnknown) as unknown:
                here.scan(raw("LACQUER"))
            assert str(unknown.value) == LOST.format(place=place)
            answers.is_away = False
            before = numbers(place)
            told = here.scan(raw("T1"))
            assert numbers(place) == before, "the scan that asks is not booked"
            said = "booked. This" if was_booked else "not booked, and this"
            assert told.sentence.startswith(
                f"The scan before was {said} one was not: go on as the station says now. "
            )
            assert (told.word.value, told.finding) == ("STOP", "not-booked")
            assert here.scan(raw("T1" if was_booked else "LACQUER")).finding is None
        assert numbers(place)[0] == (3 if was_booked else 2)

    def test_the_terminal_does_not_say_that_nothing_was_booked(self, place, answers, capsys):
        with opened(place, answers) as ledger, ledger.stations.live(TOOL) as here:
            answers.lost(committed=True, away=True)
            stations.run(here, [raw("P1")])
        assert capsys.readouterr().out == f"STOP  I{LOST.format(place=place)[1:]}.\n"


class TestACommand:
    def issue(self, place, answers, **fate):
        badge = Badge(raw("P1")[3:])
        with opened(place, answers) as ledger:
            answers.lost(committed=True, **fate)
            return ledger.labels.issue("carton", 2, badge)

    def test_an_act_that_was_committed_is_done(self, place, answers):
        head = numbers(place)[1]
        self.issue(place, answers)
        assert numbers(place)[1] == head + 1

    def test_an_act_of_which_nobody_knows_has_an_exit_code_of_its_own(self, place, answers, capsys):
        code = ended(lambda: self.issue(place, answers, away=True), ())
        assert (code, capsys.readouterr().err) == (6, f"runout: {LOST.format(place=place)}\n")


class TestAReplay:
    @pytest.fixture
    def opened_ledger(self, place, answers):
        with opened(place, answers) as ledger:
            yield ledger, answers, place

    def log(self, tmp_path):
        at = "2031-03-03T08:00:00+01:00"
        lines = [{"format": "runout-station-log", "version": 1, "station": TOOL}]
        lines += [{"n": number, "at": at, "raw": raw("P1")} for number in range(1, 8)]
        file = tmp_path / "tool.jsonl"
        file.write_text("".join(f"{json.dumps(line)}\n" for line in [*lines, {"end": 7}]))
        return file

    @pytest.mark.parametrize(
        "case",
        [
            (False, False, "", 4),
            (False, True, "; whether the 3 scans after these are is not known", 4),
            (True, True, "; whether the 3 scans after these are is not known", 1),
        ],
    )
    def test_it_says_what_of_the_log_is_booked(self, opened_ledger, tmp_path, monkeypatch, capsys, case):
        ledger, answers, place = opened_ledger
        second, away, more, left = case
        monkeypatch.setattr(log_replay, "_CHUNK", 3)
        log = self.log(tmp_path)

        def steps(_done, _all):
            answers.lost(committed=second, away=away)

        ended(lambda: ledger.stations.replay([log], steps), ())
        assert capsys.readouterr().err.endswith(
            f". Of these logs 3 scans had been booked by then ({TOOL} up to scan 3 of 7){more}. The same command again books "
            "what is missing, and nothing twice\n"
        )
        answers.is_away = False
        assert ledger.stations.replay([log]).booked == left
        assert numbers(place)[0] == 7

    def test_a_log_out_of_order_says_it_too(self, place, tmp_path, capsys):
        log = self.log(tmp_path)
        log.write_text(log.read_text().replace('"n": 1,', '"n": 9,').replace('"end": 7', '"end": 9'))
        lines = log.read_text().splitlines()
        log.write_text("\n".join([lines[0], lines[1], '{"end": 9}']) + "\n")
        with open_ledger(place) as ledger:
            assert ended(lambda: ledger.stations.replay([log]), ()) == 2
        assert (
            f"Of these logs 0 scans had been booked by then ({TOOL} up to scan 0 of 9)."
            in capsys.readouterr().err
        )
