"""Scans signed where they are made: what a station made fits, what somebody else put there is named."""

import json
from dataclasses import replace

import pytest
from support_answers import Answers
from support_cli import run, station_log
from support_judged import insert, judged, recorded, turns
from support_plant import DOCK, LAB, LINE, Floor, n, raw

from runout import Badge, open_ledger
from tracelink.errors import BookingUnknown, RefusedByRule, UsageError
from tracelink.ledger.packs import RawScan
from tracelink.ledger.proof.signed_scans import EVERY
from tracelink.store.ledger import Ledger

ADA, BEN, CLEO = (Badge(n(f"P{number}")) for number in (1, 2, 3))


@pytest.fixture(scope="module")
def bytes_of_plant(tmp_path_factory):
    floor = Floor.copy()
    floor.press(1)
    return floor.saved(tmp_path_factory.mktemp("signed") / "plant.db").read_bytes()


@pytest.fixture
def place(bytes_of_plant, tmp_path):
    file = tmp_path / "plant.db"
    file.write_bytes(bytes_of_plant)
    return file


@pytest.fixture
def ledger(place):
    with open_ledger(place) as opened:
        key = opened.stations.make_key(LINE)
        opened.stations.enrol_key(key.public, ADA, BEN, "its own machine")
        yield opened


def scan(ledger, *lines, station=LINE):
    with ledger.stations.live(station) as here:
        return [here.scan(raw(line)) for line in lines]


def faults(ledger):
    return list(ledger.verify(tables=False).faults)


def number_of(place):
    return dict(Floor(Ledger.open(str(place))).read("station", "code", "last_number"))[LINE]


def test_what_the_station_made_fits(ledger, place):
    scan(ledger, "P1", "CLEAR", "P2", "B1", "K11", "carton 1", "disc 1.1", "sleeve 1", "disc 1.1")
    assert faults(ledger) == []
    assert ledger.verify(judge_again=True).faults == ()
    rows = Floor(Ledger.open(str(place))).read("scan_signature", "first", "last", order="first")
    # CLEAR waits for the second badge and is signed with it; the matches of the open carton wait still.
    assert rows == [(1, 1), (2, 3), (4, 4), (5, 5), (6, 6)]
    # Key and waiting scans, which would be signed with it, are for nobody else to read or to run.
    kept = [file for file in place.parent.iterdir() if LINE in file.name and ".key" in file.name]
    assert {file.suffix for file in kept} == {".key", ".scans"}
    assert {file.stat().st_mode & 0o777 for file in kept} == {0o600}
    # Another run of the program signs what this machine made before.
    scan(ledger, "sleeve 1", "STOP")
    assert Floor(Ledger.open(str(place))).read("scan_signature", "first", "last", order="first")[5:] == [
        (7, 11)
    ]
    assert faults(ledger) == []


def test_scans_that_only_wait_are_signed_as_well(ledger):
    scan(ledger, "P1", *["no code"] * 3, station=LAB)
    key = ledger.stations.make_key(LAB)
    ledger.stations.enrol_key(key.public, ADA, BEN, "its own machine")
    # S1 asks what is known of a sample and leads to no entry.
    scan(ledger, *["L1"] * (EVERY + 1), station=LAB)
    assert faults(ledger) == []


@pytest.mark.parametrize("committed", [True, False])
def test_a_scan_of_which_nobody_knew_is_signed_once_if_it_was_booked(ledger, monkeypatch, committed):
    answers = Answers(monkeypatch).of_ledger(ledger)
    with ledger.stations.live(LINE) as here:
        here.scan(raw("P1"))
        answers.lost(committed=committed, away=True)
        with pytest.raises(BookingUnknown):
            here.scan(raw("CLEAR"))
        answers.is_away = False
        here.scan(raw("P2"))
        for line in ("P2",) if committed else ("CLEAR", "P2"):
            assert here.scan(raw(line)).finding is None
    assert faults(ledger) == []


def test_a_scan_that_somebody_invents_is_named(ledger, place):
    """It leads to its entry by the rules, so that judging again alone cannot tell."""
    scan(ledger, "P1")
    floor = Floor(Ledger.open(str(place)))
    on, scans = recorded(floor)[-1]
    number = number_of(place) + 1
    invented = RawScan(number, scans[-1].at, raw("P2"), turns(floor) + 1, floor.ledger.head().seq)
    stamp = replace(on.stamp, station_seq=number, person=n("P1"))
    insert(floor, replace(on, stamp=stamp, body={"person": n("P2")}), invented)
    assert judged(floor).unforced is None
    told = "is not signed, though the station had a key then: not made there, or its signature was taken away"
    assert faults(ledger) == [f"station {LINE}: scan {number} {told}"]


