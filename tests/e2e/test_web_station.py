"""Stations of `runout serve`, asked over the network as their page does: who has one, what is booked, what is refused."""

import http.client
import json

import pytest
from support_plant import DOCK, LINE, TOOL_2, code, n, raw
from support_web import COOKIE, served
from websockets.exceptions import InvalidStatus
from websockets.sync.client import connect

from runout import Badge, open_ledger
from tracelink.errors import LedgerBusy, RefusedByRule, StorageFailed
from tracelink.services.floor.live_station import LiveStation
from tracelink.web.entrance import entrance
from tracelink.web.entrance.entrance import Reached
from tracelink.web.headers import HEADERS
from tracelink.web.station import pages, seats


def call(port, address, body=b"", method="POST", kind="application/json"):
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    connection.request(
        method, address, body=body, headers={**COOKIE, **({"Content-Type": kind} if kind else {})}
    )
    answer = connection.getresponse()
    first, *rest = answer.read().splitlines()
    # After a scan what stands beside the verdict comes as a second line.
    said = json.loads(first) | ({"beside": json.loads(rest[0])} if rest else {})
    headers = {name.title(): value for name, value in answer.getheaders()}
    connection.close()
    return answer.status, said, headers


class Page:
    """What a page does, without a browser."""

    def __init__(self, port, station=LINE):
        self.port, self.station, self.token, self.number = port, station, "", 0

    def send(self, what, **fields):
        status, said, _headers = call(
            self.port, f"/station/{self.station}/{what}", json.dumps(fields).encode()
        )
        return status, said

    def open(self, **fields):
        status, said = self.send("open", was=self.token, **fields)
        if status == 200:
            self.token, self.number = said["token"], said["number"]
        return status, said

    def scan(self, line, number=None, **fields):
        status, said = self.send(
            "scan", token=self.token, number=number or self.number + 1, raw=raw(line), **fields
        )
        if status == 200:
            self.number = said["number"]
        return status, said

    def word(self, *lines):
        for line in lines:
            status, said = self.scan(line)
            assert status == 200, said
        return said["verdict"]["word"]


def numbers(place, station=LINE):
    with open_ledger(place, read_only=True) as ledger, ledger.stations._ledger.reading() as conn:
        return conn.exec_driver_sql(f"SELECT last_number FROM station WHERE code = '{station}'").scalar()


OPENING = ("P1", "CLEAR", "P2", "B1", "K11", "carton 1")


class TestScans:
    def test_a_match_is_booked_as_at_a_terminal(self, port, place):
        page = Page(port)
        assert page.open()[0] == 200
        assert page.word(*OPENING) == "DONE"
        assert page.word("disc 1.1", "sleeve 1") == "MATCH"
        _status, said = page.scan("disc 2.1")
        assert (said["verdict"]["word"], said["verdict"]["finding"]) == ("STOP", "wrong-title")
        assert numbers(place) == page.number == 9
        assert [unit["title"] for unit in said["beside"]["units"]] == ["Paper Comet Arithmetic"]

    def test_a_scan_that_is_sent_again_is_booked_once(self, port, place):
        page = Page(port)
        page.open()
        page.word(*OPENING, "disc 1.1")
        first = page.scan("sleeve 1")
        assert page.scan("sleeve 1", number=page.number) == first
        assert numbers(place) == 8

    def test_another_scan_under_a_number_that_was_booked_is_not(self, port, place):
        page = Page(port)
        page.open()
        page.word("P1")
        _status, said = page.scan("CLEAR", number=1)
        assert (said["verdict"]["finding"], said["booked"]) == ("not-booked", False)
        assert numbers(place) == 1

    def test_after_the_server_was_started_again_a_page_is_told_whether_its_scan_was_booked(self, place):
        with served(place) as port:
            page = Page(port)
            page.open()
            page.word("P1")
        with served(place) as port:
            page.port = port
            assert page.scan("CLEAR")[0] == 410
            status, said = page.open(number=2, raw=raw("CLEAR"))
            assert (status, said["before"]) == (200, False)
            page.scan("CLEAR")
            assert page.open(number=2, raw=raw("CLEAR"))[1]["before"] is True
        assert numbers(place) == 2

    def test_a_request_that_was_long_on_its_way_books_nothing(self, port, place):
        page = Page(port)
        page.open()
        late = page.token
        page.open()
        status, _said, _headers = call(
            port,
            f"/station/{LINE}/scan",
            json.dumps({"token": late, "number": 1, "raw": raw("P1")}).encode(),
        )
        assert (status, numbers(place)) == (410, 0)

    def test_the_time_of_a_scan_is_that_of_the_server(self, port, place):
        page = Page(port)
        page.open()
        page.word("P1")
        with open_ledger(place, read_only=True) as ledger:
            assert ledger.stations.board("line").stations[0].person == "Ada"

    def test_the_acts_of_now_are_buttons(self, port):
        page = Page(port)
        page.open()
        said = page.scan("P1")[1]
        acts = {each["word"]: each["raw"] for each in said["beside"]["acts"]}
        assert acts["CLEAR"] == raw("CLEAR")
        assert "RECHECK" not in acts
        assert said["beside"]["awaited"] == "action"

    def test_a_separators_stand_in_is_put_back(self, port):
        page = Page(port)
        page.open()
        page.word(*OPENING, "CLOSE")
        with_stand_in = raw("carton 2 saying 5 of 1").replace("\x1d", "~")
        status, said = page.send(
            "scan", token=page.token, number=page.number + 1, raw=with_stand_in, separator="~"
        )
        assert (status, said["verdict"]["finding"]) == (200, "")
        status, said = page.send("scan", token=page.token, number=page.number + 2, raw="]C1", separator="A")
        assert status == 400
        assert "stand-in" in said["sentence"]


