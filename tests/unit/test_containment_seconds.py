"""The time of a question: what is counted, what is said when it is not enough, and words that are no time."""

import pytest
from support_asking import contain
from support_genealogy_plant import C4, judged, move, small_plant

from tracelink.cli.common.progress import seconds_used
from tracelink.errors import UsageError
from tracelink.genealogy.certificate.bound_check import CheckVerdict
from tracelink.genealogy.certificate.check_certificate import check, lots_in
from tracelink.genealogy.certificate.check_lot import record_of
from tracelink.genealogy.certificate.write_certificate import certificate_of
from tracelink.genealogy.containment.contain import contain as ask
from tracelink.genealogy.containment.query import ContainmentQuery, parse_seconds
from tracelink.genealogy.flow.budget import Budget
from tracelink.genealogy.flow.conflict import conflicts_of
from tracelink.genealogy.flow.exact import LEAST, MOST, LotExact
from tracelink.genealogy.flow.network import NetworkStep
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.model.strokes import StrokeSet

MIXED = (
    move(80, "L1", 20, "K1", "R1"),
    move(81, "L1", 20, "K2", "R1"),
    move(82, "L1", 15, "R1", C4),
)
"""A table where discs of two spindles are mixed and picked."""


def plant(*movements):
    records = small_plant()
    records.judgements = [judged("S2", "L2", 50, False, defect="scratch")]
    records.movements += movements
    return records


PICKS = (move(2, "L1", 6, "K1", "C1"), move(3, "L1", 5, "K1", "C2"))
"""Two cartons that were packed off one spindle."""

LIMITS = "a number of seconds that is more than 0 and 86400 at most"


class Clock:
    """A clock that is set by hand."""

    now = 100.0

    def __call__(self):
        return self.now


def test_time_counts_while_the_question_is_worked_on_and_not_between():
    clock, watched = Clock(), []
    budget = Budget(30, clock, watched.append)
    with budget:
        clock.now += 10
        with budget:
            clock.now += 5
        assert budget.left == 15
    clock.now += 1000
    assert budget.left == 15
    with budget:
        clock.now += 20
        assert budget.is_used_up
    assert watched == [15, 15, 30]


def test_a_question_without_enough_time_says_so_and_its_limits_hold():
    records = plant(*MIXED)
    exact = contain(records, "T4", Shape.FROM_ONSET)
    assert not exact.cut_short
    scope = ask(records, ContainmentQuery("T4", Shape.FROM_ONSET, seconds=7), used_up(7))
    assert scope.cut_short
    assert scope.to_json()["cut_short"]
    assert scope.gaps[-1] == (
        "The 7 s that this question has were not enough: every limit holds, but those that are not called exact may be "
        "wider than the records force. More --seconds may narrow them."
    )
    for known, found in zip(exact.containers, scope.containers, strict=True):
        assert found.least <= known.least <= known.most <= found.most
    assert not all(one.tight for one in scope.containers)


def used_up(seconds):
    """A budget whose time is over when it is looked at for the first time."""
    clock = Clock()

    def later():
        clock.now += seconds
        return clock.now

    return Budget(seconds, later)


def test_movements_that_there_was_no_time_to_read_show_nothing_and_the_file_checks():
    """Nothing is said to be possible of a network that was not read; what counts of single pools say still holds."""
    records = plant(*MIXED)
    scope = ask(records, ContainmentQuery("T4", Shape.FROM_ONSET, seconds=7), used_up(7))
    exact = scope.holdings.lots["L1"].exact
    assert exact.can_be_true() is exact.network(MOST) is exact.network(LEAST) is None
    certificate = certificate_of(scope)
    assert [lot["most"]["classes"] for lot in certificate["lots"]] == [[]] * len(certificate["lots"])
    document = {**scope.to_json(), "certificate": certificate}
    lots = {lot: record_of(records, lot, scope.head[0]) for lot in lots_in(document)}
    outcomes = check(document, lots)
    assert {one.verdict for one in outcomes} == {CheckVerdict.ONE_SIDED, CheckVerdict.CONFIRMED}
    assert any(one.why.startswith("nothing in the file shows the least of lot L1") for one in outcomes)