def test_an_invented_scan_that_says_it_came_before_the_key_is_named(ledger, place):
    scan(ledger, "P1")
    floor = Floor(Ledger.open(str(place)))
    on, scans = recorded(floor)[-1]
    number, head = number_of(place) + 1, floor.ledger.head().seq
    invented = RawScan(number, scans[-1].at, raw("P2"), turns(floor) + 1, head - 2)
    stamp = replace(on.stamp, station_seq=number, person=n("P1"))
    insert(floor, replace(on, stamp=stamp, body={"person": n("P2")}), invented)
    bare = "is not signed, though the station had a key then: not made there, or its signature was taken away"
    assert faults(ledger) == [
        f"entry {head + 1} (signed-on): its scan says that it was booked after entry {head - 2}: expected entry {head}",
        f"station {LINE}: scan {number} {bare}",
    ]


@pytest.mark.parametrize("statement", ["DELETE FROM scan_signature", "UPDATE scan_signature SET key = 'x'"])
def test_signatures_are_append_only(ledger, place, statement):
    scan(ledger, "P1", "CLEAR", "P2", "B1")
    floor = Floor(Ledger.open(str(place)))
    with (
        pytest.raises(RefusedByRule, match="signatures of scans are append-only"),
        floor.ledger.transaction() as conn,
    ):
        conn.exec_driver_sql(statement)
    assert faults(ledger) == []


@pytest.mark.parametrize(
    ("statement", "told"),
    [
        (
            "DELETE FROM scan_signature WHERE first = 2",
            "scans 2 to 3 are not signed, though the station had a key then",
        ),
        (
            "UPDATE scan_signature SET signature = randomblob(64) WHERE first = 2",
            "the signature over scans 2 to 3 does not fit: one of them was changed, or was not made there",
        ),
        ('UPDATE scan_signature SET "last" = 4 WHERE first = 4', None),
        (
            "UPDATE scan_signature SET key = 'x' WHERE first = 2",
            "the signature over scans 2 to 3 is by a key that was not valid then",
        ),
        (
            "INSERT INTO scan_signature VALUES ('{line}', 90, 91, 'x', x'00')",
            "a signature over scans 90 to 91 covers scans that are not there, or were signed before",
        ),
        (
            "INSERT INTO scan_signature VALUES ('{line}', 3, 3, 'x', x'00')",
            "a signature over scans 3 to 3 covers scans that are not there, or were signed before",
        ),
        (
            "INSERT INTO scan_signature VALUES ('W9', 1, 1, 'x', x'00')",
            "station W9: scans are signed, but it never had a key",
        ),
    ],
)
def test_signatures_that_were_changed(ledger, place, statement, told):
    scan(ledger, "P1", "CLEAR", "P2", "B1")
    with Floor(Ledger.open(str(place))).ledger.transaction() as conn:
        # Who has the database in hand can take the triggers away, and put them back.
        made = conn.exec_driver_sql(
            "SELECT name, sql FROM sqlite_master WHERE tbl_name = 'scan_signature' AND type = 'trigger'"
        )
        triggers = list(made)
        for name, _sql in triggers:
            conn.exec_driver_sql(f"DROP TRIGGER {name}")
        conn.exec_driver_sql(statement.format(line=LINE))
        for _name, sql in triggers:
            conn.exec_driver_sql(sql)
    found = faults(ledger)
    if told is None:
        assert found == []
    else:
        assert len(found) == 1
        assert told in found[0]


def test_a_scan_that_was_not_booked_takes_no_place(ledger, monkeypatch):
    scan(ledger, "P1", "CLEAR")
    with ledger.stations.live(LINE) as line:
        with monkeypatch.context() as broken:
            broken.setattr("tracelink.store.stations.booking.Booking.keep", lambda _self: 1 / 0)
            with pytest.raises(ZeroDivisionError):
                line.scan(raw("B1"))
        line.scan(raw("P2"))
    assert faults(ledger) == []


class TestLogs:
    def test_a_log_of_a_station_that_signs_is_refused_before_anything_is_booked(
        self, ledger, place, tmp_path
    ):
        scan(ledger, "P1", "CLEAR", "P2")
        last, entries = number_of(place), Ledger.open(str(place)).head().seq
        signing = station_log(tmp_path / "line.jsonl", LINE, [raw("CANCEL"), raw("P1")], first=last + 1)
        # The log of another station would be booked first, by its times.
        other = station_log(tmp_path / "dock.jsonl", DOCK, [raw("P1")], at="2031-03-04T08:00:00+01:00")
        for words in ((), ("--trial",)):
            done = run("replay", *words, other, signing, ledger=place)
            assert done.code == 4
            assert " ".join(done.err.split()) == (
                f"runout: log {signing} is of station {LINE}, which signs its scans with a key on its own machine, and a log "
                "cannot be signed: 2 scans of it cannot be booked. Nothing was booked of any log. Make the scans again at the "
                f"station; or two people withdraw its key (runout station-key withdraw {LINE}), and what is replayed then is "
                "not signed"
            )
            assert Ledger.open(str(place)).head().seq == entries
        ledger.stations.withdraw_key(LINE, ADA, BEN, "a log of the machine that stood still")
        assert run("replay", other, signing, ledger=place).code in {0, 1}
        assert number_of(place) == last + 2
        assert faults(ledger) == []

    def test_a_log_of_what_it_booked_itself_is_passed_over(self, ledger, place, tmp_path):
        scan(ledger, "P1", "CLEAR")
        log = station_log(
            tmp_path / "line.jsonl", LINE, [raw("P1"), raw("CLEAR")], first=number_of(place) - 1
        )
        done = run("replay", log, ledger=place)
        assert done.code == 0, done.err


