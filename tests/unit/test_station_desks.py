"""A desk is kept as text between scans: what is read back is what was written, for every kind of station."""

from dataclasses import fields, replace

import pytest

from tracelink.station.station_states import empty_state, read_state, write_state

AREAS = ("tool", "press", "lab", "line", "dock")


@pytest.mark.parametrize("area", AREAS)
def test_a_desk_on_which_nothing_happened_is_read_back(area):
    assert read_state(area, write_state(empty_state(area))) == empty_state(area)


@pytest.mark.parametrize("area", AREAS)
def test_what_is_seldom_on_a_desk_is_read_back_whether_it_is_there_or_not(area):
    desk = empty_state(area)
    assert {"pin", "turned_away"} <= {field.name for field in fields(desk)}
    for number in (None, 7):
        kept = replace(desk, person="P000001H", turned_away=number)
        assert read_state(area, write_state(kept)) == kept
