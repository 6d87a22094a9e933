"""`runout check-cartons`: how many to open out of so many, which, and what was found; c = 0."""

import hashlib
import json

import pytest
from support_cli import run
from support_ledgers import filled
from support_plant import DOCK, LAB, LINE, Floor, carton_sscc, code, n

from tracelink.store.ledger import Ledger


def _twenty(place):
    """Twenty cartons of one unit of lot 1, the first ten on pallet 1."""
    floor = Floor.copy()
    floor.press(1, strokes=30, stacks=1)
    floor.open_line(1, [11], 1)
    for number in range(1, 21):
        floor.match(1)
        floor.scan(LINE, "CLOSE", f"carton {number + 1}")
    floor.scan(DOCK, "P1", "PALLET", "pallet 1", *(f"carton {number}" for number in range(1, 11)), "CLOSE")
    floor.scan(LAB, "P1")
    floor.saved(place)


@pytest.fixture
def floor(tmp_path):
    return Floor(Ledger.open(str(filled(tmp_path / "plant.db", _twenty))))


def shown(floor, *words):
    found = run("check-cartons", *words, "--format", "json", ledger=floor.ledger.place)
    return found.code, json.loads(found.out), found.err


def draw(floor, subject, *words):
    """Draw as Ada, who works at the dock."""
    return shown(floor, subject, "--by", code("P", 1), *words)


def states(rows):
    return {row["carton"]: row["state"] for row in rows}


def test_a_sample_is_drawn_once_opened_and_agrees(floor):
    """1 wrong of 10 with 90 %: 9 to open, as tests/vectors/aggregation.json, c0-hyper-10-1."""
    words = (n("pallet 1"), "--confidence", 90, "--detect", 10)
    found, rows, said = shown(floor, *words)
    assert (found, len(rows), {row["state"] for row in rows}) == (1, 10, {"not opened"})
    assert said == (
        f"{n('pallet 1')}: to speak against 10 % or more of its 10 cartons being wrong, with 90 % confidence, open 9 of "
        "them, drawn at random, and accept none that differs. Not drawn yet: --by BADGE draws them and records it.\n"
    )
    found, rows, said = draw(floor, *words)
    assert (found, [*states(rows).values()].count("open it")) == (1, 9)
    entry = floor.read("carton_draw", "seq")[0][0]
    assert said.startswith("10 cartons drawn now.\n")
    assert said.endswith(f"Drawn in entry {entry}. 0 opened. 9 more to open, named above.\n")
    for row in [row for row in rows if row["state"] == "open it"][:4]:
        floor.play(DOCK, f"OPENCHECK | {row['carton']} | #1 -> DONE")
    found, rows, said = shown(floor, *words)
    assert (found, [*states(rows).values()].count("agrees")) == (1, 4)
    assert said.endswith("4 opened, all agreed. 5 more to open, named above.\n")
    for row in [row for row in rows if row["state"] == "open it"]:
        # COUNT opens a carton as OPENCHECK does.
        floor.play(DOCK, f"COUNT | {row['carton']} | #1 -> DONE")
    found, rows, said = shown(floor, *words)
    assert (found, said.endswith("9 opened, all agreed.\n")) == (0, True)


def test_nothing_draws_it_anew(floor):
    """Neither other scans, nor asking again, nor asking for another share or as another person."""
    words = (n("L1"), "--detect", 20)
    drawn = draw(floor, *words)[1]
    before = floor.read("carton_draw", "carton", "seq", "rank", order="rank")
    floor.play(LAB, 'HOLD | B2 | "unrelated -> DONE')
    assert shown(floor, *words)[1] == drawn
    again = draw(floor, *words)
    assert again[1] == drawn
    assert again[2].startswith("All cartons were drawn before.\n")
    more = shown(floor, n("L1"), "--detect", 10)[1]
    chosen = {carton for carton, state in states(drawn).items() if state == "open it"}
    wider = {carton for carton, state in states(more).items() if state == "open it"}
    assert chosen < wider
    assert floor.read("carton_draw", "carton", "seq", "rank", order="rank") == before
    assert run("rebuild", ledger=floor.ledger.place).code == 0
    assert floor.read("carton_draw", "carton", "seq", "rank", order="rank") == before
    assert run("audit", "verify", ledger=floor.ledger.place).code == 0


def test_the_draw_follows_from_the_hash_of_its_entry_and_can_be_made_again_by_anybody(floor):
    draw(floor, n("L1"))
    ((seq,),) = set(floor.read("carton_draw", "seq"))
    ((digest,),) = floor.read("journal", "hash", seq=seq)
    expected = sorted(
        (hashlib.sha256(f"{digest} {carton_sscc(number)}".encode()).hexdigest(), carton_sscc(number))
        for number in range(1, 21)
    )
    assert floor.read("carton_draw", "rank", "carton", order="rank") == expected


