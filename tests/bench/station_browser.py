"""How long a packer waits for a verdict on the screen of a browser, next to a terminal, in the same run.

Run by hand: python tests/bench/station_browser.py [SCANS [EVERY_MS]]
A served ledger, the packing line in one page and in eight pages at once, each in a browser context of its own; and terminals
with the same scans, one and eight at once. Pages and terminals take turns, SCANS (18; of eight, half) scans each and one each
EVERY_MS (400; of eight, three times that) milliseconds, six times over, so that what else the machine does falls on both alike. A page takes the time inside the
browser, from the Enter of the scan to the moment the page shows the verdict, and to the next picture drawn after it: the
difference is the browser's own drawing. A terminal takes it from the line to the whole of the screen that is written for it.
"""

import io
import math
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support_browser import _OPTIONS, CHROMIUM
from support_plant import PRESS, Floor, carton_sscc, code, gtin, raw
from support_plantfile import read_plant_file
from support_web import ENROLLED, let_in

from runout import LiveStation, open_ledger
from tracelink.cli.common import screen
from tracelink.clock import local_now
from tracelink.ledger.entry import Stamp
from tracelink.store.ledger import utc_now

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

LINES, STACK, ROUNDS = 18, 54, 6
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
        with open_server(place) as address:
            compared(place, address, lines[:2], scans, every)
            # Eight screens are drawn on one machine here, as they never are in a plant: they get more time.
            compared(place, address, lines[2:], scans // 4 * 2, 3 * every)


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

    def __enter__(self) -> str:
        return self.address

    def __exit__(self, *_problem: object) -> None:
        print(f"memory of the server at the end: {memory_mb(self.program.pid):.0f} MB")
        self.program.terminate()
        self.program.wait(timeout=30)


def memory_mb(process: int) -> float:
    status = Path(f"/proc/{process}/status").read_text(encoding="utf-8")
    return int(status.split("VmRSS:")[1].split()[0]) / 1024


def pairs(scans: int) -> list[str]:
    return [raw(("disc 1.1", "sleeve 1")[number % 2]) for number in range(scans)]


def compared(place: Path, address: str, lines: list[str], scans: int, every: int) -> None:
    """Scan at pages and at terminals by turns, and report both."""
    from playwright.sync_api import sync_playwright  # noqa: PLC0415

    paged, typed = lines[: len(lines) // 2], lines[len(lines) // 2 :]
    # People do not scan in step.
    begins = [every * number / len(paged) for number in range(len(paged))]
    shown: list[float] = []
    drawn: list[float] = []
    took: list[float] = []
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
        for _round in range(ROUNDS):
            for tab in tabs:
                tab.evaluate("asked => { window.measured = (" + MEASURE + ")(asked) }", [pairs(scans), every])
            for tab in tabs:
                now_shown, now_drawn, word = tab.evaluate("() => window.measured")
                assert word == "MATCH", word
                shown += now_shown
                drawn += now_drawn
            running = [
                threading.Thread(target=at_terminal, args=(one, scans, every, begin, took))
                for one, begin in zip(stations, begins, strict=True)
            ]
            for one in running:
                one.start()
            for one in running:
                one.join()
        opened.close()
    report(f"{len(paged)} page(s), shown", shown)
    report(f"{len(paged)} page(s), drawn", drawn)
    report("of that the drawing", [whole - part for part, whole in zip(shown, drawn, strict=True)])
    report(f"{len(typed)} terminal(s)", took)
    print(
        f"{'shown after terminal':22} 99th {percentile(shown, 99) - percentile(took, 99):+.1f} ms", flush=True
    )


def tab_of(opened: "Browser", address: str, line: str) -> "Page":
    context = opened.new_context()
    context.add_cookies([{"name": "runout-browser", "value": quote(ENROLLED), "url": address}])
    tab = context.new_page()
    tab.goto(f"{address}station/{line}")
    tab.wait_for_selector('body[data-phase="open"]')
    return tab


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
