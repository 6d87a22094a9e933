"""Who comes in by a browser: badge and PIN, sessions, other sites, tries that are refused, enrolled browsers."""

import http.client
import ipaddress
import re
import signal
import ssl
import subprocess
import sys
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from starlette.responses import PlainTextResponse
from support_cases import ADA, BEN
from support_cli import run
from support_plant import LAB, LINE, code, n
from support_web import FORM, Browser, fields_on, served, served_app
from support_web_people import OF_ADA, OF_BEN, laid_down, plant_with_pins, rows

from runout import open_ledger
from tracelink.errors import UsageError
from tracelink.web.app import make_app
from tracelink.web.entrance.entrance import Reached
from tracelink.web.entrance.form_body import MOST_BYTES
from tracelink.web.entrance.gate import OnlyFrom
from tracelink.web.entrance.try_limits import SECONDS, TRIES
from tracelink.web.entrance.web_sessions import IDLE_SECONDS, LONGEST_SECONDS, WebSessions
from tracelink.web.server import Listening, reached_by

WRONG = "11936482"
ENROLMENT = {"name": "tablet of line 3", "station": LINE, "reason": "new tablet"}


@pytest.fixture(scope="module")
def template(tmp_path_factory):
    return plant_with_pins(tmp_path_factory.mktemp("web"))


@pytest.fixture
def place(template, tmp_path):
    return laid_down(template, tmp_path)


@pytest.fixture
def app(place):
    return make_app(str(place), str)


@pytest.fixture
def browser(app):
    with served_app(app) as port:
        yield Browser(port)


def refused(place):
    """What was tried and refused, as it stands in the records."""
    return rows(place, "finding", "finding", "subject", "person", order="seq", station=None)


class TestSignIn:
    def test_badge_and_pin_open_a_session_and_badging_out_ends_it(self, browser):
        assert "Sign in" in browser.get("/board").page
        answer = browser.sign_in(ADA, OF_ADA)
        assert (answer.status, answer.headers["location"]) == (303, "/board")
        assert "<span>Ada</span>" in browser.follow(answer).page
        kept = dict(browser.cookies)
        assert browser.post("/sign-out", {}).headers["location"] == "/sign-in"
        assert "<span>Ada" not in browser.get("/board").page
        browser.cookies = kept
        assert "<span>Ada" not in browser.get("/board").page

    def test_a_badge_that_a_scanner_types_is_one(self, browser):
        assert browser.sign_in(f"]C0{ADA}", OF_ADA).status == 303

    def test_the_cookie_tells_scripts_and_other_sites_nothing(self, browser):
        [cookie] = browser.sign_in(ADA, OF_ADA).cookies
        assert {"HttpOnly", "SameSite=strict", "Path=/"} <= set(cookie.split("; "))
        assert "Secure" not in cookie
        assert "max-age" not in cookie.lower()

    def test_by_tls_the_cookie_goes_no_other_way(self, place):
        with served(place, reached=Reached(is_secure=True)) as port:
            answer = Browser(port).sign_in(ADA, OF_ADA)
        [cookie] = answer.cookies
        assert cookie.startswith("__Host-runout-session=")
        assert "Secure" in cookie
        assert answer.headers["strict-transport-security"] == "max-age=31536000"

    @pytest.mark.parametrize("onward", ["//example.com/", "https://example.com/", "/\\example.com"])
    def test_it_leads_to_no_other_site(self, browser, onward):
        fields = {"badge": ADA, "pin": OF_ADA}
        assert browser.post("/sign-in", {**fields, "next": onward}).headers["location"] == "/board"
        assert browser.post("/sign-in", {**fields, "next": "/contain"}).headers["location"] == "/contain"

    def test_a_wrong_pin_counts_as_at_a_station(self, browser, place):
        for _try in range(4):
            answer = browser.sign_in(ADA, WRONG)
            assert answer.status == 403
        assert "Wrong PIN, 4 in a row for the badge of Ada. Wait 30 seconds" in answer.problem
        assert rows(place, "person_pin", "failures", person=ADA) == [(4,)]
        assert refused(place) == [("badge-refused", ADA, None)] * 4
        # The fourth makes wait, here as there.
        early = browser.sign_in(ADA, OF_ADA)
        assert (early.status, "wait" in early.problem.lower() or "until" in early.problem) == (403, True)
        assert refused(place)[-1] == ("access-refused", "sign in", None)

    @pytest.mark.parametrize(
        ("badge", "pin", "sentence"),
        [
            (code("P", 999), OF_ADA, "unknown badge"),
            (n("P3"), OF_ADA, "has no PIN, and a badge alone signs nobody in here"),
            (OF_ADA, OF_ADA, "The badge is not a code of this plant"),
        ],
    )
    def test_who_is_refused_is_told_and_recorded(self, browser, place, badge, pin, sentence):
        answer = browser.sign_in(badge, pin)
        assert sentence.lower() in answer.problem.lower()
        assert refused(place) == [("access-refused", "sign in", None)]

    def test_an_empty_field_is_told(self, browser):
        assert "badge or PIN is empty".lower() in browser.sign_in(ADA, "").problem.lower()

    def test_no_pin_stands_anywhere(self, browser, place):
        pages = [
            browser.sign_in(badge, pin).page for badge, pin in ((ADA, WRONG), (OF_ADA, OF_ADA), (ADA, ""))
        ]
        pages.append(browser.fill("/act/enrol-browser", **ENROLMENT, badge=ADA, pin=WRONG).page)
        assert not any(digits in page for digits in (WRONG, OF_ADA) for page in pages)
        kept = b"".join(row[0] for row in rows(place, "journal", "canonical"))
        assert WRONG.encode() not in kept
        assert OF_ADA.encode() not in kept

    def test_an_address_that_is_refused_too_often_waits(self, app, place):
        now = [0.0]
        app.state.entrance.limits._now = lambda: now[0]
        with served_app(app) as port:
            browser = Browser(port)
            for _try in range(TRIES):
                assert browser.sign_in(code("P", 999), OF_ADA).status == 403
            waits = browser.sign_in(ADA, OF_ADA)
            assert (waits.status, waits.headers["retry-after"]) == (429, str(SECONDS))
            assert len(refused(place)) == TRIES
            now[0] = float(SECONDS)
            assert browser.sign_in(ADA, OF_ADA).status == 303


