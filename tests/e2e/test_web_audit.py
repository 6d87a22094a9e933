"""The desk for auditors in a browser: verifying with progress, checkpoints, proofs, bundles to download."""

import io
import json
import re
import subprocess
import sys
import threading
import time
import zipfile
from html import unescape

import pytest
from support_cases import ADA
from support_ledgers import content
from support_plant import n
from support_web import Browser, served
from support_web_people import OF_ADA, laid_down, plant_with_pins, rows

from runout import make_signing_key, open_ledger
from tracelink.errors import RefusedByRule
from tracelink.report.format.document import Section
from tracelink.web.auditor.long_jobs import JobResult, LongJob, LongJobs

LONGEST_S = 60


@pytest.fixture(scope="module")
def template(tmp_path_factory):
    place = plant_with_pins(tmp_path_factory.mktemp("web"))
    make_signing_key(place)
    return place


@pytest.fixture
def place(template, tmp_path):
    return laid_down(template, tmp_path)


@pytest.fixture
def browser(place):
    with served(place) as port:
        yield Browser(port)


def answered(browser, address, **fields):
    """Ask a long question and wait for what it comes to."""
    answer = browser.post(address, fields)
    assert (answer.status, answer.headers["location"]) == (303, "/audit/job"), answer.page
    return come_to(browser)


def come_to(browser):
    """Wait for what the long question that was asked last comes to."""
    ends = time.monotonic() + LONGEST_S
    while "Being answered" in (page := browser.get("/audit/job").page):
        assert time.monotonic() < ends
        time.sleep(0.02)
    return unescape(re.sub(r"<[^>]+>", " ", page)), page


class TestVerify:
    def test_a_whole_journal_has_no_difference_and_nothing_is_written(self, browser, place):
        before = content(place)
        text, _page = answered(browser, "/audit/verify", judge_again="yes")
        assert re.search(r"differences\s+0\s", text)
        assert re.search(r"entries not judged\s+0\s", text)
        assert "Nothing kept outside was compared" in text
        assert content(place) == before

    def test_a_checkpoint_from_before_is_compared(self, browser, place):
        with open_ledger(place, read_only=True) as ledger:
            kept = ledger.journal.checkpoint()
            head = ledger.head
        text, _page = answered(browser, "/audit/verify", checkpoint=kept.text.replace("\n", "\r\n"))
        assert f"agrees with the first {kept.size} entries" in text
        assert "Nothing kept outside" not in text
        text, _page = answered(browser, "/audit/verify", head=f"{head[0]}:{'0' * 64}")
        assert re.search(r"differences\s+1\s", text)

    @pytest.mark.parametrize(
        ("fields", "sentence"),
        [({"head": "nonsense"}, "'nonsense'"), ({"checkpoint": "nonsense"}, "the checkpoint")],
    )
    def test_what_is_no_checkpoint_is_told(self, browser, fields, sentence):
        text, _page = answered(browser, "/audit/verify", **fields)
        assert "Not answered" in text or re.search(r"differences\s+1\s", text)
        assert sentence in text

    def test_judging_again_is_counted_as_a_second_way_through(self, place, browser, monkeypatch):
        with open_ledger(place, read_only=True) as ledger:
            size = ledger.head[0]
        totals = []
        start = LongJobs.start
        monkeypatch.setattr(
            LongJobs, "start", lambda jobs, job, work: (totals.append(job), start(jobs, job, work))
        )
        for fields, ways in (({}, 1), ({"judge_again": "yes"}, 2)):
            answered(browser, "/audit/verify", **fields)
            assert totals[-1].total == ways * size
            # Every step is of one entry, so that what is shown is near what is done.
            assert (ways - 1) * size < totals[-1].done <= ways * size


