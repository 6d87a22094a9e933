"""Acts of people at the desk in a browser: holds, investigations and cases, by the rules of commands and stations."""

import io
import re
import threading
import zipfile
from urllib.parse import urlencode

import pytest
from support_cases import ADA, BEN, CAUSE, CLEO
from support_lab import LAB_DATA, add_to
from support_plant import Floor, n
from support_web import Browser, fields_on, served
from support_web_people import OF_ADA, OF_BEN, OF_CLEO, laid_down, plant_with_pins, rows

from runout import Lab, open_ledger
from tracelink.errors import LedgerBusy, StorageFailed
from tracelink.store.ledger import Ledger

QUESTION = {"cause": CAUSE, "shape": "from-onset", "reason": "repeating scratch"}
SECOND = {"second": BEN, "second_pin": OF_BEN}


@pytest.fixture(scope="module")
def template(tmp_path_factory):
    return plant_with_pins(tmp_path_factory.mktemp("web"), {CLEO: OF_CLEO})


@pytest.fixture
def place(template, tmp_path):
    return laid_down(template, tmp_path)


@pytest.fixture
def port(place):
    with served(place) as number:
        yield number


@pytest.fixture
def ada(port):
    browser = Browser(port)
    browser.sign_in(ADA, OF_ADA)
    return browser


def act(browser, name, pin=OF_ADA, **fields):
    """Fill in a form; what is known of its case is in its address."""
    about = {name: fields[name] for name in ("case",) if name in fields}
    address = f"/act/{name}?{urlencode(about)}" if about else f"/act/{name}"
    return browser.fill(address, **fields, pin=pin)


def done(browser, name, **fields):
    answer = act(browser, name, **fields)
    assert answer.status == 303, answer.problem
    return browser.follow(answer).page


class TestHolds:
    def test_a_thing_is_held_once_and_lifted_by_two(self, ada, place):
        told = done(ada, "hold", thing=n("L1"), reason="dust")
        [(hold,)] = rows(place, "hold", "code", cause=n("L1"))
        assert f"is on hold (hold {hold})".replace(hold, "") in re.sub(r"<[^>]+>", "", told).replace(hold, "")
        assert "on hold already" in done(ada, "hold", thing=n("L1"), reason="dust")
        assert rows(place, "hold", "code", "reason", "person", cause=n("L1")) == [(hold, "dust", ADA)]
        assert n("L1") in ada.get("/holds").page
        assert "is lifted by two people" in done(ada, "lift-hold", hold=hold, reason="dust gone", **SECOND)
        assert rows(place, "hold", "lifted_seq", code=hold) != [(None,)]
        assert n("L1") not in ada.get("/holds").page
        assert n("L1") in ada.get("/holds?lifted=yes").page
        again = act(ada, "lift-hold", hold=hold, reason="dust gone", **SECOND)
        assert "is not in the system, or has been lifted" in again.problem
        with open_ledger(place, read_only=True) as ledger:
            assert ledger.verify(tables=True).faults == ()

    @pytest.mark.parametrize(
        ("second", "status", "sentence"),
        [
            ({"second": ADA, "second_pin": OF_ADA}, 403, "cannot be both people"),
            ({"second": CLEO, "second_pin": OF_CLEO}, 403, "lift holds"),
            ({"second": BEN, "second_pin": OF_ADA}, 403, "Wrong PIN"),
            ({"second": BEN, "second_pin": ""}, 400, "the second person's PIN is empty"),
            ({"second": "", "second_pin": OF_BEN}, 400, "the second person is empty"),
        ],
    )
    def test_one_person_does_not_lift_a_hold(self, ada, place, second, status, sentence):
        done(ada, "hold", thing=n("L1"), reason="dust")
        answer = act(ada, "lift-hold", hold=n("L1"), reason="dust gone", **second)
        assert (answer.status, sentence.lower() in answer.problem.lower()) == (status, True), answer.problem
        assert rows(place, "hold", "lifted_seq", cause=n("L1")) == [(None,)]

    def test_who_lacks_the_role_holds_nothing_and_that_is_recorded(self, port, place):
        cleo = Browser(port)
        cleo.sign_in(CLEO, OF_CLEO)
        answer = act(cleo, "hold", pin=OF_CLEO, thing=n("L1"), reason="dust")
        assert (answer.status, "may not place holds" in answer.problem) == (403, True)
        assert rows(place, "finding", "finding", "subject", "person", station=None)[-1] == (
            "access-refused",
            "act hold",
            CLEO,
        )
        assert rows(place, "hold") == []

    @pytest.mark.parametrize("thing", ["L0000999", "nonsense", ADA, "]C0XX"])
    def test_what_cannot_be_held_has_a_sentence(self, ada, thing):
        answer = act(ada, "hold", thing=thing, reason="dust")
        assert answer.status in (400, 403)
        assert answer.problem

    def test_all_that_a_question_asks_for_is_held(self, ada, place):
        page = ada.get("/contain?" + urlencode({"cause": CAUSE, "shape": "from-onset"})).page
        [address] = re.findall(r'href="(/act/hold-scope\?[^"]*)"', page)
        answer = ada.fill(address.replace("&amp;", "&"), reason="repeating scratch", pin=OF_ADA)
        assert "placed on" in ada.follow(answer).page
        assert rows(place, "hold", "cause") == [(CAUSE,)]