class TestOnePlace:
    def test_a_second_page_is_told(self, port):
        first, second = Page(port), Page(port)
        first.open()
        status, said = second.open()
        assert status == 409
        assert "open in another page" in said["sentence"]

    def test_a_badge_takes_it_over_and_the_other_page_is_told(self, port):
        first, second = Page(port), Page(port)
        first.open()
        first.word("P1")
        status, said = second.send("take", raw=raw("P2"))
        assert (status, said["verdict"]["word"]) == (200, "DONE")
        second.token, second.number = said["token"], said["number"]
        assert first.scan("CLEAR")[0] == 410
        assert call(port, f"/station/{LINE}/heard?token={first.token}", method="GET")[0] == 410
        assert second.word("CLEAR") == "NEXT"

    def test_only_a_badge_takes_it_over(self, port, place):
        first, second = Page(port), Page(port)
        first.open()
        first.word("P1")
        status, said = second.send("take", raw=raw("STOP"))
        assert status == 403
        assert "expected your badge" in said["sentence"]
        assert numbers(place) == 1

    def test_nobody_is_a_second_person_from_another_page(self, port, place):
        first, second = Page(port), Page(port)
        first.open()
        first.word("P1", "CLEAR")
        status, said = second.send("take", raw=raw("P2"))
        assert status == 403
        assert "second person" in said["sentence"]
        assert numbers(place) == 2

    def test_a_badge_that_is_refused_takes_nothing_over(self, port):
        first, second = Page(port), Page(port)
        first.open()
        status, said = second.send("take", raw=raw("P9"))
        assert (status, said["token"], said["verdict"]["word"]) == (200, "", "STOP")
        assert first.open()[0] == 200

    def test_a_page_that_left_is_not_waited_for(self, port):
        first, second = Page(port), Page(port)
        first.open()
        first.send("leave", token=first.token)
        assert second.open()[0] == 200

    def test_a_page_that_is_silent_is_not_waited_for(self, port, monkeypatch):
        first, second = Page(port), Page(port)
        first.open()
        monkeypatch.setattr(seats, "_SILENT_S", 0.0)
        assert second.open()[0] == 200
        assert first.scan("P1")[0] == 410

    def test_a_station_that_is_open_in_a_terminal_is_not_opened(self, port, place):
        with open_ledger(place) as ledger, ledger.stations.live(LINE):
            status, said = Page(port).open()
        assert status == 403
        assert "open in another terminal" in said["sentence"]

    def test_a_terminal_can_have_it_when_the_page_is_gone(self, port, place):
        page = Page(port)
        page.open()
        page.send("leave", token=page.token)
        with open_ledger(place) as ledger, ledger.stations.live(LINE) as here:
            assert here.last == 0