class TestJobs:
    def test_one_is_answered_at_a_time_and_says_how_far_it_is(self):
        jobs, may_go_on = LongJobs(str), threading.Event()

        def work(job):
            job.step(1)
            assert may_go_on.wait(LONGEST_S)
            return JobResult((Section("x", ()),))

        first = LongJob("first", 4)
        jobs.start(first, work)
        with pytest.raises(RefusedByRule, match="“first” is not answered yet"):
            jobs.start(LongJob("second", 4), work)
        may_go_on.set()
        ends = time.monotonic() + LONGEST_S
        while first.is_running:
            assert time.monotonic() < ends
        assert (first.done, first.percent) == (1, 100)

    def test_what_nobody_foresaw_is_told_by_its_sentence(self):
        def work(_job):
            raise ZeroDivisionError("secret")

        jobs, job = LongJobs(lambda _problem: "this is a fault"), LongJob("x", 1)
        jobs.start(job, work)
        ends = time.monotonic() + LONGEST_S
        while job.is_running:
            assert time.monotonic() < ends
        assert job.problem == "this is a fault"


class TestBundles:
    def test_one_is_downloaded_and_checked_by_the_program_in_it(self, browser, tmp_path):
        text, page = answered(browser, "/audit/bundle", code=n("L1"))
        assert "it is not signed by a key that we know" in text
        [address] = re.findall(r'href="(/audit/bundle/[^"]+\.zip)"', page)
        packed = browser.get(address).content
        zipfile.ZipFile(io.BytesIO(packed)).extractall(tmp_path / "bundle")
        [program] = (tmp_path / "bundle").rglob("verify.py")
        words = [sys.executable, str(program)]
        done = subprocess.run(words, check=False, capture_output=True, cwd=program.parent, timeout=60)
        assert done.returncode in (0, 1), done.stderr

    def test_who_signs_one_is_signed_in(self, browser, place):
        refused = browser.post("/audit/bundle", {"code": n("L1"), "signed": "yes"})
        assert (refused.status, "signs in first" in refused.page) == (403, True)
        assert rows(place, "finding", "finding", "subject", station=None) == [
            ("access-refused", "sign a bundle")
        ]
        browser.sign_in(ADA, OF_ADA)
        text, _page = answered(browser, "/audit/bundle", code=n("L1"), signed="yes")
        assert re.search(r"key to check it with\s+\S+\+[0-9a-f]{8}\+", text)

    @pytest.mark.parametrize(("code", "sentence"), [("", "is empty"), ("L0000999", "L0000999")])
    def test_what_it_cannot_be_about_is_told(self, browser, code, sentence):
        answer = browser.post("/audit/bundle", {"code": code})
        # Asked once more while it is answered it would be told to wait.
        page = answer.page if answer.status == 400 else come_to(browser)[0]
        assert sentence in page

    @pytest.mark.parametrize("name", ["audit-X.zip", "..%2Fplant.db", "%2Fetc%2Fpasswd"])
    def test_no_other_file_is_given(self, browser, name):
        assert browser.get(f"/audit/bundle/{name}").status in (400, 404)


class TestProofs:
    def test_a_proof_is_that_of_the_command(self, browser, place):
        answer = browser.follow(browser.get("/audit/proof?entry=7"))
        with open_ledger(place, read_only=True) as ledger:
            assert json.loads(answer.content) == ledger.journal.prove(7).to_dict()

    def test_a_checkpoint_is_signed_for_whoever_is_signed_in(self, browser, place):
        assert browser.post("/audit/checkpoint", {}).status == 403
        browser.sign_in(ADA, OF_ADA)
        answer = browser.post("/audit/checkpoint", {})
        assert answer.headers["content-type"].startswith("text/plain")
        (place.parent / "kept.txt").write_bytes(answer.content)
        with open_ledger(place, read_only=True) as ledger:
            assert str(ledger.head[0]) in answer.page.splitlines()[1]

    @pytest.mark.parametrize("address", ["/audit/proof/0.json", "/audit/proof/x.json", "/audit/proof?entry="])
    def test_an_entry_that_is_none_is_told(self, browser, address):
        answer = browser.get(address)
        answer = browser.follow(answer) if answer.status == 303 else answer
        assert answer.status in (400, 404)


@pytest.mark.parametrize("address", ["/audit/verify", "/audit/bundle", "/audit/checkpoint"])
def test_another_site_asks_nothing(browser, address):
    assert browser.post(address, {}, Origin="https://example.com").status == 403


def test_the_desk_says_what_the_journal_holds(browser, place):
    with open_ledger(place, read_only=True) as ledger:
        counts = ledger.journal.counts()
    page = browser.get("/audit").page
    assert counts.head[1] in page
    assert [kind for kind in counts.kinds if kind not in page] == []