class TestValues:
    """Ada's plant measures noise on sides, and the mass of discs; sample 3 is not judged."""

    @pytest.fixture
    def measuring(self, place):
        with Ledger.open(str(place)) as ledger:
            limit = {"test": "noise", "upper": "-55.0", "since": "2020-01-01"}
            add_to(Floor(ledger), {**LAB_DATA, "limit": [limit]})

    @pytest.mark.usefixtures("measuring")
    def test_are_booked_by_the_rules_of_the_bench(self, ada, place):
        given = {"sample": n("S3"), "test": "noise", "gauge": n("G1")}
        assert "Enter a measured value" in ada.get(f"/thing/{n('S3')}").page
        told = done(ada, "measure", **given, value="-50.5", side="A")
        assert "noise -50.5 dB on side A, outside the limit (at most -55.0 dB)" in told
        assert "The next value with this gauge" in told
        assert rows(place, "lab_result", "value", "side", "standing", "file_seq") == [
            ("-50.5", "A", "outside", None)
        ]
        for fields, sentence in (
            ({"value": "-50.5", "side": "A"}, "has noise -50.5 dB on side A already"),
            ({"value": "-50,5", "side": "B"}, "expected a number with a decimal point, without its unit"),
            ({"value": "-50.55", "side": "B"}, "cannot have shown -50.55"),
            ({"value": "-50.5"}, "as it is measured on each side"),
            ({"value": "1", "side": "B", "gauge": n("G2")}, "measures mass, not noise"),
            ({"value": "1", "side": "B", "gauge": n("L1")}, "is a lot card: expected a gauge"),
            ({"value": "1", "side": "B", "sample": n("S98")}, "is not in the system"),
            ({"value": "1", "side": "B", "test": "warp"}, "expected one of those on the page"),
        ):
            answer = act(ada, "measure", **{**given, **fields})
            assert (answer.status >= 400, sentence in answer.problem) == (True, True), answer.problem
        assert len(rows(place, "lab_result")) == 1
        with open_ledger(place, read_only=True) as ledger:
            assert ledger.verify(tables=True).faults == ()


STORY = (
    f"Opened, marked as commercial: asked what {CAUSE} touched, shape from-onset, the records up to entry",
    "Scope 2: asked what",
    "Held for it: H",
    "Shop 1 was told by letter, as scope 2 says. The text has the hash",
    "Shop 9 answered: 10 discs on hand when told, 5 sent back, how many were destroyed it did not say.",
    "Level A of effectiveness checks: 100 % of 2 consignees. Drawn: Shop 1, Shop 9.",
    "Shop 1 was checked: got the notice and did as it says.",
    "It is expected to be done by 2031-04-01.",
    "Root cause: a grain of nickel",
    f"Ben, {BEN} is to do this by 2099-01-01: new filter",
    f"Closed; Ben, {BEN} agreed. Open then:",
    "Reason: told.",
)
"""What a case says of itself from its opening to its end."""


