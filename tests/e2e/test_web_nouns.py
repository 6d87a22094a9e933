"""A page for every noun, pictures whose boxes are links, findings with their reasons, single entries."""

import re
from html import unescape
from urllib.parse import quote
from xml.etree import ElementTree as ET

import pytest
from support_cases import ADA, CAUSE, shipped_file
from support_cli import run
from support_plant import LAB, LINE, Floor, n
from support_web import Browser, served

from runout import open_ledger
from tracelink.report.pictures.pareto_svg import pareto_svg

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    place = shipped_file(tmp_path_factory.mktemp("web"))
    words = ("--shape", "from-onset", "--hold", "--by", ADA, "--reason", "scratch")
    assert run("contain", CAUSE, *words, ledger=place).code == 1
    opened = ("--shape", "from-onset", "--by", ADA, "--reason", "scratch")
    assert run("case", "open", CAUSE, *opened, ledger=place).code == 0
    return place


@pytest.fixture(scope="module")
def browser(place):
    with served(place) as port:
        yield Browser(port)


def pictures(page):
    return [ET.fromstring(found) for found in re.findall(r"<svg.*?</svg>", page, re.DOTALL)]


def nouns(place):
    """A code of each kind of thing that this plant has."""
    with open_ledger(place, read_only=True) as ledger:
        hold, case = ledger.holds().things[0].hold, ledger.cases.listed().cases[0].code
        lot = ledger.trace(n("L1"))
        by_kind = {node.kind: node.code for tree in lot.trees.values() for node in tree.nodes}
    return {
        **{kind: code for kind, code in by_kind.items() if re.fullmatch(r"[A-Z]\w{7,}|\d{18}", code)},
        "person": ADA,
        "station": LINE,
        "hold": hold,
        "case": case,
        "order": n("O1"),
        "sleeve batch": n("B1"),
        "consignee": "Shop 1",
    }


class TestThings:
    def test_every_noun_has_a_page_with_its_facts(self, browser, place):
        found = nouns(place)
        assert {"stamper", "lot", "sample", "spindle", "carton", "pallet", "shipment"} <= {*found}
        for kind, code in found.items():
            answer = browser.get(f"/thing/{quote(code)}")
            answer = browser.follow(answer) if answer.status == 303 else answer
            assert answer.status == 200, kind
            assert code in answer.page, kind

    @pytest.mark.parametrize(
        ("code", "facts"),
        [
            (ADA, ("name", "Ada", "quality")),
            (LINE, ("waits for", "The newest 20 findings")),
            (n("L1"), ("Does it add up?", "What did it touch?", "Put it on hold", "Bundle for an auditor")),
        ],
    )
    def test_a_page_says_what_is_known_and_what_can_be_asked(self, browser, code, facts):
        page = browser.get(f"/thing/{code}").page
        assert [fact for fact in facts if fact not in page] == []

    def test_a_consignee_is_found_and_offered_nothing_that_is_for_codes(self, browser):
        found = browser.get("/search?q=Shop").page
        assert '<a href="/thing/Shop%201">Shop 1</a>' in found
        page = browser.get("/thing/Shop%201").page
        assert "consignee" in page
        # S begins the codes of samples, E those of equipment.
        assert [each for each in ("/contain?", "/act/", "/balance?") if each in page] == []

    def test_a_hold_lists_what_it_holds_and_can_be_lifted(self, browser, place):
        code = nouns(place)["hold"]
        page = browser.get(f"/thing/{code}").page
        with open_ledger(place, read_only=True) as ledger:
            held = [one.subject for one in ledger.holds().things if one.hold == code]
        assert held
        assert [each for each in held if each not in page] == []
        assert f"/act/lift-hold?hold={code}" in page

    def test_a_case_leads_to_its_own_page(self, browser, place):
        case = nouns(place)["case"]
        assert browser.get(f"/thing/{case}").headers["location"] == f"/case/{case}"