def test_counts_are_told_for_a_moment_past_the_budget_and_then_nothing():
    clock = Clock()
    budget = Budget(5, clock, moment=2)
    steps = tuple(NetworkStep.of(one) for one in (move(1, "L1", 12, "counter", "K1", 1, 12), *PICKS))
    suspects = StrokeSet.between(3, 6)
    with budget:
        exact = LotExact(StrokeSet.between(1, 12), lambda: steps, suspects, suspects, budget)
        assert exact.network(MOST) is not None
        clock.now += 6.9
        counted = exact.side(frozenset({"C1"}), MOST)
        assert (counted.value, counted.tight) == (4, False)
        clock.now += 0.1
        assert exact.side(frozenset({"C2"}), MOST) is None


def test_a_conflict_that_there_is_no_time_for_is_told_all_the_same():
    """Twelve discs of one stack cannot be in two cartons; which movements say so is not looked for."""
    steps = [
        NetworkStep.of(move(1, "L1", 12, "counter", "K1", 1, 12)),
        NetworkStep.of(move(2, "L1", 6, "K1", "C1")),
        NetworkStep.of(move(3, "L1", 9, "K1", "C2")),
    ]
    assert conflicts_of(StrokeSet.between(1, 12), steps)
    budget = used_up(1)
    with budget:
        assert conflicts_of(StrokeSet.between(1, 12), steps, budget) == []
    records = plant(move(80, "L1", 500, "K1", "C9"))
    scope = ask(records, ContainmentQuery("T4", Shape.FROM_ONSET), used_up(1))
    assert scope.contradictions
    assert not any(one.tight for one in scope.containers if one.lot == "L1")


@pytest.mark.parametrize("given", ["0", "-5", "nan", "inf", "86401"])
def test_seconds_that_are_out_of_range_are_refused(given):
    with pytest.raises(UsageError) as caught:
        parse_seconds(given)
    assert str(caught.value) == f"--seconds {given}: expected {LIMITS}"


def test_words_that_are_no_number_are_refused():
    with pytest.raises(UsageError) as caught:
        parse_seconds("soon")
    assert str(caught.value) == f"--seconds 'soon': expected {LIMITS}, such as 60"
    assert parse_seconds("0.5") == 0.5
    assert parse_seconds(None) == 30


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        (0, f"ContainmentQuery.seconds is 0: expected {LIMITS}"),
        (-1.5, f"ContainmentQuery.seconds is -1.5: expected {LIMITS}"),
        (float("nan"), f"ContainmentQuery.seconds is nan: expected {LIMITS}"),
        ("30", "ContainmentQuery.seconds is '30': expected int | float, found str"),
        (True, "ContainmentQuery.seconds is True: expected int | float, found bool"),
    ],
)
def test_a_query_refuses_what_is_no_time(given, sentence):
    with pytest.raises(UsageError) as caught:
        ContainmentQuery("T000004H", Shape.WHOLE_LIFE, seconds=given)
    assert str(caught.value) == sentence


class Terminal:
    """Standard error as a terminal that keeps what is written."""

    def __init__(self):
        self.text = ""

    def isatty(self):
        return True

    def write(self, text):
        self.text += text
        return len(text)

    def flush(self):
        pass


def test_progress_is_shown_on_a_terminal_once_a_second_has_passed(monkeypatch, capsys):
    terminal = Terminal()
    monkeypatch.setattr("sys.stderr", terminal)
    with seconds_used(30, "Seconds used at most") as watch:
        watch(0.4)
        assert terminal.text == ""
        watch(12.7)
    assert "Seconds used at most" in terminal.text
    assert "12/30" in terminal.text
    monkeypatch.undo()
    with seconds_used(30, "Seconds used at most") as watch:
        watch(12.7)
    assert "12/30" not in capsys.readouterr().err
