"""What is packed with a unit is checked by scan: part, revision and how many, off a reel, out of a tray or by its own label."""

import pytest
from support_assembly import BENCH, UNIT, assembly_data, built_floor, play
from support_lab import add_to
from support_plant import carton_sscc, gtin, n
from support_plantfile import read_plant_file

from tracelink.errors import UsageError
from tracelink.services.balancing import balance
from tracelink.store.stations.judge_again import judge_again

KIT = {
    "part": [{"number": "EX-5001", "name": "slip mat", "sample": 1}, {"number": "EX-5002", "name": "belt"}],
    "bill": [
        {
            "part": UNIT,
            "version": "B",
            "since": "2031-01-01",
            "gtin": gtin(9),
            "lines": [
                {"part": "EX-3000", "revision": "A", "quantity": 1},
                {"part": "EX-1003", "revision": "1", "quantity": 4},
                {"part": "EX-5001", "revision": "1", "quantity": 1, "packed": True},
                {"part": "EX-5002", "revision": "2", "quantity": 2, "packed": True},
            ],
        }
    ],
}


@pytest.fixture
def bench():
    made = built_floor()
    add_to(made, KIT)
    play(
        made,
        f"""
        RECEIVE | M7 | "EX-5001 | "1 | "SL-90 | "3110 | #50 | TESTLOT | M7 | #1 | #0 | FILL | F7 | M7 | #50 -> DONE
        RECEIVE | M8 | "EX-5002 | "2 | "SL-91 | "3110 | #5 | TESTLOT | M8 | #5 | #0 | TAPE | F8 | M8 | #5 -> DONE
        RECEIVE | M9 | "EX-5002 | "1 | "SL-92 | "3110 | #9 | TESTLOT | M9 | #9 | #0 | FILL | F9 | M9 | #9 -> DONE
        BUILD | N2 | "{UNIT} | U201 | #5 | #1 | JOIN | U201 | U101 | F4 | JOIN | U202 | U102 | F4 -> DONE
        JOIN | U203 | U103 | F4 -> DONE; {n("U203")}, turntable: 5 parts joined, complete by bill of material B.
        PASS | U201 | "final 2.1 | PASS | U202 | "final 2.1 | PASS | U203 | "final 2.1 -> DONE
        """,
        BENCH,
    )
    return made


def test_the_kit_of_each_unit_is_asked_for_before_the_next_unit(bench):
    play(
        bench,
        f"""
        PACK | carton 1 | U201 -> NEXT; Scan what is packed with {n("U201")}: 1 of EX-5001 revision 1, slip mat; 2 of EX-5002 \
revision 2, belt.
        U202 -> STOP wrong-part; {n("U202")} is {UNIT}; {n("U201")} needs EX-5001, EX-5002. Put it back and take the right part.
        carton 1 -> STOP wrong-thing
        F4 -> STOP wrong-part
        F9 -> STOP wrong-revision; {n("F9")} is EX-5002 revision 1; the bill of material has revision 2. Put it aside and take \
the right revision.
        F7 -> NEXT; Scan what is packed with {n("U201")}: 2 of EX-5002 revision 2, belt.
        F7 -> STOP wrong-part
        F8 -> NEXT; 1 of 5 in the carton. Scan the serial label of a unit, or the carton label once more when it is done.
        U202 | F8 | F7 -> NEXT; 2 of 5 in the carton. Scan the serial label of a unit, or the carton label once more when it is done.
        U203 | F7 -> NEXT
        F8 -> STOP reel-used-up; {n("F8")} has 1 part left by the records; the unit takes 2. Take another; if there are parts in \
it, count them with LEFT and tell quality.
        CANCEL -> DONE
        PACK | carton 1 | U201 | F7 | F8 | U202 | F8 | F7 | carton 1 -> DONE; Carton {carton_sscc(1)} closed with 2 units.
        U201 -> DONE; {n("U201")}, {UNIT}, turntable, piece 1 of build order {n("N2")}: passed, 8 parts in it, in {carton_sscc(1)}.
        """,
        BENCH,
    )
    assert bench.read("part_move", "target", "quantity", "first", "last", reel=n("F8"), order="seq") == [
        (n("U201"), 2, 1, 2),
        (n("U202"), 2, 3, 4),
    ]
    with bench.ledger.reading() as conn:
        judged = judge_again(conn)
        added = balance(conn, n("F7"))
    assert (judged.unforced, judged.not_judged, judged.left) == (None, 0, 0)
    assert (added.difference, added.off) == (0, False)
    bench.ledger.verify()


def test_a_line_is_packed_or_placed_and_no_slot_is_called_packing():
    lines = [{"part": "EX-5001", "revision": "1", "quantity": 1, "packed": True, "slot": "1"}]
    wrong = {"bill": [{"part": UNIT, "version": "C", "since": "2031-01-01", "lines": lines}]}
    with pytest.raises(UsageError, match="packed and slot go not together"):
        list(read_plant_file(wrong, new_ledger=False))
    slot = {"slot": [{**assembly_data()["slot"][0], "name": "packing"}]}
    with pytest.raises(UsageError, match="expected the name of a slot on a machine"):
        list(read_plant_file(slot, new_ledger=False))
