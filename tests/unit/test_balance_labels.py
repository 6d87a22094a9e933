"""Label balances and numbers one by one, against constructed values of a published rule."""

import pytest
from support_vectors import by_id, load

from tracelink.balance.labels import LabelBalance, LabelRecords, SerialRecords, serial_balance


@pytest.mark.parametrize("case", load("balance", "quantity_reconciliation"), ids=by_id)
def test_counts_against_their_limit(case):
    given, expected = case["input"], case["expected"]
    limit = round(given["limit_fraction"] * 1000)
    fates = {fate: given[fate] for fate in ("used", "returned", "destroyed")}
    found = LabelBalance(LabelRecords("B", given["issued"], fates, limit, "check value"))
    assert found.difference == expected["discrepancy"], case["source"]
    assert found.difference / given["issued"] == pytest.approx(expected["fraction"], abs=case["tolerance"])
    assert found.within is expected["within"]


def expand(ranges):
    for text in ranges:
        first, last = map(int, text.split("-"))
        yield from map(str, range(first, last + 1))


@pytest.mark.parametrize("case", load("balance", "serial_reconciliation"), ids=by_id)
def test_number_by_number(case):
    given, expected = case["input"], case["expected"]
    found = serial_balance(
        SerialRecords(
            "B",
            frozenset(expand(given["issued"])),
            tuple(map(str, given["used"])),
            returned=frozenset(map(str, given["returned"])),
            destroyed=frozenset(map(str, given["destroyed"])),
        )
    )
    assert list(map(int, found.missing)) == expected["missing"], case["source"]
    assert list(map(int, found.double)) == expected["double_state"]
    assert found.net == expected["net_count_discrepancy"]
    assert not found.agrees


def test_what_was_never_counted_is_never_within():
    found = LabelBalance(LabelRecords("E", None, {"used": 40}, 10, "common practice"))
    assert (found.difference, found.within, found.accounted) == (None, False, 40)


def test_the_limit_itself_is_within_and_one_more_is_not():
    def judged(used):
        return LabelBalance(LabelRecords("E", 1000, {"used": used}, 10, "")).within

    assert [judged(used) for used in (989, 990, 1010, 1011)] == [False, True, True, False]


def test_a_limit_of_nothing_takes_no_difference():
    assert LabelBalance(LabelRecords("B", 100, {"used": 100}, 0, "")).within
    assert not LabelBalance(LabelRecords("B", 100, {"used": 99}, 0, "")).within


def test_the_uncertainty_of_weighing_is_rounded_up():
    assert LabelBalance(LabelRecords("E", 1001, {}, 10, "", 5)).uncertain_by == 6
    assert LabelBalance(LabelRecords("E", 1000, {}, 10, "", 5)).uncertain_by == 5


def test_every_kind_of_wrong_number_is_told_apart():
    found = serial_balance(
        SerialRecords(
            "B",
            frozenset(map(str, range(1, 13))),
            ("1", "2", "3", "10", "10", "30"),
            void=frozenset({"4", "3"}),
            returned=frozenset({"5", "6", "7", "8", "9"}),
            seen_twice=("2",),
            seen_void=("4",),
            seen_strange=("13", "007", "A7"),
            in_order=(1, 12),
        )
    )
    assert found.missing == ("11", "12")
    assert found.double == ("3",)
    assert found.duplicate == ("2", "10")
    assert found.void_but_seen == ("3", "4")
    assert found.out_of_range == ("13", "30")
    assert found.unknown == ("007", "A7")
    assert not found.agrees


def test_numbers_that_are_all_somewhere_agree():
    found = serial_balance(
        SerialRecords("B", frozenset("123"), ("1", "3"), void=frozenset("2"), in_order=(1, 3))
    )
    assert found.agrees
    assert found.net == 0