class TestBadInput:
    def test_it_has_a_sentence_and_books_nothing(self, port, place):
        for body, kind, status, sentence in (
            (b"{", "application/json", 400, "is not JSON"),
            (b"[" * 100_000, "application/json", 400, "is not JSON"),
            (b"[]", "application/json", 400, "is not a JSON object"),
            (b'{"raw": "\xff"}', "application/json", 400, "is not UTF-8"),
            (b'{"token": 5, "number": 1, "raw": "x"}', "application/json", 400, "expected text"),
            (
                b'{"token": "", "number": true, "raw": "x"}',
                "application/json",
                400,
                "expected a whole number",
            ),
            (b'{"token": "", "raw": "x"}', "application/json", 400, "expected a whole number"),
            (b"raw=x", "application/x-www-form-urlencoded", 415, "expected application/json"),
            (b"{}", "", 415, "expected application/json"),
            (b" " * 1_000_001, "application/json", 413, "more than 1,000,000 bytes"),
            (b'{"token": "", "number": 1, "raw": "x"}', "application/json", 410, "not open in this page"),
        ):
            found, said, headers = call(port, f"/station/{LINE}/scan", body, kind=kind)
            assert found == status, said
            assert sentence in said["sentence"]
            assert HEADERS.items() <= headers.items()
        assert numbers(place) == 0

    def test_a_scan_of_100_000_characters_is_refused_as_at_a_terminal(self, port, place):
        page = Page(port)
        page.open()
        page.word("P1")
        status, said = page.send("scan", token=page.token, number=2, raw="]C1" + "A" * 100_000)
        assert (status, said["verdict"]["word"], said["number"]) == (200, "STOP", 2)
        assert "characters, more than 200" in said["verdict"]["sentence"] + said["verdict"]["first"]
        assert numbers(place) == 2

    def test_strange_lines_are_refused_and_shown_harmless(self, port):
        page = Page(port)
        page.open()
        page.word("P1")
        for line in (
            "<script>alert(1)</script>",
            "]C1\x1b[2J",
            "]C1\u202eP000019",
            "",
            "\ud800",
            "]d2\x00",
            "picture",
        ):
            _status, said = page.send("scan", token=page.token, number=page.number + 1, raw=line)
            assert (said["verdict"]["word"], said["number"]) == ("STOP", page.number + 1), line
            assert json.dumps(said, ensure_ascii=False).isprintable()
            page.number += 1

    def test_a_wrong_method_is_told(self, port):
        for method in ("GET", "PUT", "DELETE"):
            connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
            connection.request(method, f"/station/{LINE}/scan")
            answer = connection.getresponse()
            assert answer.status == 405
            assert b"is not possible here" in answer.read()
            connection.close()

    def test_a_station_that_is_not_there_has_a_sentence(self, port):
        for name in (code("W", 77), "nonsense", "%00", "%3Cb%3E"):
            status, said, _headers = call(port, f"/station/{name}/open", b"{}")
            assert status == 404
            assert "there is no station" in said["sentence"].lower()

    def test_a_busy_ledger_has_a_sentence_and_the_scan_can_be_made_again(self, port, place, monkeypatch):
        page = Page(port)
        page.open()
        scan = LiveStation.scan

        def busy(_self, _raw):
            raise LedgerBusy("another program holds the ledger")

        monkeypatch.setattr(LiveStation, "scan", busy)
        _status, said = page.scan("P1")
        assert (said["booked"], said["verdict"]["first"]) == (
            False,
            "Not booked: another program holds the ledger.",
        )
        monkeypatch.setattr(LiveStation, "scan", scan)
        assert page.word("P1") == "DONE"
        assert numbers(place) == 1

    def test_a_page_says_that_it_does_not_pack_on_without_its_ledger(self, port, monkeypatch):
        page = Page(port)
        page.open()

        def away(_self, _raw):
            raise StorageFailed("the ledger cannot be used: nothing was booked")

        monkeypatch.setattr(LiveStation, "scan", away)
        _status, said = page.scan("P1")
        assert said["booked"] is False
        assert (
            "A station in a browser does not pack on while its ledger is away" in said["verdict"]["sentence"]
        )

    def test_a_ledger_that_is_away_has_a_sentence(self, port, place):
        page = Page(port, DOCK)
        page.open()
        place.rename(place.with_name("gone.db"))
        status, said = Page(port, TOOL_2).open()
        assert status == 400
        assert "plant.db" in said["sentence"]

    def test_what_nobody_foresaw_is_told(self, place, monkeypatch):
        kept = []

        def broken(_self, _raw):
            raise ZeroDivisionError("secret")

        monkeypatch.setattr(LiveStation, "scan", broken)
        with served(
            place, lambda problem: kept.append(problem) or "this is a fault that nobody foresaw"
        ) as port:
            page = Page(port)
            page.open()
            status, said = page.scan("P1")
        assert (status, said["sentence"]) == (500, "This is a fault that nobody foresaw.")
        assert len(kept) == 1