class TestPictures:
    def test_every_box_of_a_family_leads_somewhere(self, browser):
        [svg] = pictures(browser.get(f"/thing/{CAUSE}").page)
        assert svg.get("role") == "group"
        addresses = [link.get("href") for link in svg.iter(f"{SVG}a")]
        assert len(addresses) > 5
        page = browser.get(f"/thing/{CAUSE}").page
        for address in addresses:
            if address.startswith("#"):
                assert f'id="{address[1:]}"' in page
            else:
                assert browser.get(address).status in (200, 303), address

    def test_a_picture_for_paper_has_no_link(self, place):
        with open_ledger(place, read_only=True) as ledger:
            assert "<a " not in ledger.trace(CAUSE).to_svg("2031-03-03T07:00:00+01:00")

    def test_a_pareto_has_the_most_frequent_first_and_its_running_share(self):
        svg = pareto_svg(
            "Why?", [("wrong-title", 6), ("no-read", 3), ("on-hold", 1)], lambda each: f"/x?{each}"
        )
        root = ET.fromstring(svg)
        texts = [each.text for each in root.iter(f"{SVG}text")]
        assert [each for each in texts if each.endswith(" %")] == ["60 %", "90 %", "100 %"]
        assert [link.get("href") for link in root.iter(f"{SVG}a")] == [
            "/x?wrong-title",
            "/x?no-read",
            "/x?on-hold",
        ]
        widths = [float(bar.get("width")) for bar in root.iter(f"{SVG}rect") if bar.get("stroke") != "none"]
        assert widths == sorted(widths, reverse=True)
        assert widths[1] == pytest.approx(widths[0] / 2)
        assert "<a " not in pareto_svg("Why?", [("no-read", 1)])


class TestFindings:
    @pytest.fixture
    def stopped(self, tmp_path):
        floor = Floor.copy()
        for line in ("L9", "]C0XX", "]C0XX", "GOOD"):
            floor.scan(LAB, line)
        floor.scan(LINE, "]C0XX")
        place = floor.saved(tmp_path / "plant.db")
        floor.ledger.close()
        return place

    def test_reasons_are_counted_as_they_are_recorded(self, stopped):
        with open_ledger(stopped, read_only=True) as ledger:
            scans = ledger.stations.refusals(last=None).scans
            found = ledger.stations.reasons().reasons
            assert sum(one.times for one in found) == len(scans)
            assert {one.finding: one.times for one in found} == {
                each: sum(scan.finding == each for scan in scans) for each in {scan.finding for scan in scans}
            }
            assert [one.times for one in found] == sorted((one.times for one in found), reverse=True)
            day = scans[0].at[:10]
            assert ledger.stations.reasons(since=day, until=day).reasons == found
            assert ledger.stations.reasons(until="2000-01-01").reasons == ()
            at_line = ledger.stations.reasons(station=LINE).reasons
            assert sum(one.times for one in at_line) == sum(scan.station == LINE for scan in scans)
        with served(stopped) as port:
            browser = Browser(port)
            page = browser.get("/findings").page
            [svg] = pictures(page)
            links = [unescape(link.get("href")) for link in svg.iter(f"{SVG}a")]
            assert links == [f"/findings?finding={one.finding}" for one in found]
            assert "What it means".lower() in page.lower()
            only = browser.get(links[0]).page
            assert f"Findings: {found[0].finding}" in only

    def test_a_day_or_station_that_is_none_is_told(self, browser):
        assert "expected YYYY-MM-DD" in browser.get("/findings?since=yesterday").page
        assert "is not in the system" in browser.get("/findings?station=W0000999").page
        assert browser.get("/findings?finding=nonsense").status == 200


class TestEntries:
    def test_an_entry_stands_as_it_was_recorded(self, browser, place):
        with open_ledger(place, read_only=True) as ledger:
            canonical = ledger.journal.prove(7).canonical
        page = unescape(browser.get("/entry/7").page)
        assert canonical in page
        assert browser.get("/search?q=entry+7").headers["location"] == "/entry/7"
        assert "/audit/proof/7.json" in page
        assert page.index("Who did what") < page.index("What it says") < page.index("Text in the journal")

    def test_one_is_reached_from_where_its_number_stands(self, browser, place):
        with open_ledger(place, read_only=True) as ledger:
            entry = ledger.cases.listed().cases[0].seq
        assert f'<a href="/entry/{entry}">{entry}</a>' in browser.get("/cases").page
        opened = browser.get(f"/entry/{entry}").page
        assert f'Ada, <a href="/thing/{ADA}"><code>{ADA}</code></a>' in opened
        assert f'<dd><a href="/thing/{CAUSE}">' in opened

    @pytest.mark.parametrize("seq", ["0", "999999", "x", "٣", "1" * 30])
    def test_one_that_is_not_there_is_told(self, browser, seq):
        assert browser.get(f"/entry/{quote(seq)}").status in (400, 404)
