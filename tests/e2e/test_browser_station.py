"""Stations in a real browser: days of the floor by keys and touch, lost answers, lost connections, one place."""

import json

import numpy as np
import pytest
import zxingcpp
from PIL import Image
from support_browser import StationTab, violations
from support_pins import COST, KEY, PINS
from support_plant import DOCK, LAB, LAB_2, LINE, PRESS, TOOL, Floor, n, raw, stamper
from support_web import served

from runout import open_ledger
from tracelink.ledger import pins
from tracelink.ledger.entry import Stamp
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.access import PinSet
from tracelink.store.journal.pin_key import write_key
from tracelink.store.ledger import Ledger, utc_now

OPENING = ("P1", "CLEAR", "P2", "B1", "K11", "carton 1")


@pytest.fixture
def station(tabs, port):
    return lambda code, **options: StationTab(tabs, port, code, **options)


def stock(place, code):
    with open_ledger(place, read_only=True) as ledger, ledger.stations._ledger.reading() as conn:
        rows = conn.exec_driver_sql(f"SELECT SUM(quantity) FROM stock WHERE place = '{code}'")
        return rows.scalar()


def read(place, query):
    with open_ledger(place, read_only=True) as ledger, ledger.stations._ledger.reading() as conn:
        return [tuple(row) for row in conn.exec_driver_sql(query)]


def give_pin(place):
    """Give Ada a PIN."""
    write_key(str(place), KEY)
    with Ledger.open(str(place)) as ledger, ledger.writing() as booking:
        kept = pins.make_verifier(KEY, n("P1"), PINS[1], bytes(16), COST)
        booking.record(PinSet(n("P1"), True, kept), Stamp("2031-03-03T08:00:00+01:00", utc_now()))


def picture_of(folder, *codes):
    """A photo of some cards, one below the other."""
    drawn = [zxingcpp.create_barcode(code, zxingcpp.BarcodeFormat.Code128) for code in codes]
    images = [Image.fromarray(np.array(one.to_image(scale=3))) for one in drawn]
    paper = Image.new("L", (max(one.width for one in images) + 80, 200 * len(images)), 255)
    for place, one in enumerate(images):
        paper.paste(one, (40, 200 * place + 40))
    file = folder / "cards.png"
    paper.save(file)
    return file


