"""The journal in a browser: looked through page by page, and proofs that are checked by hand, with nothing but SHA-256."""

import base64
import hashlib
import json
import re

import pytest
from support_cases import ADA
from support_plant import LINE, Floor
from support_web import Browser, served
from support_web_people import laid_down, plant_with_pins

from runout import EntriesAsked, make_signing_key, open_ledger
from tracelink.errors import UsageError
from tracelink.report.bundle.verify_bundle import Fault, check_consistency


@pytest.fixture(scope="module")
def template(tmp_path_factory):
    place = plant_with_pins(tmp_path_factory.mktemp("web"))
    make_signing_key(place)
    return place


@pytest.fixture
def place(template, tmp_path):
    return laid_down(template, tmp_path)


@pytest.fixture
def browser(place):
    with served(place) as port:
        yield Browser(port)


def entries_on(page):
    """The numbers in the first column of the list."""
    return [int(seq) for seq in re.findall(r'<th scope="row"[^>]*><a href="/entry/(\d+)">', page)] or [
        int(seq) for seq in re.findall(r'<tr>\s*<t[dh][^>]*><a href="/entry/(\d+)">', page)
    ]


def looked_through(browser, address):
    """Every entry that a list leads to, page by page."""
    found = []
    while address:
        page = browser.get(address).page
        found += entries_on(page)
        onward = re.search(r'href="(/journal\?[^"]*)">Older', page)
        address = onward and onward[1].replace("&amp;", "&")
    return found


class TestLookingThrough:
    def test_every_entry_is_reached_from_the_newest_back(self, browser, place):
        with open_ledger(place, read_only=True) as ledger:
            size = ledger.head[0]
        assert looked_through(browser, "/journal") == [*range(size, 0, -1)]

    @pytest.mark.parametrize(
        ("asked", "fields"),
        [
            (f"station={LINE}", {"station": LINE}),
            (f"station={LINE.lower()}", {"station": LINE}),
            (f"person={ADA}", {"person": ADA}),
            ("kind=disc-sampled", {"kind": "disc-sampled"}),
            ("since=2031-03-04&until=2031-03-04", {"since": "2031-03-04", "until": "2031-03-04"}),
        ],
    )
    def test_a_question_is_that_of_the_package(self, browser, place, asked, fields):
        with open_ledger(place, read_only=True) as ledger:
            whole = ledger.journal.entries(EntriesAsked(**fields), most=10_000)
        assert whole.older is None
        assert looked_through(browser, f"/journal?{asked}") == [each.seq for each in whole.entries]

    def test_a_station_and_a_badge_lead_there(self, browser):
        assert f'href="/journal?station={LINE}"' in browser.get(f"/thing/{LINE}").page
        assert f'href="/journal?person={ADA}"' in browser.get(f"/thing/{ADA}").page
        assert 'href="/journal"' in browser.get("/audit").page
        assert "/journal?from=17" in browser.get("/entry/7").page

    @pytest.mark.parametrize(
        ("asked", "sentence"),
        [
            ("from=x", "'x': expected its number, from 1"),
            ("from=0", "expected its number, from 1"),
            ("station=W9", "Station W9 is not in the system"),
            ("since=yesterday", "'yesterday': expected YYYY-MM-DD"),
        ],
    )
    def test_what_is_no_question_is_told(self, browser, asked, sentence):
        answer = browser.get(f"/journal?{asked}")
        assert answer.status == 400
        assert sentence in answer.page.replace("&#39;", "'")

    def test_an_entry_beyond_the_end_begins_at_the_end(self, browser, place):
        with open_ledger(place, read_only=True) as ledger:
            size = ledger.head[0]
        assert entries_on(browser.get("/journal?from=99999999").page)[0] == size


def test_the_package_refuses_a_page_of_nothing(place):
    with open_ledger(place, read_only=True) as ledger, pytest.raises(UsageError, match="most is 0"):
        ledger.journal.entries(most=0)


def node(left, right):
    return hashlib.sha256(b"\x01" + left + right).digest()


def root_of(leaf, index, size, path):
    """RFC 9162 section 2.1.3.2, as its steps stand there."""
    fn, sn, r = index, size - 1, leaf
    for p in path:
        assert sn != 0
        if fn & 1 or fn == sn:
            r = node(p, r)
            while not fn & 1 and fn != 0:
                fn, sn = fn >> 1, sn >> 1
        else:
            r = node(r, p)
        fn, sn = fn >> 1, sn >> 1
    assert sn == 0
    return r


