"""Items that are made some at a time come in their order, and what fails fails at its place."""

import pytest

from tracelink.store.journal.ahead import read_ahead


@pytest.mark.parametrize("count", [1, 2, 3, 7, 8])
def test_all_items_come_in_order(count):
    assert list(read_ahead(range(7), count)) == list(range(7))
    assert list(read_ahead([], count)) == []


@pytest.mark.parametrize("count", [1, 3, 4, 9])
def test_what_fails_is_raised_after_all_before_it(count):
    def failing():
        yield from range(4)
        raise OSError("a page is damaged")

    reading = read_ahead(failing(), count)
    assert [next(reading) for _ in range(4)] == [0, 1, 2, 3]
    with pytest.raises(OSError, match="a page is damaged"):
        next(reading)


def test_no_more_than_asked_for_is_made_ahead():
    made = []
    reading = read_ahead((made.append(n) or n for n in range(9)), 3)
    assert next(reading) == 0
    assert made == [0, 1, 2]
