"""How long a packer waits for a verdict on the screen of a browser, next to a terminal, in the same run.

Run by hand: python tests/bench/station_browser.py [ROUNDS]
A served ledger, and the same scans of a packing line at it: by terminals; by the lines of pages without a browser (plain
WebSocket clients); by pages in Chromium; each at one place and at eight at once. Eight Chromium pages on one machine are the work
of eight tablets, so there is also one page among seven lines without a browser. They take turns, ROUNDS (4) times over, so
that what else the machine does falls on all alike; the load is printed. Each turn begins with a pair of scans that is not
counted: a page has just been opened then, and is not a second later.

What is timed begins with the Enter of the scan, inside the page, and ends at
  laid out    the verdict stands in the document, and its style and layout are worked out
  presented   the picture that has it is handed to the screen: the time that Chromium itself gives for it (Element Timing, of
              a dot that is put into the page with the verdict; told in steps of 4 ms)
A screen of 60 pictures a second alone lets a verdict wait for up to 16.7 ms, 8.3 in the mean, so pages are measured with that
limit and with none. A line alone takes it from the message sent to the answer, which is the server's part. A terminal takes it
from the line to the whole of the screen that is written for it. Without a screen Chromium paints by the processor: on a tablet
that is the work of another chip.

A bare page is the least that a browser can do, for comparison in the same run: it sends the line as a message to a program that
answers at once and knows nothing, and sets one word when the answer is there. What a station page takes beyond a terminal
and a bare page together is our own.
"""

import http.client
import io
import json
import math
import os
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support_browser import _OPTIONS, CHROMIUM, SMALL
from support_plant import MATRICES, PRESS, Floor, carton_sscc, code, gtin, raw, stamper
from support_plantfile import read_plant_file
from support_web import COOKIE, ENROLLED, let_in

from runout import LiveStation, open_ledger
from tracelink.cli.common import screen
from tracelink.clock import local_now
from tracelink.ledger.entry import Stamp
from tracelink.store.ledger import utc_now

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Playwright
    from websockets.sync.client import ClientConnection

ROUNDS = 4
STACK, STACKS = 32, 16
"""Discs on a spindle, spindles of a lot. Each line has a spindle of its own, of which two scans take a disc."""
ONE, EIGHT = (60, 200), (14, 1000)
"""Scans a turn, and milliseconds from one to the next, at one place and at each of eight."""
FREE = ("--disable-frame-rate-limit", "--disable-gpu-vsync")
"""A browser that draws as soon as there is something to draw."""

MEASURE = """async ([lines, every, begin]) => {
  const body = document.body, laid = [], presented = [], painted = new Map();
  const told = new PerformanceObserver(list => list.getEntries().forEach(one => painted.set(one.identifier, one.renderTime)));
  told.observe({type: "element"});
  await new Promise(done => setTimeout(done, begin));
  for (const [place, line] of lines.entries()) {
    const next = performance.now() + every, before = body.dataset.number, dot = document.createElement("p");
    dot.setAttribute("elementtiming", `scan ${place}`);
    dot.textContent = ".";
    Object.assign(dot.style, {position: "fixed", left: "2px", top: "2px", margin: 0});
    const changed = new Promise(done => {
      const seen = new MutationObserver(() => {
        if (body.dataset.number === before) return;
        seen.disconnect();
        document.getElementById("first").getBoundingClientRect();
        laid.push(performance.now() - began);
        body.append(dot);
        done();
      });
      seen.observe(body, {attributes: true, attributeFilter: ["data-number"]});
    });
    for (const key of line) document.dispatchEvent(new KeyboardEvent("keydown", {key, bubbles: true}));
    const began = performance.now();
    document.dispatchEvent(new KeyboardEvent("keydown", {key: "Enter", bubbles: true}));
    await changed;
    for (let tries = 0; !painted.has(dot.getAttribute("elementtiming")); tries += 1) {
      if (tries > 500) throw new Error("no picture of a verdict was presented");
      await new Promise(done => setTimeout(done, 10));
    }
    presented.push(painted.get(dot.getAttribute("elementtiming")) - began);
    dot.remove();
    await new Promise(done => setTimeout(done, Math.max(0, next - performance.now())));
  }
  told.disconnect();
  return [laid, presented, body.dataset.word];
}"""