class TestDays:
    def test_a_day_of_the_line(self, station, place):
        line = station(LINE).is_open()
        assert line.text("#first") == "Scan your badge."
        assert line.scan("P1") == "DONE"
        assert line.touch("CLEAR") == "NEXT"
        assert line.scan("P2", "B1", "K11", "carton 1") == "DONE"
        assert line.text("#awaited figcaption") == "Waits for a disc"
        assert line.scan("disc 1.1") == "NEXT"
        assert line.scan("sleeve 1") == "MATCH"
        assert line.tab.get_attribute("body", "data-sounded") == "MATCH"
        assert line.text("#count") == "1 of 5 in carton"
        assert "Paper Comet Arithmetic" in line.text("#units li")
        assert "9 left on" in line.text("#lines")
        assert line.scan("disc 2.1") == "STOP"
        assert line.tab.get_attribute("body", "data-sounded") == "STOP"
        assert line.touch("RECHECK") == "NEXT"
        assert line.scan("disc 1.1", "sleeve 1") == "MATCH"
        assert line.scan(*("disc 1.1", "sleeve 1") * 4) == "MATCH"
        assert line.touch("CLOSE") == "DONE"
        assert line.text("#units li >> nth=4").startswith("Paper Comet Arithmetic, EX 101")
        assert line.touch("SIGNOFF") == "DONE"
        assert stock(place, n("carton 1")) == 5

    def test_a_day_of_the_press(self, station, place):
        press = station(PRESS).is_open()
        press.scan("P1")
        press.touch("SETUP")
        assert press.scan("L2", stamper("EX-102-A"), stamper("EX-102-B"), "C1", "E3", "E4") == "DONE"
        press.touch("START")
        assert press.text("#awaited figcaption") == "Waits for a text"
        press.write("EX-102-A")
        assert press.write("EX-102-B") == "DONE"
        press.touch("STACK")
        press.scan("K21")
        assert press.key("12") == "DONE"
        press.touch("STOP")
        assert press.key("12") == "DONE"
        assert stock(place, n("K21")) == 12

    def test_a_day_of_the_lab_and_the_dock(self, station, place):
        with open_ledger(place) as ledger:
            floor = Floor(ledger.stations._ledger, "2031-03-03T12:00:00+01:00")
            floor.open_line(1, [11], 1)
            floor.match(1, 5)
            floor.scan(LINE, "CLOSE")
        lab = station(LAB).is_open()
        lab.scan("P1")
        lab.touch("SAMPLE")
        lab.scan("L1", "S1")
        lab.key("3")
        assert lab.scan("K11") == "DONE"
        lab.touch("GOOD")
        assert lab.scan("S1") == "DONE"
        lab.touch("RELEASE")
        lab.scan("L1")
        assert lab.write("samples are good") == "DONE"
        dock = station(DOCK).is_open()
        dock.scan("P1")
        dock.touch("PALLET")
        assert dock.scan("pallet 1", "carton 1") == "DONE"
        dock.touch("CLOSE", "ACCEPT")
        dock.scan("pallet 1")
        dock.touch("SHIP")
        assert dock.scan("O1", "pallet 1") == "DONE"
        assert dock.touch("DEPART") == "DONE"
        assert read(place, "SELECT decision FROM lot WHERE code = '" + n("L1") + "'") == [("released",)]
        assert read(place, "SELECT status FROM pallet") == [("shipped",)]

    def test_a_day_of_the_tool_room(self, station, place):
        room = station(TOOL).is_open()
        room.scan("P1")
        room.touch("LACQUER")
        room.scan("T901")
        assert room.text("#awaited figcaption") == "Waits for a text"
        room.write("A")
        assert room.write("EX-101-A") == "DONE"
        for known, new in (("T901", "T902"), ("T902", "T903"), ("T903", "T904")):
            room.touch("GROW")
            assert room.text("#awaited figcaption") == "Waits for a tool tag"
            assert room.scan(known, new) == "DONE"
        assert room.text("#first").startswith(f"Stamper {n('T904')} grown from mother")
        room.touch("RETIRE")
        room.scan("T902")
        assert room.write("scratched") == "DONE"
        assert room.touch("SIGNOFF") == "DONE"
        tools = read(
            place, f"SELECT status FROM tool WHERE code IN ('{n('T902')}', '{n('T904')}') ORDER BY code"
        )
        assert tools == [("retired",), ("in use",)]

    def test_the_station_of_a_whole_set_by_half(self, station, place):
        with open_ledger(place) as ledger:
            floor = Floor(ledger.stations._ledger, "2031-03-03T12:00:00+01:00")
            floor.press(2, first_card=21)
            floor.press(3, first_card=31)
            floor.scan(LINE, "P1", "CLEAR", "P2", "B2", "K21", "K31", "carton 2")
        line = station(LINE).is_open()
        assert line.scan("disc 2.1", "sleeve 2") == "MATCH"
        assert line.tab.get_attribute("#verdict", "data-half") == "yes"
        assert line.text("#part") == "1 of 2"
        assert line.tab.get_attribute("body", "data-sounded") == "MATCH half"
        painted = "getComputedStyle(document.querySelector('[data-face=MATCH]')).backgroundSize"
        assert line.tab.evaluate(painted).startswith("50% 100%")
        assert line.scan("disc 2.2", "sleeve 2") == "MATCH"
        assert line.tab.get_attribute("#verdict", "data-half") == "no"


def without_line(page):
    """Open a page again as where no line stays open, so that scans are requests."""
    page.tab.route_web_socket("**/channel", lambda line: line.close())
    page.tab.reload()
    return page.is_open()


