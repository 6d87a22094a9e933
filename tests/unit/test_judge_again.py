"""A journal judged again from its raw scans: all of a true one is forced, and the first entry that is not is named."""

from dataclasses import replace

import pytest
import support_sql
from support_cases import shipped
from support_judged import copied, forgeries, insert, judged, recorded, turns
from support_pins import PINS, WRONG, later, with_pins
from support_plant import DOCK, LAB, LINE, START, Floor, n

from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced
from tracelink.ledger.packs import RawScan
from tracelink.ledger.pins import PIN_MARK
from tracelink.ledger.proof.judged import Why
from tracelink.ledger.proof.origin_check import OriginCheck
from tracelink.store.database.tables_stations import spool
from tracelink.store.journal.verify import examine
from tracelink.store.stations.booking import Booking


@pytest.fixture(scope="module")
def plant():
    return shipped()


@pytest.fixture
def floor(plant):
    """A copy of the plant, to be written into."""
    return copied(plant)


def last_of(floor, kind):
    """The last entry of a kind, and the raw scans beside it."""
    return next(each for each in reversed(recorded(floor)) if each[0].kind == kind)


class TestTrue:
    def test_every_entry_of_a_station_is_forced_and_every_command_stands_between(self, plant):
        found = judged(plant)
        stations = [entry for entry, _scans in recorded(plant) if entry.stamp.station is not None]
        assert (found.unforced, found.not_judged, found.left) == (None, 0, 0)
        assert (found.forced, found.given) == (len(stations), len(recorded(plant)) - len(stations))
        assert found.scans == turns(plant) > len(stations) > 80

    def test_scans_that_wait_are_judged_as_well(self, floor):
        floor.scan(LAB, "P1", "SAMPLE", "L1")
        assert floor.count("spool") == 2
        found = judged(floor)
        assert (found.unforced, found.scans) == (None, turns(floor))

    def test_a_command_between_two_scans_of_one_run_keeps_its_place(self, floor):
        """A hold that came while matches waited unsealed: they came before it, though their entry stands behind it."""
        floor.open_line(1, [12], 9)
        floor.match(1, 1)
        with floor.ledger.writing() as booking:
            hold = HoldPlaced(booking.queries.next_code("H"), n("K12"), (HeldItem(n("K12"), None, None),))
            booking.record(hold, Stamp(START, "2031-03-03T12:00:00Z", person=n("P1")), "scratch")
        floor.play(LINE, "disc 1.1 -> STOP on-hold")
        found = judged(floor)
        assert (found.unforced, found.scans) == (None, turns(floor))

    def test_a_pin_is_taken_for_what_it_came_to(self):
        floor = with_pins(Floor.copy())
        floor.scan(LAB, "P1", f"#{WRONG}", "#12")
        later(floor, 60)
        floor.scan(LAB, f"#{PINS[1]}", "SAMPLE", "CANCEL")
        floor.scan(DOCK, "P2", "CANCEL")
        for key in (None, bytes(32)):
            floor.ledger._memory.pin_key = lambda key=key: key
            floor.play(DOCK, "P2 -> STOP pin-key-missing")
        assert {"pin-given", "badge-refused", "badge-put-away"} <= set(floor.kinds())
        found = judged(floor)
        assert (found.unforced, found.scans) == (None, turns(floor))

    def test_other_words_for_the_same_refusal_are_counted_and_change_nothing(self, floor):
        floor.scan(LAB, "K12")
        refused, scans = last_of(floor, "scan-refused")
        other = Floor.copy()
        body = {**refused.body, "sentence": "In older words."}
        place = other.ledger.head().seq
        number = dict(other.read("station", "code", "last_number"))[LAB] + 1
        scan = replace(scans[-1], number=number, turn=turns(other) + 1, after=place)
        stamp = replace(refused.stamp, station_seq=number, person=None)
        nobody = {**body, "finding": "nobody-signed-on", "subject": "badge", "expected": "", "found": ""}
        insert(other, replace(refused, stamp=stamp, body=nobody), scan)
        found = judged(other)
        assert (found.unforced, found.reworded) == (None, 1)


