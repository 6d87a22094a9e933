"""Counting by hand and trial discs: each rule with its accept and its refuse case, sentences and rows checked."""

import pytest
from support_plant import DOCK, LAB, LINE, PRESS, Floor, n

from tracelink.balance.balance_sentences import mixed_sentences
from tracelink.balance.lot import lot_balance
from tracelink.store.records.balance_facts import lot_records


@pytest.fixture
def floor():
    made = Floor.copy()
    made.press(1, strokes=20, stacks=2)
    return made


def counts(floor):
    return floor.read("stock_count", "place", "lot", "quantity", "expected", order="seq lot")


def test_a_count_that_agrees_is_kept(floor):
    floor.scan(LAB, "P1")
    floor.play(LAB, f"COUNT | K11 | #10 -> DONE; Spindle {n('K11')} holds 10 discs, as the system shows.")
    assert counts(floor) == [(n("K11"), n("L1"), 10, 10)]
    assert floor.read("finding") == []


def test_a_count_that_differs_is_a_finding_and_changes_no_kept_count(floor):
    floor.scan(LAB, "P1")
    sentence = f"Spindle {n('K11')} holds 8 discs; the system shows 10: 2 missing. Count again; tell quality."
    told = f"{sentence} Lot {n('L1')} is under investigation."
    floor.play(LAB, f"COUNT | K11 | #8 -> STOP count-differs; {told}")
    assert floor.read(
        "finding", "finding", "station", "person", "subject", "expected", "found", "sentence"
    ) == [("count-differs", LAB, n("P1"), n("K11"), f"10 of {n('L1')}", f"8 of {n('L1')}", sentence)]
    assert floor.read("stock", "quantity", place=n("K11")) == [(10,)]


def test_too_many_are_said_to_be_too_many(floor):
    floor.scan(DOCK, "P1")
    verdict = floor.scan(DOCK, "COUNT", "K12", "#11")
    assert "the system shows 10: 1 too many." in verdict.sentence


def test_the_discs_at_a_press_are_counted_under_the_lot_card(floor):
    floor.press(5, strokes=7, stacks=1)
    floor.scan(PRESS, "P1")
    floor.play(
        PRESS,
        f"COUNT | L5 | #0 -> DONE; At the press, without a spindle, lot {n('L5')} has 0 discs, as the system shows.",
    )
    assert counts(floor) == [("counter", n("L5"), 0, 0)]


def test_the_reading_of_the_counter_is_not_taken_for_a_count(floor):
    """Who is asked to count at the press may key what its counter reads; nobody is put under investigation for it."""
    floor.press(5, strokes=7, stacks=1)
    floor.scan(PRESS, "P1")
    told = f"7 is the counter reading of {n('L5')}. Key how many discs lie at the press without a spindle."
    floor.play(PRESS, f"COUNT | L5 -> NEXT\n#7 -> STOP wrong-count; {told}\n#0 -> DONE")
    more = f"At the press, without a spindle, lot {n('L5')} has 2 discs; the system shows 0: 2 too many."
    told = f"{more} Count again; tell quality. Lot {n('L5')} is under investigation."
    floor.play(PRESS, f"COUNT | L5 | #2 -> STOP count-differs; {told}")


def test_spooled_matches_count_at_once(floor):
    floor.open_line(1, [11], 1)
    floor.match(1, 3)
    floor.scan(LAB, "P1")
    floor.play(LAB, f"COUNT | K11 | #7 -> DONE; Spindle {n('K11')} holds 7 discs, as the system shows.")


def test_a_closed_carton_is_counted_in_units(floor):
    floor.open_line(1, [11], 1)
    floor.match(1, 3)
    floor.scan(DOCK, "P1")
    floor.play(
        DOCK,
        f"""
        COUNT | carton 1 -> STOP carton-open; Carton {n("carton 1")} is still open at its line; count it when it is closed.
        CANCEL -> DONE
        """,
    )
    floor.scan(LINE, "CLOSE", '"end of lot')
    if floor.read("carton", "status") != [("closed",)]:
        floor.scan(LINE, "CLOSE")
    floor.play(
        DOCK, f"COUNT | carton 1 | #3 -> DONE; Carton {n('carton 1')} holds 3 units, as the system shows."
    )


