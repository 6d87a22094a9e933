"""Badge and PIN at a station: asked for, right, wrong, too early, put away; and kept nowhere."""

from functools import cache

import pytest
from support_judged import copied, judged
from support_pins import (
    KEY,
    PINS,
    WRONG,
    everything_kept,
    later,
    nothing_tells_a_pin,
    rebuilds,
    records_as_it_happens,
    with_pins,
)
from support_plant import DOCK, LAB, LINE, PRESS, Floor, code, n, stamper

from tracelink.ledger.packs import RawScan
from tracelink.ledger.pins import PIN_MARK

ADA, BEN, BAD = f"#{PINS[1]}", f"#{PINS[2]}", f"#{WRONG}"
ASK_ADA = "Ada, key # and your PIN."


@cache
def _pressed():
    made = Floor.copy()
    made.press(1)
    return with_pins(made)


@pytest.fixture
def floor():
    made = copied(_pressed())
    made.ledger._memory.pin_key = lambda: KEY
    records_as_it_happens(made)
    yield made
    nothing_tells_a_pin(made)


def kinds(floor, last=3):
    found = [kind for (kind,) in floor.read("journal", "kind", order="seq")]
    return found[-last:]


def failures(floor):
    return floor.read("person_pin", "person", "failures", order="person")


class TestSigningOn:
    def test_a_badge_counts_when_its_pin_is_keyed(self, floor):
        floor.play(
            LAB,
            f"""
            P1    -> NEXT; {ASK_ADA}
            {ADA} -> DONE; Ada is signed on. Scan an action card.
            SAMPLE -> NEXT
            """,
        )
        assert kinds(floor) == ["pin-asked", "pin-given", "signed-on"]

    def test_the_screen_is_told_when_to_hide_what_is_keyed(self, floor):
        shown = [floor.scan(LAB, line).hides for line in ("P1", BAD, "SAMPLE", ADA, "SAMPLE")]
        assert shown == [True, True, True, False, False]

    def test_who_has_no_pin_signs_on_by_badge(self, floor):
        floor.play(PRESS, "P3 -> DONE; Cleo is signed on. Scan an action card.")

    def test_a_plant_may_switch_it_off(self):
        made = with_pins(Floor.copy(badge_pin=0))
        made.play(LAB, "P1 -> DONE; Ada is signed on. Scan an action card.")

    def test_a_badge_that_may_not_sign_on_here_is_refused_before(self, floor):
        floor.play(LINE, "P3 -> STOP wrong-role")
        assert kinds(floor, 1) == ["scan-refused"]

    def test_somebody_stays_signed_on_until_the_pin_is_right(self, floor):
        floor.play(LAB, f"P1 | {ADA} -> DONE")
        floor.play(
            LAB,
            f"""
            P2    -> NEXT; Ben, key # and your PIN.
            {ADA} -> STOP badge-refused; Wrong PIN for the badge of Ben. Key it again.
            CANCEL -> DONE; Cancelled: the badge of Ben no longer waits for its PIN.
            SAMPLE -> NEXT
            """,
        )
        assert floor.read("finding", "person") == [(code("P", 1),)]