class TestLost:
    def test_a_line_that_breaks_before_the_answer_is_asked_again_and_booked_once(self, station, place):
        line, lost = station(LINE), []

        def breaking(page):
            server = page.connect_to_server()

            def answer(told):
                if lost:
                    page.send(told)
                else:
                    lost.append(json.loads(told)["said"]["number"])
                    page.close()

            server.on_message(answer)

        line.tab.route_web_socket("**/channel", breaking)
        line.tab.reload()
        line.is_open()
        assert line.scan("P1") == "DONE"
        assert lost == [1]
        assert line.scan("CLEAR") == "NEXT"
        assert read(place, f"SELECT last_number FROM station WHERE code = '{LINE}'") == [(2,)]

    def test_a_lost_answer_is_asked_for_again_and_booked_once(self, station, place):
        line = without_line(station(LINE))
        lost = []

        def lose(route):
            if lost:
                route.fallback()
            else:
                lost.append(json.loads(route.fetch().text().splitlines()[0])["number"])
                route.abort()

        line.tab.route("**/scan", lose)
        assert line.scan("P1") == "DONE"
        assert lost == [1]
        assert line.scan("CLEAR") == "NEXT"
        assert read(place, f"SELECT last_number FROM station WHERE code = '{LINE}'") == [(2,)]

    def test_a_lost_connection_fills_the_screen_and_takes_nothing(self, station, place):
        line = station(LINE).is_open()
        line.scan("P1")
        line.tab.context.set_offline(True)
        line.tab.wait_for_selector('body[data-phase="lost"]')
        assert line.text("#away .big") == "NO CONNECTION"
        box = line.tab.locator("#away").bounding_box()
        assert (box["width"], box["height"]) == (1280, 800)
        line.tab.evaluate("delete document.body.dataset.sounded")
        line.type(raw("CLEAR"))
        assert line.tab.get_attribute("body", "data-sounded") == "STOP"
        line.tab.context.set_offline(False)
        line.is_open()
        assert line.number == 1
        assert not line.tab.is_visible("#away")
        assert line.text("#first") == "Scan CLEAR, then a second person's badge."
        assert read(place, f"SELECT last_number FROM station WHERE code = '{LINE}'") == [(1,)]

    @pytest.mark.parametrize("booked", [True, False])
    def test_a_scan_that_was_under_way_is_told_of_when_it_is_back(self, station, booked):
        line = without_line(station(LINE))

        def lose(route):
            if booked:
                route.fetch()
            route.abort()

        line.tab.route("**/scan", lose)
        line.type(raw("P1"))
        # It is lost for a moment only: opening the station again comes through.
        line.tab.wait_for_selector("#before:not(:empty)")
        line.tab.unroute("**/scan")
        told = "Your last scan was booked." if booked else "Your last scan was not booked: scan again."
        assert line.text("#before") == told
        assert line.number == (1 if booked else 0)

    def test_a_page_goes_on_with_a_server_that_was_started_again(self, tabs, place):
        with served(place) as port:
            line = StationTab(tabs, port, LINE).is_open()
            line.scan("P1")
        line.tab.wait_for_selector('body[data-phase="lost"]')
        with served(place, at=port):
            line.is_open()
            assert line.scan("CLEAR") == "NEXT"


def test_a_late_word_from_before_a_scan_does_not_take_its_verdict_off_the_screen(station):
    line = station(LINE).is_open()
    held, asked = [], []
    line.tab.route("**/heard*", lambda route: held.append(route))  # noqa: PLW0108  Playwright takes no method of a list
    for _tenth in range(200):
        line.tab.wait_for_timeout(100)
        if held:
            break
    assert line.scan("P1") == "DONE"
    line.tab.on("request", lambda request: asked.append(request.url.rsplit("/", 1)[-1]))
    held[0].fulfill(json={"number": 0})
    line.tab.evaluate("() => new Promise(done => setTimeout(done, 100))")
    assert [each for each in asked if each.startswith("stands")] == []
    assert line.text("#word") == "DONE"


