"""A question is shown as it can be typed again."""

import shlex

from tracelink.report.format.plain import command_of


def test_a_question_can_be_typed_again():
    words = [
        "T000004H",
        "--shape",
        "from-onset",
        "--defect",
        "repeating scratch",
        "--evidence",
        "L000001B:2=bad",
    ]
    assert command_of(words) == (
        "runout contain T000004H --shape from-onset --defect 'repeating scratch' --evidence L000001B:2=bad"
    )
    assert shlex.split(command_of(["it's"])) == ["runout", "contain", "it's"]


def test_nothing_in_it_acts_on_a_terminal():
    assert "\x1b" not in command_of(["\x1b[31m"])