class TestWrongPins:
    def test_each_is_an_entry_and_a_finding(self, floor):
        floor.play(
            LAB,
            f"""
            P1    -> NEXT
            {BAD} -> STOP badge-refused; Wrong PIN for the badge of Ada. Key it again.
            {BAD} -> STOP badge-refused; Wrong PIN, 2 in a row for the badge of Ada. Key it again.
            """,
        )
        found = floor.read("finding", "station", "person", "subject", "found", finding="badge-refused")
        assert found == [
            (LAB, None, code("P", 1), "1 wrong in a row"),
            (LAB, None, code("P", 1), "2 wrong in a row"),
        ]
        assert failures(floor)[0] == (code("P", 1), 2)

    def test_after_some_it_must_wait_at_every_station(self, floor):
        floor.play(
            LAB,
            f"""
            P1 | {ADA} -> DONE
            P1    -> NEXT
            {BAD} -> STOP badge-refused
            {BAD} -> STOP badge-refused
            {BAD} -> STOP badge-refused
            {BAD} -> STOP badge-refused; Wrong PIN, 4 in a row for the badge of Ada. Wait 30 seconds, then key it again.
            {ADA} -> STOP pin-too-early; Ada, 4 PINs were wrong: wait until 2031-03-03 08:00:30. Then key it again.
            """,
        )
        floor.play(
            DOCK, f"P1 -> NEXT; Ada, 4 PINs were wrong: wait until 2031-03-03 08:00:30. Then {ASK_ADA[5:]}"
        )
        later(floor, 29)
        floor.play(DOCK, f"{ADA} -> STOP pin-too-early")
        later(floor, 1)
        floor.play(
            DOCK,
            f"{BAD} -> STOP badge-refused; Wrong PIN, 5 in a row for the badge of Ada. Wait 60 seconds, then key it again.",
        )
        later(floor, 60)
        floor.play(DOCK, f"{ADA} -> DONE; Ada is signed on. Scan an action card.")
        assert failures(floor)[0] == (code("P", 1), 0)
        rebuilds(floor)

    def test_a_pin_that_comes_too_early_is_not_counted(self, floor):
        floor.play(LAB, f"P1 | {ADA} -> DONE")
        floor.scan(LAB, "P1", *[BAD] * 9)
        assert failures(floor)[0] == (code("P", 1), 4)

    def test_after_too_many_it_is_blocked(self):
        made = with_pins(Floor.copy(pin_wait_seconds=0, pin_most_attempts=3))
        made.scan(LAB, "P1", BAD, BAD)
        made.play(
            LAB,
            f"""
            {BAD} -> STOP badge-refused; Wrong PIN, 3 in a row for the badge of Ada. It is blocked now: quality sets a new one.
            {ADA} -> STOP pin-blocked
            CANCEL -> DONE
            P1    -> STOP pin-blocked; The PIN of Ada was wrong 3 times in a row and is blocked. Quality sets a new one: runout person pin.
            """,
        )
        nothing_tells_a_pin(made)
        rebuilds(made)

    @pytest.mark.parametrize("key", [None, bytes(32)])
    def test_without_the_secret_key_nobody_passes(self, floor, key):
        floor.ledger._memory.pin_key = lambda: key
        floor.play(LAB, "P1 -> STOP pin-key-missing")
        floor.ledger._memory.pin_key = lambda: KEY
        floor.play(LAB, f"P1 | {ADA} -> DONE")


class TestWaitingGoesByTheRecording:
    def test_wrong_ones_dated_2099_lock_nobody_out(self, floor):
        """What a scan says of its own time is not what the wait goes by."""
        now = floor.ledger._now()
        floor.ledger._now = lambda: now
        floor.at = "2099-01-01T00:00:00+01:00"
        floor.play(LAB, "P1 -> NEXT")
        floor.scan(LAB, *[f"#{WRONG}"] * 4)
        floor.at = "2031-03-03T08:00:00+01:00"
        floor.play(LAB, f"#{PINS[1]} -> STOP pin-too-early")
        assert "Ada, 4 PINs were wrong: wait until 2031-03-03 08:00:30." in floor.verdicts[-1].sentence
        floor.ledger._now = lambda: "2031-03-03T07:00:30Z"
        floor.play(LAB, f"#{PINS[1]} -> DONE")
        assert judged(floor).unforced is None

    def test_a_later_time_on_the_scan_shortens_nothing(self, floor):
        now = floor.ledger._now()
        floor.ledger._now = lambda: now
        floor.play(LAB, "P1 -> NEXT")
        floor.scan(LAB, *[f"#{WRONG}"] * 4)
        floor.at = "2031-03-03T09:00:00+01:00"
        floor.play(LAB, f"#{PINS[1]} -> STOP pin-too-early")
        assert judged(floor).unforced is None


