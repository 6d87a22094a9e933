"""The pages of `runout serve`, asked over the network as a browser does."""

import http.client
import json
import re
import signal
import subprocess
import sys
import threading
import time
from contextlib import contextmanager
from urllib.parse import quote, urlencode

import pytest
import uvicorn
from support_cases import ADA, CAUSE, shipped_file
from support_cli import run
from support_ledgers import content
from support_plant import LINE, n

from runout import ContainmentQuery, Shape, open_ledger
from tracelink.report.format.document import BigFigures
from tracelink.web.app import make_app
from tracelink.web.desk import Desk
from tracelink.web.headers import HEADERS

CODE_LINK = re.compile(r'<a href="(/thing/[^"]+)"><code>([^<]+)</code></a>')


@contextmanager
def served(place, tell_fault=str):
    """The pages of a ledger at a port of this machine."""
    config = uvicorn.Config(
        make_app(str(place), tell_fault), port=0, log_level="error", timeout_graceful_shutdown=0
    )
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


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    return shipped_file(tmp_path_factory.mktemp("web"))


@pytest.fixture(scope="module")
def port(place):
    with served(place) as number:
        yield number


@pytest.fixture
def ask(port):
    return lambda address, **more: asked(port, address, **more)


def asked(port, address, method="GET", **headers):
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    connection.request(method, address, headers=headers)
    answer = connection.getresponse()
    body = answer.read()
    connection.close()
    kind = answer.getheader("content-type") or ""
    return answer.status, body.decode() if kind.startswith("text/") else body, dict(answer.getheaders())


def question(**fields):
    return "/contain?" + urlencode({"cause": CAUSE, "shape": "from-onset", **fields})


class TestPages:
    def test_the_first_page_is_the_board(self, ask):
        status, _body, headers = ask("/")
        assert (status, headers["location"]) == (307, "/board")

    def test_a_board_says_what_the_command_says(self, ask, place):
        status, page, _headers = ask("/board?area=line")
        assert status == 200
        board = json.loads(run("board", "line", "--format", "json", ledger=place).out)
        for station in board["stations"]:
            assert f"<code>{station['station']}</code>" in page
            assert station["waits_for"] in page

    def test_a_wall_shows_the_stations_at_work_and_says_how_many_it_leaves_out(self, ask, place):
        status, page, _headers = ask("/board/wall")
        board = json.loads(run("board", "--format", "json", ledger=place).out)
        busy = [each for each in board["stations"] if each["person"] or each["word"] == "STOP"]
        assert status == 200
        shown = page.count('<p class="word">')
        assert shown == min(4, len(busy)) or f"{len(busy) - shown} more station" in page
        assert f"{len(board['stations']) - len(busy)} more stations have nobody signed on" in page
        assert ask("/board/wall?area=kitchen")[0] == 400

    def test_a_search_lists_and_links_what_it_finds(self, ask, place):
        status, page, _headers = ask("/search?q=" + quote(n("L1")[:4]))
        assert status == 200
        with open_ledger(place, read_only=True) as ledger:
            hits = ledger.search(n("L1")[:4]).hits
        assert {hit.code for hit in hits if hit.kind == "lot"} <= {
            code for _to, code in CODE_LINK.findall(page)
        }

    def test_the_code_of_one_thing_leads_to_it(self, ask):
        status, _page, headers = ask("/search?q=" + n("carton 1"))
        assert (status, headers["location"]) == (303, f"/thing/{n('carton 1')}")

    def test_a_thing_has_its_family_as_picture_and_tables(self, ask, place):
        status, page, _headers = ask(f"/thing/{CAUSE}")
        assert status == 200
        assert "<svg" in page
        tree = json.loads(run("trace", CAUSE, "--format", "json", ledger=place).out)["forward"]
        codes = {each["code"] for each in tree["nodes"] if " " not in each["code"]}
        assert codes
        assert codes <= {code for _to, code in CODE_LINK.findall(page)} | {CAUSE}

    def test_every_code_on_a_page_leads_to_a_page(self, ask):
        _status, page, _headers = ask(f"/thing/{CAUSE}")
        addresses = sorted({to for to, _code in CODE_LINK.findall(page)})
        assert len(addresses) > 10
        assert {to: ask(to)[0] for to in addresses} == dict.fromkeys(addresses, 200)

    def test_what_has_no_family_is_told_by_its_facts(self, ask):
        status, page, _headers = ask(f"/thing/{LINE}")
        assert status == 200
        assert "What it does" in page