def test_a_page_whose_scans_are_answered_asks_nothing_else(station):
    line, asked = station(LINE).is_open(), []
    line.tab.on("request", lambda request: asked.append(request.url.rsplit("/", 1)[-1].partition("?")[0]))
    line.scan("P1")
    for _second in range(5):
        line.tab.wait_for_timeout(1000)
        line.scan("CLEAR")
    assert asked == []
    line.tab.wait_for_timeout(5000)
    assert "heard" in asked


class TestWhatStandsBesideAVerdict:
    @pytest.fixture
    def held(self, station):
        """A line at which what stands beside a verdict does not come before it is let go."""
        line, kept, lines = station(LINE), [], []

        def holding(page):
            server = page.connect_to_server()
            lines.append(page)
            server.on_message(
                lambda told: kept.append(told) if "beside" in json.loads(told) else page.send(told)
            )

        line.tab.route_web_socket("**/channel", holding)
        line.tab.reload()
        line.is_open()

        def let_go():
            for _tenth in range(200):
                if kept:
                    break
                line.tab.wait_for_timeout(100)
            lines[-1].send(kept.pop())

        return line, let_go

    def scanned(self, line, code, number):
        line.type(raw(code))
        line.tab.wait_for_selector(f'body[data-number="{number}"]')

    def test_the_next_scan_does_not_wait_for_it(self, held):
        line, _let_go = held
        self.scanned(line, "P1", 1)
        self.scanned(line, "CLEAR", 2)
        self.scanned(line, "P2", 3)
        assert line.text("#first") == "Scan the sleeve batch."

    def test_acts_of_an_earlier_moment_look_like_it_and_a_touch_waits_for_those_of_now(self, held):
        line, let_go = held
        self.scanned(line, "P1", 1)
        line.tab.wait_for_selector("#keys[data-settling][aria-busy=true]")
        let_go()
        line.tab.wait_for_selector("#keys:not([data-settling])[aria-busy=false]")
        self.scanned(line, "CLEAR", 2)
        signing_off = line.tab.locator(f"#acts button[data-raw='{raw('SIGNOFF')}']")
        signing_off.click()
        assert line.number == 2
        let_go()
        line.tab.wait_for_selector('body[data-number="3"]')

    def test_a_touched_act_that_is_not_taken_any_more_is_told_of(self, held, place):
        line, let_go = held
        self.scanned(line, "P1", 1)
        let_go()
        line.tab.wait_for_selector('body[data-ready="1"]')
        self.scanned(line, "SIGNOFF", 2)
        line.tab.locator(f"#acts button[data-raw='{raw('CLEAR')}']").click()
        let_go()
        line.tab.wait_for_selector("#before:not(:empty)")
        assert line.text("#before") == "What you touched is not taken any more since the last scan."
        assert line.tab.get_attribute("body", "data-sounded") == "STOP"
        assert read(place, f"SELECT last_number FROM station WHERE code = '{LINE}'") == [(2,)]


class TestOnePlace:
    def test_a_badge_takes_the_station_over_and_the_other_page_says_so(self, station):
        first = station(LINE).is_open()
        first.scan("P1")
        second = station(LINE)
        second.tab.wait_for_selector('body[data-phase="elsewhere"]')
        assert "Scan your badge" in second.text("#away .more")
        second.type(raw("P2"))
        second.is_open()
        first.tab.wait_for_selector('body[data-phase="elsewhere"]')
        assert first.text("#away .big") == "OPEN ELSEWHERE"
        assert second.scan("CLEAR") == "NEXT"

    def test_two_tabs_and_the_back_button(self, station):
        line = station(LINE).is_open()
        line.scan("P1")
        line.tab.goto(f"http://127.0.0.1:{line.port}/board")
        line.tab.go_back()
        line.is_open()
        assert line.number == 1
        line.tab.reload()
        assert line.is_open().scan("CLEAR") == "NEXT"