class TestOtherSites:
    @pytest.mark.parametrize("origin", ["https://example.com", "null", "http://127.0.0.1:1", None])
    def test_what_another_site_sends_does_nothing(self, browser, place, origin):
        browser.sign_in(ADA, OF_ADA)
        fields = {**browser.fields("/act/enrol-browser"), **ENROLMENT, "pin": OF_ADA}
        answer = browser.post("/act/enrol-browser", fields, Origin=origin)
        assert answer.status == 403
        assert "does not come from a page of runout" in answer.page
        assert len(rows(place, "browser")) == 0
        assert refused(place)[-1][0] == "access-refused"

    def test_a_form_without_the_token_of_the_session_is_shown_again(self, browser, place):
        browser.sign_in(ADA, OF_ADA)
        for token in (None, "", "guessed"):
            answer = browser.fill("/act/enrol-browser", **ENROLMENT, pin=OF_ADA, token=token)
            assert answer.status == 409
            assert 'value="tablet of line 3"' in answer.page
        assert len(rows(place, "browser")) == 0


class TestForms:
    def test_a_form_is_carried_out_once(self, browser, place):
        browser.sign_in(ADA, OF_ADA)
        fields = {**browser.fields("/act/enrol-browser"), **ENROLMENT, "pin": OF_ADA}
        first, second = (browser.send("/act/enrol-browser", fields) for _time in range(2))
        assert first.status == second.status == 303
        assert first.headers["location"] == second.headers["location"]
        assert "is tablet of line 3" in browser.follow(second).page
        assert len(rows(place, "browser")) == 1

    def test_a_session_that_ended_in_between_loses_nothing(self, browser, place):
        browser.sign_in(ADA, OF_ADA)
        fields = {**browser.fields("/act/enrol-browser"), **ENROLMENT, "pin": OF_ADA}
        browser.cookies.clear()
        answer = browser.send("/act/enrol-browser", fields)
        assert (answer.status, "Nobody is signed in here any more" in answer.problem) == (409, True)
        assert "new tablet</textarea>" in answer.page
        assert OF_ADA not in answer.page
        again = browser.send("/act/enrol-browser", {**filled(answer), "badge": ADA, "pin": OF_ADA})
        assert again.status == 303
        assert "runout-session" in browser.cookies
        assert len(rows(place, "browser")) == 1

    def test_a_page_from_before_a_restart_does_nothing_and_keeps_what_was_typed(self, place):
        with served(place) as port:
            before = Browser(port)
            before.sign_in(ADA, OF_ADA)
            fields = {**before.fields("/act/enrol-browser"), **ENROLMENT, "pin": OF_ADA}
        with served(place) as port:
            after = Browser(port)
            after.cookies = before.cookies
            answer = after.send("/act/enrol-browser", {**fields, "badge": ADA})
            assert answer.status == 409
            assert "from before the server was started anew" in answer.problem
            assert 'value="tablet of line 3"' in answer.page
            assert "look at the thing itself" in after.get(f"/done/{fields['form']}").page
        assert len(rows(place, "browser")) == 0

    def test_a_refused_form_keeps_what_was_typed(self, browser, place):
        answer = browser.fill("/act/enrol-browser", **ENROLMENT, badge=ADA, pin=WRONG)
        assert (answer.status, answer.problem) == (
            403,
            "Not done. Wrong PIN for the badge of Ada. Key it again.",
        )
        assert "new tablet</textarea>" in answer.page
        again = browser.send("/act/enrol-browser", {**filled(answer), "badge": ADA, "pin": OF_ADA})
        assert again.status == 303

    @pytest.mark.parametrize(
        ("field", "text", "sentence"),
        [
            ("name", " ", "“What people call it” is empty"),
            ("name", "x" * 61, "has 61 characters: expected 60 at most"),
            ("station", "W0000999", "expected one of those on the page"),
            ("reason", None, "“Reason” is empty"),
            ("pin", "", "your PIN is empty"),
        ],
    )
    def test_a_field_that_is_wrong_is_named(self, browser, field, text, sentence):
        browser.sign_in(ADA, OF_ADA)
        answer = browser.fill("/act/enrol-browser", **{**ENROLMENT, "pin": OF_ADA, field: text})
        assert answer.status == 400
        assert sentence.lower() in answer.problem.lower()

    @pytest.mark.parametrize(
        ("body", "kind", "status", "sentence"),
        [
            (b"{}", "application/json", 415, "expected the content type"),
            (b"a=%ff", FORM, 400, "not text in UTF-8"),
            (b"a=\xff", FORM, 400, "not text in UTF-8"),
            (b"a=" + b"x" * MOST_BYTES, FORM, 413, "too long"),
            (b"&".join(b"a=1" for _one in range(300)), FORM, 400, "ore than 200 fields"),
        ],
    )
    def test_what_is_no_form_of_ours_has_its_sentence(self, browser, body, kind, status, sentence):
        answer = browser.post("/sign-in", body, Content_Type=kind)
        assert (answer.status, sentence in answer.page) == (status, True)

    def test_markup_in_a_field_is_only_shown(self, browser):
        hostile = '"><script>alert(1)</script>\x1b[2J'
        answer = browser.fill("/act/enrol-browser", **{**ENROLMENT, "name": hostile, "pin": ""})
        assert "<script>alert" not in answer.page
        assert "\x1b" not in answer.page


