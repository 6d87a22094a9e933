"""The fields of the form for a question, and the question as fields again."""

import pytest

from tracelink.web.question import day_or_time, fields_of_question, question_of

STAMPER = "T001030Y"


@pytest.mark.parametrize(
    "fields",
    [
        {"cause": STAMPER, "shape": "from-onset"},
        {"cause": STAMPER, "shape": "window", "window": "400-520", "defect": "repeating scratch"},
        {
            "cause": STAMPER,
            "shape": "intermittent",
            "also": "L004707P L004714P",
            "only_with": "C0000218 W0000131",
        },
        {"cause": STAMPER, "shape": "from-onset", "evidence": "L004707P:42=good L004707P:43=bad"},
        {"cause": "W0000131", "shape": "whole-life", "since": "2025-03-10T06:00:00+01:00"},
    ],
)
def test_a_question_has_the_fields_that_ask_it(fields):
    question = question_of(fields)
    assert fields_of_question(question) == fields
    assert question_of(fields_of_question(question)) == question


def test_a_day_is_one_by_the_clock_of_this_machine_from_its_beginning_to_its_end():
    asked = question_of(
        {"cause": "W0000131", "shape": "whole-life", "since": "2025-03-10", "until": "2025-03-10"}
    )
    assert asked.since.startswith("2025-03-10T00:00:00")
    assert asked.until.startswith("2025-03-10T23:59:59")
    assert day_or_time("2025-03-10 06:30", "00:00").startswith("2025-03-10T06:30:00")
    assert day_or_time("2025-03-10T06:30:00+01:00", "00:00") == "2025-03-10T06:30:00+01:00"


@pytest.mark.parametrize("text", ["2025-13-40", "yesterday", "13.3.2025 08:00", "2025-03-10 25:00"])
def test_what_is_no_day_is_refused_as_it_was_typed(text):
    assert day_or_time(text, "00:00") == text
