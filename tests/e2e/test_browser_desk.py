"""The desk of quality and auditors in a real browser: keyboard alone, fields that change figures, axe, light and dark."""

import re

import pytest
from support_browser import violations
from support_cases import ADA, CAUSE, CLEO
from support_looked_at import IN_THE_DARK, LOOKED_AT, PAGES
from support_plant import n
from support_web import served
from support_web_people import OF_ADA, OF_CLEO, plant_with_pins, rows

from runout import make_signing_key


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    place = plant_with_pins(tmp_path_factory.mktemp("web"), {CLEO: OF_CLEO})
    make_signing_key(place)
    return place


@pytest.fixture(scope="module")
def port(place):
    with served(place) as number:
        yield number


@pytest.fixture
def opened(tabs, port):
    return lambda address, **options: tabs(f"http://127.0.0.1:{port}{address}", **options)


def sign_in(tab, badge=ADA, pin=OF_ADA):
    """By keys alone: the field for the badge has the focus, once the page is shown."""
    tab.goto(re.sub(r"(?<=\d)/.*", "/sign-in", tab.url))
    tab.wait_for_selector("#badge:focus")
    tab.keyboard.type(badge)
    tab.keyboard.press("Tab")
    tab.keyboard.type(pin)
    tab.keyboard.press("Enter")
    tab.wait_for_url("**/board")


def complaints(tab, port, addresses):
    """What axe-core finds, by page."""
    found = {}
    for address in addresses:
        tab.goto(f"http://127.0.0.1:{port}{address}")
        if against := violations(tab):
            found[address] = against
    return found


class TestKeys:
    def test_a_day_of_quality_by_keyboard_alone(self, opened, place):
        tab = opened("/sign-in")
        sign_in(tab)
        assert "Ada" in tab.inner_text(".visitor")
        tab.goto(tab.url.replace("/board", f"/act/hold?thing={n('L2')}"))
        tab.focus("#reason")
        tab.keyboard.type("dust on the lacquer")
        tab.keyboard.press("Tab")
        tab.keyboard.type(OF_ADA)
        tab.keyboard.press("Enter")
        tab.wait_for_url("**/done/**")
        assert "is on hold" in tab.inner_text("main")
        assert rows(place, "hold", "reason", cause=n("L2")) == [("dust on the lacquer",)]
        assert violations(tab) == []
        # The back button and the key again: nothing is booked twice.
        done = tab.url
        tab.go_back()
        tab.fill("#reason", "dust on the lacquer")
        tab.fill("#pin", OF_ADA)
        tab.press("#pin", "Enter")
        tab.wait_for_url("**/done/**")
        assert len(rows(place, "hold", "reason", cause=n("L2"))) == 1
        assert done
        tab.click("text=Badge out")
        tab.wait_for_url("**/sign-in")

    def test_every_place_that_takes_the_focus_shows_it(self, opened):
        tab = opened(f"/thing/{CAUSE}")
        seen = 0
        for _place in range(30):
            tab.keyboard.press("Tab")
            width = tab.evaluate("parseFloat(getComputedStyle(document.activeElement).outlineWidth)")
            assert width >= 2, tab.evaluate("document.activeElement.outerHTML.slice(0, 200)")
            seen += 1
        assert seen == 30

    def test_a_box_of_a_picture_is_a_link(self, opened):
        tab = opened(f"/thing/{CAUSE}")
        tab.locator("svg a").first.focus()
        tab.keyboard.press("Enter")
        tab.wait_for_load_state()
        assert "/thing/" in tab.url

    def test_what_was_typed_stays_when_it_is_refused(self, opened):
        tab = opened("/sign-in")
        sign_in(tab, CLEO, OF_CLEO)
        tab.goto(tab.url.replace("/board", f"/act/hold?thing={n('L1')}"))
        tab.fill("#reason", "I would rather")
        tab.fill("#pin", OF_CLEO)
        tab.press("#pin", "Enter")
        tab.wait_for_selector("#problem")
        assert "may not place holds" in tab.inner_text("#problem")
        assert tab.input_value("#reason") == "I would rather"
        assert tab.input_value("#pin") == ""


class TestQuestion:
    def test_a_field_that_changes_changes_the_figures_at_once(self, opened):
        tab = opened(f"/contain?cause={CAUSE}&shape=from-onset")
        figures = tab.inner_text("#answer .figures")
        tab.click("summary")
        tab.fill("#evidence", f"{n('L1')}:12=good, {n('L1')}:13=good")
        tab.press("#evidence", "Tab")
        tab.wait_for_function(
            "before => document.querySelector('#answer .figures')?.innerText !== before", arg=figures
        )
        assert "evidence=" in tab.url
        assert tab.input_value("#evidence").startswith(n("L1"))
        tab.fill("#window", "5")
        tab.press("#window", "Tab")
        tab.wait_for_selector("#answer .problem")
        assert "“Window”" in tab.inner_text("#answer .problem")
        assert tab.input_value("#evidence").startswith(n("L1"))

    def test_it_is_asked_without_scripts_too(self, opened):
        tab = opened(f"/contain?cause={CAUSE}&shape=from-onset", java_script_enabled=False)
        tab.select_option("#shape", "whole-life")
        tab.click("text=Ask")
        tab.wait_for_url("**shape=whole-life**")
        assert tab.locator("#answer .figures").count() == 1


class TestAudit:
    def test_verifying_says_how_far_it_is_and_what_it_found(self, opened):
        tab = opened("/audit")
        tab.click("text=Verify the journal")
        tab.click("button:has-text('Verify')")
        tab.wait_for_selector("text=What was found")
        assert "differences" in tab.inner_text("main")


class TestLook:
    def test_axe_finds_nothing_in_light(self, opened, port):
        tab = opened("/sign-in", color_scheme="light")
        assert complaints(tab, port, LOOKED_AT) == {}

    def test_axe_finds_nothing_in_the_dark_for_somebody_signed_in(self, opened, port):
        tab = opened("/sign-in", color_scheme="dark")
        sign_in(tab)
        assert complaints(tab, port, IN_THE_DARK) == {}

    def test_nothing_is_wider_than_a_telephone(self, opened, port):
        tab = opened("/sign-in", viewport={"width": 390, "height": 844})
        wide = []
        for address in PAGES:
            tab.goto(f"http://127.0.0.1:{port}{address}")
            if tab.evaluate("document.documentElement.scrollWidth") > 390:
                wide.append(address)
        assert wide == []

    def test_no_table_of_many_columns_scrolls_sideways_on_a_telephone(self, opened, port):
        tab = opened("/board", viewport={"width": 390, "height": 844})
        tables, wide = 0, []
        for address in ("/board", "/board?area=line", "/journal", "/holds", "/cases", f"/thing/{CAUSE}"):
            tab.goto(f"http://127.0.0.1:{port}{address}")
            tables += tab.locator("table.stacked").count()
            wide += tab.evaluate(
                "[...document.querySelectorAll('.wide')].filter(one => one.scrollWidth > one.clientWidth)"
                ".map(one => one.getAttribute('aria-label'))"
            )
        assert tables > 4
        assert wide == []
        # Laid out otherwise, it is a table all the same for who has it read out.
        assert tab.get_by_role("columnheader", name="lot", exact=True).count() > 0
        assert violations(tab) == []