def test_every_question_of_a_page_asks_whether_this_browser_may_be_the_station(port, place, monkeypatch):
    def refuse(_request, station):
        raise RefusedByRule(f"this browser is not enrolled for station {station}")

    page = Page(port)
    page.open()
    monkeypatch.setattr(pages, "may_open_station", refuse)
    fields = {"token": page.token, "number": 1, "raw": raw("P1"), "was": page.token}
    for what in ("open", "scan", "take", "leave"):
        assert page.send(what, **fields)[0] == 403
    for what in ("stands", "heard"):
        assert call(port, f"/station/{LINE}/{what}?token={page.token}", method="GET")[0] == 403
    picture = f"/station/{LINE}/picture?token={page.token}&number=1"
    assert call(port, picture, b"x", kind="image/png")[0] == 403
    assert numbers(place) == 0


def test_the_pages_of_stations_are_listed(port):
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    connection.request("GET", "/station")
    page = connection.getresponse().read().decode()
    assert f'href="/station/{LINE}"' in page
    connection.request("GET", f"/station/{LINE}", headers=COOKIE)
    page = connection.getresponse().read().decode()
    connection.close()
    assert f'data-code="{LINE}"' in page
    assert "style=" not in page
    assert n("P1") not in page


class TestOpenLine:
    """The line that stays open says what requests say: scans one way, verdicts the other."""

    def line(self, port, origin="", station=LINE):
        headers = {**COOKIE, "Origin": origin or f"http://127.0.0.1:{port}"}
        return connect(f"ws://127.0.0.1:{port}/station/{station}/channel", additional_headers=headers)

    def test_a_verdict_comes_first_and_then_what_stands_beside_it(self, port, place):
        page = Page(port)
        page.open()
        page.word(*OPENING, "disc 1.1")
        asked = {"of": 7, "token": page.token, "number": 8, "raw": raw("sleeve 1")}
        with self.line(port) as line:
            line.send(json.dumps(asked))
            first, second = json.loads(line.recv(10)), json.loads(line.recv(10))
            # Sent again as a request, and by the line: booked once.
            assert page.scan("sleeve 1", number=8) == (200, first["said"] | {"beside": second["beside"]})
            line.send(json.dumps(asked | {"of": 8}))
            assert json.loads(line.recv(10)) == first | {"of": 8}
        assert (first["of"], first["status"], first["said"]["verdict"]["word"]) == (7, 200, "MATCH")
        assert [unit["title"] for unit in second["beside"]["units"]] == ["Paper Comet Arithmetic"]
        assert numbers(place) == 8

    def test_no_scan_waits_until_a_ledger_is_opened(self, port, place, monkeypatch):
        """Whether the browser is enrolled is asked in the ledger that the station has open."""
        page = Page(port)
        page.open()
        opened = []
        monkeypatch.setattr(entrance, "_SECONDS_KEPT", 0.0)
        monkeypatch.setattr(entrance, "open_ledger", lambda *given, **_how: opened.append(given))
        with self.line(port) as line:
            line.send(json.dumps({"of": 1, "token": page.token, "number": 1, "raw": raw("P1")}))
            assert json.loads(line.recv(10))["said"]["booked"]
        assert (opened, numbers(place)) == ([], 1)

    @pytest.mark.parametrize(
        ("sent", "status", "sentence"),
        [
            ("{", 400, "What was sent is not JSON: nothing of it was taken."),
            ("[" * 100_000, 400, "What was sent is not JSON: nothing of it was taken."),
            ("[]", 400, "What was sent is not a JSON object: nothing of it was taken."),
            (b"{}", 415, "What was sent is not text: nothing of it was taken."),
            ('{"number": 1, "raw": 1}', 400, "Raw is 1: expected text."),
            (
                '{"token": "old", "number": 1, "raw": "x"}',
                410,
                f"Station {LINE} is not open in this page any more.",
            ),
        ],
        ids=["cut", "deep", "list", "bytes", "number", "token"],
    )
    def test_what_it_does_not_take_is_a_sentence_and_the_line_stays(
        self, port, place, sent, status, sentence
    ):
        page = Page(port)
        page.open()
        with self.line(port) as line:
            line.send(sent)
            said = json.loads(line.recv(10))
            assert (said["status"], said["said"]) == (status, {"sentence": sentence})
            line.send(json.dumps({"of": 2, "token": page.token, "number": 1, "raw": raw("P1")}))
            assert json.loads(line.recv(10))["said"]["verdict"]["word"] == "DONE"
        assert numbers(place) == 1

    def test_a_fault_is_a_sentence(self, port, monkeypatch):
        page = Page(port)
        page.open()

        def failing(*_given):
            raise KeyError("not foreseen")

        monkeypatch.setattr(seats.Seat, "scan", failing)
        with self.line(port) as line:
            line.send(json.dumps({"of": 1, "token": page.token, "number": 1, "raw": raw("P1")}))
            said = json.loads(line.recv(10))
        assert (said["status"], said["said"]["sentence"]) == (500, "'not foreseen'.")

    def test_another_site_gets_no_line_and_that_is_recorded(self, port, place):
        with pytest.raises(InvalidStatus, match="403"), self.line(port, "http://example.com"):
            pass
        with open_ledger(place, read_only=True) as ledger:
            scans = ledger.stations.refusals(finding="access-refused").scans
        assert [scan.subject for scan in scans] == ["send a form from another site"]

    def test_another_browser_books_nothing_by_it(self, port, place, monkeypatch):
        page = Page(port)
        page.open()
        monkeypatch.setitem(COOKIE, "Cookie", "runout-browser=guessed")
        with self.line(port) as line:
            line.send(json.dumps({"of": 1, "token": page.token, "number": 1, "raw": raw("P1")}))
            said = json.loads(line.recv(10))
        assert (said["status"], "is not enrolled for station" in said["said"]["sentence"]) == (403, True)
        assert numbers(place) == 0

    def test_where_others_reach_the_pages_it_is_for_enrolled_browsers(self, place, monkeypatch):
        with served(place, reached=Reached(is_for_others=True)) as port:
            with self.line(port) as line:
                line.send("{")
                assert json.loads(line.recv(10))["status"] == 400
            monkeypatch.setitem(COOKIE, "Cookie", "runout-browser=guessed")
            with pytest.raises(InvalidStatus, match="403"), self.line(port):
                pass


class TestEnrolled:
    """A browser opens a station only if somebody authorised enrolled it."""

    def test_another_browser_opens_none_and_that_is_recorded(self, port, place, monkeypatch):
        monkeypatch.setitem(COOKIE, "Cookie", "runout-browser=guessed")
        page = Page(port)
        status, said = page.open()
        assert (status, "is not enrolled for station" in said["sentence"]) == (403, True)
        assert page.scan("P1")[0] == 403
        assert numbers(place) == 0
        with open_ledger(place, read_only=True) as ledger:
            scans = ledger.stations.refusals(finding="access-refused").scans
        assert [scan.subject for scan in scans] == [f"open station {LINE}"] * 2

    def test_a_browser_of_one_station_opens_no_other(self, port, place, monkeypatch):
        with open_ledger(place) as ledger:
            made = ledger.browsers.enrol("tablet", Badge(n("P1")), "new", station=LINE)
        monkeypatch.setitem(COOKIE, "Cookie", f"runout-browser={made.secret}")
        assert Page(port, LINE).open()[0] == 200
        assert Page(port, DOCK).open()[0] == 403
