"""Allocation as a rule on plain stock: oldest lot first, whole pallets, then loose cartons."""

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracelink.station.dock.allocate import InStock, choose

OLD_PALLET = InStock("P2", "pallet", 40, age=10)
NEW_PALLET = InStock("P1", "pallet", 40, age=20)
OLD_CARTON = InStock("C2", "carton", 5, age=10)
NEW_CARTON = InStock("C1", "carton", 5, age=20)
ALL = (NEW_CARTON, OLD_CARTON, NEW_PALLET, OLD_PALLET)


@pytest.mark.parametrize(
    ("wanted", "oldest_first", "chosen", "short"),
    [
        (40, True, (OLD_PALLET,), 0),
        (40, False, (NEW_PALLET,), 0),
        (50, True, (OLD_PALLET, OLD_CARTON, NEW_CARTON), 0),
        (45, False, (NEW_PALLET, NEW_CARTON), 0),
        (39, True, (OLD_CARTON, NEW_CARTON), 29),
        (4, True, (), 4),
        (0, True, (), 0),
        (100, True, (OLD_PALLET, NEW_PALLET, OLD_CARTON, NEW_CARTON), 10),
    ],
)
def test_what_is_kept(wanted, oldest_first, chosen, short):
    assert choose(wanted, ALL, oldest_first=oldest_first) == (chosen, short)


pieces = st.lists(
    st.builds(
        InStock,
        st.uuids().map(str),
        st.sampled_from(["pallet", "carton"]),
        st.integers(1, 12),
        st.integers(1, 5),
    ),
    max_size=7,
    unique_by=lambda one: one.code,
)


@given(st.integers(0, 60), pieces)
def test_never_too_much_and_nothing_left_that_fits(wanted, stock):
    """What is kept and what is short are the order; no piece left over would fit the shortage."""
    chosen, short = choose(wanted, stock, oldest_first=True)
    assert sum(one.units for one in chosen) + short == wanted
    assert short >= 0
    assert not [one for one in stock if one not in chosen and one.units <= short]


@given(pieces)
def test_of_two_equal_pieces_the_older_is_kept(stock):
    chosen, _short = choose(9, stock, oldest_first=True)
    for one, other in combinations(stock, 2):
        if (one.what, one.units) == (other.what, other.units) and one.age != other.age:
            older, newer = sorted((one, other), key=lambda each: each.age)
            assert older in chosen or newer not in chosen
