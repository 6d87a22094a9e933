"""Every scan of a station is sealed or waits; what is neither, or is there twice, is named."""

import random

import pytest
from support_campaign import tries

from tracelink.ledger.proof.scan_turns import ScanTurns
from tracelink.ledger.proof.scancount import ScanCount


def said(numbers, last):
    count = ScanCount()
    for number in numbers:
        count.seen("W1", number)
    return [*count.sentences("W1", last), *count.doubled()]


def neither(number):
    return f"station W1: scan {number} is neither sealed in an entry nor in the spool"


@pytest.mark.parametrize(
    ("numbers", "last", "told"),
    [
        ([1, 2, 3], 3, []),
        ([], 0, []),
        ([3, 1, 2], 3, []),
        ([2, 4, 1, 3], 4, []),
        ([1, 3], 3, [neither(2)]),
        ([1, 2], 4, [neither(3), neither(4)]),
        ([1, 1], 1, ["station W1: scan 1 is there twice"]),
        ([1, 9_999_999, 2], 2, ["station W1: scan 9999999 is far beyond scan 1, the one before"]),
    ],
)
def test_what_is_missing_or_twice(numbers, last, told):
    assert said(numbers, last) == told


def test_stations_are_counted_apart():
    count = ScanCount()
    count.seen("W1", 1)
    count.seen("W2", 1)
    assert [*count.sentences("W1", 1), *count.sentences("W2", 1), *count.doubled()] == []
    assert list(count.sentences("W3", 1)) == [
        "station W3: scan 1 is neither sealed in an entry nor in the spool"
    ]


def test_scans_counted_together_come_to_the_same_as_one_by_one():
    rng, told = random.Random(22), 0
    for _ in range(tries(300)):
        together, one_by_one = ScanCount(), ScanCount()
        turns, turns_one_by_one = ScanTurns(), ScanTurns()
        for _entry in range(rng.randrange(1, 6)):
            first, by = rng.randrange(1, 12), rng.choice((1, 1, 1, 2, -1, 0))
            numbers = [first + by * n for n in range(rng.randrange(5))]
            together.seen_all("W1", numbers)
            turns.seen_all(numbers)
            for number in numbers:
                one_by_one.seen("W1", number)
                turns_one_by_one.seen(number)
        expected = [*one_by_one.sentences("W1", 14), *one_by_one.doubled()]
        assert [*together.sentences("W1", 14), *together.doubled()] == expected
        assert list(turns.sentences()) == list(turns_one_by_one.sentences())
        told += bool(one_by_one.doubled())
    assert told