class TestForged:
    def test_a_scan_that_leads_to_something_else(self, floor):
        """A bad sample made good: with station, person, reason, scan number, turn and a raw scan of its own."""
        bad, scans = last_of(floor, "sample-judged")
        number = bad.stamp.station_seq + 1
        scan = RawScan(number, scans[-1].at, scans[-1].raw, turns(floor) + 1, floor.ledger.head().seq)
        good = {**bad.body, "good": True, "defect": None}
        stamp = replace(bad.stamp, station_seq=number)
        forged = insert(floor, replace(bad, stamp=stamp, body=good, corrects=bad.seq), scan)
        found = judged(floor).unforced
        assert (found.why, found.seq) == (Why.OTHER, forged.seq)
        assert found.sentence == (
            f"entry {forged.seq} (sample-judged) is not what its scan forces: scan {number} of station {LAB} "
            f"(turn {scan.turn}) leads to a scan-refused"
        )

    def test_no_scan_at_all(self, floor):
        bad, _scans = last_of(floor, "sample-judged")
        forged = insert(floor, replace(bad, body={**bad.body, "good": True, "defect": None}))
        found = judged(floor).unforced
        assert (found.why, found.seq) == (Why.NO_SCAN, forged.seq)
        assert found.sentence == (
            f"entry {forged.seq} (sample-judged) is forced by no scan: scan {bad.stamp.station_seq} of station {LAB} "
            f"(turn {turns(floor)}) leads to nothing more"
        )

    def test_a_scan_at_the_end_that_leads_to_an_entry_which_is_not_there(self, floor):
        """Somebody who takes the last entry out of the journal leaves its scans, as if they had waited."""
        floor.scan(LAB, "P1", "SAMPLE", "L1")
        with floor.ledger.transaction() as conn:
            conn.exec_driver_sql(
                "UPDATE spool SET raw = 'no code at all' WHERE number = (SELECT MAX(number) FROM spool)"
            )
        found = judged(floor).unforced
        assert (found.why, found.seq, found.found) == (Why.MISSING, len(recorded(floor)) + 1, "nothing")

    def test_a_pin_at_the_end_that_leads_to_an_entry_which_is_not_there(self):
        """Of a PIN it is tried what it may have been; none of that leads to an entry that nobody wrote."""
        floor = with_pins(Floor.copy())
        floor.scan(LAB, "P1", f"#{PINS[1]}", "SAMPLE")
        floor.scan(DOCK, "P2")
        number = dict(floor.read("station", "code", "last_number"))[DOCK] + 1
        turn, after = turns(floor) + 1, floor.ledger.head().seq
        pin = {"station": DOCK, "number": number, "turn": turn, "after": after, "raw": PIN_MARK}
        with floor.ledger.transaction() as conn:
            waiting = conn.execute(spool.select()).mappings().first()
            conn.execute(spool.insert().values({**waiting, **pin}))
        found = judged(floor).unforced
        assert (found.why, found.found) == (Why.MISSING, "nothing")

    def test_the_right_scan_and_another_value(self, floor):
        """The scan does sign Ada on once more, but at another station than is recorded."""
        on, scans = last_of(floor, "signed-on")
        number = dict(floor.read("station", "code", "last_number"))[on.stamp.station] + 1
        scan = RawScan(number, scans[-1].at, scans[-1].raw, turns(floor) + 1, floor.ledger.head().seq)
        stamp = replace(on.stamp, station_seq=number)
        forged = insert(floor, replace(on, stamp=stamp, body={"person": n("P2")}), scan)
        found = judged(floor).unforced
        assert (found.why, found.seq) == (Why.FIELD, forged.seq)
        assert found.expected == f"person {n('P1')!r}"

    @pytest.mark.parametrize("place", range(3))
    def test_what_happened_once_does_not_happen_again(self, floor, place):
        """The other kinds are tried by bench/judge_again.py."""
        forgery = list(forgeries(floor))[4 * place]
        check = OriginCheck()
        for entry, scans in recorded(floor):
            assert [*check.entry(entry, lambda scans=scans: [scan.number for scan in scans])] == []
        assert [*check.entry(forgery.entry, lambda: [forgery.scan.number])] == []
        forged = insert(floor, forgery.entry, forgery.scan)
        assert judged(floor).unforced.seq == forged.seq


