"""The server of pages killed between a scan and its verdict, on both engines: nothing acknowledged is lost, nothing is booked twice.

A few times unless said otherwise: `RUNOUT_CAMPAIGN=50 python -m pytest -s tests/faults/test_killed_pages.py` does it 200 times,
and says how many kills fell before the booking, between the booking and its answer, and after the answer. Where they fall is
steered: a kill that came after the answer makes the next ones earlier, one that came before makes them later.
"""

import contextlib
import http.client
import json
import random
import threading
import time
from collections import Counter
from contextlib import nullcontext

import pytest
from support_campaign import tries
from support_killed import ENGINES
from support_killed_server import KilledServer
from support_plant import LINE, Floor, raw
from support_web import COOKIE, let_in
from websockets.exceptions import ConnectionClosed
from websockets.sync.client import connect

from runout import copy_ledger, open_ledger

KILLS = tries(4)


class Page:
    """A page that opens its station anew whenever the server is gone."""

    def __init__(self, server):
        self.server, self.token, self.number = server, "", 0

    def send(self, what, **fields):
        connection = http.client.HTTPConnection("127.0.0.1", self.server.port, timeout=20)
        body, kind = json.dumps(fields).encode(), {"Content-Type": "application/json", **COOKIE}
        try:
            connection.request("POST", f"/station/{LINE}/{what}", body, kind)
            answer = connection.getresponse()
            return answer.status, json.loads(answer.readline())
        finally:
            connection.close()

    def open(self, **fields):
        for _ in range(400):
            try:
                status, said = self.send("open", was=self.token, **fields)
            except (OSError, http.client.HTTPException):
                time.sleep(0.02)
                continue
            assert status == 200, said
            self.token, self.number = said["token"], said["number"]
            return said.get("before")
        raise AssertionError("the server does not answer")

    def scan(self, line, by=None):
        """Return whether the scan was acknowledged; None if no answer came. It goes by an open line if there is one."""
        asked = {"token": self.token, "number": self.number + 1, "raw": line}
        try:
            if by is None:
                status, said = self.send("scan", **asked)
            else:
                by.send(json.dumps(asked))
                answer = json.loads(by.recv(20))
                status, said = answer["status"], answer["said"]
        except (OSError, http.client.HTTPException, ConnectionClosed, ValueError):
            return None
        if status == 410:
            # On a busy machine the server was silent for so long that it let the page go.
            return None
        assert (status, said["booked"]) == (200, True), said
        self.number = said["number"]
        return True

    def line(self):
        """A line to the server that stays open."""
        address = f"ws://127.0.0.1:{self.server.port}/station/{LINE}/channel"
        return connect(address, additional_headers=COOKIE)


class Steered:
    """When the next kill comes."""

    def __init__(self, chance):
        self.chance, self.middle_s = chance, 0.02

    def seconds(self):
        return self.middle_s * self.chance.uniform(0.4, 1.6)

    def fell(self, *, was_late):
        self.middle_s = min(1.0, max(0.001, self.middle_s * (0.85 if was_late else 1.18)))


@pytest.fixture(params=ENGINES)
def place(request, tmp_path):
    floor = Floor.copy()
    floor.press(1, strokes=480)
    floor.open_line(1, [11], 1)
    made = let_in(floor.saved(tmp_path / "plant.db"))
    floor.ledger.close()
    if request.param == "sqlite":
        return str(made)
    server = request.getfixturevalue("pg_place")
    copy_ledger(str(made), server)
    return server


def test_nothing_acknowledged_is_lost_and_nothing_is_booked_twice(place):
    steered = Steered(random.Random(16))
    sent, fell, again = 0, Counter(), 0
    with KilledServer(place) as server:
        server.start()
        page = Page(server)
        page.open()
        first = page.number
        for kill in range(KILLS):
            # The first scan of a server that was just started is slow: the second one is killed.
            for number_of_scan in range(2):
                line = raw(("disc 1.1", "sleeve 1")[sent % 2]) if sent % 19 < 18 else raw("disc 2.1")
                sent += 1
                if number_of_scan == 0:
                    assert page.scan(line)
            number = page.number + 1
            with contextlib.suppress(ConnectionClosed), page.line() if kill % 2 else nullcontext() as by:
                late = threading.Timer(steered.seconds(), server.kill)
                late.start()
                came = page.scan(line, by)
                late.cancel()
                server.kill()
            server.start()
            is_booked = page.open(number=number, raw=line)
            assert page.number == (number if is_booked else number - 1)
            assert is_booked or not came, f"scan {number} was acknowledged and is lost"
            fell[
                "after the answer" if came else "before it, booked" if is_booked else "before it, not booked"
            ] += 1
            steered.fell(was_late=bool(came))
            while not is_booked:
                again += 1
                is_booked = page.scan(line) or page.open(number=number, raw=line)
    with open_ledger(place) as ledger:
        assert ledger.verify(judge_again=True).faults == ()
        with ledger.stations._ledger.reading() as conn:
            last = conn.exec_driver_sql(f"SELECT last_number FROM station WHERE code = '{LINE}'").scalar()
    assert last == first + sent
    print(f"{KILLS} kills: {dict(fell)}; {again} scans made again")
