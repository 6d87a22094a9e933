"""A containment query can be shown as words, kept by a case field by field, and asked again from either."""

import pytest

from tracelink.errors import UsageError
from tracelink.genealogy.case.kept_question import kept_question, query_of
from tracelink.genealogy.containment.query import ContainmentQuery, Evidence
from tracelink.genealogy.containment.query_words import from_words, to_words
from tracelink.genealogy.model.shapes import Shape
from tracelink.ledger.codec import from_body, to_body
from tracelink.ledger.kinds.case import CaseScoped, CaseScopedInWords
from tracelink.ledger.kinds.case_scope import CaseQuestion, ScopeSummary

WORDS = (
    "T000004H",
    "--shape",
    "window",
    "--evidence",
    "L0000125:3=good",
    "--evidence",
    "L0000125:9=bad:tick",
    "--defect",
    "tick",
    "--window",
    "4-9",
    "--also",
    "C000007R",
    "--only-with",
    "W000016W,T000005F",
    "--from",
    "2031-03-10T08:00:00+01:00",
    "--to",
    "2031-03-10T12:00:00+01:00",
    "--next-tests",
    "9",
)
QUERY = ContainmentQuery(
    cause="T000004H",
    shape=Shape.WINDOW,
    evidence=(Evidence("L0000125", 3, good=True), Evidence("L0000125", 9, good=False, defect="tick")),
    defect="tick",
    window=(4, 9),
    also=("C000007R",),
    only_with=(("W000016W", "T000005F"),),
    since="2031-03-10T08:00:00+01:00",
    until="2031-03-10T12:00:00+01:00",
    next_tests=9,
)
PLAIN = ContainmentQuery("T000004H", Shape.WHOLE_LIFE)
SCOPE = ScopeSummary("T000004H", 7, "ab" * 32, (), (), (), (), (), (), ())


def test_a_query_and_its_words_say_the_same():
    assert from_words(WORDS) == QUERY
    assert to_words(QUERY) == WORDS


def test_what_was_not_asked_is_not_in_the_words():
    assert to_words(PLAIN) == ("T000004H", "--shape", "whole-life")
    assert from_words(to_words(PLAIN)) == PLAIN


@pytest.mark.parametrize("query", [QUERY, PLAIN], ids=["every field", "few"])
def test_a_case_keeps_every_field(query):
    plain = to_body(kept_question(query))
    kept = from_body(CaseQuestion, plain, "question")
    assert query_of(CaseScoped("Q000001Z", 2, kept, SCOPE)) == query


def test_the_words_that_an_older_program_kept_are_still_asked():
    assert query_of(CaseScopedInWords("Q000001Z", 2, WORDS, SCOPE)) == QUERY


@pytest.mark.parametrize(
    "words",
    [
        ["T000004H"],
        ["T000004H", "--shape", "round"],
        [],
        ["--unknown", "T000004H"],
        ["T000004H", "--shape"],
        ["T000004H", "--shape", "whole-life", "--next-tests", "many"],
        ["T000004H", "T000005F", "--shape", "whole-life"],
    ],
)
def test_words_of_another_program_have_their_sentence(words):
    with pytest.raises(UsageError, match=r"cannot be read|expected"):
        from_words(words)


@pytest.mark.parametrize(
    ("make", "sentence"),
    [
        (
            lambda: ContainmentQuery("T000004H", "whole-life"),
            "ContainmentQuery.shape is 'whole-life': expected Shape, found str",
        ),
        (lambda: ContainmentQuery(4, Shape.WINDOW), "ContainmentQuery.cause is 4: expected str, found int"),
        (
            lambda: ContainmentQuery("T000004H", Shape.WINDOW, next_tests=True),
            "ContainmentQuery.next_tests is True: expected int, found bool",
        ),
        (
            lambda: ContainmentQuery("T000004H", Shape.WINDOW, also="C1"),
            "ContainmentQuery.also is 'C1': expected tuple, found str",
        ),
        (
            lambda: ContainmentQuery("T000004H", Shape.WINDOW, window=(1, 2, 3)),
            "ContainmentQuery.window is (1, 2, 3): expected (first, last)",
        ),
        (
            lambda: ContainmentQuery("T000004H", Shape.WINDOW, next_tests=1001),
            "ContainmentQuery.next_tests is 1001: expected 0 to 1000",
        ),
        (lambda: Evidence("L0000125", "3", good=True), "Evidence.stroke is '3': expected int, found str"),
        (
            lambda: Evidence("L0000125", 3, good=True, defect="tick"),
            "--evidence 'L0000125:3=good:tick': a good disc has no defect",
        ),
    ],
)
def test_a_wrong_type_or_range_has_its_sentence(make, sentence):
    with pytest.raises(UsageError) as refused:
        make()
    assert str(refused.value) == sentence
