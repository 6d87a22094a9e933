"""Questions that a few fields ask: each page says what the command says, as table, CSV and JSON, and is reached from what it is about."""

import csv
import io
import json
import re
from html import unescape

import pytest
from support_assembly import hall_of_two_units
from support_cases import ADA, CAUSE
from support_cli import run
from support_drift import TOOL, quiet_floor
from support_plant import LINE, Floor, n
from support_web import Browser, served, served_floor
from support_web_people import OF_ADA, laid_down, plant_with_pins, rows


@pytest.fixture(scope="module")
def template(tmp_path_factory):
    place = plant_with_pins(tmp_path_factory.mktemp("web"))
    with served(place) as port:
        ada = Browser(port)
        ada.sign_in(ADA, OF_ADA)
        done = ada.fill("/act/case-open", cause=CAUSE, shape="from-onset", reason="scratch", pin=OF_ADA)
        assert done.status == 303, done.problem
    return place


@pytest.fixture
def place(template, tmp_path):
    return laid_down(template, tmp_path)


@pytest.fixture
def browser(place):
    with served(place) as port:
        yield Browser(port)


@pytest.fixture(scope="module")
def hall(tmp_path_factory):
    with served_floor(hall_of_two_units(), tmp_path_factory.mktemp("hall") / "plant.db") as both:
        yield both


@pytest.fixture(scope="module")
def lab(tmp_path_factory):
    with served_floor(quiet_floor(), tmp_path_factory.mktemp("lab") / "plant.db") as both:
        yield both


def packed(folder):
    """Three cartons of lot 1, none shipped."""
    floor = Floor.copy()
    floor.press(1)
    floor.open_line(1, [11], 1)
    floor.match(1, 5)
    floor.scan(LINE, "CLOSE", "carton 2")
    floor.match(1, 4)
    floor.scan(LINE, "CLOSE", "K12", "carton 3")
    floor.match(1, 5)
    floor.scan(LINE, "CLOSE")
    file = floor.saved(folder / "plant.db")
    floor.ledger.close()
    return file


def case_of(place):
    with_case = json.loads(run("case", "list", "--format", "json", ledger=place).out)
    return with_case[0]["case"]


def said(answer):
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", answer.page)))


def is_the_command(browser, place, address, *words):
    """Compare the files of a page with what the command prints, and see that the page shows the rows."""
    joined = "&" if "?" in address else "?"
    as_json = browser.get(f"{address}{joined}as=json")
    assert as_json.headers["content-type"] == "application/json"
    told = run(*words, "--format", "json", ledger=place)
    assert without_times(json.loads(as_json.content)) == without_times(json.loads(told.out))
    as_csv = browser.get(f"{address}{joined}as=csv")
    found = list(csv.reader(io.StringIO(as_csv.page)))
    asked = list(csv.reader(io.StringIO(run(*words, "--format", "csv", ledger=place).out)))
    assert found[0] == asked[0]
    assert len(found) == len(asked)
    page = browser.get(address)
    assert page.status == 200
    assert "as=csv" in page.page
    return said(page), found


def without_times(found):
    """What does not hang on how fast this machine is, nor on when it is asked."""
    if isinstance(found, dict):
        return {
            name: without_times(each)
            for name, each in found.items()
            if not (name.endswith("ms") or name in ("at", "made_at", "hours", "day"))
        }
    return [without_times(each) for each in found] if isinstance(found, list) else found


class TestFiles:
    @pytest.mark.parametrize(
        ("address", "words"),
        [
            (f"/samples?lot={n('L1')}", ("samples", n("L1"))),
            (f"/samples?lot={n('L1')}&aql=4.0&level=S-2", ("samples", n("L1"), "--aql", "4.0", "--level", "S-2")),
            (f"/samples?lot={n('L1')}&detect=20&confidence=90", ("samples", n("L1"), "--detect", "20", "--confidence", "90")),
            ("/samples", ("samples", "--due")),
            (f"/carton-check?of={n('pallet 1')}&detect=50", ("check-cartons", n("pallet 1"), "--detect", "50")),
            ("/drill?what=carton&seed=7", ("drill", "--seed", "7")),
            ("/drill?what=stamper&seed=3", ("drill", "--seed", "3", "--from", "stamper")),
            ("/drill", ("drill", "--held")),
            ("/pace", ("pace",)),
            ("/audit/rules", ("audit", "rules")),
            (
                "/audit/rules?part=electronic-records&binding=yes",
                ("audit", "rules", "--part", "electronic-records", "--binding"),
            ),
            ("/case-rules", ("case", "rules")),
        ],
    )  # fmt: skip
    def test_a_page_gives_what_the_command_prints(self, browser, place, address, words):
        is_the_command(browser, place, address, *words)

    def test_a_summary_of_a_case_is_that_of_the_command(self, browser, place):
        case = case_of(place)
        page, found = is_the_command(browser, place, f"/case/{case}/summary", "case", "summary", case)
        assert "5 items not given: reason, circumstances, risk, strategy, official." in page
        assert {row[0] for row in found[1:]} == {"Shop 1", "Shop 9"}
        given = browser.get(f"/case/{case}/summary?risk=none+to+people").page
        assert "none to people" in given
        assert "4 items not given" in given

    def test_the_pace_of_a_line_is_drawn(self, hall):
        place, browser = hall
        page, found = is_the_command(browser, place, "/pace?break=30", "pace")
        assert len(found) > 1
        assert "<svg" in browser.get("/pace").page
        assert all(row[0] in page for row in found[1:])

    def test_capability_says_why_it_cannot_tell(self, lab):
        place, browser = lab
        page, _found = is_the_command(
            browser, place, f"/capability?code={TOOL}&test=noise", "capability", TOOL, "--test", "noise"
        )
        assert "Cannot tell: 20 values, and 30 or more are needed." in page
        assert '<option value="noise" selected>' in browser.get(f"/capability?code={TOOL}&test=noise").page

    def test_a_drill_and_the_rules_are_had_for_paper(self, browser):
        for address in ("/drill?what=carton&seed=7", "/audit/rules?part=quality"):
            answer = browser.get(f"{address}&as=pdf")
            assert (answer.headers["content-type"], answer.content[:5]) == ("application/pdf", b"%PDF-")

    def test_what_a_plan_lets_through_is_drawn(self, browser):
        assert "<svg" in browser.get(f"/samples?lot={n('L1')}&aql=4.0&level=S-2").page
        assert "<svg" not in browser.get(f"/samples?lot={n('L1')}").page


