"""The assembly hall in a browser: each thing has its page with its family, and the containment form takes it as a cause."""

import http.client
import re
from html import unescape
from urllib.parse import urlencode

import pytest
from support_assembly import hall_of_two_units
from support_plant import n
from support_web import let_in, served


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    """A hall with two units, of which one's board went through the oven."""
    floor = hall_of_two_units()
    file = floor.saved(tmp_path_factory.mktemp("hall") / "plant.db")
    floor.ledger.close()
    with served(let_in(file)) as port:

        def page(path, **asked):
            line = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
            line.request("GET", f"{path}?{urlencode(asked)}" if asked else path)
            answer = line.getresponse()
            text = answer.read().decode()
            line.close()
            assert answer.status == 200, text
            text = re.sub(r"<(style|script).*?</\1>", "", text, flags=re.DOTALL)
            return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", text)))

        yield page


@pytest.mark.parametrize(
    ("code", "heading", "known_by", "family"),
    [
        ("M4", "Part lot", "supplier's lot SL-80", ("F1", "U116", "U202")),
        ("F1", "Reel", "40 of 40 used", ("M1", "M4", "U101", "U202")),
        ("N1", "Build order", "motor board", ("F1", "F2", "F3", "M2", "X1", "U116")),
        ("U116", "Piece", f"piece 16 of build order {n('N1')}", ("N1", "F1", "M4", "X1", "U202")),
        ("U202", "Piece", "turntable", ("U116", "F4", "M3", "N2")),
        ("X1", "Step", "soldering", ("V51", "N1", "U116", "U202")),
    ],
)
def test_each_thing_has_a_page_with_its_family(pages, code, heading, known_by, family):
    said = pages(f"/thing/{n(code)}")
    assert f"{heading} {n(code)}" in said
    assert known_by in said
    assert [one for one in family if n(one) not in said] == []


@pytest.mark.parametrize("code", ["M4", "F1", "N1", "U116", "X1"])
def test_the_containment_form_takes_it(pages, code):
    said = pages("/contain", cause=n(code), shape="intermittent")
    assert n("U202") in said
    assert re.findall(r"\baffected discs?\b|\bdiscs there\b", said) == []


def test_times_in_its_family_are_shown_as_everywhere(pages):
    said = pages(f"/thing/{n('X1')}")
    assert re.search(r"began \d{4}-\d{2}-\d{2} \d{2}:\d{2} \+01:00", said)
    assert re.search(r"\d{4}-\d{2}-\d{2}T", said) is None


def test_a_build_order_adds_up_in_a_browser(pages):
    assert "every line is ±0" in pages("/balance", of=n("N1"))
