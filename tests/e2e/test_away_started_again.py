"""A packing line that is started again while its ledger is away: it packs on from where the run before stood, or says why not."""

import itertools
import json
import shutil

import pytest
from support_away import with_key
from support_cli import run
from support_clock import station_clock
from support_plant import LINE, TOOL, Floor, raw

from runout import open_ledger
from tracelink.clock import running_seconds, utc_now
from tracelink.errors import RefusedByRule, StationTaken, StorageFailed
from tracelink.ledger.pins import PIN_MARK
from tracelink.services.floor.away import away_line as module
from tracelink.services.floor.away.away_start import away_line, line_found_away
from tracelink.services.floor.away.copy_seal import digest_of
from tracelink.services.floor.away.ledger_beside import LedgerBeside
from tracelink.station.common.outcome import Word
from tracelink.store.copies.backup import copy_ledger
from tracelink.store.ledger import Ledger

DISC, SLEEVE = raw("disc 1.1"), raw("sleeve 1")
AWAY = StorageFailed("the ledger cannot be reached")


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A line with a key, in the middle of a carton, on a plant that lets it pack on."""
    folder = tmp_path_factory.mktemp("made")
    floor = Floor.new(":memory:", away_hours=4)
    floor.tools()
    floor.press(1)
    place = floor.saved(folder / "plant.db")
    floor.saved(folder / "keyless.db")
    with_key(place, folder / "line.key")
    with (
        station_clock(),
        open_ledger(place) as opened,
        opened.stations.live(LINE, key=folder / "line.key") as here,
    ):
        for each in ("P1", "CLEAR", "P2", "B1", "K11", "carton 1", "disc 1.1", "sleeve 1"):
            assert here.scan(raw(each)).word is not Word.STOP
    return folder


@pytest.fixture(autouse=True)
def at_once(monkeypatch):
    """Make copies here and now; the line's clock goes on; the ledger is looked for at every scan."""

    def renew(self):
        is_made = self._made_at is None
        if is_made:
            self._file.unlink(missing_ok=True)
            copy_ledger(self._place, self._file)
            self._made_at, self._begun_utc, self.digest = running_seconds(), utc_now(), digest_of(self._file)
        return is_made

    monkeypatch.setattr(LedgerBeside, "renew", renew)
    seconds = itertools.count(1)
    monkeypatch.setattr(
        module, "local_now", lambda: f"2031-03-09T10:{(s := next(seconds)) // 60:02d}:{s % 60:02d}+01:00"
    )
    monkeypatch.setattr(module, "_TRY_SECONDS", 0)


class Line:
    """The ledger, the line's own disk, and its key."""

    def __init__(self, folder):
        self.place, self.folder, self.key = folder / "plant.db", folder / "line", folder / "line.key"
        self.folder.mkdir()

    @property
    def hidden(self):
        return self.place.with_name("elsewhere.db")

    def go(self):
        self.place.rename(self.hidden)

    def come(self):
        self.hidden.rename(self.place)

    def started(self):
        return line_found_away(str(self.place), LINE, self.folder, AWAY, self.key)

    def file(self, name):
        return self.folder / f"{LINE}-{name}"

    def refused(self):
        with pytest.raises(StorageFailed) as said, self.started():
            pass
        assert str(said.value).startswith(f"{AWAY}; and ")
        return str(said.value).removeprefix(f"{AWAY}; and the line cannot pack on from where it stood: ")

    def spooled(self):
        """Return the numbers of the scans that lie in the spool."""
        with Ledger.open(str(self.place), read_only=True) as ledger:
            return [row[0] for row in Floor(ledger).read("spool", "number", order="number")]


def words(line, *lines):
    return [line.scan(each).word.value for each in lines]


@pytest.fixture
def line(made, tmp_path):
    """A run that booked a unit and a disc, and was ended when its ledger went away."""
    for name in ("plant.db", "line.key"):
        shutil.copy(made / name, tmp_path / name)
    found = Line(tmp_path)
    # Two copies: the first renewal takes one, and what is scanned after it is kept beside it.
    with Ledger.open(str(found.place)) as ledger, away_line(ledger, LINE, found.folder, found.key) as first:
        first._take_copy()
        assert words(first, DISC, SLEEVE, DISC) == ["NEXT", "MATCH", "NEXT"]
    found.go()
    return found