BARE = """<!DOCTYPE html><title>bare</title><body><p id="first">WAIT</p><script>
  const line = new WebSocket("ws://127.0.0.1:%d/"), first = document.getElementById("first");
  let typed = "";
  line.onopen = () => { document.body.dataset.phase = "open"; };
  line.onmessage = event => {
    const said = JSON.parse(event.data);
    first.textContent = said.word;
    document.body.dataset.word = said.word;
    document.body.dataset.number = said.number;
  };
  document.addEventListener("keydown", event => {
    if (event.key !== "Enter") typed += event.key;
    else { line.send(typed); typed = ""; }
  });
</script>"""
ANSWERS = """
import itertools, json
from websockets.sync.server import serve
def answer(line):
    for number, _raw in zip(itertools.count(1), line):
        line.send(json.dumps({"word": "MATCH", "number": number}))
with serve(answer, "127.0.0.1", 0, compression=None) as server:
    print(server.socket.getsockname()[1], flush=True)
    server.serve_forever()
"""


def main() -> None:
    from playwright.sync_api import sync_playwright  # noqa: PLC0415

    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    print(f"load at the start: {_load()}")
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder, "bench.db")
        codes = iter(made(place, 4 * rounds + 6 * 8))
        with open_server(place) as served, ExitStack() as stack:
            driver = stack.enter_context(sync_playwright())
            limited, free = _browser(stack, driver, ()), _browser(stack, driver, FREE)
            there = There(place, *served, codes, stack.enter_context(answering()))
            one = [
                Setup("1 terminal", there, terminals=1),
                Setup("1 line alone", there, lines=1),
                Setup("1 page", there, limited, pages=1),
                Setup("1 page, no frame limit", there, free, pages=1),
                Setup("1 bare page", there, limited, bare=1),
                Setup("1 bare page, no frame limit", there, free, bare=1),
            ]
            eight = [
                Setup("8 terminals", there, terminals=8),
                Setup("8 lines alone", there, lines=8),
                Setup("8 pages", there, limited, pages=8),
                Setup("8 pages, no frame limit", there, free, pages=8),
                Setup("8 bare pages", there, limited, bare=8),
                Setup("8 bare pages, no frame limit", there, free, bare=8),
                Setup("1 page of 8", there, limited, pages=1, lines=7),
                Setup("1 page of 8, no frame limit", there, free, pages=1, lines=7),
            ]
            for setups, (scans, every) in ((one, ONE), (eight, EIGHT)):
                for number in range(rounds):
                    for each in setups:
                        each.turn(scans, every, is_new=number == 0 or setups is one)
                report(setups)
    print(f"load at the end: {_load()}")


def _load() -> str:
    return ", ".join(f"{each:.1f}" for each in os.getloadavg())