def filled(answer):
    return fields_on(answer.page)


class TestBrowsers:
    def test_a_browser_is_enrolled_by_quality_and_withdrawn(self, browser, place, app):
        browser.sign_in(BEN, OF_BEN)
        done = browser.fill("/act/enrol-browser", **ENROLMENT, pin=OF_BEN)
        secret = browser.cookies["runout-browser"]
        told = " ".join(re.sub(r"<[^>]+>", " ", browser.follow(done).page).split())
        assert f"opens station {LINE} from now on" in told
        assert secret not in browser.get("/browsers").page
        kept = b"".join(row[0] for row in rows(place, "journal", "canonical"))
        assert secret.encode() not in kept
        with open_ledger(place) as ledger:
            [enrolled] = ledger.browsers.listed().browsers
            assert (enrolled.name, enrolled.person) == ("tablet of line 3", BEN)
            assert [ledger.browsers.opens(secret, each) for each in (None, LINE, LAB)] == [True, True, False]
            assert not ledger.browsers.opens("guessed")
        browser.fill("/act/withdraw-browser", number=str(enrolled.number), reason="lost", pin=OF_BEN)
        with open_ledger(place) as ledger:
            assert not ledger.browsers.opens(secret, LINE)
            ledger.upkeep.rebuild()
            assert not ledger.browsers.opens(secret, LINE)
        again = browser.fill("/act/withdraw-browser", number=str(enrolled.number), reason="lost", pin=OF_BEN)
        assert "was withdrawn by entry" in again.problem
        assert refused(place)[-1] == ("access-refused", "act withdraw-browser", BEN)