def test_cartons_that_came_since_are_drawn_too_and_the_others_stay(floor):
    words = (n("pallet 1"), "--confidence", 90, "--detect", 30)
    before = draw(floor, *words)[1]
    floor.match(1)
    floor.play(LINE, "CLOSE -> DONE")
    lot = (n("L1"), "--confidence", 90, "--detect", 30)
    draw(floor, *lot)
    floor.play(LINE, "carton 22 -> DONE")
    floor.match(1)
    floor.play(LINE, "CLOSE -> DONE")
    found, rows, said = shown(floor, *lot)
    assert states(rows)[carton_sscc(22)] == "came since"
    assert (found, "1 came since and must be drawn too: --by BADGE." in said) == (1, True)
    ranks = dict(floor.read("carton_draw", "carton", "rank", subject=n("L1")))
    _, rows, said = draw(floor, *lot)
    assert said.startswith("1 carton drawn now.\n")
    assert "came since" not in {*states(rows).values()}
    after = dict(floor.read("carton_draw", "carton", "rank", subject=n("L1")))
    assert {carton: after[carton] for carton in ranks} == ranks
    assert shown(floor, *words)[1] == before


def test_one_of_the_sample_that_left_unopened_leaves_the_check_unmet(floor):
    floor.play(LAB, 'RELEASE | L1 | "heard -> DONE')
    words = (n("L1"), "--detect", 99)
    _, rows, _ = draw(floor, *words)
    (chosen,) = [carton for carton, state in states(rows).items() if state == "open it"]
    # Nobody knows beforehand which one it is: one of the first ten leaves with its pallet.
    on_pallet = chosen in {carton_sscc(number) for number in range(1, 11)}
    leaves = (
        "ACCEPT | pallet 1 | SHIP | O1 | pallet 1" if on_pallet else f"SHIP | O1 | PICK | {chosen} | {chosen}"
    )
    floor.play(DOCK, f"{leaves} | DEPART -> DONE")
    found, rows, said = shown(floor, *words)
    assert (found, states(rows)[chosen], len(rows)) == (1, "left unopened", 20)
    assert said.endswith(
        f"0 opened. Left before they were opened: {chosen}. The check cannot be met: quality decides.\n"
    )


def test_all_of_few_need_no_draw(floor):
    found, rows, said = shown(floor, n("pallet 1"), "--confidence", 99, "--detect", 1)
    assert (found, {*states(rows).values()}) == (1, {"open it"})
    assert said.endswith("That is all of them. 0 opened. 10 more to open, named above.\n")


def test_the_share_is_taken_as_given(floor):
    _, _, said = shown(floor, n("L1"), "--detect", "2.55")
    assert "to speak against 2.55 % or more of its 20 cartons" in said
    for share in ("0.09", "100", "five", "nan", "1e5", "", "-3"):
        refused = run("check-cartons", n("L1"), "--detect", share, ledger=floor.ledger.place)
        assert (refused.code, "expected a number of percent, 0.1 to 99.9" in refused.err) == (2, True)


def test_only_dock_and_quality_draw(floor):
    place = floor.ledger.place
    refused = run("check-cartons", n("L1"), "--by", code("P", 77), ledger=place)
    assert (refused.code, floor.count("carton_draw")) == (4, 0)
    only_read = run("--read-only", "check-cartons", n("L1"), "--by", code("P", 1), ledger=place)
    assert (only_read.code, floor.count("carton_draw")) == (4, 0)


def test_one_that_differs_fails_the_check(floor):
    floor.play(DOCK, "OPENCHECK | carton 3 | #2 -> STOP count-differs")
    found, rows, said = shown(floor, n("pallet 1"))
    assert found == 1
    assert [row["carton"] for row in rows if row["state"] == "DIFFERS"] == [carton_sscc(3)]
    assert said.endswith(
        f" 1 differ: {carton_sscc(3)}. The check has failed, whatever the number opened: quality decides.\n"
    )


def test_a_lot_is_its_closed_cartons_in_the_plant(floor):
    floor.play(LAB, 'RELEASE | L1 | "heard -> DONE')
    floor.play(DOCK, "SHIP | O1 | PICK | carton 20 | carton 20 | DEPART -> DONE")
    _found, rows, _said = shown(floor, n("L1"))
    assert [row["carton"] for row in rows] == [carton_sscc(number) for number in range(1, 20)]


def test_a_check_is_of_what_is_in_the_carton_now(floor):
    floor.play(DOCK, "OPENCHECK | carton 15 | #1 -> DONE")
    assert [row["state"] for row in shown(floor, n("L1"))[1]].count("agrees") == 1
    floor.play(LINE, 'CLOSE | REOPEN | carton 15 | "one more | disc 1.1 | sleeve 1 | CLOSE -> DONE')
    assert [row["state"] for row in shown(floor, n("L1"))[1]].count("agrees") == 0


def test_what_cannot_be_opened_is_wrong_usage(floor):
    place = floor.ledger.place
    for words, sentence in (
        ((n("L2"),), f"{n('L2')} has no closed carton in the plant that could be opened"),
        ((n("K11"),), f"{n('K11')} is a spindle card: expected a pallet's SSCC or a lot"),
        (
            (carton_sscc(1),),
            f"{carton_sscc(1)} is not a pallet in the system: expected a pallet's SSCC or a lot",
        ),
    ):
        found = run("check-cartons", *words, ledger=place)
        assert (found.code, found.err) == (2, f"runout: {sentence}\n")
    assert run("check-cartons", n("L1"), "--confidence", 100, ledger=place).code == 2
