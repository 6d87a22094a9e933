"""A server that only reads: no page offers an act, each says so once, nothing is written, and no page says where the ledger lies."""

import re

import pytest
from support_browser import violations
from support_cases import ADA, CAUSE
from support_cli import run
from support_ledgers import content
from support_looked_at import IN_TESTS_OF_THEIR_OWN, OF_A_CASE, PAGES
from support_plant import LINE, n
from support_web import Browser, served_app
from support_web_people import OF_ADA, plant_with_pins

from runout import ContainmentQuery, Shape, make_signing_key, open_ledger
from tracelink.web.app import make_app
from tracelink.web.entrance.entrance import Entrance, Reached

ONLY_READS = "This server only reads"
WRITES = (
    "/act/hold",
    "/act/case-open",
    "/sign-in",
    "/browser",
    "/station",
    f"/station/{LINE}",
    "/audit/checkpoint",
)


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    place = plant_with_pins(tmp_path_factory.mktemp("web"))
    make_signing_key(place)
    return place


@pytest.fixture(scope="module")
def browser(place):
    app = make_app(str(place), str, only_reads=True)
    with served_app(app) as port:
        yield Browser(port)


def addresses():
    found = [*PAGES, *IN_TESTS_OF_THEIR_OWN[1:2]]
    return [each for each in found if not each.startswith(("/sign-in", "/act/", "/station", "/browser?"))]


def test_no_page_offers_what_it_would_not_do(browser, place):
    before = content(place)
    seen = 0
    for address in addresses():
        if address == "/browser":
            continue
        page = browser.get(address).page
        assert re.findall(r'(?:href|action)="(/act/[^"]*|/sign-in|/station[^"]*|/browser)"', page) == [], (
            address
        )
        forms = set(re.findall(r'<form action="([^"]*)" method="post"', page))
        assert forms <= {"/audit/verify", "/audit/bundle", "/audit/proof", "/audit/growth"}, address
        assert str(place) not in page, address
        if "<nav" in page:
            seen += 1
            assert page.count(ONLY_READS) == 1, address
    assert seen > 20
    assert content(place) == before


@pytest.mark.parametrize("address", WRITES)
def test_what_would_write_says_that_it_does_not(browser, place, address):
    before = content(place)
    asked = [] if address == "/audit/checkpoint" else [browser.get(address)]
    fields = {"badge": ADA, "pin": OF_ADA, "thing": n("L1"), "reason": "dust", "form": "1", "code": "AAAA"}
    for answer in (*asked, browser.post(address, fields)):
        assert answer.status == 403
        assert "This server only reads: nothing is signed, booked or recorded by it." in answer.page
        assert str(place) not in answer.page
    assert content(place) == before


def test_what_an_auditor_asks_is_answered(browser, place):
    assert browser.post("/audit/proof", {"entry": "3"}).status == 200
    assert browser.post("/audit/verify", {}).status == 303
    assert browser.get("/journal").status == 200


def test_it_looks_as_it_should(browser, tabs):
    tab = tabs(f"{browser.origin}/thing/{CAUSE}")
    assert violations(tab) == []
    tab.goto(f"{browser.origin}/act/hold")
    assert violations(tab) == []


def test_what_an_error_says_has_the_name_of_the_ledger_alone():
    entrance = Entrance("/home/ada/works/plant.db", Reached())
    assert entrance.told(ValueError("/home/ada/works/plant.db is busy")) == "plant.db is busy"
    entrance = Entrance("postgresql://ada@db.example.com/works", Reached())
    assert entrance.told(ValueError("postgresql://ada@db.example.com/works is away")) == "works is away"


def test_a_case_offers_only_what_is_read(place):
    from runout import Badge, CaseSigner  # noqa: PLC0415  used once

    with open_ledger(place) as ledger:
        query = ContainmentQuery(CAUSE, Shape.FROM_ONSET)
        code = ledger.cases.open(query, CaseSigner(Badge(ADA, OF_ADA), "scratch")).code
    with served_app(make_app(str(place), str, only_reads=True)) as port:
        for each in OF_A_CASE:
            page = Browser(port).get(each.format(code)).page
            assert "/act/" not in page, each
            assert page.count(ONLY_READS) == 1


def test_other_machines_could_not_sign_in_so_it_is_refused(place):
    done = run("--read-only", "serve", "--behind", "https://runout.example.com", "--port", "0", ledger=place)
    assert done.code == 2
    assert "other machines read only once somebody signed in, which is an entry" in done.err
