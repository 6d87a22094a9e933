"""The first screen of a containment: the answer before the tables, on 24 lines of 80 characters."""

import shlex
from dataclasses import replace

import pytest
from support_cases import ADA, CAUSE, shipped
from support_plant import n
from support_report import real_lot
from support_scope import scope_doc, titled

from tracelink.facts.scope_figures import Sent, SentTogether
from tracelink.genealogy.case.compare_scopes import summary_of
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.containment.query_words import from_words
from tracelink.genealogy.model.facts import ToolFact
from tracelink.genealogy.model.shapes import Shape
from tracelink.ledger.entry import Stamp
from tracelink.report.format.screen_lines import broken_between_words
from tracelink.report.scope.answer_text import answer_lines, least_to_most
from tracelink.services.containment import AnswerParts, answer, scope_of
from tracelink.services.place_holds import place_holds_of
from tracelink.store.office.case_acts import CaseAuthor, notify, open_case
from tracelink.store.records.sql_records import SqlRecords

AT = "2031-03-05T09:00:00+01:00"
QUERY = ContainmentQuery(CAUSE, Shape.FROM_ONSET, defect="scratch")


def answered(floor, query=QUERY):
    with floor.ledger.reading() as conn:
        return answer(conn, query, AnswerParts(AT))


def lines_of(floor, query=QUERY):
    return answer_lines(answered(floor, query).document, query)


def by_name(lines):
    return {line[:16].strip(): line[16:] for line in lines if line[:1].isalpha() and len(line) > 16}


def author(booking):
    return CaseAuthor(booking, Stamp(AT, "2031-03-05T08:00:00Z", person=ADA), "scratch")


@pytest.fixture
def floor():
    return shipped()


def test_the_answer_stands_first_with_its_limits(floor):
    """Stroke 3 was good and 19 bad: 15 discs between them are possible; nine of 20 lie in carton 2 and 3."""
    lines = lines_of(floor)
    assert lines[0] == f'Stamper {CAUSE}, side A of "Paper Comet Arithmetic": scratch'
    assert lines[2:5] == [
        "      2 discs affected for certain",
        "     15 discs possibly affected",
        "      3 discs cleared for this shape of the fault, with the reason",
    ]
    found = answered(floor).document.answer
    scope = answered(floor).scope
    left = next(place for place in scope.places if place.place == "shipped")
    assert (found.shipped.least, found.shipped.most) == (left.least, left.most)
    groups = {one.code: (one.bound.least, one.bound.most) for one in scope.groups if one.kind == "consignee"}
    assert {one.consignee: (one.least, one.most) for one in found.shipped.consignees} == groups
    assert by_name(lines)["Being loaded"] == "nothing that can be affected"


def test_what_comes_next_follows_from_what_is_recorded(floor):
    """Stock nothing stops: hold it. No case: open one. A consignee not told: tell it. Then the case's status."""
    asked = f"{CAUSE} --shape from-onset --defect scratch"
    assert lines_of(floor)[-1] == f"Next: runout contain {asked} --hold --by BADGE --reason TEXT"
    assert by_name(lines_of(floor))["Free to leave"].endswith("under no hold, stopped by no rule")
    with floor.ledger.writing() as booking:
        scope = scope_of(SqlRecords(booking.connection), QUERY)
        place_holds_of(booking, scope, ADA, "scratch", AT)
    assert lines_of(floor)[-1] == f"Next: runout case open {asked} --by BADGE --reason TEXT"
    assert by_name(lines_of(floor))["On hold"] == n("H1")
    with floor.ledger.writing() as booking:
        scope = scope_of(SqlRecords(booking.connection), QUERY)
        open_case(author(booking), QUERY, summary_of(scope), safety=False)
    assert lines_of(floor)[-1] == f"Next: runout case notice {n('Q1')} --all --by BADGE"
    with floor.ledger.writing() as booking:
        for consignee in ("Shop 1", "Shop 9"):
            notify(author(booking), n("Q1"), consignee, "letter", "0" * 64)
    assert lines_of(floor)[-1] == f"Next: runout case status {n('Q1')}"


def test_the_next_command_can_be_typed(floor):
    """What is named asks the same question, quotes and all."""
    query = replace(QUERY, evidence=(), defect="it's a $(scratch)")
    document = answered(floor).document
    words = shlex.split(answer_lines(document, query)[-1].removeprefix("Next: "))
    assert from_words(words[2 : words.index("--hold")]) == query


@pytest.mark.parametrize("title", ["Paper Comet Arithmetic", "A " * 60, "\x1b[2J\u202eevil [red]"])
def test_it_fits_a_screen_of_80_by_24_and_acts_on_no_terminal(title):
    document, _sections = scope_doc(titled(title))
    many = tuple(
        Sent(f"Example Consignee {number:02d} with a long name, Department of Returns", "FR", 0, 3, True)
        for number in range(12)
    )
    document = replace(
        document,
        answer=replace(
            document.answer,
            shipped=SentTogether(many, 0, 36, False),
            loading=SentTogether(many, 0, 36, False),
        ),
    )
    text = broken_between_words("\n".join(answer_lines(document, QUERY)), 80)
    assert all(len(line) <= 80 and line.isprintable() for line in text.split("\n"))
    assert len(text.split("\n")) <= 24
    assert "0 to 36* affected discs, for 12 consignees:" in text
    assert "and 9 more, in the table below" in text


def test_a_cause_followed_by_place_has_the_same_lines():
    document, _sections = scope_doc(cause="B0000005", shape=Shape.WHOLE_LIFE)
    sums = document.totals
    found = document.answer
    assert (found.certain, found.certain + found.possible) == (sums.least, sums.most)


def test_nothing_found_names_no_next_command():
    document, _sections = scope_doc(cause="T0000900", shape=Shape.FROM_ONSET, records=_unused_tool())
    lines = answer_lines(document, QUERY)
    assert lines[2] == "      0 discs affected for certain"
    assert not any(line.startswith("Next: ") for line in lines)


def _unused_tool():
    records = real_lot()
    records.tools.append(ToolFact("T0000900", "stamper", "T0000021", "EX-101-A S9", "A", "in store"))
    return records


@pytest.mark.parametrize(
    ("bounds", "said"),
    [
        ((117, 604, True), "117 to 604"),
        ((320, 320, True), "320"),
        ((0, 0, True), "0"),
        ((1, 1400, False), "1 to 1\u202f400*"),
    ],
)
def test_limits_are_one_number_where_they_meet(bounds, said):
    least, most, tight = bounds
    assert least_to_most(least, most, tight=tight) == said