class TestScope:
    def test_the_form_alone_asks_nothing(self, ask):
        status, page, _headers = ask("/contain")
        assert status == 200
        assert "At a glance" not in page

    def test_the_page_has_the_figures_of_the_document(self, ask, place):
        status, page, _headers = ask(question())
        assert status == 200
        with open_ledger(place, read_only=True) as ledger:
            sections = ledger.contain(ContainmentQuery(CAUSE, Shape.FROM_ONSET), pages=True).sections
        figures = [
            pair
            for section in sections.sections
            for block in section.blocks
            if isinstance(block, BigFigures)
            for pair in block.figures
        ]
        assert figures
        for figure, what in figures:
            assert f"<div><dt>{what}</dt><dd>{figure}</dd></div>" in page

    def test_more_fields_change_the_figures(self, ask):
        narrow = ask(question(evidence=f"{n('L1')}:12=good, {n('L1')}:13=good"))
        assert narrow[0] == 200
        assert narrow[1] != ask(question())[1]
        assert f'value="{n("L1")}:12=good, {n("L1")}:13=good"' in narrow[1]

    def test_the_same_document_for_paper_and_as_a_workbook(self, ask):
        pdf, workbook = ask(question().replace("?", ".pdf?")), ask(question().replace("?", ".xlsx?"))
        assert (pdf[0], pdf[1][:5]) == (200, b"%PDF-")
        assert (workbook[0], workbook[1][:2]) == (200, b"PK")

    @pytest.mark.parametrize(
        ("fields", "sentence"),
        [
            ({"shape": "round"}, "expected one of from-onset, whole-life, window, intermittent"),
            ({"evidence": "nonsense"}, "expected LOT:STROKE=good or LOT:STROKE=bad"),
            ({"window": "5"}, "“Window”"),
            ({"seconds": "0"}, "seconds"),
            ({"also": CAUSE}, "is named twice"),
        ],
    )
    def test_a_field_that_is_wrong_has_its_sentence(self, ask, fields, sentence):
        status, page, _headers = ask(question(**fields))
        assert status == 400
        assert sentence in page
        # What was typed stands in the form, to be put right there.
        assert all(
            f'value="{text}"' in page for name, text in fields.items() if name not in ("seconds", "shape")
        )


class TestAnswers:
    @pytest.mark.parametrize("address", ["/board", f"/thing/{CAUSE}", "/nowhere", "/desk.css", "/thing/XX"])
    def test_every_answer_carries_the_headers(self, ask, address):
        _status, _body, headers = ask(address)
        assert HEADERS.items() <= {name.title(): value for name, value in headers.items()}.items()

    def test_pages_run_and_load_nothing_from_elsewhere(self, ask):
        for address in ("/board", f"/thing/{CAUSE}", "/contain", question()):
            _status, page, _headers = ask(address)
            assert set(re.findall(r'(?:src|href)="([^"]*)"', page)) == {
                to for to in re.findall(r'(?:src|href)="([^"]*)"', page) if to.startswith(("/", "#"))
            }
            assert "style=" not in page
            assert set(re.findall(r"<script[^>]*>", page)) <= {
                '<script src="/board.js" defer>',
                '<script src="/contain.js" defer>',
            }

    def test_text_of_strangers_is_only_shown(self, ask):
        hostile = '"><script>alert(1)</script>\x1b[2J'
        for address in ("/search?q=" + quote(hostile), "/thing/" + quote(hostile), question(cause=hostile)):
            _status, page, _headers = ask(address)
            assert "<script>alert" not in page
            assert "\x1b" not in page

    @pytest.mark.parametrize(
        ("address", "status", "sentence"),
        [
            ("/thing/T0000999", 400, "T0000999"),
            ("/search?q=a", 400, "is too short"),
            ("/search?q=+", 400, "Nothing is asked for"),
            ("/board?area=kitchen", 400, "expected one of"),
            ("/board?day=yesterday", 400, "yesterday"),
            ("/nowhere", 404, "there is no page at /nowhere".capitalize()[1:]),
            ("/search?q=" + "a" * 5000, 414, "too long"),
        ],
    )
    def test_what_is_wrong_has_a_sentence(self, ask, address, status, sentence):
        found, page, _headers = ask(address)
        assert found == status
        assert sentence in page

    @pytest.mark.parametrize("method", ["POST", "PUT", "DELETE"])
    def test_nothing_can_be_sent(self, ask, method):
        status, page, _headers = ask("/board", method=method)
        assert status == 405
        assert f"{method} is not possible here" in page

    def test_another_name_for_this_machine_is_refused(self, ask):
        assert ask("/board", Host="plant.example.com")[0] == 400

    def test_all_of_it_wrote_nothing(self, ask, place):
        before = content(place)
        for address in ("/board", "/search?q=comet", f"/thing/{CAUSE}", question()):
            ask(address)
        assert content(place) == before