class TestCodes:
    """`runout browser` enrols a browser at a terminal, which then keys the code that was shown."""

    @pytest.fixture
    def enrolled(self, place, monkeypatch):
        monkeypatch.setenv("RUNOUT_PIN", OF_BEN)
        words = ("--station", LINE, "--by", BEN, "--reason", "new")
        return run("browser", "enrol", "tablet of line 3", *words, ledger=place)

    def test_a_code_is_keyed_once_and_withdrawn(self, browser, place, enrolled, app):
        code, number = enrolled.out.strip(), enrolled.err.split()[1]
        assert f"Browser {number} opens station {LINE}, once this code is keyed" in enrolled.err
        keyed = browser.post("/browser", {"code": f" {code.lower().replace('-', ' ')} "})
        assert (keyed.status, keyed.headers["location"]) == (303, "/station")
        assert all(part in keyed.cookies[0] for part in ("HttpOnly", "SameSite=strict"))
        assert browser.get(f"/station/{LINE}").status == 200
        assert browser.get(f"/station/{LAB}").status == 403
        assert run("browser", "list", "--format", "csv", ledger=place).out.splitlines()[1].startswith(number)
        lost = run("browser", "withdraw", number, "--by", BEN, "--reason", "lost", ledger=place)
        assert lost.out == "tablet of line 3 opens no station any more.\n"
        app.state.entrance.look_again()
        assert browser.get(f"/station/{LINE}").status == 403

    def test_a_code_that_is_none_is_refused_and_recorded_and_waits(self, browser, place):
        answers = [browser.post("/browser", {"code": "ABCD-EFGH"}) for _try in range(11)]
        assert [answer.status for answer in answers] == [403] * 10 + [429]
        assert answers[0].problem.startswith("Not done. No browser is enrolled by this code: look whether")
        assert browser.post("/browser", {"code": " "}).status == 429
        assert refused(place)[-1] == ("access-refused", "key the code of a browser", None)

    def test_a_code_is_taken_from_our_page_only(self, browser, enrolled):
        sent = {"code": enrolled.out.strip()}
        assert browser.post("/browser", sent, Origin="http://example.com").status == 403
        assert browser.post("/browser", sent, Origin=None).status == 403
        assert browser.cookies == {}

    def test_the_page_is_there_for_whoever_is_not_signed_in(self, place):
        with served(place, reached=Reached(is_for_others=True)) as port:
            assert 'name="code"' in Browser(port).get("/browser").page

    def test_who_may_not_enrols_none(self, place, monkeypatch):
        monkeypatch.setenv("RUNOUT_PIN", WRONG)
        words = ("--by", BEN, "--reason", "new")
        assert run("browser", "enrol", "tablet", *words, ledger=place).code == 4
        assert run("browser", "list", "--format", "json", ledger=place).out == "[]\n"
        assert run("browser", "withdraw", "7", *words, ledger=place).code in (2, 4)


class TestForOthers:
    @pytest.fixture
    def outside(self, place):
        with served(place, reached=Reached(is_for_others=True)) as port:
            yield Browser(port)

    @pytest.mark.parametrize(
        "address",
        ["/board", "/search?q=comet", f"/thing/{ADA}", "/contain", "/browsers", "/x", "/thing/x.js"],
    )
    def test_pages_are_for_people_who_signed_in(self, outside, address):
        answer = outside.get(address)
        assert answer.status == 303
        assert answer.headers["location"].startswith("/sign-in?next=/")
        assert outside.get("/desk.css").status == 200
        outside.sign_in(ADA, OF_ADA)
        assert outside.get(address).status != 303

    def test_an_enrolled_browser_shows_the_board_and_no_more(self, outside):
        outside.sign_in(ADA, OF_ADA)
        outside.fill("/act/enrol-browser", **{**ENROLMENT, "station": "any"}, pin=OF_ADA)
        outside.post("/sign-out", {})
        assert outside.get("/board").status == 200
        assert outside.get("/contain").status == 303


