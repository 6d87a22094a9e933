"""One station in one place: whatever path names its ledger, and also where its lock was lost while it ran."""

import json
import os
from pathlib import Path

import pytest
from support_ledgers import filled, new_plant
from support_plant import TOOL, raw

from runout import open_ledger
from tracelink.cli import stations
from tracelink.errors import RefusedByRule, StationTaken
from tracelink.store.database.engine import ledger_url
from tracelink.store.stations.claim import station_claim

OPEN_ELSEWHERE = f"station {TOOL} is open in another terminal. Close it there first"


@pytest.fixture
def place(tmp_path):
    (tmp_path / "plant").mkdir()
    return filled(tmp_path / "plant" / "plant.db", new_plant)


def log_of(tmp_path, *codes):
    """A log of the tool room, from its first scan on."""
    at = "2031-03-03T08:00:00+01:00"
    lines = [{"format": "runout-station-log", "version": 1, "station": TOOL}]
    lines += [{"n": number, "at": at, "raw": raw(one)} for number, one in enumerate(codes, 1)]
    file = tmp_path / "tool.jsonl"
    file.write_text("".join(f"{json.dumps(line)}\n" for line in [*lines, {"end": len(codes)}]))
    return file


class TestWhateverThePath:
    def paths(self, place, tmp_path, monkeypatch):
        link = tmp_path / "link.db"
        link.symlink_to(place)
        folder = tmp_path / "folder"
        folder.symlink_to(place.parent)
        monkeypatch.chdir(tmp_path)
        return [
            str(link),
            str(folder / "plant.db"),
            "plant/plant.db",
            "./folder/../plant/plant.db",
            f"sqlite:///{link}",
        ]

    def test_a_station_open_by_one_path_is_refused_by_every_other(self, place, tmp_path, monkeypatch):
        with open_ledger(place) as ledger, ledger.stations.live(TOOL):
            for path in self.paths(place, tmp_path, monkeypatch):
                with (
                    open_ledger(path) as other,
                    pytest.raises(RefusedByRule, match=OPEN_ELSEWHERE),
                    other.stations.live(TOOL),
                ):
                    pytest.fail(f"open in two places by {path}")

    def test_what_lies_beside_a_ledger_lies_beside_the_file_itself(self, place, tmp_path, monkeypatch):
        """Keys as well: a key of PINs made beside a link would leave every PIN unchecked."""
        for path in self.paths(place, tmp_path, monkeypatch):
            assert Path(ledger_url(path).database).absolute().resolve() == place, path
            assert not Path(ledger_url(path).database).is_symlink()

    def test_a_file_of_two_names_is_not_written(self, place, tmp_path):
        second = tmp_path / "second.db"
        os.link(place, second)
        for path in (place, second):
            with pytest.raises(RefusedByRule) as refused, open_ledger(path) as ledger:
                ledger.stations.replay([log_of(tmp_path, "P1")])
            assert str(refused.value) == (
                f"the file {path} has 2 names (hard links): expected one. Two programs that open a ledger by different names "
                "do not see each other and damage it. Remove the other names, or make the copy that was meant with "
                "`runout backup`"
            )
        with open_ledger(second, read_only=True) as ledger:
            assert ledger.head[0] > 0, "a copy kept by a second name can be read"
        second.unlink()
        with open_ledger(place) as ledger:
            assert ledger.stations.replay([log_of(tmp_path, "P1")]).booked == 1

    def test_a_single_scan_from_python_is_refused_too(self, place):
        with open_ledger(place) as ledger:
            with ledger.stations.live(TOOL), pytest.raises(RefusedByRule, match=OPEN_ELSEWHERE):
                ledger.scan(TOOL, raw("P1"))
            assert ledger.scan(TOOL, raw("P1")).finding is None


class TestReplay:
    def test_a_replay_is_refused_while_the_station_is_open(self, place, tmp_path):
        log = log_of(tmp_path, "P1", "LACQUER")
        with open_ledger(place) as ledger:
            with ledger.stations.live(TOOL), pytest.raises(RefusedByRule, match=OPEN_ELSEWHERE):
                ledger.stations.replay([log])
            assert ledger.stations.replay([log]).booked == 2
            with ledger.stations.live(TOOL):
                assert ledger.stations.replay([log]).skipped == 2, "nothing is new, so nobody is in the way"

    def test_a_trial_keeps_nothing_and_may_run_beside_the_station(self, place, tmp_path):
        with open_ledger(place) as ledger, ledger.stations.live(TOOL):
            before = ledger.head
            assert ledger.stations.try_out([log_of(tmp_path, "P1")]).stops == ()
            assert ledger.head == before

    def test_a_log_cannot_name_a_file_elsewhere(self, place, tmp_path):
        log = log_of(tmp_path, "P1")
        log.write_text(log.read_text().replace(TOOL, "/../../gone/x"))
        with open_ledger(place) as ledger, pytest.raises(Exception, match="is not in the system"):
            ledger.stations.replay([log])
        assert not list(tmp_path.rglob("*.lock"))


class TestLost:
    def lock(self, place):
        return place.with_name(f"{place.name}-{TOOL}.lock")

    def test_where_somebody_else_opened_the_station_nothing_more_is_booked(self, place):
        with open_ledger(place) as ledger, ledger.stations.live(TOOL) as here:
            here.scan(raw("P1"))
            self.lock(place).unlink()
            with open_ledger(place) as second, second.stations.live(TOOL):
                head = ledger.head
                with pytest.raises(StationTaken, match=f"station {TOOL} is open in another terminal now"):
                    here.scan(raw("LACQUER"))
                assert ledger.head == head

    def test_where_somebody_else_scanned_and_left_nothing_more_is_booked(self, place):
        with open_ledger(place) as ledger, ledger.stations.live(TOOL) as here:
            here.scan(raw("P1"))
            self.lock(place).unlink()
            with open_ledger(place) as second, second.stations.live(TOOL) as there:
                assert there.scan(raw("LACQUER")).finding is None
            for _ in range(2):
                with pytest.raises(StationTaken, match="its last scan here was 1, and it has 2 now"):
                    here.scan(raw("T1"))

    def test_where_nobody_was_there_the_station_goes_on_and_is_alone_again(self, place):
        with open_ledger(place) as ledger, ledger.stations.live(TOOL) as here:
            here.scan(raw("P1"))
            self.lock(place).unlink()
            assert here.scan(raw("LACQUER")).finding is None
            with (
                open_ledger(place) as second,
                pytest.raises(RefusedByRule, match=OPEN_ELSEWHERE),
                second.stations.live(TOOL),
            ):
                pytest.fail("open in two places")

    def test_the_terminal_says_so_and_ends(self, place, capsys):
        def lines(ledger):
            yield raw("P1")
            self.lock(place).unlink()
            with open_ledger(place) as second, second.stations.live(TOOL):
                yield raw("LACQUER")
            pytest.fail("it asked for another scan")

        with (
            open_ledger(place) as ledger,
            ledger.stations.live(TOOL) as here,
            pytest.raises(StationTaken),
        ):
            stations.run(here, lines(ledger))
        assert (
            capsys.readouterr()
            .out.splitlines()[1]
            .startswith(f"STOP  Not booked: station {TOOL} is open in another terminal now")
        )

    def test_a_claim_that_was_let_go_is_free(self, place):
        for _ in range(2):
            with station_claim(str(place), TOOL):
                pass