def roots_of(first, second, first_hash, path):
    """RFC 9162 section 2.1.4.2, as its steps stand there: the roots that the path leads to."""
    path = list(path)
    if first & (first - 1) == 0:
        path.insert(0, first_hash)
    fn, sn = first - 1, second - 1
    while fn & 1:
        fn, sn = fn >> 1, sn >> 1
    fr = sr = path[0]
    for c in path[1:]:
        assert sn != 0
        if fn & 1 or fn == sn:
            fr, sr = node(c, fr), node(c, sr)
            while not fn & 1 and fn != 0:
                fn, sn = fn >> 1, sn >> 1
        else:
            sr = node(sr, c)
        fn, sn = fn >> 1, sn >> 1
    assert sn == 0
    return fr, sr


def checkpoint_of(place):
    with open_ledger(place) as ledger:
        return ledger.journal.checkpoint().text


def size_and_root(note):
    """Lines 2 and 3 of a signed note: how many entries, and the root in base 64."""
    lines = note.splitlines()
    return int(lines[1]), base64.b64decode(lines[2])


def go_on(place):
    """Let the plant go on for some entries."""
    floor = Floor.there(str(place))
    for _time in range(5):
        floor.scan(LINE, "nonsense")
    floor.ledger.close()


class TestProofsByHand:
    def test_an_entry_is_led_to_the_root_of_a_checkpoint(self, browser, place):
        note = checkpoint_of(place)
        go_on(place)
        size, root = size_and_root(note)
        for seq in (1, 7, size):
            answer = browser.post(
                "/audit/proof", {"entry": str(seq), "checkpoint": note.replace("\n", "\r\n")}
            )
            assert (answer.status, answer.headers["content-type"]) == (200, "application/json")
            found = json.loads(answer.content)
            leaf = hashlib.sha256(b"\x00" + found["canonical"].encode()).digest()
            path = [bytes.fromhex(one) for one in found["path"]]
            assert root_of(leaf, found["index"], found["size"], path) == root
            assert (found["size"], found["checkpoint"]) == (size, note)
            other = hashlib.sha256(b"\x00" + found["canonical"].encode() + b" ").digest()
            assert root_of(other, found["index"], found["size"], path) != root

    def test_the_journal_is_led_from_one_checkpoint_to_a_later_one(self, browser, place):
        old = checkpoint_of(place)
        go_on(place)
        new = checkpoint_of(place)
        answer = browser.post("/audit/growth", {"earlier": old, "later": new})
        assert answer.status == 200, answer.page
        found = json.loads(answer.content)
        (first, first_root), (second, second_root) = size_and_root(old), size_and_root(new)
        assert first < second
        assert (found["old_size"], found["new_size"], found["checkpoint"]) == (first, second, new)
        path = [bytes.fromhex(one) for one in found["path"]]
        assert roots_of(first, second, first_root, path) == (first_root, second_root)
        # The same by the check that lies in every bundle, and it refuses another root.
        check_consistency(first, second, first_root, second_root, path)
        with pytest.raises(Fault):
            check_consistency(first, second, bytes(32), second_root, path)

    def test_it_leads_to_the_entries_now_where_no_later_one_is_given(self, browser, place):
        old = checkpoint_of(place)
        go_on(place)
        found = json.loads(browser.post("/audit/growth", {"earlier": old}).content)
        with open_ledger(place, read_only=True) as ledger:
            assert found["new_size"] == ledger.head[0]
        assert found["checkpoint"] is None

    @pytest.mark.parametrize(
        ("change", "sentence"),
        [
            (lambda old, new: {}, "The checkpoint is empty"),
            (lambda old, new: {"earlier": "nonsense"}, "the checkpoint"),
            (lambda old, new: {"earlier": new, "later": old}, "its tail was cut off"),
            (
                lambda old, new: {"earlier": old.replace(old.splitlines()[2], new.splitlines()[2])},
                "are not those of the earlier checkpoint",
            ),
        ],
    )
    def test_what_does_not_go_on_is_told(self, browser, place, change, sentence):
        old = checkpoint_of(place)
        go_on(place)
        answer = browser.post("/audit/growth", change(old, checkpoint_of(place)))
        assert answer.status >= 400
        assert sentence in answer.page

    def test_another_site_asks_nothing(self, browser):
        for address in ("/audit/growth", "/audit/proof"):
            assert browser.post(address, {"entry": "1"}, Origin="https://example.com").status == 403
