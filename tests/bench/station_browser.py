"""How long a packer waits for a verdict on the screen of a browser, next to a terminal, in the same run.

Run by hand: python tests/bench/station_browser.py [SCANS [EVERY_MS]]
A served ledger, the packing line in one page and in eight pages at once, each in a browser context of its own; the same scans by
the lines of such pages without a browser; and by terminals, one and eight at once. They take turns, SCANS (18; of eight, half)
scans each and one each EVERY_MS (400; of eight, three times that) milliseconds, six times over, so that what else the machine
does falls on all alike. A page takes the time inside the browser, from the Enter of the scan to the moment the page shows the
verdict, and to the next picture drawn after it: the difference is the browser's own drawing. A line alone takes it from the
message sent to the answer, which is the server's part. A terminal takes it from the line to the whole of the screen that is
written for it. What a scan costs in processor time, of the server and of the browser, tells what eight browsers on one machine
wait for: in a plant each has a tablet of its own.
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
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support_browser import _OPTIONS, CHROMIUM
from support_plant import PRESS, Floor, carton_sscc, code, gtin, raw
from support_plantfile import read_plant_file
from support_web import COOKIE, ENROLLED, let_in

from runout import LiveStation, open_ledger
from tracelink.cli.common import screen
from tracelink.clock import local_now
from tracelink.ledger.entry import Stamp
from tracelink.store.ledger import utc_now

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page
    from websockets.sync.client import ClientConnection

LINES, STACK, ROUNDS = 28, 54, 6
"""The plant has two lots of 500 discs, and each line its own spindle: as many scans as twice a stack."""

MEASURE = """async ([lines, every, begin]) => {
  const body = document.body, shown = [], drawn = [];
  await new Promise(done => setTimeout(done, begin));
  for (const line of lines) {
    const next = performance.now() + every;
    const before = body.dataset.number;
    const changed = new Promise(done => {
      const seen = new MutationObserver(() => { if (body.dataset.number !== before) { seen.disconnect(); done(); } });
      seen.observe(body, {attributes: true, attributeFilter: ["data-number"]});
    });
    for (const key of line) document.dispatchEvent(new KeyboardEvent("keydown", {key, bubbles: true}));
    const began = performance.now();
    document.dispatchEvent(new KeyboardEvent("keydown", {key: "Enter", bubbles: true}));
    await changed;
    shown.push(performance.now() - began);
    await new Promise(done => requestAnimationFrame(() => setTimeout(done)));
    drawn.push(performance.now() - began);
    await new Promise(done => setTimeout(done, Math.max(0, next - performance.now())));
  }
  return [shown, drawn, body.dataset.word];
}"""


def main() -> None:
    scans = int(sys.argv[1]) if len(sys.argv) > 1 else 2 * STACK // ROUNDS
    every = int(sys.argv[2]) if len(sys.argv) > 2 else 400
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder, "bench.db")
        lines = made(place)
        with open_server(place) as served:
            compared(place, served, lines[:3], scans, every)
            # Eight screens are drawn on one machine here, as they never are in a plant: they get more time.
            compared(place, served, lines[4:], scans // 4 * 2, 3 * every)


def made(place: Path) -> list[str]:
    """Make a plant with many lines, each with a carton open and a full spindle; return their codes."""
    floor = Floor.new(str(place), carton_size=10_000)
    # The live scans come later by the clock, as they must.
    floor.at = local_now()
    floor.tools()
    lines = [code("W", 100 + number) for number in range(LINES)]
    more = {
        "station": [
            {"code": line, "area": "line", "name": f"line {number}"} for number, line in enumerate(lines)
        ],
        "sleeves": [{"code": code("B", 90), "gtin": gtin(1), "quantity": LINES * STACK}],
    }
    with floor.ledger.writing() as booking:
        for body in read_plant_file(more, new_ledger=False):
            booking.record(body, Stamp(floor.at, utc_now()))
    half = LINES // 2
    for lot in (1, 5):
        floor.press(
            lot, strokes=half * STACK, stacks=half, press=PRESS, first_card=11 if lot == 1 else 11 + half
        )
    for number, line in enumerate(lines):
        floor.scan(line, "P1", "CLEAR", "P2", "B90", f"K{11 + number}", carton_sscc(number + 1))
        assert all(verdict.finding is None for verdict in floor.verdicts[-6:]), floor.verdicts[-6:]
    floor.ledger.close()
    let_in(place)
    return lines


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
    """Return the programs that this one began, and those that they did, without the server: the browser's."""
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