class TestAPinWhereNoneIsAskedFor:
    """What may be a PIN is marked before it is stored, wherever it is keyed."""

    @pytest.mark.parametrize("keyed", ["#{}", "{}"])
    def test_twice_after_a_badge(self, floor, keyed):
        line = keyed.format(PINS[1])
        floor.play(LAB, f"P1 | #{PINS[1]} -> DONE")
        floor.play(LAB, f"{line} -> STOP no-pin-asked; No number is asked for here...")
        floor.play(LINE, f"P1 | #{PINS[1]} -> DONE")
        floor.play(LINE, f"{line} -> STOP no-pin-asked")
        nothing_tells_a_pin(floor)
        rebuilds(floor)
        assert judged(floor).unforced is None

    @pytest.mark.parametrize("station", [LAB, LINE, DOCK])
    def test_before_a_badge_while_somebody_else_is_signed_on(self, floor, station):
        floor.play(station, f"P1 | #{PINS[1]} -> DONE")
        floor.play(station, f"#{PINS[2]} -> STOP no-pin-asked")
        floor.play(station, f"P2 | #{PINS[2]} -> DONE")
        nothing_tells_a_pin(floor)
        assert judged(floor).unforced is None

    def test_inside_an_act_that_asks_for_something_else(self, floor):
        floor.play(LAB, f"P1 | #{PINS[1]} | SAMPLE -> NEXT")
        floor.play(LAB, f"#{PINS[1]} -> STOP no-pin-asked")
        floor.play(LAB, f"HOLD -> NEXT\nK11 -> NEXT\n#{PINS[1]} -> STOP no-pin-asked")
        nothing_tells_a_pin(floor)
        assert judged(floor).unforced is None

    def test_a_number_that_is_asked_for_is_kept_even_where_it_is_refused(self, floor):
        floor.play(PRESS, f"P1 | #{PINS[1]} -> DONE")
        floor.scan(PRESS, "SETUP", "L5", stamper("EX-101-A"), stamper("EX-101-B"), "C1", "E1", "E2")
        floor.scan(PRESS, "START", '"EX-101-A', '"EX-101-B', "STACK", "K51")
        floor.play(PRESS, "#4711 -> STOP counter-too-high")
        assert "4711" in everything_kept(floor)
        assert judged(floor).unforced is None

    def test_where_nobody_has_a_pin_every_scan_is_kept_as_it_came(self):
        plain = Floor.copy()
        plain.play(LAB, "P1 -> DONE\n#4711 -> STOP wrong-thing")
        assert "4711" in everything_kept(plain)


class TestWhileAPinIsAwaited:
    @pytest.mark.parametrize(
        "line", [WRONG, f'"{WRONG}', f"#{WRONG} ", f"# {WRONG}", f"x{WRONG}", WRONG * 20, f"#{WRONG}\x00"]
    )
    def test_whatever_is_keyed_is_kept_nowhere(self, floor, line):
        floor.scan(LAB, "P1")
        assert floor.scan(LAB, line).finding in ("no-pin", "badge-refused")
        floor.play(LAB, f"{ADA} -> DONE")

    def test_digits_that_are_nobodys_pin_are_told_so(self, floor):
        floor.scan(LAB, "P1")
        told = "Ada, that cannot be a PIN. Key the 4 to 8 digits of yours and nothing else, at a station with # before them."
        floor.play(LAB, f"#1111 -> STOP no-pin; {told}\n{ADA} -> DONE")

    def test_nor_is_a_number_keyed_while_nobody_is_signed_on(self, floor):
        floor.play(LAB, f"{ADA} -> STOP nobody-signed-on; Nobody is signed on here. Scan your badge first.")
        assert PIN_MARK in everything_kept(floor)

    def test_nor_is_one_keyed_right_after_a_badge_was_refused(self, floor):
        """At a stopped line no badge is taken; who keys the PIN all the same must not leave it in the records."""
        floor.play(LINE, f"P1 | {ADA} | CLEAR | P2 | {BEN} | B1 | K11 | carton 1 | disc 1.1 -> NEXT")
        floor.play(LINE, "sleeve 2 -> STOP wrong-title")
        floor.play(LINE, f"P2 -> STOP line-stopped\n{BEN} -> STOP no-pin-asked")
        assert kinds(floor, 3) == ["scan-refused", "badge-turned-away", "scan-refused"]
        rebuilds(floor)
        # Only there: a number that is keyed later is a number.
        floor.play(LINE, "P2 -> STOP line-stopped\nSTOP -> DONE\n#17 -> STOP wrong-thing")
        assert "#17" in everything_kept(floor).splitlines()

    def test_a_code_is_refused_and_kept_as_it_came(self, floor):
        floor.scan(LAB, "P1")
        assert floor.scan(LAB, "L1").sentence == (
            f"You scanned lot card {n('L1')}. Key # and the PIN of Ada, or scan CANCEL."
        )
        assert floor.scan(LAB, "]C0L000001").finding == "wrong-format"
        assert "]C0L000001" in everything_kept(floor).splitlines()
        floor.play(LAB, f"{ADA} -> DONE")

    def test_another_badge_puts_the_first_away(self, floor):
        floor.play(LAB, "P1 | P2 -> NEXT; Ben, key # and your PIN.")
        floor.play(LAB, f"{BEN} -> DONE; Ben is signed on. Scan an action card.")
        floor.play(LAB, "P1 | P3 -> DONE; Cleo is signed on. Scan an action card.")
        assert kinds(floor, 2) == ["badge-put-away", "signed-on"]

    def test_an_unfinished_act_waits(self, floor):
        floor.play(LAB, f"P1 | {ADA} | SAMPLE | L1 -> NEXT")
        floor.play(LAB, "P2 | CANCEL -> DONE; Cancelled: the badge of Ben no longer waits for its PIN.")
        floor.play(LAB, "S1 | #3 | K11 -> DONE")

    def test_a_log_that_holds_the_mark_signs_nobody_on(self, floor):
        floor.play(LAB, f"P1 -> NEXT\n{PIN_MARK} -> STOP pin-not-recorded")
        assert failures(floor)[0] == (code("P", 1), 0)