@pytest.fixture
def mixed(floor):
    """Carton 1 with 2 discs of lot 1 and 3 of lot 5, which are the same disc."""
    floor.press(5, strokes=4, stacks=1)
    floor.open_line(1, [11], 1)
    floor.match(1, 2)
    floor.scan(LINE, "K51")
    floor.match(1, 3)
    floor.scan(LINE, "CLOSE")
    floor.scan(DOCK, "P1")
    return floor


def balance(floor, lot):
    with floor.ledger.reading() as conn:
        records = lot_records(conn, n(lot))
    return {line.name: line.difference for line in lot_balance(records).lines}, mixed_sentences(records)


def test_a_carton_of_two_lots_of_one_disc_is_counted_as_a_whole(mixed):
    lots = f"{n('L1')} and {n('L5')}"
    mixed.play(
        DOCK,
        f"COUNT | carton 1 | #5 -> DONE; Carton {n('carton 1')} holds 5 units, as the system shows. How many are of {lots} was not counted.",
    )
    assert mixed.read("mixed_count", "lot", "own", "quantity", "expected", order="lot") == [
        (n("L1"), 2, 5, 5),
        (n("L5"), 3, 5, 5),
    ]
    assert mixed.read("investigation") == mixed.read("finding") == []
    differences, said = balance(mixed, "L1")
    assert differences["in cartons"] == 0
    assert "5 of 5, as the records say; how many are of this lot was not counted." in said[0]


def test_what_is_missing_of_two_lots_is_a_range_of_each(mixed):
    why = f"Carton {n('carton 1')} holds 4 units; the system shows 5: 1 missing"
    sentence = f"{why}. Which of {n('L1')} and {n('L5')} is off cannot be told. Count again; tell quality."
    told = f"{sentence} Lots {n('L1')} and {n('L5')} are under investigation."
    mixed.play(DOCK, f"COUNT | carton 1 | #4 -> STOP count-differs; {told}")
    assert mixed.read("investigation", "subject", "difference", "reason", order="seq") == [
        (n("L1"), None, why),
        (n("L5"), None, why),
    ]
    assert mixed.read("finding", "subject", "expected", "found") == [
        (n("carton 1"), f"5 of {n('L1')} and {n('L5')}", f"4 of {n('L1')} and {n('L5')}")
    ]
    for lot, least, most in (("L1", 1, 2), ("L5", 2, 3)):
        [said] = balance(mixed, lot)[1]
        assert (
            f"1 missing; of this lot's {most} there are {least} to {most}, if no lot has more there" in said
        )


def test_a_mixed_carton_counted_lot_by_lot_is_judged_lot_by_lot(mixed):
    first, second, carton = n("L1"), n("L5"), n("carton 1")
    wanted = f'Key one number for all, or type the count of each lot: "{first}=... {second}=...".'
    mixed.play(
        DOCK,
        f"""
        COUNT | carton 1 | #4 -> STOP count-differs
        COUNT | carton 1 -> NEXT
        "{first}=2 -> STOP wrong-count; "{first}=2" is not a count by lot. {wanted}
        "{first}=2 {first}=3 -> STOP wrong-count
        "{first}=2 {second}=x -> STOP wrong-count
        "{first}=2 {second}=2 -> STOP count-differs; Carton {carton} holds 2 of {first}, 2 of {second}; the system shows 2 of {first}, 3 of {second}. Count again; tell quality. Lot {second} is under investigation. A second person counts it too: what both count is its content.
        """,
    )
    # The count lot by lot replaces the count of the whole.
    assert balance(mixed, "L1")[0]["in cartons"] == 0
    assert balance(mixed, "L5")[0]["in cartons"] == 1
    assert balance(mixed, "L1")[1] == []
    # One investigation a lot, however often it is counted.
    assert mixed.read("investigation", "subject", order="seq") == [(first,), (second,)]
    mixed.play(DOCK, f'COUNT | carton 1 | "{first.lower()}=2, {second}=3 -> DONE')


