"""How long a packer waits for a verdict on the screen of a browser, next to a terminal, in the same run.

Run by hand: python tests/bench/station_browser.py [SCANS [EVERY_MS]]
A served ledger, the packing line in one page and then in eight pages at once, each in a browser context of its own; and
a terminal with the same scans, one and eight at once. A page takes the time inside the browser, from the Enter of the
scan to the moment the page shows the verdict, and to the next picture drawn after it; a terminal from the line to the
whole of the screen that is written for it. Every page scans SCANS times (50, at most 54), one each EVERY_MS (400) milliseconds.
"""

import io
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path
from urllib.parse import quote

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support_browser import _OPTIONS, CHROMIUM
from support_plant import PRESS, Floor, carton_sscc, code, gtin, raw
from support_plantfile import read_plant_file
from support_web import ENROLLED, let_in

from runout import open_ledger
from tracelink.cli.common import screen
from tracelink.clock import local_now
from tracelink.ledger.entry import Stamp
from tracelink.store.ledger import utc_now

LINES, STACK = 18, 27
"""The plant has lots of 500 discs, and each line its own spindle: as many scans as twice a stack."""

MEASURE = """async ([lines, every]) => {
  const body = document.body, shown = [], drawn = [];
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
    scans = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    every = int(sys.argv[2]) if len(sys.argv) > 2 else 400
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder, "bench.db")
        lines = made(place)
        with open_server(place) as address:
            browser(address, lines[:1], scans, every)
            terminal(place, lines[1:2], scans, every)
            browser(address, lines[2:10], scans, every)
            terminal(place, lines[10:], scans, every)


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
    floor.press(1, strokes=LINES * STACK, stacks=LINES, press=PRESS)
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


def browser(address: str, lines: list[str], scans: int, every: int) -> None:
    from playwright.sync_api import sync_playwright  # noqa: PLC0415

    with sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=CHROMIUM, args=list(_OPTIONS))
        tabs = []
        for line in lines:
            context = opened.new_context()
            kept = {"name": "runout-browser", "value": quote(ENROLLED), "url": address}
            context.add_cookies([kept])
            tab = context.new_page()
            tab.goto(f"{address}station/{line}")
            tab.wait_for_selector('body[data-phase="open"]')
            tabs.append(tab)
        for tab in tabs:
            tab.evaluate("asked => { window.measured = (" + MEASURE + ")(asked) }", [pairs(scans), every])
        found = [tab.evaluate("() => window.measured") for tab in tabs]
        opened.close()
    words = [word for _shown, _drawn, word in found]
    assert {*words} == {"MATCH"}, words
    report(f"{len(lines)} page(s), shown", [ms for shown, _drawn, _word in found for ms in shown])
    report(f"{len(lines)} page(s), drawn", [ms for _shown, drawn, _word in found for ms in drawn])


def terminal(place: Path, lines: list[str], scans: int, every: int) -> None:
    took: list[float] = []
    running = [threading.Thread(target=at_terminal, args=(place, line, scans, every, took)) for line in lines]
    for one in running:
        one.start()
    for one in running:
        one.join()
    report(f"{len(lines)} terminal(s)", took)


def at_terminal(place: Path, line: str, scans: int, every: int, took: list[float]) -> None:
    out = io.StringIO()
    with open_ledger(str(place)) as ledger, ledger.stations.live(line) as here:
        for scan in pairs(scans):
            began = time.perf_counter()
            verdict = here.scan(scan)
            screen.show(verdict, out)
            took.append(1000 * (time.perf_counter() - began))
            time.sleep(max(0.0, every / 1000 - (time.perf_counter() - began)))


def report(name: str, times: list[float]) -> None:
    cut = statistics.quantiles(times, n=100)
    print(
        f"{name:22} {len(times):6,} scans  median {statistics.median(times):6.1f} ms  99th {cut[98]:6.1f} ms",
        flush=True,
    )


if __name__ == "__main__":
    main()