def test_it_packs_on_from_there_and_all_of_it_is_booked_once(line):
    with line.started() as again:
        assert again.standing.person == "Ada"
        told = again.scan(SLEEVE)
        assert told.sentence.startswith("The ledger is away since ")
        assert told.word is Word.MATCH
        assert words(again, DISC) == ["NEXT"]
    # Ended once more, and what was made by the copy is there still.
    with line.started() as again:
        assert words(again, SLEEVE) == ["MATCH"]
        line.come()
        back = again.scan(DISC)
        assert back.sentence.startswith("The ledger is back, and 3 scans made meanwhile are booked.")
        assert words(again, SLEEVE) == ["MATCH"]
    with open_ledger(line.place) as opened:
        found = opened.verify(judge_again=True)
    assert found.faults == ()
    with Ledger.open(str(line.place), read_only=True) as ledger:
        # Each of the five sleeves that were scanned, and none twice.
        assert Floor(ledger).spooled_matches() == 5
        assert line.spooled() == list(range(7, 17))
        assert Floor(ledger).read("hold_item", "subject") == []
    assert list(line.folder.glob(f"{LINE}-away-booked-*.jsonl"))


def test_a_command_that_finds_no_ledger_packs_on(line):
    words_of = ("line", "--station", LINE, "--away", line.folder, "--key", line.key)
    told = run(*words_of, ledger=line.place, scans=f"{SLEEVE}\n")
    assert told.code == 0, told
    assert told.out.startswith('MATCH EX 101 "Paper Comet Arithmetic": The ledger is away since ')
    line.come()
    told = run(*words_of, ledger=line.place, scans="")
    assert "The ledger is back, and 1 scan made meanwhile is booked." in " ".join(told.out.split())
    without = run("line", "--station", LINE, ledger=line.hidden, scans="")
    assert "there is no ledger at" in without.err


def change_a_byte(file):
    data = bytearray(file.read_bytes())
    data[-1] ^= 1
    file.write_bytes(bytes(data))


def test_a_copy_that_was_changed_is_refused(line):
    with Ledger.open(str(line.file("ledger.db"))) as copy, copy.transaction() as conn:
        conn.exec_driver_sql("DELETE FROM hold_item")
        conn.exec_driver_sql("UPDATE lot SET planned = planned + 1")
    assert line.refused().startswith("the copy of the ledger beside the line was changed since it was made")


def test_the_run_that_had_it_made_refuses_a_changed_copy_too(line):
    line.come()
    with Ledger.open(str(line.place)) as ledger, away_line(ledger, LINE, line.folder, line.key) as here:
        assert words(here, SLEEVE) == ["MATCH"]
        change_a_byte(line.file("ledger.db"))

        def away(*_):
            raise AWAY

        ledger.transaction = ledger.reading = away
        with pytest.raises(
            StorageFailed, match="was changed since it was made: keep it, and tell quality: it cannot pack on"
        ):
            here.scan(DISC)
        del ledger.transaction, ledger.reading
    assert len(line.spooled()) == 6


def sealed_for_another(line):
    text = line.file("ledger.seal").read_text(encoding="utf-8")
    line.file("ledger.seal").write_text(text.replace(LINE, TOOL, 1), encoding="utf-8")


def older_seal(line):
    text = line.file("ledger.seal").read_text(encoding="utf-8")
    line.file("ledger.seal").write_text(
        text.replace("runout-away-copy 1", "runout-away-copy 2"), encoding="utf-8"
    )


def stand(line, change):
    lines = line.file("stand.jsonl").read_text(encoding="utf-8").splitlines()
    change(lines)
    line.file("stand.jsonl").write_text("".join(f"{each}\n" for each in lines), encoding="utf-8")


def with_a_pin(lines):
    last = json.loads(lines[-1])
    lines[-1] = json.dumps({**last, "raw": PIN_MARK})


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda line: line.file("ledger.seal").unlink(), "no seal lies beside the copy of the ledger"),
        (sealed_for_another, "does not fit the text: it was changed, or never signed"),
        (older_seal, "does not fit the text: it was changed, or never signed"),
        (lambda line: line.key.unlink(), "there is no signing key at"),
        (lambda line: line.file("stand.jsonl").unlink(), "cannot be read"),
        (lambda line: stand(line, lambda lines: lines.pop()), "it is not known whether scan 11, the last one, was booked"),
        (lambda line: stand(line, lambda lines: lines.pop(2)), "says what no line writes"),
        (lambda line: stand(line, lambda lines: lines.__delitem__(slice(1, 4))), "lacks scan 9"),
        (lambda line: stand(line, lambda lines: lines.append("[]")), "says what no line writes"),
        (lambda line: stand(line, with_a_pin), "a PIN was keyed since the copy was made, and is kept nowhere"),
        (lambda line: stand(line, lambda lines: lines.__setitem__(0, lines[0].replace('"copy":"', '"copy":"0'))), "is of another copy"),
    ],
)  # fmt: skip
def test_where_it_is_not_sure_of_where_it_stood_it_waits(line, spoil, said):
    spoil(line)
    assert said in line.refused()


