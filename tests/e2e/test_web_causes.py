"""Where to look first, in a browser: faults of built pieces, and what bad discs and units have in common."""

import re
from html import unescape

import pytest
from support_assembly import BENCH, hall_of_two_units
from support_browser import violations
from support_cases import ADA, CAUSE, shipped_file
from support_cli import run
from support_looked_at import HALL, OF_A_CASE, asked_about, page_kinds
from support_plant import n
from support_web import Browser, served, served_floor

from tracelink.web.app import make_app


@pytest.fixture(scope="module")
def hall(tmp_path_factory):
    """A hall with two units; a board had a fault that was found twice."""
    floor = hall_of_two_units()
    for piece in ("U102", "U103"):
        floor.scan(BENCH, "FAIL", piece, '"board 1.4', '"no signal', '"r2')
    with served_floor(floor, tmp_path_factory.mktemp("hall") / "plant.db") as (_file, browser):
        yield browser


@pytest.fixture(scope="module")
def plant(tmp_path_factory):
    place = shipped_file(tmp_path_factory.mktemp("web"))
    opened = ("--shape", "from-onset", "--by", ADA, "--reason", "scratch")
    assert run("case", "open", CAUSE, *opened, ledger=place).code == 0
    with served(place) as port:
        yield Browser(port)


def words(answer):
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", answer.page)))


class TestFaults:
    def test_they_are_counted_drawn_and_listed_with_their_pieces(self, hall):
        page = hall.get("/faults")
        said = words(page)
        assert "2 faults in" in said
        assert "EX-3000 R2" in said
        assert "<svg" in page.page
        assert f'<a href="/thing/{n("U102")}">' in page.page
        assert "No fault of one position became more frequent" in said
        assert "where faults are counted by position" in words(hall.get("/faults?by=symptom"))

    def test_less_is_asked_for(self, hall):
        assert "No test found a fault" in words(hall.get("/faults?until=2000-01-01"))
        assert "2 faults in" in words(hall.get("/faults?since=2000-01-01&part=EX-3000"))

    @pytest.mark.parametrize(
        ("asked", "sentence"),
        [
            ("by=colour", "aults are counted by 'colour': expected one of"),
            ("part=EX-9", "the plant has no part of this number"),
            ("since=yesterday", "'yesterday' is not usable"),
        ],
    )
    def test_what_cannot_be_asked_is_told(self, hall, asked, sentence):
        answer = hall.get(f"/faults?{asked}")
        assert answer.status == 400
        assert sentence in words(answer)

    def test_a_plant_without_a_hall_has_none(self, plant):
        said = words(plant.get("/faults"))
        assert "0 faults in 0 tests" in said
        assert "No test found a fault" in said


class TestCause:
    def test_bad_discs_are_compared_and_each_candidate_is_a_link(self, plant):
        page = plant.get("/cause")
        assert f'<a href="/thing/{CAUSE}">' in page.page
        assert "An association is not proof" in words(page)
        assert plant.get("/cause?since=2000-01-01&within=lot").status == 200

    @pytest.mark.parametrize(
        ("asked", "status"), [("within=colour", 400), ("defect=never+seen", 400), ("since=2031-13-01", 400)]
    )
    def test_what_cannot_be_asked_is_told(self, plant, asked, status):
        assert plant.get(f"/cause?{asked}").status == status

    def test_a_built_piece_is_found_by_its_serial_label_alone(self, hall):
        found = hall.get(f"/search?q={n('U116')}")
        assert (found.status, found.headers["location"]) == (303, f"/thing/{n('U116')}")

    def test_words_that_nothing_has_all_of_are_offered_one_by_one(self, hall):
        page = hall.get("/search?q=motor+nobody").page
        assert '<a href="/search?q=motor">' in page


class TestAxe:
    def test_it_finds_nothing_in_a_hall(self, hall, tabs):
        assert complaints(hall, tabs, HALL) == {}

    def test_it_finds_nothing_in_a_case(self, plant, tabs):
        [case] = set(re.findall(r"Q[0-9]{6}[0-9A-Z]", plant.get("/cases").page))
        assert complaints(plant, tabs, [each.format(case) for each in OF_A_CASE]) == {}

    def test_it_is_asked_about_every_kind_of_page(self, tmp_path):
        kinds = page_kinds(make_app(str(tmp_path / "none.db"), str))
        assert len(kinds) > 20
        asked = asked_about()
        assert [kind for kind, form in kinds.items() if not any(map(form.match, asked))] == []


def complaints(browser, tabs, addresses):
    """What axe-core finds, by page."""
    tab = tabs(f"{browser.origin}/board")
    found = {}
    for address in addresses:
        tab.goto(f"{browser.origin}{address}")
        if against := violations(tab):
            found[address] = against
    return found


class TestFromAComplaint:
    def test_its_text_leads_to_the_question_what_was_touched(self, plant):
        text = "Dear+Sirs,+a+scratch+on+the+record,+run-out+EX+101+A.+Yours,+Shop+9"
        page = plant.get(f"/search?q={text}").page
        assert "By some of them" in page
        assert '<a href="/search?q=Shop+9">Shop 9</a>: order 1, consignee 1, shipment 1' in page
        assert '<a href="/search?q=scratch">scratch</a>' in page
        defect = plant.get("/search?q=scratch").page
        assert '<a href="/cause?defect=scratch">scratch</a>' in defect
        assert plant.get("/cause?defect=scratch").status == 200

    def test_a_question_without_a_shape_is_no_mistake(self, plant):
        answer = plant.get(f"/contain?cause={CAUSE}")
        assert (answer.status, "problem" in answer.page) == (200, False)
        assert "How does the fault run?" in answer.page
