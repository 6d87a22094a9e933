"""Every turn was given once; what is missing or twice is named, and scans of an older program stand before the first."""

import pytest

from tracelink.ledger.proof.scan_turns import ScanTurns

TWICE = "turn {} was given twice: a scan was put in, or its turn was changed"
GONE = "no scan has {}: a scan was taken out, or its turn was changed"
MORE = "no turn, though turn {} was the first: a scan was put in, or its turn was taken away"


@pytest.mark.parametrize(
    ("turns", "told"),
    [
        ([], []),
        ([None, None], []),
        ([1, 2, 3], []),
        ([3, 5, 1, 2, 4], []),
        # Two scans of an older program, one of which is sealed late.
        ([None, 3, 4, None, 5], []),
        ([1, 3], [GONE.format("turn 2")]),
        ([2, 3], [GONE.format("turn 1")]),
        ([1, 2, 6, 8], [GONE.format("turns 3 to 5"), GONE.format("turn 7")]),
        ([1, 2, 2, 3], [TWICE.format(2)]),
        ([1, 2, 4, 4], [TWICE.format(4), GONE.format("turn 3")]),
        ([1, None, 2], [f"1 scan has {MORE.format(1)}"]),
        ([None, 1, None, 2], [f"2 scans have {MORE.format(1)}"]),
        ([1, 9_999_999, 2], ["turn 9999999 is far from turns 1 to 1, the others"]),
    ],
)
def test_what_is_missing_or_twice(turns, told):
    count = ScanTurns()
    for turn in turns:
        count.seen(turn)
    assert list(count.sentences()) == told