class TestTheSecondPerson:
    @pytest.fixture(autouse=True)
    def rebuilt(self, floor):
        yield
        rebuilds(floor)

    def test_keys_their_pin_at_a_clearance(self, floor):
        floor.play(
            LINE,
            f"""
            P1 | {ADA} | CLEAR -> NEXT
            P2    -> NEXT; Ben, key # and your PIN.
            {BAD} -> STOP badge-refused
            {BEN} -> DONE; Line is cleared by Ada and Ben. Scan the sleeve batch.
            """,
        )

    def test_keys_their_pin_in_an_act(self, floor):
        floor.play(
            LAB,
            f"""
            P1 | {ADA} | HOLD | K11 | "sticky | LIFT | K11 | "wiped -> NEXT
            P1    -> STOP same-person
            P2    -> NEXT; Ben, key # and your PIN.
            {BEN} -> DONE; Hold {n("H1")} is lifted by two people.
            """,
        )

    def test_a_slot_that_follows_keeps_the_second_person(self, floor):
        """The badge waits in the spool as it came; what was keyed lies there as a mark."""
        floor.play(
            LINE, f"P1 | {ADA} | CLEAR | P2 | {BEN} | B1 | K11 | carton 1 | disc 1.1 | sleeve 1 -> MATCH"
        )
        floor.play(LINE, f"CHECK | P2 | {BEN} -> DONE; Checked by Ada and Ben: 1 unit since the last check.")
        floor.play(LINE, f"HANDOVER | P2 | {BEN} -> DONE")
        floor.play(LINE, "disc 1.1 | sleeve 1 -> MATCH")

    def test_a_disc_in_hand_stays_in_hand(self, floor):
        floor.play(LINE, f"P1 | {ADA} | CLEAR | P2 | {BEN} | B1 | K11 | carton 1 | disc 1.1 -> NEXT")
        floor.play(LINE, "NOREAD -> STOP no-read\nNOREAD -> STOP no-read")
        floor.play(LINE, f'MANUAL | "{n("sleeve 1")} | P2 -> NEXT; Ben, key # and your PIN.')
        rebuilds(floor)
        floor.play(LINE, f"{BAD} -> STOP badge-refused")
        floor.play(LINE, f"{BEN} -> DONE; Matched.")

    def test_matches_before_a_badge_are_sealed_and_those_after_it_count(self, floor):
        floor.play(
            LINE, f"P1 | {ADA} | CLEAR | P2 | {BEN} | B1 | K11 | carton 1 | disc 1.1 | sleeve 1 -> MATCH"
        )
        floor.play(
            LINE,
            "P2 -> NEXT\ndisc 1.1 -> STOP pin-awaited\nSTOP -> DONE; Cancelled: the badge of Ben no longer waits for its PIN.",
        )
        floor.play(LINE, "disc 1.1 | sleeve 1 | disc 1.1 | sleeve 1 -> MATCH")
        assert floor.verdicts[-1].count == "3 of 5 in carton"
        floor.play(LINE, "P2 -> NEXT\nCANCEL -> DONE\nSTOP -> DONE")
        assert floor.count("spool") == 0


def test_a_desk_of_an_older_program_waits_for_no_pin():
    floor = Floor.copy()
    floor.scan(LAB, "P1")
    assert all('"pin"' not in desk for (desk,) in floor.read("station", "desk"))


def test_a_replayed_log_is_checked_and_kept_like_a_live_scan():
    floor = with_pins(Floor.copy())
    with floor.ledger.writing() as booking:
        lines = [f"]C0{code('P', 1)}", BAD, ADA]
        words = [
            booking.book(LAB, RawScan(place, floor.at, line)).word.value
            for place, line in enumerate(lines, 1)
        ]
    assert words == ["NEXT", "STOP", "DONE"]
    nothing_tells_a_pin(floor)
    rebuilds(floor)
