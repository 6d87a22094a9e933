"""The balance of one lot from constructed records: every line, every sign, and the entries to look at."""

from support_plant import carton_sscc, code

from tracelink.balance.lot import COUNTED, KEPT, SCANNED, Term, lot_balance
from tracelink.balance.lot_records import Count, LotRecords, Move, PlaceKind, kind_of

SPINDLE, SAMPLE, CARTON, OTHER_CARTON = code("K", 1), code("S", 1), carton_sscc(1), carton_sscc(2)


def records(moves, pressed=100, counts=(), stock=None, whereabouts=None):
    """Records whose kept counts follow from the movements, unless other ones are given."""
    kept = {"counter": pressed}
    for move in moves:
        kept[move.source] = kept.get(move.source, 0) - move.quantity
        kept[move.target] = kept.get(move.target, 0) + move.quantity
    return LotRecords("L", pressed, tuple(moves), {**kept, **(stock or {})}, tuple(counts), whereabouts or {})


WHOLE = [
    Move(2, "trial-thrown", 6, "counter", "set-up"),
    Move(3, "sample-drawn", 1, "counter", SAMPLE),
    Move(4, "stack-taken", 80, "counter", SPINDLE),
    Move(5, "discs-scrapped", 4, SPINDLE, "scrap"),
    Move(6, "discs-sleeved", 50, SPINDLE, CARTON),
    Move(7, "disc-rejected", 2, SPINDLE, "scrap"),
    Move(8, "line-stopped", 1, CARTON, SPINDLE),
    Move(9, "carton-returned", 20, CARTON, "returned"),
    Move(9, "carton-returned", 20, "returned", "return 1"),
    Move(10, "restocked", 5, "return 1", OTHER_CARTON),
    Move(11, "destroyed", 7, "return 1", "destroyed"),
    Move(None, "discs-sleeved", 3, SPINDLE, OTHER_CARTON),
]


def lines(found):
    return {line.name: (line.came, line.went) for line in found.lines}


def test_every_line_of_a_lot_that_adds_up():
    where = {CARTON: "shipped", OTHER_CARTON: "in open cartons"}
    found = lot_balance(records(WHOLE, whereabouts=where))
    assert lines(found) == {
        "pressed": (
            (Term("press counter", 100, SCANNED),),
            (
                Term("set-up and first-offs", 6, SCANNED),
                Term("samples", 1, SCANNED),
                Term("stacked", 80, SCANNED),
                Term("still at the press", 13, KEPT),
            ),
        ),
        "stacked": (
            (Term("stacked", 80, SCANNED), Term("put back on spindles", 1, SCANNED)),
            (
                Term("press scrap", 4, SCANNED),
                Term("sleeved", 53, SCANNED),
                Term("packing scrap", 2, SCANNED),
                Term("on spindles", 22, KEPT),
            ),
        ),
        "sleeved": (
            (Term("sleeved", 53, SCANNED), Term("restocked", 5, SCANNED)),
            (
                Term("put back on spindles", 1, SCANNED),
                Term("returned", 20, SCANNED),
                Term("in cartons", 37, KEPT),
            ),
        ),
        "in cartons": (
            (Term("in cartons", 37, KEPT),),
            (Term("in open cartons", 8, KEPT), Term("shipped", 29, KEPT)),
        ),
        "returned": (
            (Term("returned", 20, SCANNED),),
            (Term("restocked", 5, SCANNED), Term("destroyed", 7, SCANNED), Term("quarantine", 8, KEPT)),
        ),
        "set-up": ((Term("set-up and first-offs", 6, SCANNED),), (Term("scrapped", 6, KEPT),)),
        "scrap": (
            (Term("press scrap", 4, SCANNED), Term("packing scrap", 2, SCANNED)),
            (Term("scrapped", 6, KEPT),),
        ),
        "samples": ((Term("samples", 1, SCANNED),), (Term("at the lab", 1, KEPT),)),
        "destroyed": ((Term("destroyed", 7, SCANNED),), (Term("gone", 7, KEPT),)),
    }
    assert (found.difference, found.first, found.by_hand) == (0, None, 0)


def test_discs_that_went_somewhere_and_are_nowhere_now_have_their_line():
    """Four discs went to scrap, and the kept count has none there: that is a difference, and not an empty line."""
    lost = lot_balance(records(WHOLE, stock={"scrap": 0}))
    assert lines(lost)["scrap"] == ((Term("press scrap", 4, SCANNED), Term("packing scrap", 2, SCANNED)), ())
    assert (lost.first.name, lost.difference) == ("scrap", 6)
    assert "lost" not in lines(lost)


def test_a_place_without_a_term_gets_a_line_of_its_own():
    moves = [*WHOLE, Move(12, "moved", 2, SPINDLE, "the yard")]
    found = lot_balance(records(moves))
    assert lines(found)["the yard"] == (
        (Term("spindle to the yard", 2, SCANNED),),
        (Term("the yard", 2, KEPT),),
    )
    assert found.difference == 0
    lost = lot_balance(records(moves, stock={"the yard": 1}))
    assert (lost.first.name, lost.first.difference, lost.first.entries) == ("the yard", 1, (12,))


def test_a_carton_that_the_ledger_does_not_know_is_a_term_of_its_own():
    names = [term.name for term in lot_balance(records(WHOLE)).lines[3].went]
    assert names == ["in cartons that the ledger does not know"]


def test_a_count_shows_its_difference_and_what_moved_since_the_last_good_count():
    counts = [Count(20, SPINDLE, 90, 90), Count(31, SPINDLE, 68, 70)]
    moves = [
        Move(10, "stack-taken", 90, "counter", SPINDLE),
        Move(25, "discs-sleeved", 20, SPINDLE, CARTON),
        Move(40, "discs-sleeved", 10, SPINDLE, CARTON),
    ]
    found = lot_balance(records(moves, counts=counts))
    assert found.first.name == "stacked"
    assert found.first.difference == 2
    assert found.first.entries == (25, 31, 40)
    # The two stay missing after the ten that left since: 58 are there.
    assert found.first.went[-1] == Term("on spindles", 58, COUNTED)
    assert found.by_hand == 58


def test_opposite_differences_cancel_in_the_sum_and_not_in_the_lines():
    counts = [Count(20, SPINDLE, 21, 22), Count(21, CARTON, 30, 29)]
    found = lot_balance(records(WHOLE, counts=counts))
    assert found.difference == 0
    assert {line.name: line.difference for line in found.lines if line.difference} == {
        "stacked": 1,
        "in cartons": -1,
    }
    assert found.first.name == "stacked"


def test_a_counter_that_says_less_than_was_moved_is_negative():
    found = lot_balance(records(WHOLE, pressed=80, stock={"counter": 0}))
    assert (found.first.name, found.first.difference) == ("pressed", -7)
    assert found.first.entries == (2, 3, 4)


def test_places_are_told_by_the_form_of_their_code():
    assert [kind_of(place) for place in ("counter", SPINDLE, SAMPLE, CARTON, "return 12", "set-up", "yard", "K1")] == [
        PlaceKind.COUNTER, PlaceKind.SPINDLE, PlaceKind.SAMPLE, PlaceKind.CARTON, PlaceKind.BACK, PlaceKind.SET_UP, PlaceKind.OTHER, PlaceKind.OTHER,
    ]  # fmt: skip


def test_a_lot_without_discs_has_four_empty_lines():
    found = lot_balance(LotRecords("L", 0, (), {}, (), {}))
    assert [(line.name, line.came, line.went) for line in found.lines] == [
        (name, (), ()) for name in ("pressed", "stacked", "sleeved", "in cartons")
    ]
