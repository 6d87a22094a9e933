"""`runout check-cartons`: how many to open out of so many, which, and what was found; c = 0."""

import json

import pytest
from support_cli import run
from support_plant import DOCK, LAB, LINE, Floor, carton_sscc, n

from tracelink.store.ledger import Ledger


@pytest.fixture
def floor(tmp_path):
    """Twenty cartons of one unit of lot 1, the first ten on pallet 1."""
    floor = Floor.copy()
    floor.press(1, strokes=30, stacks=1)
    floor.open_line(1, [11], 1)
    for number in range(1, 21):
        floor.match(1)
        floor.scan(LINE, "CLOSE", f"carton {number + 1}")
    floor.scan(DOCK, "P1", "PALLET", "pallet 1", *(f"carton {number}" for number in range(1, 11)), "CLOSE")
    floor.scan(LAB, "P1")
    return Floor(Ledger.open(str(floor.saved(tmp_path / "plant.db"))))


def shown(floor, *words):
    found = run("check-cartons", *words, "--format", "json", ledger=floor.ledger.place)
    return found.code, json.loads(found.out), found.err


def test_all_of_few_cartons_are_opened_and_agree(floor):
    """1 wrong of 10 with 90 %: 9 to open, as tests/vectors/aggregation.json, c0-hyper-10-1."""
    words = (n("pallet 1"), "--confidence", 90, "--detect", 10)
    code, rows, said = shown(floor, *words)
    assert (code, len(rows), sum(row["state"] == "open it" for row in rows)) == (1, 10, 9)
    assert said == (
        f"{n('pallet 1')}: to speak against 10 % or more of its 10 cartons being wrong, with 90 % confidence, open 9 of "
        "them, drawn at random, and accept none that differs. 0 opened. 9 more to open, named above.\n"
    )
    again = shown(floor, *words)
    assert again[1] == rows
    for row in [row for row in rows if row["state"] == "open it"][:4]:
        floor.play(DOCK, f"OPENCHECK | {row['carton']} | #1 -> DONE")
    code, rows, said = shown(floor, *words)
    assert (code, sum(row["state"] == "agrees" for row in rows)) == (1, 4)
    assert said.endswith("4 opened, all agreed. 5 more to open, named above.\n")
    for row in [row for row in rows if row["state"] == "open it"]:
        # COUNT opens a carton as OPENCHECK does.
        floor.play(DOCK, f"COUNT | {row['carton']} | #1 -> DONE")
    code, rows, said = shown(floor, *words)
    assert (code, said.endswith("9 opened, all agreed.\n")) == (0, True)


def test_one_that_differs_fails_the_check(floor):
    floor.play(DOCK, "OPENCHECK | carton 3 | #2 -> STOP count-differs")
    code, rows, said = shown(floor, n("pallet 1"))
    assert code == 1
    assert [row["carton"] for row in rows if row["state"] == "DIFFERS"] == [carton_sscc(3)]
    assert said.endswith(
        f"1 opened; 1 differ: {carton_sscc(3)}. The check has failed, whatever the number opened: quality decides.\n"
    )


def test_a_lot_is_its_closed_cartons_in_the_plant(floor):
    floor.play(LAB, 'RELEASE | L1 | "heard -> DONE')
    floor.play(DOCK, "SHIP | O1 | PICK | carton 20 | carton 20 | DEPART -> DONE")
    _code, rows, _said = shown(floor, n("L1"))
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
            f"{carton_sscc(1)} is not a pallet of this ledger: expected a pallet's SSCC or a lot",
        ),
    ):
        found = run("check-cartons", *words, ledger=place)
        assert (found.code, found.err) == (2, f"runout: {sentence}\n")
    assert run("check-cartons", n("L1"), "--confidence", 100, ledger=place).code == 2