class TestInput:
    def test_a_pin_is_never_shown(self, station, place):
        give_pin(place)
        lab = station(LAB).is_open()
        assert lab.scan("P1") == "NEXT"
        assert lab.text("#awaited figcaption") == "Waits for the PIN"
        for digit in PINS[1]:
            lab.tab.locator(f'[data-digit="{digit}"]').click()
        assert lab.text("#number") == "\u2022" * len(PINS[1])
        lab.tab.keyboard.type(f"#{PINS[1]}")
        assert PINS[1] not in lab.tab.content()
        lab.tab.keyboard.press("Escape")
        lab.done(lab.tab.locator('[data-digit="send"]').click)
        assert lab.text("#word") == "DONE"

    def test_a_scan_into_the_field_for_texts_is_a_scan(self, station):
        press = station(PRESS).is_open()
        press.scan("P1")
        press.scan("SETUP", "L2", stamper("EX-102-A"), stamper("EX-102-B"), "C1", "E3", "E4", "START")
        assert press.write(raw("CANCEL")) == "DONE"

    def test_what_is_typed_without_scanner_is_taken_as_at_a_terminal(self, station):
        lab = station(LAB).is_open()
        lab.scan("P1")
        lab.done(lambda: lab.type("12"))
        assert "has no # before it" in lab.text("#said")
        lab.tab.keyboard.type("]C1rubbish")
        lab.tab.keyboard.press("Escape")
        assert lab.text("#typed") == ""
        assert lab.touch("SAMPLE") == "NEXT"

    def test_several_codes_in_one_photo_are_not_acted_on(self, station, tmp_path):
        line = station(LINE).is_open()
        line.scan(*OPENING, "CLOSE")
        photo = picture_of(tmp_path, n("K11"), n("K12"))
        line.done(lambda: line.tab.set_input_files("#photo", photo))
        assert line.text("#word") == "STOP"
        assert "shows 2 codes" in line.text("#said")

    def test_it_is_worked_by_keyboard_alone(self, station):
        lab = station(LAB).is_open()
        lab.scan("P1")
        for _ in range(40):
            lab.tab.keyboard.press("Tab")
            if lab.tab.evaluate("document.activeElement.dataset.raw || ''") == raw("SAMPLE"):
                break
        # An Enter right after a scan is the second one of a scanner: no hand is that quick.
        lab.tab.wait_for_timeout(400)
        lab.done(lambda: lab.tab.keyboard.press("Enter"))
        assert lab.text("#word") == "NEXT"
        # A scan while a button has the focus is a scan, and its Enter presses nothing.
        assert lab.scan("L1") == "NEXT"


def test_verdict_instruction_and_acts_are_in_sight_on_every_screen(station):
    """Dock and lab take most acts of all stations; where a number is asked for, its keypad is there too."""
    dock, press, lab = station(DOCK).is_open(), station(PRESS).is_open(), station(LAB).is_open()
    dock.scan("P1")
    press.scan("P1", "COUNT", "K12")
    # Nothing is scanned for it yet: each other act may be begun in its place.
    lab.scan("P1", "SORT")
    rejected = station(LAB_2).is_open()
    rejected.scan("P1", "REJECT", "L1", '"too many clicks')
    assert dock.tab.locator("#acts button").count() > 16
    assert rejected.tab.locator("#acts button").count() > 16
    assert press.tab.is_visible("#pad")
    assert lab.tab.is_visible("#pad")
    for tab in (dock.tab, press.tab, lab.tab, rejected.tab):
        for width, height in ((1280, 800), (1920, 1080), (390, 844)):
            tab.set_viewport_size({"width": width, "height": height})
            ends = tab.evaluate(
                "() => [...document.querySelectorAll('#verdict, #first, #awaited, #pad, #acts button')]"
                ".map(one => [one.id || one.textContent, one.getBoundingClientRect()])"
                ".map(([what, {right, bottom}]) => [what, right, bottom])"
            )
            assert [each for each in ends if each[1] > width or each[2] > height] == [], (width, height)


