"""Following movements: what is known of a place, and sentences on records that cannot all be true."""

from support_genealogy_plant import move

from tracelink.genealogy.flow.follow import replay
from tracelink.genealogy.flow.pool_bounds import Bound, LotBounds, together
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet


def follow(*movements, pressed=100):
    return replay("L1", StrokeSet.between(1, pressed), movements)


def bound(history, *places, proven=NO_STROKES, possible=NO_STROKES):
    return LotBounds(history, proven, possible).of(history.at[place] for place in places)


STACKED = move(1, "L1", 50, "counter", "K1", 1, 50)
SUSPECT = StrokeSet.between(1, 10)


def test_the_bounds_of_a_set_are_not_the_sum_of_the_bounds():
    history = follow(STACKED, move(2, "L1", 25, "K1", "C1"), move(3, "L1", 25, "K1", "C2"))
    for place in ("C1", "C2"):
        one = bound(history, place, proven=SUSPECT)
        assert (one.least, one.most, one.tight) == (0, 10, True)
    both = bound(history, "C1", "C2", proven=SUSPECT)
    assert both == Bound(50, 10, 10, 1.0, tight=True)


def test_many_suspects_in_a_small_rest_force_a_least():
    history = follow(STACKED, move(2, "L1", 45, "K1", "C1"))
    assert bound(history, "C1", proven=SUSPECT).least == 5


def test_a_stroke_read_later_was_in_no_earlier_carton():
    history = follow(STACKED, move(2, "L1", 49, "K1", "C1"), move(3, "L1", 1, "K1", "S1", 7, 7))
    assert history.strokes_in(history.at["C1"]) == StrokeSet.between(1, 50) - StrokeSet.between(7, 7)
    assert bound(history, "C1", proven=SUSPECT) == Bound(49, 9, 9, 1.0, tight=True)


def test_moving_a_whole_spindle_keeps_its_strokes_known():
    history = follow(STACKED, move(2, "L1", 50, "K1", "K2"), move(3, "L1", 50, "K2", "C1"))
    assert history.at["C1"].exact == StrokeSet.between(1, 50)


def test_stacking_on_a_spindle_that_is_being_picked_gives_a_bound_that_is_not_called_tight():
    history = follow(
        STACKED,
        move(2, "L1", 10, "K1", "C1"),
        move(3, "L1", 50, "counter", "K1", 51, 100),
        move(4, "L1", 20, "K1", "C2"),
    )
    assert bound(history, "C1", proven=SUSPECT) == Bound(
        10, 0, 10, bound(history, "C1", proven=SUSPECT).chance, tight=True
    )
    second = bound(history, "C2", proven=SUSPECT)
    assert (second.least, second.most, second.chance, second.tight) == (0, 10, None, False)
    # Together with what stayed, the mixture is whole again and its contents are known exactly.
    assert bound(history, "C1", "C2", "K1", proven=SUSPECT) == Bound(100, 10, 10, 1.0, tight=True)


def test_a_range_with_fewer_discs_than_strokes_is_some_of_them():
    history = follow(
        move(1, "L1", 3, "counter", "scrap", 1, 10),
        move(2, "L1", 7, "counter", "K1", 1, 10),
        move(3, "L1", 90, "counter", "K2", 11, 100),
    )
    assert history.conflicts == []
    found = bound(history, "K1", proven=StrokeSet.between(1, 4))
    assert (found.least, found.most, found.tight) == (1, 4, True)
    assert history.at["K2"].exact == StrokeSet.between(11, 100)


def test_more_out_than_in_is_a_sentence_that_names_the_movements():
    history = follow(STACKED, move(2, "L1", 30, "K1", "C1"), move(3, "L1", 30, "K1", "C2"))
    assert history.conflicts == [
        (
            "Lot L1: entry 3 takes 30 from K1 to C2, but only 20 can be there (brought there by entries 1, taken by "
            "entries 2). Count again or look for a late entry."
        )
    ]
    # The ten discs from nowhere may be any of the lot, so they widen and the answer is still there.
    found = bound(history, "C2", possible=StrokeSet.between(60, 80))
    assert (found.pieces, found.least, found.most, found.tight) == (30, 0, 10, False)


