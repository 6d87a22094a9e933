"""Many checks as one test: none is left out, and those that fail are named."""

import pytest
from support_each import each

CASES = [("one", 1), ("two", 2), ("three", 3), ("four", 4)]


def test_every_case_is_tried_with_what_pytest_gives_beside():
    tried = []

    @each("letter", "ab")
    @each("word, number", CASES)
    def check(fixture, word, number, letter):
        tried.append((fixture, word, number, letter))

    check("given")
    assert tried == [("given", word, number, letter) for letter in "ab" for word, number in CASES]


def test_all_that_fail_are_named_and_the_first_is_shown():
    @each("word, number", CASES, ids=lambda value: value if isinstance(value, str) else None)
    def check(word, number):
        if number == 4:
            pytest.fail("not four")
        assert number not in (2, 4), word

    with pytest.raises(AssertionError, match=r"^two") as caught:
        check()
    assert caught.value.__notes__ == ["2 of 4 cases failed: two-2, four-4"]


def test_one_that_cannot_be_tried_keeps_none_from_being_tried():
    tried = []

    @each("number", range(5), ids=map(str, range(5)))
    def check(number):
        if number in (0, 3):
            pytest.skip("no reader")
        tried.append(number)
        assert number < wrong

    wrong = 9
    with pytest.raises(pytest.skip.Exception, match=r"^no reader \(2 of 5 cases; the others were tried\)$"):
        check()
    assert tried == [1, 2, 4]
    wrong = 4
    with pytest.raises(AssertionError) as caught:
        check()
    assert caught.value.__notes__ == ["1 of 5 cases failed: 4"]


def test_no_case_at_all_is_a_fault_and_so_is_a_name_the_test_does_not_have():
    with pytest.raises(AssertionError, match="no case to try"):
        each("number", [])
    with pytest.raises(AssertionError, match="lacks one of"):
        each("number", [1])(lambda word: word)