def test_acts_that_would_put_an_unfinished_one_away_are_folded_behind_cancel(station):
    lab = station(LAB).is_open()
    lab.scan("P1")
    assert not lab.tab.is_visible("#other")
    assert lab.touch("SORT") == "NEXT"
    assert lab.tab.locator("#acts strong").all_inner_texts() == ["CANCEL"]
    assert lab.tab.is_visible("#other summary")
    # Touching one of them opens the fold first, as a person does.
    assert lab.touch("SAMPLE") == "NEXT"
    assert lab.text("#first") == "Scan the lot card."
    lab.scan("L1")
    # Something is scanned for it: only CANCEL puts it away.
    assert not lab.tab.is_visible("#other")
    assert lab.touch("CANCEL") == "DONE"


def test_axe_finds_no_violation(station):
    line, lab, other = station(LINE).is_open(), station(LAB).is_open(), station(LAB)
    line.scan(*OPENING, "disc 1.1", "sleeve 1")
    lab.scan("P1", "SAMPLE", "L1", "S1")
    other.tab.wait_for_selector('body[data-phase="elsewhere"]')
    for scheme in ("light", "dark"):
        for page in (line, lab, other):
            page.tab.emulate_media(color_scheme=scheme)
            assert violations(page.tab) == []
        line.scan("disc 2.1")


def test_nothing_of_a_wall_lies_below_its_edge(tabs, place):
    with served(place) as port:
        lab, line = StationTab(tabs, port, LAB).is_open(), StationTab(tabs, port, LINE).is_open()
        lab.scan("P1")
        for number in range(1, 6):
            lab.scan("HOLD", f"K{10 + number}" if number < 3 else f"C{number - 2}" if number < 5 else "E1")
            lab.scan(f'"found to be scratched all around near the run-out groove, {number}')
        line.scan(*OPENING)
        for wrong in ("disc 2.1", "B4", "T11", "sleeve 1", "disc 1.1", "disc 1.1", "#5", "rubbish"):
            line.scan(wrong)
        for station in (PRESS, DOCK, TOOL):
            StationTab(tabs, port, station).is_open().scan("P1")
        wall = tabs(f"http://127.0.0.1:{port}/board/wall", viewport={"width": 1920, "height": 1080})
        assert wall.locator("section[aria-labelledby=holds] dt").count() >= 2
        assert wall.locator("section[aria-labelledby=stops] dt").count() >= 2
        assert wall.locator(".now li").count() >= 3
        height = wall.evaluate(
            "Math.max(...[...document.querySelectorAll('section')].map(one => one.getBoundingClientRect().bottom))"
        )
        assert height <= 1080
        # What is left out is told.
        told = wall.inner_text("main")
        assert "more hold" in told
        assert "more reason" in told


def test_a_wall_changes_by_itself_and_is_read_from_four_metres(tabs, place):
    with served(place) as port:
        wall = tabs(f"http://127.0.0.1:{port}/board/wall?area=line")
        line = StationTab(tabs, port, LINE).is_open()
        line.scan(*OPENING)
        wall.wait_for_selector(".doing:has-text('Paper Comet Arithmetic')")
        # Letters of a two-hundredth of the distance: 20 mm on a screen that is 1.2 m wide (common practice).
        sizes = wall.evaluate(
            "[...document.querySelectorAll('main li, main dt, main dd')].map(one => parseFloat(getComputedStyle(one).fontSize))"
        )
        assert min(sizes) * 0.73 / 1280 * 1200 >= 20
        assert violations(wall) == []
        line.scan("disc 2.1")
        wall.wait_for_selector("li.STOP")
        assert wall.inner_text("section[aria-labelledby=stops] dt") == FindingCode.WRONG_TITLE.meaning
    wall.wait_for_selector("#connection:not([hidden])")