class TestCases:
    def test_from_open_to_close(self, ada, place):
        told = done(ada, "case-open", **QUESTION)
        [case] = set(re.findall(r"/case/(Q\w+)", told))
        assert case in ada.get("/cases").page
        page = ada.get(f"/case/{case}").page
        assert "What is open" in page
        assert f"/act/case-close?case={case}" in page
        assert "placed on" in done(ada, "case-holds", case=case, reason="scratch")
        assert "Scope 2 recorded" in done(ada, "case-scope", case=case, reason="once more")
        names = ("Shop 1", "Shop 9")
        letters = ada.get(f"/case/{case}/notices").page
        assert [name for name in names if name not in letters] == []
        assert ("\\x0a" in letters, "REPLY FORM: please fill in" in letters) == (False, True)
        done(ada, "case-notice", case=case, consignee="everybody", method="letter", contact="Quality")
        for name in names:
            counts = {"on_hand": "10", "returned": "5", "destroyed": ""}
            assert f"Reply of {name} recorded" in done(ada, "case-reply", case=case, consignee=name, **counts)
        assert "Level A: 100 %" in done(ada, "case-level", case=case, level="A")
        for name in names:
            done(ada, "case-check", case=case, consignee=name, result="ok")
        done(ada, "case-estimate", case=case, day="2031-04-01")
        done(ada, "case-root-cause", case=case, words="a grain of nickel")
        done(ada, "case-action", case=case, words="new filter", owner=BEN, due="2099-01-01")
        page = ada.get(f"/case/{case}").page
        assert "a grain of nickel" in page
        assert "new filter" in page
        refused = act(ada, "case-close", case=case, reason="told", **SECOND)
        assert (refused.status, "“In spite of open points”" in refused.problem) == (403, True)
        # What is open stands above the form before anybody signs; badges stay, PINs do not, and it can be gone back to.
        form = ada.get(f"/act/case-close?case={case}").page
        assert "says it returned 5 discs more than the 0 booked here" in form
        assert ("\\x0a" in refused.page, f'value="{BEN}"' in refused.page, OF_BEN in refused.page) == (
            False,
            True,
            False,
        )
        assert refused.headers["cache-control"] == "private, no-cache"
        assert "is closed" in done(ada, "case-close", case=case, reason="told", despite="yes", **SECOND)
        page = ada.get(f"/case/{case}").page
        assert "/act/case-close" not in page
        assert "by Ada and Ben, entry" in page
        story = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", page[page.index("Everything recorded of it") :]))
        assert [sentence for sentence in STORY if sentence not in story] == []
        assert re.search(
            rf'<a href="/entry/\d+">\d+</a>.*Closed; Ben, <a href="/thing/{BEN}">', page, re.DOTALL
        )
        assert f"/contain?cause={CAUSE}&amp;shape=from-onset" in page
        assert ada.get(f"/case/{case}.pdf").content[:5] == b"%PDF-"
        with open_ledger(place, read_only=True) as ledger:
            facts = ledger.cases.history(case).facts
            assert len(facts.scope_entries) == 2
            assert {reply.on_hand for reply in facts.recorded.replies} == {10}
            assert ledger.verify(tables=True).faults == ()

    def test_the_files_of_a_notice_are_those_that_were_recorded(self, ada, place):
        told = done(ada, "case-open", **QUESTION)
        [case] = set(re.findall(r"/case/(Q\w+)", told))
        told = done(ada, "case-notice", case=case, consignee="everybody", method="letter", contact="Quality")
        [address] = re.findall(r'href="(/case/[^"]*notices\.zip[^"]*)"', told)
        packed = zipfile.ZipFile(io.BytesIO(ada.get(address.replace("&amp;", "&")).content))
        assert len(packed.namelist()) == 6

    def test_two_tabs_do_not_write_over_each_other(self, ada, port):
        [case] = set(re.findall(r"/case/(Q\w+)", done(ada, "case-open", **QUESTION)))
        about = f"/act/case-root-cause?case={case}"
        first = {**ada.fields(about), "words": "nickel", "pin": OF_ADA}
        ben = Browser(port)
        ben.sign_in(BEN, OF_BEN)
        second = {**ben.fields(about), "words": "dust", "pin": OF_BEN}
        assert ada.send("/act/case-root-cause", first).status == 303
        refused = ben.send("/act/case-root-cause", second)
        assert refused.status == 403
        assert "was changed after entry" in refused.problem
        assert "by Ada" in refused.problem
        assert ">dust</textarea>" in refused.page
        # Whoever read what changed sends it again.
        assert ben.fill(about, words="dust", pin=OF_BEN).status == 303

    def test_a_case_that_is_not_there_is_told(self, ada):
        assert ada.get("/case/Q0000999").status == 400
        assert "<script>" not in ada.get("/thing/%3Cscript%3Ealert(1)%3C%2Fscript%3E").page

    def test_a_sentence_leads_to_what_it_names(self, ada):
        told = ada.get(f"/balance?of={n('S1')}")
        assert told.status == 400
        assert f'<a href="/thing/{n("S1")}"><code>{n("S1")}</code></a>' in told.page
        answer = act(ada, "case-root-cause", case="Q0000999", words="x")
        assert "Q0000999" in answer.problem


