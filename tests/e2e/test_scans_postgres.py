"""Scans on a server that came out otherwise than in a file: found by the tests of stations and random histories there."""

import pytest
from support_plant import DOCK, LINE, Floor, n
from support_sql import change

from tracelink.store.journal.verify import examine


@pytest.fixture(params=["sqlite", "postgresql"])
def floor(request):
    return Floor.copy() if request.param == "sqlite" else request.getfixturevalue("pg_grown")


@pytest.mark.parametrize("line", ["]C0\0", "\0", "]C0\ufffe0", "K1\0\0"])
def test_a_line_with_a_zero_character_is_refused_and_kept(floor, line):
    for _ in range(2):
        verdict = floor.ledger.scan(LINE, line, floor.at)
        assert (verdict.word.value, verdict.finding) == (
            "STOP",
            floor.ledger.scan(LINE, line, floor.at).finding,
        )
    assert floor.kinds()[-4:] == ["scan-refused"] * 4
    with floor.ledger.reading() as conn:
        assert examine(conn).faults == []


def test_what_of_a_hold_is_told_does_not_go_by_the_order_of_rows(floor):
    """A hold that names a carton and a sleeve in it: of both, the same one is told on every engine."""
    floor.press(4, strokes=20, stacks=2)
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B3 | K41 | carton 1 -> DONE
        disc 3.1 | sleeve 3 no 7 -> MATCH
        CLOSE | carton 2 -> DONE
        disc 3.1 | sleeve 3 no 7 -> STOP duplicate-number
        """
    )
    subjects = sorted(subject for (subject,) in floor.read("hold_item", "subject"))
    assert n("carton 1") in subjects
    # A server writes a changed row to another place: the order in which they lie is the other way round then.
    with floor.ledger.transaction() as conn:
        for subject in reversed(subjects):
            change(conn, "hold_item", {"first": None}, subject=subject)
    told = floor.scan(DOCK, "P1", "PALLET", "pallet 1", "carton 1")
    assert told.finding == "on-hold"
    assert " on (01)" in told.sentence
