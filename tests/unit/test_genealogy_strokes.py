"""Spans and stroke sets: values a person can check by eye, and Python's own sets as the outside check."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracelink.errors import UsageError
from tracelink.genealogy.model.strokes import NO_STROKES, Span, StrokeSet

spans = st.builds(lambda a, n: Span(a, a + n), st.integers(1, 40), st.integers(0, 12))
sets = st.lists(spans, max_size=6).map(lambda found: StrokeSet.of(*found))


def test_touching_and_overlapping_spans_join():
    made = StrokeSet.of(Span(7, 9), Span(1, 3), Span(4, 5), Span(8, 12))
    assert made.spans == (Span(1, 5), Span(7, 12))
    assert str(made) == "1-5, 7-12"


def test_single_strokes_print_without_a_dash():
    assert str(StrokeSet.of(Span(1, 400), Span(412, 412))) == "1-400, 412"


def test_the_empty_set_is_false_and_prints_nothing():
    assert not NO_STROKES
    assert len(NO_STROKES) == 0
    assert str(NO_STROKES) == ""


@pytest.mark.parametrize(("first", "last"), [(0, 3), (-1, -1), (5, 4)])
def test_a_span_must_begin_at_one_and_not_run_backwards(first, last):
    with pytest.raises(UsageError) as caught:
        Span(first, last)
    assert str(caught.value) == (
        f"strokes {first}-{last} are no span: expected 1 <= first <= last, found first {first} and last {last}"
    )


@given(sets, sets)
def test_operations_equal_those_of_python_sets(left, right):
    a, b = set(left), set(right)
    assert set(left | right) == a | b
    assert set(left & right) == a & b
    assert set(left - right) == a - b
    assert len(left) == len(a)
    assert bool(left) == bool(a)
    assert [stroke for stroke in range(60) if stroke in left] == sorted(a)


@given(sets, sets)
def test_results_are_normalised_so_that_equal_sets_are_equal(left, right):
    for made in (left | right, left & right, left - right):
        assert made == StrokeSet.from_strokes(set(made))
        assert hash(made) == hash(StrokeSet.from_strokes(set(made)))
        for one, after in zip(made.spans, made.spans[1:], strict=False):
            assert one.last + 1 < after.first


@given(sets.filter(bool))
def test_first_and_last_are_the_ends(some):
    assert (some.first, some.last) == (min(some), max(some))


@given(sets, st.integers(0, 80))
def test_lowest_takes_from_the_front(some, count):
    assert list(some.lowest(count)) == sorted(some)[:count]


def test_only_whole_numbers_are_members():
    assert "3" not in StrokeSet.between(1, 5)


@given(sets, st.integers(0, 30))
def test_shifting_moves_every_stroke(some, by):
    assert set(some.shifted(by)) == {stroke + by for stroke in some}
    assert some.shifted(by).shifted(-by) == some