class TestInvestigations:
    def test_one_is_opened_about_a_difference_and_closed(self, ada, place):
        page = ada.get(f"/balance?of={n('B1')}").page
        assert f"/act/investigate?subject={n('B1')}" in page
        told = done(ada, "investigate", subject=n("B1"), reason="counted twice")
        [number] = set(re.findall(r"Investigation (\d+) is open", told))
        assert number in ada.get("/investigations").page
        assert f'<option value="{number}">{number}: {n("B1")}' in ada.get("/act/close-investigation").page
        assert "is open already" in act(ada, "investigate", subject=n("B1"), reason="again").problem
        assert "is closed" in done(ada, "close-investigation", number=number, reason="found")
        assert "None is open" in ada.get("/investigations").page
        assert n("B1") in ada.get("/investigations?closed=yes").page


class TestSentences:
    @pytest.mark.parametrize(
        ("fields", "label"),
        [
            ({"window": "5"}, "“Window”"),
            ({"shape": "window"}, "“Window”"),
            ({"evidence": "nonsense"}, "“Judged discs not yet recorded”"),
            ({"defect": "nobody saw it"}, "“Only this defect”"),
        ],
    )
    def test_they_speak_of_fields_and_not_of_options(self, ada, fields, label):
        asked = {"cause": CAUSE, "shape": "from-onset", **fields}
        page = ada.get("/contain?" + urlencode(asked)).page
        assert label in page
        assert "--" not in re.sub(r"<[^>]+>|<!--.*?-->", "", page)


def test_a_case_code_on_a_page_leads_to_the_case(ada):
    [case] = set(re.findall(r"/case/(Q\w+)", done(ada, "case-open", **QUESTION)))
    assert f'<a href="/case/{case}"><code>{case}</code></a>' in ada.get("/cases").page


class TestStorage:
    """What keeps a ledger from writing is told, and the form waits with what was typed."""

    @pytest.mark.parametrize(
        "problem", [LedgerBusy("another program holds the ledger"), StorageFailed("no room is left")]
    )
    def test_a_ledger_that_cannot_write_now_books_nothing(self, ada, place, monkeypatch, problem):
        hold = Lab.hold

        def fails(*_given):
            raise problem

        monkeypatch.setattr(Lab, "hold", fails)
        answer = act(ada, "hold", thing=n("L1"), reason="dust")
        assert (answer.status, str(problem) in answer.problem.lower()) == (503, True)
        assert ">dust</textarea>" in answer.page
        monkeypatch.setattr(Lab, "hold", hold)
        assert ada.send("/act/hold", {**fields_on(answer.page), "pin": OF_ADA}).status == 303
        assert len(rows(place, "hold", cause=n("L1"))) == 1

    def test_a_form_that_is_sent_twice_at_once_is_carried_out_once(self, ada, place):
        fields = {**ada.fields("/act/hold"), "thing": n("L1"), "reason": "dust", "pin": OF_ADA}
        answers = []
        sending = [
            threading.Thread(target=lambda: answers.append(ada.send("/act/hold", fields)))
            for _two in range(2)
        ]
        for one in sending:
            one.start()
        for one in sending:
            one.join(60)
        assert [answer.status for answer in answers] == [303, 303]
        assert len({answer.headers["location"] for answer in answers}) == 1
        assert len(rows(place, "hold", cause=n("L1"))) == 1