class TestKeys:
    def test_a_station_that_signs_needs_its_key(self, ledger, place):
        file = place.with_name(f"plant.db.{LINE}.key")
        away = file.rename(place.with_name("elsewhere"))
        with pytest.raises(RefusedByRule) as told, ledger.stations.live(LINE):
            pass
        assert (
            str(told.value)
            == f"station {LINE} signs its scans, and its key is not here: expected it in {file}"
        )
        with ledger.stations.live(LINE, key=away) as line:
            line.scan(raw("P1"))
        with pytest.raises(RefusedByRule, match="signs its scans: they are made at its own live station"):
            Ledger.open(str(place)).scan(LINE, raw("P1"), "2031-03-03T12:00:00+01:00")
        assert faults(ledger) == []

    def test_a_key_file_that_others_may_read(self, ledger, place):
        place.with_name(f"plant.db.{LINE}.key").chmod(0o644)
        done = run("line", "--station", LINE, ledger=place)
        assert done.code == 4
        assert (
            "may be read or changed by others (mode 0644): expected 0600. Nothing is signed with it."
            in done.err
        )

    def test_the_key_of_another_station(self, ledger, place):
        other = ledger.stations.make_key(LAB)
        done = run("line", "--station", LINE, "--key", other.file, ledger=place)
        assert done.code == 4
        assert f"{other.file} holds the key of station {LAB}: expected that of station {LINE}" in done.err

    def test_a_withdrawn_key(self, ledger, place):
        file = place.with_name(f"plant.db.{LINE}.key")
        with ledger.stations.live(LINE) as line:
            line.scan(raw("P1"))
            ledger.stations.withdraw_key(LINE, ADA, BEN, "the machine was sold")
            with pytest.raises(
                RefusedByRule, match="was withdrawn or replaced: nothing is booked with it any more"
            ):
                line.scan(raw("CLEAR"))
        with (
            pytest.raises(
                RefusedByRule,
                match=f"holds a key that is not valid for station {LINE}: it was never enrolled, or was withdrawn",
            ),
            ledger.stations.live(LINE),
        ):
            pass
        old = file.rename(place.with_name("old.key"))
        scan(ledger, "P2")
        key = ledger.stations.make_key(LINE)
        ledger.stations.enrol_key(key.public, BEN, ADA, "a new machine")
        wrong = "which is withdrawn or was never enrolled: expected key "
        with pytest.raises(RefusedByRule, match=wrong), ledger.stations.live(LINE, key=old):
            pass
        scan(ledger, "P1")
        assert faults(ledger) == []
        rows = ledger.stations.keys().to_dict()
        assert [row["withdrawn_by"] is None for row in rows] == [False, True]
        again = run("station-key", "list", "--format", "json", ledger=place)
        assert json.loads(again.out) == rows

    def test_two_people_enrol_a_key(self, ledger, place):
        key = ledger.stations.make_key(LAB).public
        for by, second, told in (
            (ADA, ADA, "cannot be both people: two are needed"),
            (ADA, CLEO, "may not enrol or withdraw keys of stations"),
            (CLEO, ADA, "may not enrol or withdraw keys of stations"),
        ):
            with pytest.raises(RefusedByRule, match=told):
                ledger.stations.enrol_key(key, by, second, "new")
        with pytest.raises(RefusedByRule, match=f"station {LAB} has no key to withdraw"):
            ledger.stations.withdraw_key(LAB, ADA, BEN, "lost")
        for wrong in ("x", key.replace(LAB, "W9")):
            with pytest.raises(UsageError):
                ledger.stations.enrol_key(wrong, ADA, BEN, "new")
        words = ("--by", ADA.code, "--second", BEN.code, "--reason", "new")
        assert run("station-key", "enrol", key, *words, ledger=place).out == (
            f"Station {LAB} signs its scans from now on.\n"
        )
        assert run("station-key", "enrol", key, *words, ledger=place).code == 4
        assert run("station-key", "withdraw", LAB, *words, ledger=place).code == 0