def test_a_copy_that_is_too_old_or_of_the_future_is_not_gone_by(line, monkeypatch):
    from tracelink.services.floor.away import ledger_beside  # noqa: PLC0415  its clock is set

    monkeypatch.setattr(ledger_beside, "utc_now", lambda: "2099-01-01T00:00:00Z")
    with pytest.raises(StorageFailed, match="is older than 4 hours"), line.started():
        pass
    monkeypatch.setattr(ledger_beside, "utc_now", lambda: "2020-01-01T00:00:00Z")
    assert "the clock of this machine is before that" in line.refused()


def test_two_programs_do_not_pack_by_one_folder(line):
    with line.started(), pytest.raises(RefusedByRule, match="another program packs at line"), line.started():
        pass


def test_somebody_who_scanned_at_the_line_meanwhile_is_told_and_nothing_is_lost(line):
    with line.started() as again:
        assert words(again, SLEEVE) == ["MATCH"]
        line.come()
        with (
            station_clock("2031-03-09T11:00:00+01:00"),
            open_ledger(line.place) as opened,
            opened.stations.live(LINE, key=line.key) as here,
        ):
            assert here.scan(SLEEVE).word is Word.MATCH
        with pytest.raises(StationTaken, match="What was scanned here is kept in"):
            again.scan(DISC)
    with Ledger.open(str(line.place)) as ledger, away_line(ledger, LINE, line.folder, line.key) as here:
        left = here.book_what_was_left()
        assert left is not None
        assert left.word is Word.STOP
        assert "Of 1 scan made meanwhile 1 scan would have been judged otherwise" in left.sentence


def test_a_line_without_a_key_is_not_opened_so_that_it_may_pack_on(made, tmp_path):
    """Nothing would be signed of what it did meanwhile."""
    shutil.copy(made / "keyless.db", tmp_path / "plant.db")
    line = Line(tmp_path)
    refused = run("line", "--station", LINE, "--away", line.folder, ledger=line.place, scans=f"{SLEEVE}\n")
    assert refused.code == 4, refused
    assert f"line {LINE} has no key, and may not pack on while the ledger is away" in " ".join(
        refused.err.split()
    )
    assert [each.name for each in line.folder.iterdir() if each.stat().st_size] == []
    assert run("line", "--station", LINE, ledger=line.place, scans=f"{raw('P1')}\n").code == 0


def test_without_its_key_it_waits_and_says_why_and_what_it_had_scanned_is_booked_first(line):
    """What lies in the folder could be anybody's."""
    with line.started() as run_before:
        assert words(run_before, SLEEVE, DISC) == ["MATCH", "NEXT"]
    before = {file.name: file.read_bytes() for file in line.folder.iterdir()}
    told = run("line", "--station", LINE, "--away", line.folder, ledger=line.place, scans=f"{SLEEVE}\n")
    assert told.code == 4, told
    assert (
        f"and the line cannot pack on from where it stood: no key of line {LINE} is here, and nothing else shows that what lies in the "
        "folder is what the line left there, and not what somebody put there. It waits until the ledger is back. 2 scans that it made "
        "before are kept, and booked before any other then. Name the file of its key with --key"
    ) in " ".join(told.err.split())
    assert {file.name: file.read_bytes() for file in line.folder.iterdir()} == before
    line.come()
    keyed = ("--away", line.folder, "--key", line.key)
    told = run("line", "--station", LINE, *keyed, ledger=line.place, scans=f"{SLEEVE}\n")
    assert "The ledger is back, and 2 scans made meanwhile are booked." in " ".join(told.out.split())
    with Ledger.open(str(line.place), read_only=True) as ledger:
        # Each of the two sleeves that were scanned, and none twice.
        assert Floor(ledger).spooled_matches() == 4
