"""A browser without a screen: it keeps cookies, follows nothing by itself, and fills in the forms of pages."""

import hashlib
import http.client
import re
import threading
import time
from contextlib import contextmanager
from html import unescape
from urllib.parse import quote, urlencode

import uvicorn
from support_plant import Floor, n

from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.admission.browser_entries import BrowserEnrolled
from tracelink.store.ledger import Ledger, utc_now
from tracelink.web.app import make_app
from tracelink.web.entrance.entrance import Reached

ENROLLED = "a secret that only the browsers of these tests have"
COOKIE = {"Cookie": f"runout-browser={quote(ENROLLED)}"}
"""What a browser of these tests sends once its plant lets it in."""
FORM = "application/x-www-form-urlencoded"


def let_in(place):
    """Enrol the browsers of these tests for every station of a plant."""
    digest = hashlib.sha256(quote(ENROLLED).encode()).hexdigest()
    with Ledger.open(str(place)) as ledger, ledger.writing() as booking:
        stamp = Stamp("2031-03-03T05:00:00+01:00", utc_now(), person=n("P1"))
        booking.record(BrowserEnrolled("browsers of tests", None, digest), stamp, "to be tried")
    return place


def pressed(folder):
    """A plant in a file that lets them in: lot 1 is pressed on spindles 11 and 12, lot 2 is planned."""
    floor = Floor.copy()
    floor.press(1)
    file = floor.saved(folder / "plant.db")
    floor.ledger.close()
    return let_in(file)


@contextmanager
def served(place, tell_fault=str, reached=Reached(), at=0):  # noqa: B008  frozen
    """The pages of a ledger at a port of this machine, any that is free unless said."""
    with served_app(make_app(str(place), tell_fault, reached), at) as number:
        yield number


@contextmanager
def served_floor(floor, file):
    """The pages of a floor that is put into a file: the file, and a browser that it lets in."""
    place = let_in(floor.saved(file))
    floor.ledger.close()
    with served(place) as port:
        yield place, Browser(port)


@contextmanager
def served_app(app, at=0):
    """An application at a port of this machine."""
    config = uvicorn.Config(app, port=at, log_level="error", timeout_graceful_shutdown=0, proxy_headers=False)
    server = uvicorn.Server(config)
    running = threading.Thread(target=server.run)
    running.start()
    try:
        while not server.started:
            assert running.is_alive()
            time.sleep(0.01)
        yield server.servers[0].sockets[0].getsockname()[1]
    finally:
        server.should_exit = True
        running.join()


class Browser:
    """One browser at one server."""

    def __init__(self, port):
        self.port = port
        self.origin = f"http://127.0.0.1:{port}"
        self.cookies = {}

    def get(self, address, **headers):
        return self._asked("GET", address, None, headers)

    def post(self, address, fields, **headers):
        """Send a form as a browser does; a header that is None is left out."""
        body = fields if isinstance(fields, bytes) else urlencode(fields).encode()
        sent = {"Origin": self.origin, "Content-Type": FORM, **headers}
        return self._asked("POST", address, body, sent)

    def fill(self, address, **fields):
        """Open the page of a form, fill it in and send it; a field that is None is taken out."""
        return self.send(address.partition("?")[0], {**self.fields(address), **fields})

    def send(self, address, fields):
        return self.post(address, {name: value for name, value in fields.items() if value is not None})

    def fields(self, address):
        """What a browser would send of a form as it was opened."""
        return fields_on(self.get(address).page)

    def sign_in(self, badge, pin):
        return self.post("/sign-in", {"badge": badge, "pin": pin})

    def follow(self, answer):
        assert answer.status in (303, 307), answer.page
        return self.get(answer.headers["location"])

    def _asked(self, method, address, body, headers):
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        sent = {name.replace("_", "-"): value for name, value in headers.items() if value is not None}
        if self.cookies:
            sent["Cookie"] = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        connection.request(method, address, body, sent)
        answer = connection.getresponse()
        content = answer.read()
        connection.close()
        for cookie in answer.headers.get_all("set-cookie") or ():
            name, value = cookie.split(";")[0].split("=", 1)
            if value.strip('"'):
                self.cookies[name] = value
            else:
                self.cookies.pop(name, None)
        return Answer(answer.status, content, dict(answer.getheaders()), answer.headers.get_all("set-cookie"))


class Answer:
    """What a server answered."""

    def __init__(self, status, content, headers, cookies):
        self.status, self.content, self.headers, self.cookies = status, content, headers, cookies or []

    @property
    def page(self):
        return self.content.decode()

    @property
    def problem(self):
        """The sentence of a form that was not carried out."""
        found = re.search(r'<p id="problem"[^>]*>(.*?)</p>', self.page, re.DOTALL)
        return "" if found is None else " ".join(unescape(re.sub(r"<[^>]+>", "", found[1])).split())


def fields_on(page):
    """Names and values of the form on a page that is no search and no badge-out."""
    form = next(
        each for each in re.findall(r"<form.*?</form>", page, re.DOTALL) if '"act"' in each.split(">")[0]
    )
    found = {}
    for tag in re.findall(r"<input[^>]*>", form):
        given = dict(re.findall(r'(\w+)="([^"]*)"', tag))
        if given.get("type") in ("checkbox", "radio") and " checked" not in tag:
            continue
        found[given["name"]] = unescape(given.get("value", ""))
    for name, text in re.findall(r'<textarea[^>]*name="(\w+)"[^>]*>(.*?)</textarea>', form, re.DOTALL):
        found[name] = unescape(text)
    for name, options in re.findall(r'<select[^>]*name="(\w+)"[^>]*>(.*?)</select>', form, re.DOTALL):
        chosen = re.search(r'value="([^"]*)" selected', options)
        found[name] = unescape(chosen[1]) if chosen else ""
    return found