def test_a_stroke_read_where_it_never_was_is_a_conflict_and_counts_in_both_places():
    history = follow(STACKED, move(2, "L1", 1, "K1", "S1", 70, 70))
    assert history.conflicts == [
        (
            "Lot L1: entry 2 takes 1 from K1 to S1, but strokes 70 cannot be there (brought there by entries 1, taken by no "
            "entry). Count again or look for a late entry."
        )
    ]
    assert 70 in history.at["S1"].exact
    assert 70 in history.at["counter"].exact


def test_more_discs_than_strokes_named_is_a_conflict():
    history = follow(move(1, "L1", 5, "counter", "K1", 1, 3))
    assert history.conflicts == [
        (
            "Lot L1: entry 1 takes 5 from counter to K1, but names only the 3 strokes 1-3 (brought there by 100 strokes of "
            "the press and no entry, taken by no entry). Count again or look for a late entry."
        )
    ]
    assert history.at["K1"].count == 5


def test_a_long_list_of_movements_is_cut():
    picks = [move(seq, "L1", 3, "K1", "C1") for seq in range(2, 20)]
    (text,) = follow(STACKED, *picks).conflicts[:1]
    assert "taken by entries 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13 and 4 more" in text


def test_strokes_read_out_of_a_mixture_leave_it_once():
    """Found by enumeration: a read that met both known strokes and a mixture counted the known ones twice."""
    history = follow(
        move(1, "L1", 4, "counter", "K1", 1, 4),
        move(2, "L1", 1, "K1", "scrap", 4, 4),
        move(3, "L1", 1, "scrap", "C1"),
        move(4, "L1", 2, "K1", "C1"),
        move(5, "L1", 2, "counter", "K2", 5, 6),
        move(6, "L1", 1, "C1", "K1", 1, 1),
        move(7, "L1", 1, "K1", "scrap"),
        move(8, "L1", 1, "C1", "K1", 3, 5),
        move(9, "L1", 1, "C1", "K1", 3, 3),
        move(10, "L1", 3, "K1", "scrap", 2, 4),
        pressed=7,
    )
    assert history.conflicts == []
    assert sum(lump.count for lump in history.at.values()) == 7


def test_discs_read_out_of_a_mixture_count_in_its_bounds():
    history = follow(
        STACKED,
        move(2, "L1", 10, "K1", "C1"),
        move(3, "L1", 50, "counter", "K1", 51, 100),
        move(4, "L1", 20, "K1", "C2"),
        move(5, "L1", 1, "C2", "S1", 5, 5),
    )
    assert history.at["C2"].count == 19
    found = bound(history, "C2", proven=SUSPECT)
    assert (found.most, found.tight) == (9, False)
    # What the read disc says about the first carton is not used, so that one is not called tight any more.
    assert not bound(history, "C1", proven=SUSPECT).tight


def test_a_disc_read_in_a_carton_came_by_the_earlier_picks_and_is_in_no_later_one():
    history = follow(
        STACKED,
        move(2, "L1", 10, "K1", "C1"),
        move(3, "L1", 1, "C1", "S1", 5, 5),
        move(4, "L1", 10, "K1", "C2"),
    )
    into = {one.movement.seq: history.may_have_passed(one) for one in history.passages}
    assert 5 in into[2]
    assert into[4] == StrokeSet.between(1, 50) - StrokeSet.between(5, 5)


def test_a_later_read_narrows_a_mixture_made_before_it():
    history = follow(
        STACKED,
        move(2, "L1", 10, "K1", "C1"),
        move(3, "L1", 50, "counter", "K1", 51, 100),
        move(4, "L1", 20, "K1", "C2"),
        move(5, "L1", 1, "C1", "S1", 5, 5),
    )
    # Stroke 5 was in the first carton, so it was not left on the spindle when the second was filled.
    assert history.strokes_in(history.at["C2"]) == StrokeSet.between(1, 100) - StrokeSet.between(5, 5)


def test_bounds_of_different_lots_add_and_certain_outweighs_unknown():
    unknown, certain = Bound(5, 0, 2, None, tight=False), Bound(3, 1, 1, 1.0, tight=True)
    half = Bound(2, 0, 1, 0.5, tight=True)
    assert together([unknown, certain]) == Bound(8, 1, 3, 1.0, tight=False)
    assert together([half, half]) == Bound(4, 0, 2, 0.75, tight=True)
    assert together([unknown, half]).chance is None
    assert together([]) == Bound(0, 0, 0, 0.0, tight=True)
