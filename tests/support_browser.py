"""A Chromium for tests: one for a whole run, a fresh context for each test, and what a person does at a station page."""

import os
import shutil
from collections.abc import Iterator
from importlib.resources import files
from urllib.parse import quote

import pytest
from support_plant import raw
from support_web import ENROLLED

CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
_OPTIONS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
SMALL = {"width": 1280, "height": 800}
WAIT_MS = 20_000
"""For anything on a page to come true; on a busy machine a verdict takes a while."""

_AXE = """() => axe.run(document, {
  resultTypes: ["violations"],
  runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
}).then(found => found.violations.map(one => [one.id, one.nodes.map(node => node.html)]))"""

_TYPED = """keys => keys.forEach(key => {
  const typed = key === "\x1d" ? {key: "]", ctrlKey: true} : {key};
  document.activeElement.dispatchEvent(new KeyboardEvent("keydown", {...typed, bubbles: true, cancelable: true}));
})"""

_TO_NOTHING = ("Failed to load resource", "WebSocket connection to")


@pytest.fixture(scope="session")
def chromium() -> Iterator[object]:
    """A browser for the whole run, or the reason why these tests are skipped; in CI a missing one fails."""
    if CHROMIUM is None:
        missing = "no Chromium is installed: pages are not tried in a browser (Debian: chromium)"
        if os.environ.get("CI") == "true":
            pytest.fail(missing)
        pytest.skip(missing)
    from playwright.sync_api import sync_playwright  # noqa: PLC0415  loads slowly, and only here

    with sync_playwright() as driver:
        # Debian's own: Playwright's download is not asked for.
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=list(_OPTIONS))
        yield browser
        browser.close()


@pytest.fixture
def tabs(chromium):
    """Opens pages, each in a context of its own as if on its own machine; what a page complains of fails the test."""
    contexts, complaints = [], []

    def opened(address, **options):
        context = chromium.new_context(**{"viewport": SMALL, **options})
        contexts.append(context)
        context.set_default_timeout(WAIT_MS)
        tab = context.new_page()
        tab.on("pageerror", lambda problem: complaints.append(str(problem)))
        tab.on("console", lambda message: complaints.append(message.text) if _is_complaint(message) else None)
        tab.goto(address)
        return tab

    yield opened
    for context in contexts:
        context.close()
    assert complaints == []


def _is_complaint(message):
    # That a request or a line came to nothing, or was answered with a refusal, is what some tests are about.
    return message.type == "error" and not message.text.startswith(_TO_NOTHING)


def violations(tab):
    """What axe-core finds against WCAG 2.2 AA and good practice: rule and elements."""
    tab.evaluate((files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8"))
    return tab.evaluate(_AXE)


class StationTab:
    """A station page, and the person before it."""

    def __init__(self, tabs, port, station, **options):
        self.port, self.station = port, station
        # As a browser that was enrolled; a plant lets it in by `support_web.let_in`.
        kept = {"name": "runout-browser", "value": quote(ENROLLED), "domain": "127.0.0.1", "path": "/"}
        cookie = {**kept, "expires": -1, "httpOnly": True, "secure": False, "sameSite": "Strict"}
        options = {"storage_state": {"cookies": [cookie], "origins": []}, **options}
        self.tab = tabs(f"http://127.0.0.1:{port}/station/{station}", **options)

    def is_open(self):
        """Wait until the station is open in this page."""
        self.tab.wait_for_selector('body[data-phase="open"]')
        return self

    @property
    def number(self):
        return int(self.tab.get_attribute("body", "data-number") or 0)

    def text(self, place):
        return self.tab.inner_text(place)

    def scan(self, *lines):
        """Have a scanner type lines at once, and return the word of the last verdict; `type` presses real keys."""
        for line in lines:
            keys = [*raw(line), "Enter"]
            self.done(lambda keys=keys: self.tab.evaluate(_TYPED, keys))
        return self.text("#word")

    def type(self, line):
        """Type a line key by key."""
        for part in line.partition("\x1d"):
            self.tab.keyboard.press("Control+]") if part == "\x1d" else self.tab.keyboard.type(part)
        self.tab.keyboard.press("Enter")

    def touch(self, *words):
        """Touch buttons of acts or reasons."""
        for word in words:
            button = self.tab.locator(":is(#acts, #others, #reasons) button").filter(
                has=self.tab.get_by_text(word, exact=True)
            )
            if not button.is_visible() and self.tab.is_visible("#other summary"):
                self.tab.click("#other summary")
            self.done(button.click)
        return self.text("#word")

    def key(self, digits):
        """Key a number on the keypad."""
        for digit in digits:
            self.tab.locator(f'[data-digit="{digit}"]').click()
        self.done(self.tab.locator('[data-digit="send"]').click)
        return self.text("#word")

    def write(self, text):
        """Type into the field for texts."""
        self.tab.fill("#letters", text)
        self.done(lambda: self.tab.press("#letters", "Enter"))
        return self.text("#word")

    def done(self, act):
        """Act, and wait until the station has one more scan."""
        before = self.number
        act()
        self.tab.wait_for_selector(f'body[data-ready="{before + 1}"]')
