"""A question of `runout contain` can be kept as words and asked again."""

import pytest

from tracelink.errors import UsageError
from tracelink.genealogy.model.shapes import Shape
from tracelink.services.question import Question, _alone, question, question_of, words_of

WORDS = (
    "T000004H",
    "--shape",
    "window",
    "--evidence",
    "L000012X:3=good",
    "--evidence",
    "L000012X:9=bad:tick",
    "--defect",
    "tick",
    "--window",
    "4-9",
)


def test_a_question_is_read_back_from_its_words():
    asked = question_of(WORDS)
    assert asked == Question(
        "T000004H", Shape.WINDOW, ("L000012X:3=good", "L000012X:9=bad:tick"), "tick", "4-9"
    )


def test_the_words_of_a_question_are_those_it_was_asked_with():
    with _alone.make_context("contain", list(WORDS)) as context:
        assert words_of(context.params) == WORDS
        assert question(context.params) == question_of(words_of(context.params))


def test_what_was_not_said_is_not_in_the_words():
    with _alone.make_context("contain", ["T000004H", "--shape", "whole-life"]) as context:
        assert words_of(context.params) == ("T000004H", "--shape", "whole-life")


@pytest.mark.parametrize(
    "words", [["T000004H"], ["T000004H", "--shape", "round"], [], ["--unknown", "T000004H"]]
)
def test_words_of_another_program_have_their_sentence(words):
    with pytest.raises(UsageError, match=r"cannot be read|names no (CODE|--shape)"):
        question_of(words)
