"""Sentences on a narrow screen break between words, and codes stay whole."""

import sys

import pytest

from tracelink.cli.common.say import print_report, say
from tracelink.report.format.screen_lines import broken_between_words

LONG = "Sample S0020863 is bad: the stamper T001030Y carries the fault from its stroke 1000 on."


def test_what_fits_stays_as_it_is():
    text = "two\n\n  lines  with   spaces\n"
    assert broken_between_words(text, 40) == text


def test_a_long_sentence_goes_on_below_its_beginning():
    assert broken_between_words(f"Gaps\n  - {LONG}\nend\n", 40) == (
        "Gaps\n"
        "  - Sample S0020863 is bad: the stamper\n"
        "    T001030Y carries the fault from its\n"
        "    stroke 1000 on.\n"
        "end\n"
    )


def test_a_word_longer_than_the_screen_is_not_broken():
    assert broken_between_words("the hash " + 64 * "a", 40) == "the hash\n" + 64 * "a"


def test_a_screen_of_a_few_characters_gets_readable_lines():
    assert max(map(len, broken_between_words(LONG, 3).split("\n"))) <= 20


@pytest.mark.parametrize(("is_screen", "lines"), [(True, 3), (False, 1)])
def test_only_a_screen_gets_broken_lines(monkeypatch, capsys, is_screen, lines):
    monkeypatch.setenv("COLUMNS", "40")
    monkeypatch.setattr(sys.stdout, "isatty", lambda: is_screen, raising=False)
    say(LONG)
    assert capsys.readouterr().out.count("\n") == lines


@pytest.mark.parametrize(("fmt", "lines"), [("table", 3), ("json", 1), ("csv", 1)])
def test_programs_get_whole_lines_even_on_a_screen(monkeypatch, capsys, fmt, lines):
    monkeypatch.setenv("COLUMNS", "40")
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
    print_report(f"{LONG}\n", fmt)
    assert capsys.readouterr().out.count("\n") == lines
