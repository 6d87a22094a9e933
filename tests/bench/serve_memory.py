"""How much memory the server of pages takes as it books, and how long it takes to start.

Run by hand: python tests/bench/serve_memory.py [SCANS]
A packing line scans SCANS times (100,000) by the open line of its page, as fast as it is answered: disc and sleeve by turns, a
carton closed and the next one opened after each 400. Beside it a second page asks for the board every thousand scans, as a
wall does. Prints the resident memory of the server at 1,000, 10,000 and 100,000 scans.
"""

import http.client
import json
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from websockets.sync.client import connect

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from station_browser import memory_mb, open_server
from support_plant import LINE, PRESS, Floor, carton_sscc, code, gtin, raw, stamper
from support_plantfile import read_plant_file
from support_web import COOKIE, let_in

from tracelink.clock import local_now
from tracelink.ledger.entry import Stamp
from tracelink.store.ledger import utc_now

CARTON = 400
UNDER_WAY = 16
STEPS = (1, 100, 1_000, 3_000, 10_000, 30_000, 100_000, 300_000, 1_000_000)


def main() -> None:
    scans = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder, "bench.db")
        made(place, scans)
        server = open_server(place)
        with server as address:
            port = int(address.rstrip("/").rsplit(":", 1)[1])
            scanned(port, server.program.pid, place, scans)


def made(place: Path, scans: int) -> None:
    """Make a plant with a line that has discs enough on its spindle, and so many sleeves."""
    floor = Floor.new(str(place), carton_size=CARTON)
    floor.at = local_now()
    floor.tools()
    discs, lot, batch = scans // 2 + CARTON, code("L", 90), code("B", 90)
    more = {
        "lot": [{"code": lot, "gtin": gtin(1), "piece": 1, "quantity": discs}],
        "sleeves": [{"code": batch, "gtin": gtin(1), "quantity": discs}],
    }
    with floor.ledger.writing() as booking:
        for body in read_plant_file(more, new_ledger=False):
            booking.record(body, Stamp(floor.at, utc_now()))
    floor.scan(PRESS, "P1", "SETUP", "L90", stamper("EX-101-A"), stamper("EX-101-B"), "C1", "E1", "E2")
    floor.scan(PRESS, "START", '"EX-101-A', '"EX-101-B', "STACK", "K11", f"#{discs}", "STOP", f"#{discs}")
    floor.scan(LINE, "P1", "CLEAR", "P2", "B90", "K11", carton_sscc(1))
    assert all(verdict.finding is None for verdict in floor.verdicts), floor.verdicts
    floor.ledger.close()
    let_in(place)


def lines() -> Iterator[str]:
    """Return what the line scans, one carton after the other."""
    for carton in range(2, 1_000_000):
        for _unit in range(CARTON):
            yield raw("disc 1.1")
            yield raw("sleeve 1")
        yield raw("CLOSE")
        yield raw(carton_sscc(carton))


def scanned(port: int, process: int, place: Path, scans: int) -> None:
    """Scan, and say how much memory the server takes."""
    stand = opened(port)
    began = time.perf_counter()
    headers = {**COOKIE, "Origin": f"http://127.0.0.1:{port}"}
    with connect(f"ws://127.0.0.1:{port}/station/{LINE}/channel", additional_headers=headers) as line:
        sent = 0
        coming = lines()
        for number in range(1, scans + 1):
            # Some are always under way, so that the server never waits for this program.
            while sent < min(scans, number + UNDER_WAY):
                sent += 1
                asked_for = {"of": sent, "token": stand["token"], "number": stand["number"] + sent}
                line.send(json.dumps({**asked_for, "raw": next(coming)}))
            verdict, _beside = json.loads(line.recv(60)), line.recv(60)
            assert verdict["said"]["booked"], verdict
            assert verdict["said"]["verdict"]["word"] != "STOP", verdict
            if number % 1_000 == 0:
                looked_at(port)
            if number in STEPS or number == scans:
                took = time.perf_counter() - began
                size = place.stat().st_size / 1_000_000
                print(
                    f"{number:9,} scans  {memory_mb(process):6.1f} MB  after {took:7.1f} s  ledger {size:6.1f} MB",
                    flush=True,
                )


def opened(port: int) -> dict[str, object]:
    kind = {"Content-Type": "application/json", **COOKIE}
    return dict(json.loads(asked(port, "POST", f"/station/{LINE}/open", b'{"was": ""}', kind)))


def looked_at(port: int) -> None:
    assert b"Board" in asked(port, "GET", "/board/wall", None, dict(COOKIE))


def asked(port: int, method: str, address: str, body: bytes | None, headers: dict[str, str]) -> bytes:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    connection.request(method, address, body, headers)
    answer = connection.getresponse().read()
    connection.close()
    return answer


if __name__ == "__main__":
    main()