class TestSessions:
    def test_one_ends_without_a_page_and_after_a_shift(self):
        now = [0.0]
        sessions = WebSessions(lambda: now[0])
        secret, session = sessions.open(None)
        now[0] = IDLE_SECONDS
        assert sessions.find(secret) is session
        now[0] += IDLE_SECONDS
        assert sessions.find(secret, is_used=False) is session
        now[0] += 1
        assert sessions.find(secret) is None
        secret, session = sessions.open(None)
        began = now[0]
        while now[0] + IDLE_SECONDS <= began + LONGEST_SECONDS:
            now[0] += IDLE_SECONDS
            assert sessions.find(secret) is session
        now[0] += 1
        assert sessions.find(secret) is None


class TestListening:
    """By which address others reach the pages."""

    @pytest.fixture
    def files(self, tmp_path):
        return certificate(tmp_path)

    @pytest.mark.parametrize(
        ("options", "sentence"),
        [
            ({"host": "0.0.0.0"}, "for other machines they need --tls-cert and --tls-key"),
            ({"host": "192.0.2.10", "behind": "https://runout.example.com"}, "with --proxy its address"),
            ({"proxy": "192.0.2.20"}, "--proxy belongs to --behind"),
            ({"behind": "http://runout.example.com"}, "expected an address such as https://"),
            ({"behind": "https://runout.example.com/x"}, "expected an address such as https://"),
            ({"tls_cert": "cert.pem"}, "go together: found only one"),
            ({"tls_cert": "none.pem", "tls_key": "none.pem"}, "cannot be used: No such file"),
            ({"host": "nonsense"}, "--host is 'nonsense'"),
        ],
    )
    def test_what_others_could_read_along_is_refused(self, options, sentence):
        with pytest.raises(UsageError, match=re.escape(sentence)):
            reached_by(Listening(**options))

    def test_a_certificate_lets_others_in_by_name(self, files):
        cert, key = files
        own = {"tls_cert": cert, "tls_key": key}
        assert reached_by(Listening("192.0.2.10", names=("runout.example.com",), **own)) == Reached(
            ("192.0.2.10", "runout.example.com"), is_secure=True, is_for_others=True
        )
        with pytest.raises(UsageError, match="with --name, one or more"):
            reached_by(Listening("0.0.0.0", **own))
        with pytest.raises(UsageError, match="cannot be used"):
            reached_by(Listening("192.0.2.10", tls_cert=key, tls_key=cert))

    def test_a_proxy_is_named(self):
        found = reached_by(Listening(behind="https://runout.example.com:8443"))
        assert (found.origin, found.is_secure, found.is_for_others) == (
            "https://runout.example.com:8443",
            True,
            True,
        )
        assert "runout.example.com" in found.names

    def test_only_the_proxy_is_answered(self):
        async def answer(scope, _receive, send):
            await PlainTextResponse(scope["client"][0])(scope, _receive, send)

        with served_app(OnlyFrom(answer, "127.0.0.1")) as port:
            assert Browser(port).get("/").page == "127.0.0.1"
        with served_app(OnlyFrom(answer, "192.0.2.20")) as port:
            assert Browser(port).get("/").status == 403

    def test_pages_by_tls(self, files, place):
        cert, key = files
        words = ["serve", "--port", "0", "--tls-cert", cert, "--tls-key", key]
        with serving(place, *words) as told:
            [number] = re.findall(r"https://127\.0\.0\.1:(\d+)/", told)
            trusted = ssl.create_default_context(cafile=cert)
            connection = http.client.HTTPSConnection("127.0.0.1", int(number), timeout=60, context=trusted)
            connection.request("GET", "/sign-in")
            answer = connection.getresponse()
            assert (answer.status, answer.getheader("strict-transport-security")) == (200, "max-age=31536000")
            connection.close()


def certificate(folder):
    """A certificate for this machine and its key, as files."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "runout.example.com")])
    own = x509.IPAddress(ipaddress.ip_address("127.0.0.1"))
    now = datetime.now(UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(1)
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=1))
        .add_extension(x509.SubjectAlternativeName([own]), critical=False)
        .sign(key, hashes.SHA256())
    )
    cert, private = folder / "cert.pem", folder / "key.pem"
    cert.write_bytes(made.public_bytes(serialization.Encoding.PEM))
    private.write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
        )
    )
    return str(cert), str(private)


@contextmanager
def serving(place, *words):
    """The command in a process of its own; yields its first line."""
    python = [sys.executable, "-c", "from tracelink.cli import main; main()", "--ledger", str(place), *words]
    with subprocess.Popen(python, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as program:
        try:
            yield program.stdout.readline()
        finally:
            program.send_signal(signal.SIGINT)
            program.communicate(timeout=60)
