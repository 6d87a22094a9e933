"""The server killed between a scan and its verdict: nothing that was acknowledged is lost, nothing is booked twice.

A few times unless said otherwise: `RUNOUT_CAMPAIGN=50 python -m pytest tests/e2e/test_web_killed.py` does it 200 times.
"""

import http.client
import json
import random
import threading
import time

from support_campaign import tries
from support_killed_server import KilledServer
from support_plant import LINE, Floor, raw
from support_web import COOKIE, let_in

from runout import open_ledger

KILLS = tries(4)


class Page:
    """A page that opens its station anew whenever the server is gone."""

    def __init__(self, server):
        self.server, self.token, self.number = server, "", 0
        self.took_s = 0.01

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

    def scan(self, line):
        """Return whether the scan was acknowledged; None if no answer came."""
        began = time.perf_counter()
        try:
            status, said = self.send("scan", token=self.token, number=self.number + 1, raw=line)
        except (OSError, http.client.HTTPException, ValueError):
            return None
        if status == 410:
            # On a busy machine the server was silent for so long that it let the page go.
            return None
        assert (status, said["booked"]) == (200, True), said
        self.number = said["number"]
        # So long is a scan under way on this machine now: kills are spread over that.
        self.took_s = (self.took_s + time.perf_counter() - began) / 2
        return True


def test_nothing_acknowledged_is_lost_and_nothing_is_booked_twice(tmp_path):
    floor = Floor.copy()
    floor.press(1, strokes=480)
    floor.open_line(1, [11], 1)
    place = let_in(floor.saved(tmp_path / "plant.db"))
    floor.ledger.close()
    chance = random.Random(16)
    sent, acknowledged, told, again = [], 0, [], 0
    with KilledServer(place) as server:
        server.start()
        page = Page(server)
        page.open()
        first = page.number
        for kill in range(KILLS):
            line = raw(("disc 1.1", "sleeve 1")[kill % 2]) if kill % 10 < 9 else raw("disc 2.1")
            threading.Timer(1.5 * chance.random() * page.took_s, server.kill).start()
            number = page.number + 1
            came = page.scan(line)
            server.kill()
            server.start()
            is_booked = page.open(number=number, raw=line)
            assert page.number == (number if is_booked else number - 1)
            if came:
                acknowledged += 1
                assert is_booked, f"scan {number} was acknowledged and is lost"
            else:
                told.append(is_booked)
                while not is_booked:
                    again += 1
                    is_booked = page.scan(line) or page.open(number=number, raw=line)
            sent.append(line)
    with open_ledger(place) as ledger:
        assert ledger.verify(judge_again=True).faults == ()
        with ledger.stations._ledger.reading() as conn:
            last = conn.exec_driver_sql(f"SELECT last_number FROM station WHERE code = '{LINE}'").scalar()
    assert last == first + len(sent)
    print(
        f"{KILLS} kills: {acknowledged} scans acknowledged before, of {len(told)} without an answer {sum(told)} were booked, "
        f"{again} made again"
    )