class TestTurns:
    def spooled(self, floor, **values):
        """Change a scan that waits, and its hash with it, as somebody with the database in hand can."""
        from tracelink.ledger.packs import spooled_hash  # noqa: PLC0415

        [row] = floor.rows("SELECT * FROM spool ORDER BY turn DESC LIMIT 1")
        with floor.ledger.reading() as conn:
            names = list(conn.exec_driver_sql("SELECT * FROM spool").keys())
        changed = {**dict(zip(names, row, strict=True)), **values}
        changed["digest"] = spooled_hash(changed)
        with floor.ledger.transaction() as conn:
            support_sql.change(
                conn,
                "spool",
                {name: changed[name] for name in ("turn", "after", "digest")},
                station=changed["station"],
                number=changed["number"],
            )
        return changed

    @pytest.fixture
    def waiting(self, floor):
        floor.scan(LAB, "P1", "SAMPLE", "L1")
        return floor

    def test_a_turn_given_twice(self, waiting):
        changed = self.spooled(waiting, turn=turns(waiting) - 1)
        found = judged(waiting).unforced
        assert found.why is Why.TURN_TWICE
        assert found.sentence.startswith(f"turn {changed['turn']} was given twice: found scan ")

    def test_a_turn_that_is_missing(self, waiting):
        changed = self.spooled(waiting, turn=turns(waiting) + 1)
        found = judged(waiting).unforced
        assert found.why is Why.TURN_MISSING
        assert found.sentence == (
            f"no scan has turn {turns(waiting)}: found scan {changed['number']} of station {LAB} (turn {changed['turn']})"
        )

    @pytest.mark.parametrize("by", [-1, 1])
    def test_plain_verifying_tells_of_turns_as_well(self, waiting, by):
        with waiting.ledger.reading() as conn:
            assert examine(conn).faults == []
        last = turns(waiting)
        self.spooled(waiting, turn=last + by)
        gone = f"no scan has turn {last}: a scan was taken out, or its turn was changed"
        twice = f"turn {last - 1} was given twice: a scan was put in, or its turn was changed"
        with waiting.ledger.reading() as conn:
            found = examine(conn).faults
        # The last turn is missed only where a later one is there.
        assert found == ([gone] if by > 0 else [twice])

    def test_a_scan_that_says_another_place(self, waiting):
        changed = self.spooled(waiting, after=3)
        found = judged(waiting).unforced
        assert found.why is Why.PLACE
        assert found.sentence == (
            f"scan {changed['number']} of station {LAB} (turn {changed['turn']}) says that it was booked after entry 3: "
            f"expected entry {waiting.ledger.head().seq}"
        )


@pytest.fixture(scope="module")
def older(tmp_path_factory):
    """A plant of a program that gave no turns; two actions are not finished."""
    real = Booking.book_again

    def without(self, code, scan):
        return real(self, code, replace(scan, turn=None, after=None))

    floor = Floor.new(str(tmp_path_factory.mktemp("older") / "plant.db"))
    with pytest.MonkeyPatch.context() as program:
        program.setattr(Booking, "book_again", without)
        floor.tools()
        floor.press(1)
        floor.scan(LAB, "P1", "SAMPLE", "L1")
        floor.scan(DOCK, "P1", "PALLET")
    return floor


class TestOlder:
    """Ledgers of a program that gave no turns."""

    def test_what_has_no_turn_is_told_as_not_judged(self, older):
        found = judged(older)
        assert (found.unforced, found.scans, found.forced) == (None, 0, 0)
        assert found.not_judged + found.given == older.ledger.head().seq
        assert found.not_judged > 80

    def test_scans_that_waited_at_the_upgrade_go_on(self, older):
        floor = copied(older)
        before = judged(floor).not_judged
        floor.scan(LAB, "S1", "#3")
        floor.scan(DOCK, "CANCEL")
        floor.scan(LAB, "GOOD", "S1")
        found = judged(floor)
        assert (found.unforced, found.scans) == (None, 5)
        assert (found.not_judged, found.forced) == (before, 2)

    def test_a_scan_without_a_turn_after_others_had_one(self, older):
        floor = copied(older)
        floor.scan(LAB, "S1", "#3", "K11", "GOOD", "S1")
        seq, number = floor.ledger.head().seq, dict(floor.read("station", "code", "last_number"))[LAB] + 1
        on = last_of(floor, "signed-on")[0]
        again = replace(on, stamp=replace(on.stamp, station=LAB, station_seq=number))
        insert(floor, again, RawScan(number, START, f"]C0{on.body['person']}"))
        found = judged(floor).unforced
        assert (found.why, found.seq) == (Why.OLDER, None)
        assert found.sentence == (
            f"scan {number} of station {LAB} has no turn: its place among the others is not known, and what follows "
            "cannot be judged"
        )
        assert seq > older.ledger.head().seq