class TestBadInput:
    @pytest.mark.parametrize(
        ("address", "sentence"),
        [
            ("/samples?lot=X", "Not answered. 'X' is not a plant code"),
            ("/samples?lot=" + n("S1"), "is not a lot"),
            (f"/samples?lot={n('L1')}&aql=4.0&detect=20", "expected one of them"),
            (f"/samples?lot={n('L1')}&one_in=x", "one in is 'x': expected a whole number"),
            ("/carton-check?of=zz", "'zz' is not a plant code"),
            (f"/carton-check?of={n('L1')}&confidence=100", "confidence"),
            ("/drill?what=moon", "'moon'"),
            ("/drill?what=reel", "Not answered."),
            ("/drill?what=carton&seed=-1", "expected a whole number up to"),
            ("/pace?break=0", "expected whole minutes, from 1"),
            (f"/pace?break={'9' * 20}", "expected whole minutes, from 1"),
            ("/pace?since=never", "'never' is not usable"),
            ("/audit/rules?part=moon", "'moon'"),
            ("/capability?code=T1", "The test is missing"),
            ("/case/Q9/summary", "Not answered."),
            ("/samples?as=pdf", "expected csv, json"),
            ("/samples?as=exe", "expected csv, json"),
        ],
    )
    def test_it_is_told_with_what_was_typed(self, browser, address, sentence):
        answer = browser.get(address)
        assert answer.status in (400, 404)
        assert sentence.lower() in said(answer).lower()
        if "lot=X" in address:
            assert 'value="X"' in answer.page


class TestReached:
    @pytest.mark.parametrize(
        ("page", "address"),
        [
            (f"/thing/{n('L1')}", f"/samples?lot={n('L1')}"),
            (f"/thing/{n('L1')}", f"/carton-check?of={n('L1')}"),
            (f"/thing/{CAUSE}", f"/capability?code={CAUSE}"),
            (f"/thing/{n('pallet 1')}", f"/carton-check?of={n('pallet 1')}"),
            ("/cases", "/drill"),
            ("/cases", "/case-rules"),
            ("/faults", "/pace"),
            ("/audit", "/audit/rules"),
            ("/audit", "/drill"),
            ("/chart", "/capability"),
            ("/chart", "/samples"),
        ],
    )
    def test_from_what_it_is_about(self, browser, page, address):
        assert f'href="{address}"' in browser.get(page).page

    def test_a_case_leads_to_its_summary(self, browser, place):
        case = case_of(place)
        assert f'href="/case/{case}/summary"' in browser.get(f"/case/{case}").page


class TestActs:
    def test_a_drill_is_recorded_by_whoever_may(self, browser, place):
        browser.sign_in(ADA, OF_ADA)
        page = browser.get("/drill?what=carton&seed=7").page
        [address] = set(re.findall(r'href="(/act/record-drill[^"]*)"', page))
        done = browser.follow(browser.fill(unescape(address), pin=OF_ADA))
        assert "The drill is recorded" in done.page
        assert rows(place, "drill", "seed") == [(7,)]
        assert "carton" in said(browser.get("/drill"))
        assert browser.fill(unescape(address), pin="00000000").status == 403

    def test_cartons_are_drawn_once(self, tmp_path):
        place = plant_with_pins(tmp_path, made=packed)
        with served(place) as port:
            ada = Browser(port)
            ada.sign_in(ADA, OF_ADA)
            address = f"/carton-check?of={n('L1')}&detect=80&confidence=50"
            assert "“Draw the cartons” draws them and records it" in said(ada.get(address))
            done = ada.follow(ada.fill(f"/act/draw-cartons?of={n('L1')}", pin=OF_ADA))
            assert "3 cartons drawn now" in done.page
            words = ("check-cartons", n("L1"), "--detect", "80", "--confidence", "50")
            page, _found = is_the_command(ada, place, address, *words)
            assert "Drawn in entry" in page
            again = ada.follow(ada.fill(f"/act/draw-cartons?of={n('L1')}", pin=OF_ADA))
            assert "All cartons were drawn before" in again.page