class TestFaults:
    def test_what_nobody_foresaw_is_told_and_kept(self, place, monkeypatch):
        kept = []

        def broken(_desk, _request):
            raise ZeroDivisionError("secret")

        def tell(problem):
            kept.append(problem)
            return "this is a fault that nobody foresaw"

        monkeypatch.setattr(Desk, "search", broken)
        with served(place, tell) as port:
            status, page, _headers = asked(port, "/search?q=comet")
        assert (status, [type(each) for each in kept]) == (500, [ZeroDivisionError])
        assert "This is a fault that nobody foresaw." in page
        assert "secret" not in page

    def test_a_ledger_that_is_away_is_told(self, tmp_path):
        with served(tmp_path / "gone.db") as port:
            status, page, _headers = asked(port, "/board")
        assert status == 400
        assert "gone.db" in page


def test_a_board_is_told_of_a_change(tmp_path):
    place = shipped_file(tmp_path)
    with served(place) as port:
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
        connection.request("GET", "/board/changes")
        stream = connection.getresponse()
        first = event(stream)
        words = ("--shape", "from-onset", "--hold", "--by", ADA, "--reason", "scratch")
        assert run("contain", CAUSE, *words, ledger=place).code == 1
        second = event(stream)
        connection.close()
    assert first != second


def event(stream):
    """The next event of a stream; a stream that only says "same" for long is none."""
    for _ in range(30):
        line = stream.readline()
        if line.startswith(b"data: "):
            return line
    raise AssertionError("nothing changed")


class TestCommand:
    def test_it_says_where_to_look_and_ends_with_ctrl_c(self, place):
        python = [sys.executable, "-c", "from tracelink.cli import main; main()"]
        words = [*python, "--ledger", str(place), "serve", "--port", "0"]
        with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as program:
            told = program.stdout.readline()
            [number] = re.findall(r"http://127\.0\.0\.1:(\d+)/", told)
            assert asked(int(number), "/board")[0] == 200
            program.send_signal(signal.SIGINT)
            _out, err = program.communicate(timeout=60)
        assert program.returncode in (0, 130)
        assert "Traceback" not in err

    def test_an_address_that_others_reach_is_refused(self, place):
        done = run("serve", "--host", "0.0.0.0", ledger=place)
        assert (done.code, "for other machines they need --tls-cert" in done.err) == (2, True)
        assert run("serve", "--host", "nonsense", ledger=place).code == 2

    def test_a_port_that_is_taken_is_named(self, place, port):
        done = run("serve", "--port", str(port), ledger=place)
        assert (done.code, f"port {port} of 127.0.0.1 cannot be had" in done.err) == (2, True)

    def test_a_ledger_that_is_not_there_is_named_before_anything_is_served(self, tmp_path):
        done = run("serve", ledger=tmp_path / "none.db")
        assert done.code == 2
        assert "none.db" in done.err