def made(place: Path, count: int) -> list[str]:
    """Make a plant with so many lines, each with a carton open and a full spindle; return their codes."""
    floor = Floor.new(str(place), carton_size=10_000)
    # The live scans come later by the clock, as they must.
    floor.at = local_now()
    floor.tools()
    lines = [code("W", 100 + number) for number in range(count)]
    lots = [90 + number for number in range(-(-count // STACKS))]
    more = {
        "station": [
            {"code": line, "area": "line", "name": f"line {number}"} for number, line in enumerate(lines)
        ],
        "lot": [
            {"code": code("L", lot), "gtin": gtin(1), "piece": 1, "quantity": STACKS * STACK} for lot in lots
        ],
        "sleeves": [{"code": code("B", 90), "gtin": gtin(1), "quantity": count * STACK}],
    }
    with floor.ledger.writing() as booking:
        for body in read_plant_file(more, new_ledger=False):
            booking.record(body, Stamp(floor.at, utc_now()))
    for place_of_lot, lot in enumerate(lots):
        pressed(floor, lot, 100 + place_of_lot * STACKS)
    for number, line in enumerate(lines):
        floor.scan(line, "P1", "CLEAR", "P2", "B90", f"K{100 + number}", carton_sscc(number + 1))
        assert all(verdict.finding is None for verdict in floor.verdicts[-6:]), floor.verdicts[-6:]
    floor.ledger.close()
    let_in(place)
    return lines


def pressed(floor: Floor, lot: int, card: int) -> None:
    """Press a lot onto full spindles."""
    a, b = MATRICES[:2]
    floor.scan(
        PRESS, "P1", "SETUP", f"L{lot}", stamper(a), stamper(b), "C1", "E1", "E2", "START", f'"{a}', f'"{b}'
    )
    for place in range(1, STACKS + 1):
        floor.scan(PRESS, "STACK", f"K{card + place - 1}", f"#{place * STACK}")
    floor.scan(PRESS, "STOP", f"#{STACKS * STACK}")


class open_server:  # noqa: N801  used like a function
    """`runout serve` as a program of its own."""

    def __init__(self, place: Path) -> None:
        python = [sys.executable, "-c", "from tracelink.cli import main; main()"]
        began = time.perf_counter()
        self.program = subprocess.Popen(
            [*python, "--ledger", str(place), "serve", "--port", "0"], stdout=subprocess.PIPE, text=True
        )
        self.address = self.program.stdout.readline().split()[1]
        print(f"server ready after {time.perf_counter() - began:.2f} s")

    def __enter__(self) -> tuple[str, int]:
        return self.address, self.program.pid

    def __exit__(self, *_problem: object) -> None:
        print(f"memory of the server at the end: {memory_mb(self.program.pid):.0f} MB")
        self.program.terminate()
        self.program.wait(timeout=30)


@contextmanager
def answering() -> Iterator[int]:
    """A program that answers every message at once; gives its port."""
    program = subprocess.Popen([sys.executable, "-c", ANSWERS], stdout=subprocess.PIPE, text=True)
    try:
        yield int(program.stdout.readline())
    finally:
        program.terminate()
        program.wait(timeout=30)


def memory_mb(process: int) -> float:
    status = Path(f"/proc/{process}/status").read_text(encoding="utf-8")
    return int(status.split("VmRSS:")[1].split()[0]) / 1024


def pairs(scans: int) -> list[str]:
    return [raw(("disc 1.1", "sleeve 1")[number % 2]) for number in range(scans)]


def processor_ms(programs: list[int]) -> float:
    """Return what programs took of the processor so far; one that has ended took nothing."""
    ticks = 0
    for program in programs:
        try:
            fields = Path(f"/proc/{program}/stat").read_text(encoding="utf-8").rsplit(")", 1)[1].split()
        except FileNotFoundError:
            continue
        ticks += int(fields[11]) + int(fields[12])
    return 1000 * ticks / os.sysconf("SC_CLK_TCK")


def begun_here(server: int) -> list[int]:
    """Return the programs that this one began, and those that they did, without the server: those of the browsers."""
    parents = {}
    for status in Path("/proc").glob("[0-9]*/stat"):
        try:
            parents[int(status.parent.name)] = int(
                status.read_text(encoding="utf-8").rsplit(")", 1)[1].split()[1]
            )
        except FileNotFoundError:
            continue
    found = [os.getpid()]
    for parent in found:
        found += [child for child, of in parents.items() if of == parent and child != server]
    return found[1:]


@dataclass(frozen=True)
class There:
    """The served ledger, and its lines at which nobody scanned yet."""

    place: Path
    address: str
    server: int
    codes: Iterator[str]
    answers: int
    """Port of the program that answers bare pages."""


class Setup:
    """Places at which people scan at once, and how long they waited."""

    def __init__(
        self,
        name: str,
        there: There,
        browser: "Browser | None" = None,
        *,
        pages: int = 0,
        lines: int = 0,
        terminals: int = 0,
        bare: int = 0,
    ) -> None:
        self.name, self._there, self._browser = name, there, browser
        self._count = pages, lines, terminals, bare
        self._tabs: list[Tab] = []
        self._by_hand: list[LineAlone | Terminal] = []
        self.times: dict[str, list[float]] = {}
        self.cost = {"server": 0.0, "browser": 0.0}
        self.scans = 0

    def turn(self, scans: int, every: int, *, is_new: bool) -> None:
        """Scan at all places, a pair that is not counted first.

        Args:
            scans: at each place.
            every: milliseconds from one to the next.
            is_new: go to lines at which nobody scanned yet.
        """
        if is_new:
            self._go_on()
        server = self._there.server
        with ExitStack() as stack:
            for each in (*self._tabs, *self._by_hand):
                each.open(stack)
            if self._tabs:
                # What a browser does when a page was opened is not what is measured.
                time.sleep(2)
            self._scanned(2, every, {})
            browser = begun_here(server)
            before = processor_ms([server]), processor_ms(browser)
            self._scanned(scans, every, self.times)
            self.cost["server"] += processor_ms([server]) - before[0]
            self.cost["browser"] += processor_ms(browser) - before[1]
            self.scans += scans * len((*self._tabs, *self._by_hand))

    def _go_on(self) -> None:
        (pages, lines, terminals, bare), there = self._count, self._there
        self._tabs = [
            *(Tab(self._browser, there.address, next(there.codes)) for _ in range(pages)),
            *(BareTab(self._browser, there.answers) for _ in range(bare)),
        ]
        self._by_hand = [
            *(LineAlone(there.address, next(there.codes)) for _ in range(lines)),
            *(Terminal(there.place, next(there.codes)) for _ in range(terminals)),
        ]

    def _scanned(self, scans: int, every: int, times: dict[str, list[float]]) -> None:
        count = len(self._tabs) + len(self._by_hand)
        # People do not scan in step.
        begins = [every * place / count for place in range(count)]
        for tab, begin in zip(self._tabs, begins, strict=False):
            tab.begin(pairs(scans), every, begin)
        running = [
            threading.Thread(target=here.scan, args=(pairs(scans), every, begin, times))
            for here, begin in zip(self._by_hand, begins[len(self._tabs) :], strict=True)
        ]
        for one in running:
            one.start()
        for tab in self._tabs:
            tab.end(times)
        for one in running:
            one.join()


class Tab:
    """A station page in Chromium."""

    def __init__(self, browser: "Browser | None", address: str, station: str) -> None:
        assert browser is not None
        self._browser, self._address, self._station = browser, address, station

    def open(self, stack: ExitStack) -> None:
        """Open the page; it is closed when its turn ends, so that it asks for nothing in those of others."""
        context = self._browser.new_context(viewport=SMALL)
        stack.callback(context.close)
        context.add_cookies([{"name": "runout-browser", "value": quote(ENROLLED), "url": self._address}])
        self._tab = context.new_page()
        self._tab.goto(f"{self._address}station/{self._station}")
        self._tab.wait_for_selector('body[data-phase="open"]')

    def begin(self, scans: list[str], every: int, begin: float) -> None:
        """Begin to scan in the page, and do not wait."""
        self._tab.evaluate("asked => { window.measured = (" + MEASURE + ")(asked) }", [scans, every, begin])

    def end(self, times: dict[str, list[float]]) -> None:
        """Wait for the last verdict."""
        laid, presented, word = self._tab.evaluate("() => window.measured")
        assert word == "MATCH", word
        times.setdefault("laid out", []).extend(laid)
        times.setdefault("presented", []).extend(presented)


class BareTab(Tab):
    """A page that sends a line and sets a word, and nothing else."""

    def __init__(self, browser: "Browser | None", port: int) -> None:
        super().__init__(browser, "", "")
        self._port = port

    def open(self, stack: ExitStack) -> None:
        """Open the page; it is closed when its turn ends."""
        context = self._browser.new_context(viewport=SMALL)
        stack.callback(context.close)
        self._tab = context.new_page()
        self._tab.set_content(BARE % self._port)
        self._tab.wait_for_selector('body[data-phase="open"]')


class LineAlone:
    """The line of a station page, without the page."""

    def __init__(self, address: str, station: str) -> None:
        self._host, self._station = address.split("/")[2], station
        self._token, self._number = "", 0

    def open(self, stack: ExitStack) -> None:
        """Open the station: a page that is not heard for a while has it no more."""
        from websockets.sync.client import connect  # noqa: PLC0415

        asked = http.client.HTTPConnection(self._host, timeout=30)
        fields = {**COOKIE, "Content-Type": "application/json"}
        asked.request("POST", f"/station/{self._station}/open", json.dumps({"was": self._token}), fields)
        said = json.loads(asked.getresponse().read())
        asked.close()
        self._token, self._number = said["token"], said["number"]
        line = connect(
            f"ws://{self._host}/station/{self._station}/channel", additional_headers=COOKIE, compression=None
        )
        self._line: ClientConnection = stack.enter_context(line)

    def scan(self, scans: list[str], every: int, begin: float, times: dict[str, list[float]]) -> None:
        """Send scans, and take the time of each answer."""
        time.sleep(begin / 1000)
        for scan in scans:
            began = time.perf_counter()
            self._number += 1
            sent = {"of": self._number, "token": self._token, "number": self._number, "raw": scan}
            self._line.send(json.dumps(sent))
            said = json.loads(self._line.recv(timeout=30))
            times.setdefault("answer", []).append(1000 * (time.perf_counter() - began))
            assert said["said"]["booked"], said
            assert "beside" in json.loads(self._line.recv(timeout=30))
            time.sleep(max(0.0, every / 1000 - (time.perf_counter() - began)))


class Terminal:
    """A station in a terminal."""

    def __init__(self, place: Path, station: str) -> None:
        self._place, self._station = place, station

    def open(self, stack: ExitStack) -> None:
        """Open the ledger, and the station in it."""
        ledger = stack.enter_context(open_ledger(str(self._place)))
        self._live: LiveStation = stack.enter_context(ledger.stations.live(self._station))

    def scan(self, scans: list[str], every: int, begin: float, times: dict[str, list[float]]) -> None:
        """Scan, and take the time until the screen is written."""
        out = io.StringIO()
        time.sleep(begin / 1000)
        for scan in scans:
            began = time.perf_counter()
            screen.show(self._live.scan(scan), out)
            times.setdefault("screen", []).append(1000 * (time.perf_counter() - began))
            time.sleep(max(0.0, every / 1000 - (time.perf_counter() - began)))


def _browser(stack: ExitStack, driver: "Playwright", options: tuple[str, ...]) -> "Browser":
    opened = driver.chromium.launch(executable_path=CHROMIUM, args=[*_OPTIONS, *options])
    stack.callback(opened.close)
    return opened


def percentile(times: list[float], part: int) -> float:
    """Return the time that so many of a hundred keep (nearest rank)."""
    return sorted(times)[math.ceil(len(times) * part / 100) - 1]


def report(setups: list[Setup]) -> None:
    """Print a row for each kind of time, next to the terminals of the same turns."""
    terminal = percentile(setups[0].times["screen"], 99)
    print(f"{'':42}{'scans':>6}{'median':>8}{'99th':>8}{'most':>8}{'99th after terminal':>21}")
    for each in setups:
        for what, times in each.times.items():
            numbers = f"{percentile(times, 50):8.1f}{percentile(times, 99):8.1f}{max(times):8.1f}"
            after = percentile(times, 99) - terminal
            print(f"{f'{each.name}: {what}':42}{len(times):6,}{numbers}{after:+21.1f} ms")
    for each in setups[1:]:
        parts = (f"{what} {total / each.scans:.1f}" for what, total in each.cost.items())
        print(f"{each.name}: processor ms a scan: {', '.join(parts)}", flush=True)


if __name__ == "__main__":
    main()
