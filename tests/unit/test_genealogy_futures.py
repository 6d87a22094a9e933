"""Stacks that were put together: how few unknowns are left, and how few solves."""

from support_genealogy_plant import move
from support_network import holdings_of

from tracelink.genealogy.flow import futures, solve
from tracelink.genealogy.flow.exact import LEAST, MOST
from tracelink.genealogy.flow.futures import futures_of

STACKS = 30
CARTONS = 50


def on_one_table():
    """Thirty stacks of ten on a table, and fifty cartons of six packed from it."""
    moves = [
        move(1 + number, "L1", 10, "counter", f"K{number}", 10 * number + 1, 10 * number + 10)
        for number in range(STACKS)
    ]
    moves += [move(100 + number, "L1", 10, f"K{number}", "R1") for number in range(STACKS)]
    moves += [move(200 + number, "L1", 6, "R1", f"C{number}") for number in range(CARTONS)]
    return holdings_of(10 * STACKS, moves, range(205, 301), range(95, 205))


def test_from_the_table_on_there_are_suspects_and_clean_discs():
    """Two kinds of discs wait for each carton: 2 x 50 futures, and an end for each carton and for the clean ones."""
    held = on_one_table()
    network = held.exact.network(MOST).network
    assert len(network.classes) == STACKS + 1
    known = futures_of(network, 0).known
    assert sum(future.step is not None for future in known) == 2 * CARTONS
    assert len(known) == 2 * CARTONS + CARTONS + 1


def test_what_stacks_on_one_table_have_in_common_is_read_a_few_times_and_not_once_for_each(monkeypatch):
    network = on_one_table().exact.network(MOST).network
    read = []
    original = futures._Reader._back

    def counted(reader, there, events):
        read.append(len(events))
        original(reader, there, events)

    monkeypatch.setattr(futures._Reader, "_back", counted)
    network.futures.clear()
    futures_of(network, 0)
    # Two kinds of discs; of each the first is read whole, and what it shares with the next one again.
    own = 2 * len(network.classes)
    assert sum(read) <= 4 * CARTONS + own
    assert sum(len(one.events) for one in network.classes) > 5 * sum(read)


def test_an_assignment_that_fills_many_cartons_serves_all_of_their_bounds(monkeypatch):
    held = on_one_table()
    solved = []
    original = solve._linear

    def counted(*program):
        solved.append(program)
        return original(*program)

    monkeypatch.setattr(solve, "_linear", counted)
    for sign, value in ((MOST, 6), (LEAST, 0)):
        sides = [held.exact.side(frozenset({f"C{number}"}), sign) for number in range(CARTONS)]
        assert {(side.value, side.tight) for side in sides} == {(value, True)}
    # A hundred bounds: 206 suspects fill 34 cartons at once, and 96 proven ones leave as many empty.
    assert len(solved) <= 8
