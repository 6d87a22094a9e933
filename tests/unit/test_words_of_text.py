"""A complaint's text: the longest runs of its words by which something is known, each once, in its order."""

import pytest
from support_cases import shipped_file

from runout import open_ledger
from tracelink.web.lists.words_of_text import known_words


@pytest.fixture(scope="module")
def ledger(tmp_path_factory):
    with open_ledger(shipped_file(tmp_path_factory.mktemp("web")), read_only=True) as ledger:
        yield ledger


def title(ledger):
    return ledger.warehouse.product("L000001B").title


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Dear Sirs, Shop 9 complains of a scratch, run-out EX 101 A.", ["Shop 9", "scratch", "EX 101 A"]),
        ("EX-101-A", ["EX-101-A"]),
        ("scratch, and SCRATCH again", ["scratch"]),
        ("nothing of it is known here", []),
        ("", []),
        ("% _ ! ' \" ]C0", []),
    ],
)
def test_the_longest_known_runs(ledger, text, found):
    assert [
        one.text for one in known_words(ledger, text) if not one.text.islower() or one.text in found
    ] == found


def test_a_title_is_found_whole_among_other_words(ledger):
    known = known_words(ledger, f"We ordered “{title(ledger)}” and got something else")
    [whole] = [one for one in known if one.text == title(ledger)]
    assert dict(whole.kinds)["product"] >= 1
    assert not any(one.text in title(ledger).split() for one in known)


def test_a_run_is_as_long_as_it_is_known(ledger):
    for one in known_words(ledger, "carton of Shop 9 and Shop 1, both scratch"):
        assert ledger.search(one.text).hits


def test_only_the_first_words_of_a_book_are_looked_at(ledger):
    assert known_words(ledger, "xyzzy " * 40 + "scratch") == ()
    assert [one.text for one in known_words(ledger, "xyzzy " * 39 + "scratch")] == ["scratch"]