def compared(place: Path, served: tuple[str, int], lines: list[str], scans: int, every: int) -> None:
    """Scan at pages, by their lines alone and at terminals by turns, and report all three."""
    from playwright.sync_api import sync_playwright  # noqa: PLC0415

    (address, server), count = served, len(lines) // 3
    paged, alone, typed = lines[:count], lines[count : 2 * count], lines[2 * count :]
    # People do not scan in step.
    begins = [every * number / len(paged) for number in range(len(paged))]
    shown: list[float] = []
    drawn: list[float] = []
    answered: list[float] = []
    took: list[float] = []
    cost = {"server": 0.0, "browser": 0.0}
    with sync_playwright() as driver, ExitStack() as stack:
        opened = driver.chromium.launch(executable_path=CHROMIUM, args=list(_OPTIONS))
        tabs = [tab_of(opened, address, line) for line in paged]
        # A page is open for a while before the first disc: it is not measured while it starts.
        time.sleep(2)
        ledgers = [stack.enter_context(open_ledger(str(place))) for _line in typed]
        stations = [
            stack.enter_context(ledger.stations.live(line))
            for ledger, line in zip(ledgers, typed, strict=True)
        ]
        open_lines = [LineAlone(stack, address, line) for line in alone]
        browser = begun_here(server)
        for _round in range(ROUNDS):
            before = processor_ms([server]), processor_ms(browser)
            for tab, begin in zip(tabs, begins, strict=True):
                tab.evaluate(
                    "asked => { window.measured = (" + MEASURE + ")(asked) }", [pairs(scans), every, begin]
                )
            for tab in tabs:
                now_shown, now_drawn, word = tab.evaluate("() => window.measured")
                assert word == "MATCH", word
                shown += now_shown
                drawn += now_drawn
            cost["server"] += processor_ms([server]) - before[0]
            cost["browser"] += processor_ms(browser) - before[1]
            at_once(lambda one, begin: by_line(one, scans, every, begin, answered), open_lines, begins)
            at_once(lambda one, begin: at_terminal(one, scans, every, begin, took), stations, begins)
        opened.close()
    report(f"{len(paged)} page(s), shown", shown)
    report(f"{len(paged)} page(s), drawn", drawn)
    report("of that the drawing", [whole - part for part, whole in zip(shown, drawn, strict=True)])
    report(f"{len(alone)} line(s) alone", answered)
    report(f"{len(typed)} terminal(s)", took)
    for name, times in (("shown", shown), ("line alone", answered)):
        print(f"{f'{name} after terminal':22} 99th {percentile(times, 99) - percentile(took, 99):+.1f} ms")
    for name, total in cost.items():
        print(f"{f'processor, {name}':22} {total / len(shown):6.1f} ms a scan", flush=True)


def at_once(work: Callable[[Any, float], None], places: Sequence[Any], begins: list[float]) -> None:
    """Let people work at several places at once."""
    running = [threading.Thread(target=work, args=each) for each in zip(places, begins, strict=True)]
    for one in running:
        one.start()
    for one in running:
        one.join()


def tab_of(opened: "Browser", address: str, line: str) -> "Page":
    context = opened.new_context()
    context.add_cookies([{"name": "runout-browser", "value": quote(ENROLLED), "url": address}])
    tab = context.new_page()
    tab.goto(f"{address}station/{line}")
    tab.wait_for_selector('body[data-phase="open"]')
    return tab


class LineAlone:
    """The line of a station page, without the page."""

    def __init__(self, stack: ExitStack, address: str, station: str) -> None:
        from websockets.sync.client import connect  # noqa: PLC0415

        self.host, self.station = address.split("/")[2], station
        self.token, self.number = "", 0
        line = connect(
            f"ws://{self.host}/station/{station}/channel", additional_headers=COOKIE, compression=None
        )
        self.line: ClientConnection = stack.enter_context(line)

    def open(self) -> None:
        """Open the station: a page that is not heard for a while has it no more."""
        asked = http.client.HTTPConnection(self.host, timeout=30)
        fields = {**COOKIE, "Content-Type": "application/json"}
        asked.request("POST", f"/station/{self.station}/open", json.dumps({"was": self.token}), fields)
        said = json.loads(asked.getresponse().read())
        asked.close()
        self.token, self.number = said["token"], said["number"]


def by_line(here: LineAlone, scans: int, every: int, begin: float, answered: list[float]) -> None:
    here.open()
    time.sleep(begin / 1000)
    for scan in pairs(scans):
        began = time.perf_counter()
        here.number += 1
        here.line.send(
            json.dumps({"of": here.number, "token": here.token, "number": here.number, "raw": scan})
        )
        said = json.loads(here.line.recv(timeout=30))
        answered.append(1000 * (time.perf_counter() - began))
        assert said["said"]["booked"], said
        here.line.recv(timeout=30)
        time.sleep(max(0.0, every / 1000 - (time.perf_counter() - began)))


def at_terminal(here: LiveStation, scans: int, every: int, begin: float, took: list[float]) -> None:
    out = io.StringIO()
    time.sleep(begin / 1000)
    for scan in pairs(scans):
        began = time.perf_counter()
        verdict = here.scan(scan)
        screen.show(verdict, out)
        took.append(1000 * (time.perf_counter() - began))
        time.sleep(max(0.0, every / 1000 - (time.perf_counter() - began)))


def percentile(times: list[float], part: int) -> float:
    """Return the time that so many of a hundred keep (nearest rank)."""
    return sorted(times)[math.ceil(len(times) * part / 100) - 1]


def report(name: str, times: list[float]) -> None:
    print(
        f"{name:22} {len(times):6,} scans  median {percentile(times, 50):6.1f} ms  99th {percentile(times, 99):6.1f} ms  "
        f"most {max(times):6.1f} ms",
        flush=True,
    )


if __name__ == "__main__":
    main()