def test_a_set_with_one_mixed_disc_is_counted_as_a_whole(floor):
    """Moth Parliament: two lots of disc 1, one lot of disc 2."""
    for lot in (2, 6, 3):
        floor.press(lot, strokes=4, stacks=1)
    floor.open_line(2, [21, 31], 2)
    unit = "disc 2.1 | sleeve 2 | disc 2.2 | sleeve 2"
    floor.play(LINE, f"{unit} | K61 | {unit} | CLOSE -> DONE")
    floor.play(DOCK, "P1 | COUNT | carton 2 | #1 -> STOP count-differs")
    assert floor.read("stock_count", "lot", "quantity", "expected") == [(n("L3"), 1, 2)]
    assert floor.read("mixed_count", "lot", "own", "quantity", "expected", order="lot") == [
        (n("L2"), 1, 1, 2),
        (n("L6"), 1, 1, 2),
    ]
    assert floor.read("investigation", "subject", "difference", order="subject") == [
        (n("L2"), None),
        (n("L3"), 1),
        (n("L6"), None),
    ]


def test_a_lot_under_investigation_is_not_released(floor):
    floor.play(LAB, "P1 | COUNT | K11 | #8 -> STOP count-differs")
    floor.play(LAB, "COUNT | K11 | #10 -> DONE")
    floor.play(LAB, 'RELEASE | L1 | "heard -> STOP under-investigation')


def test_what_cannot_be_counted_is_refused(floor):
    floor.scan(LAB, "P1")
    floor.play(
        LAB,
        f"""
        COUNT | K99 -> STOP unknown-code; Spindle card {n("K99")} is not in the system.
        L99 -> STOP unknown-code; Lot card {n("L99")} is not in the system.
        L2 -> STOP not-pressed; Lot {n("L2")} is planned; it has no discs yet.
        carton 7 -> STOP unknown-code; Carton {n("carton 7")} has not been packed.
        pallet 7 -> STOP wrong-thing; {n("pallet 7")} is a pallet label. Count its cartons one by one.
        T1 -> STOP wrong-thing; You scanned tool tag {n("T1")}. Scan a spindle card, a carton label or a lot card.
        K11 | "ten -> STOP wrong-count; "ten" is not a count by lot. Key one number for all, or type the count of each lot: "{n("L1")}=...".
        CANCEL -> DONE
        """,
    )
    assert counts(floor) == []


def test_counting_needs_the_role_of_the_station(floor):
    floor.scan(LAB, "P3")
    floor.play(
        LAB,
        "COUNT -> STOP wrong-role; Cleo may not do COUNT: that needs the role lab. Ask someone who has it.",
    )


def test_trial_discs_leave_the_press_by_their_strokes():
    floor = Floor.copy()
    floor.scan(PRESS, "P1", "SETUP", "L1", "T4", "T14", "C1", "E1", "E2", "TRIAL")
    assert floor.verdicts[-1].finding == "not-started"
    floor.scan(PRESS, "START", '"EX-101-A', '"EX-101-B')
    floor.play(
        PRESS,
        f"""
        TRIAL | #6 -> DONE; 6 trial discs scrapped, strokes 1 to 6.
        TRIAL | #6 -> STOP nothing-to-throw; All discs of {n("L1")} up to 6 have left the press already. Read the counter again.
        #5 -> STOP counter-backwards; You keyed 5, and the counter of {n("L1")} was already at 6. Read it again.
        CANCEL -> DONE
        STACK | K11 | #16 -> DONE
        """,
    )
    assert floor.read("movement", "quantity", "source", "target", "first", "last", order="seq") == [
        (6, "counter", "set-up", 1, 6),
        (10, "counter", n("K11"), 7, 16),
    ]
    floor.scan(LAB, "P1")
    floor.play(
        LAB,
        f"SAMPLE | L1 | S1 | #3 -> STOP thrown-out; Stroke 3 of {n('L1')} was scrapped when the press was set up. "
        "Read the stroke again, or tell quality.",
    )
