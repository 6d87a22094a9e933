"""`runout chart`, `baseline` and `capability` by the lab: a stamper drifts, the chart warns, containment is proposed."""

import csv
import io
import json
import re

import pytest
from pypdfium2 import PdfDocument
from support_browser import violations
from support_cli import run
from support_drift import DRIFT, TOOL, frozen, measured, quiet_floor
from support_plant import LAB, PRESS, code, n
from support_web import Browser, served

import runout
from tracelink.errors import UsageError

DRAWN = ["chart", TOOL, "--test", "noise"]


@pytest.fixture(scope="module")
def quiet(tmp_path_factory):
    """Twenty quiet discs; no baseline yet."""
    return quiet_floor().saved(tmp_path_factory.mktemp("quiet") / "plant.db")


@pytest.fixture(scope="module")
def drifted(tmp_path_factory):
    """The same with a frozen baseline, then twenty discs that get louder; and what the bench said of each."""
    floor = quiet_floor()
    frozen(floor)
    said = {disc: measured(floor, disc, value) for disc, value in enumerate(DRIFT, 1) if disc > 20}
    # Until the last one it stays within the limit, so that nobody asks for a judgement.
    return floor.saved(tmp_path_factory.mktemp("drift") / "plant.db"), said


def test_without_a_baseline_nothing_warns_and_the_chart_says_so(quiet):
    done = run(*DRAWN, ledger=quiet)
    assert done.code == 1
    assert done.out.splitlines()[-2] == "8 earlier points are not shown; --format csv has all."
    assert done.out.splitlines()[-1] == (
        f"20 points; no baseline is frozen for {TOOL} or what it was grown from, so there are no limits and nothing warns. "
        "runout baseline freezes one."
    )


def test_a_baseline_is_shown_and_frozen_by_its_own_entry(quiet, tmp_path):
    place = tmp_path / "plant.db"
    place.write_bytes(quiet.read_bytes())
    words = ["baseline", TOOL, "--test", "noise"]
    shown = run(*words, ledger=place)
    told = f"individuals of noise for {TOOL}, 20 points, centre -61.12, standard deviation 0.737215379.\n"
    assert shown.out == f"Not frozen (--by BADGE and --reason freeze it): {told}"
    done = run(*words, "--reason", "first run, all good", "--by", n("P1"), ledger=place)
    assert done.out == f"Frozen: {told}"
    assert run(*DRAWN, ledger=place).code == 0
    # It holds for what is grown from it as well, and not for others.
    assert "no baseline is frozen" in run("chart", PRESS_CODE, "--test", "noise", ledger=place).out


PRESS_CODE = n(PRESS)


@pytest.mark.parametrize(
    ("words", "status", "sentence"),
    [
        pytest.param(["--points", "1"], 2, "Cannot tell: 1 point, and 20 or more are needed", id="one point"),
        pytest.param(
            ["--points", "3"], 2, "Cannot tell: 3 points, and 20 or more are needed", id="three points"
        ),
        pytest.param(["--without", code("S", 99)], 2, "expected the tag of a sample of", id="unknown sample"),
        pytest.param(["--by", n("P1")], 2, "--reason is missing", id="no reason"),
        pytest.param(["--by", n("P1"), "--reason", " "], 2, "reason is empty", id="empty reason"),
        pytest.param(["--by", n("P77"), "--reason", "x"], 4, "unknown badge", id="nobody"),
        pytest.param(
            ["--chart", "xbar-r"], 2, "Cannot tell: 4 points, and 20 or more are needed", id="groups"
        ),
        pytest.param(["--chart", "c"], 2, "expected whole numbers of defects", id="no counts"),
        pytest.param(["--chart", "p"], 2, "p and np chart discs that were judged", id="not judged"),
    ],
)
def test_baselines_that_are_refused(quiet, words, status, sentence):
    done = run("baseline", TOOL, "--test", "noise", *words, ledger=quiet)
    assert (done.code, sentence in done.err) == (status, True), done.err


def test_a_baseline_with_a_point_beyond_its_own_limits_is_refused(drifted):
    done = run("baseline", TOOL, "--test", "noise", ledger=drifted[0])
    assert done.code == 2
    assert re.search(
        r"sample S\w+ \(lot L000001B, stroke \d+\) is beyond the limits that the points of", done.err
    )


def test_the_bench_warns_strokes_before_the_first_disc_is_over_the_limit(drifted):
    place, said = drifted
    warned = [disc for disc, sentence in said.items() if "A warning:" in sentence]
    outside = [disc for disc, sentence in said.items() if "outside the limit" in sentence]
    assert (warned[0], outside[0]) == (23, 27)
    assert said[23] == (
        f"Sample {n('S23')}: noise -58.8 dB on side A, within the limit (at most -55.0 dB). A warning: noise is a signal on "
        f"the chart of {TOOL} (beyond 3 sigma, 4 of 5 beyond 1 sigma; centre -61.12, limits -63.332 to -58.908). The change "
        f"begins between 4 and 23. Nothing recorded changed with it: look at {TOOL} itself."
    )
    board = run("board", "--once", "--date", "2031-03-03", ledger=place).out
    assert re.search(r"18 chart-signal; last \d\d:\d\d at " + n(LAB), board)
    found = json.loads(run("findings", "--finding", "chart-signal", "--format", "json", ledger=place).out)
    assert (len(found), found[-1]["subject"], found[-1]["found"]) == (18, TOOL, "-58.8 dB")
    gathered = run("findings", "--finding", "chart-signal", ledger=place).out
    first = found[-1]["seq"]
    assert re.search(
        rf"^entry {found[0]['seq']}  .*\n    18 times on {TOOL}, first .* \(entry {first}\)\.", gathered
    )
    assert gathered.count("entry ") == 2
    each = run("findings", "--finding", "chart-signal", "--each", ledger=place).out
    assert [int(seq) for seq in re.findall(r"^entry (\d+)", each, re.MULTILINE)] == [
        one["seq"] for one in found
    ]


def test_the_chart_says_where_it_begins_what_changed_and_what_to_ask(drifted):
    place, _said = drifted
    done = run(*DRAWN, ledger=place)
    assert done.code == 1
    told = done.out.split("--format csv has all.\n")[1].splitlines()
    assert told[1:5] == [
        f"18 points signal, the first sample {n('S23')} at stroke 23: beyond 3 sigma, 4 of 5 beyond 1 sigma.",
        "A drift that begins between stroke 18 and 21 (95 %): from -61.195 on average to -53.867.",
        f"Nothing recorded changed with it, so look at {TOOL} itself: wear, damage, or how it was made.",
        "13 discs outside the limit (at most -55 dB), the first at stroke 27.",
    ]
    assert told[6].startswith(
        f"Discs are outside the limit: ask what {TOOL} touched. The fault begins after stroke 18 and by stroke 27."
    )
    question = next(line for line in told if line.startswith("To ask: runout contain"))
    assert f"{TOOL} --shape window --window 19-40 --evidence 'L000001B:27=bad:surface noise'" in question
    printed = json.loads(run(*DRAWN, "--format", "json", ledger=place).out)
    with runout.open_ledger(place, read_only=True) as ledger:
        found = ledger.lab.chart(TOOL, runout.ChartAsked("noise"))
    assert printed == json.loads(json.dumps(found.to_dict()))
    assert printed["signalled"] == [*range(23, 41)]
    rows = [*csv.DictReader(io.StringIO(run(*DRAWN, "--format", "csv", ledger=place).out))]
    assert (len(rows), rows[21]["signal"], rows[20]["signal"]) == (40, "", "")


def test_the_chart_as_picture_page_and_pdf(drifted, tmp_path):
    files = [str(tmp_path / f"chart.{ending}") for ending in ("svg", "html", "pdf")]
    for option, file in zip(("--svg", "--html", "--pdf"), files, strict=True):
        run(*DRAWN, option, file, ledger=drifted[0])
    svg, page = ((tmp_path / f"chart.{ending}").read_text(encoding="utf-8") for ending in ("svg", "html"))
    # 22 quiet points of the chart and all 39 moving ranges are rings, the 18 others crosses.
    assert svg.count("<circle") == 22 + 39
    assert "limit of the plant -55" in svg
    assert "<a " not in svg
    assert f"{TOOL}: noise, dB" in page
    with PdfDocument(tmp_path / "chart.pdf") as sheets:
        first = sheets[0].get_textpage().get_text_range()
    assert f"stroke of the life of {TOOL}" in first, "the chart is on the sheet of the title"
    with runout.open_ledger(drifted[0], read_only=True) as ledger:
        found = ledger.lab.chart(TOOL, runout.ChartAsked("noise"))
    at = "2031-03-04T08:00:00+01:00"
    assert found.to_svg(at) == found.to_svg(at)


def test_capability_is_refused_where_the_data_do_not_allow_it(quiet, drifted):
    few = run("capability", TOOL, "--test", "noise", ledger=quiet)
    assert (few.code, few.out) == (1, "Cannot tell: 20 values, and 30 or more are needed.\n")
    drifting = run("capability", TOOL, "--test", "noise", ledger=drifted[0])
    assert drifting.code == 1
    assert "is a signal, so the process was not the same all along" in drifting.out
    nothing = run("capability", TOOL, "--test", "ticks", ledger=quiet)
    assert (nothing.code, nothing.out) == (
        1,
        "Cannot tell: no limit is set that they could be compared with.\n",
    )


def test_a_press_is_charted_in_the_order_pressed(drifted):
    found = json.loads(run("chart", PRESS_CODE, "--test", "noise", "--format", "json", ledger=drifted[0]).out)
    assert (found["by_stroke"], found["baseline"]) == (False, None)
    assert [point[0]["place"] for point in found["points"]] == [*range(1, 41)]


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        pytest.param(["chart", TOOL, "--test", "warp"], "lab test 'warp': expected", id="no such test"),
        pytest.param(
            ["chart", n("L1"), "--test", "judged"], "p and np chart discs that were judged", id="judged"
        ),
        pytest.param(
            ["chart", n("P1"), "--test", "noise"], "is no tool, press, lot or sample", id="a person"
        ),
        pytest.param(["chart", code("T", 9999), "--test", "noise"], "not in the", id="unknown"),
    ],
)
def test_what_cannot_be_charted(quiet, words, sentence):
    done = run(*words, ledger=quiet)
    assert (done.code, sentence in done.err) == (2, True), done.err


def test_a_chart_of_nothing(quiet):
    done = run("chart", TOOL, "--test", "ticks", ledger=quiet)
    assert (done.code, "Cannot tell: nothing was measured or judged of what" in done.out) == (1, True)


def test_every_signal_follows_from_the_scans(drifted):
    done = run("audit", "verify", "--judge-again", ledger=drifted[0])
    assert done.code == 0, done.out
    with pytest.raises(UsageError), runout.open_ledger(drifted[0]) as ledger:
        ledger.lab.chart(TOOL, runout.ChartAsked("noise", "pie"))


def test_in_a_browser_each_point_leads_to_its_disc(drifted):
    with served(drifted[0]) as port:
        browser = Browser(port)
        shown = browser.get(f"/chart?code={TOOL}&test=noise")
        assert shown.status == 200
        links = re.findall(r'<a href="/thing/(S\w+)"><title>(.*?)</title>', shown.page)
        # Forty values and thirty-nine moving ranges.
        assert len(links) == 79
        assert links[0] == (n("S1"), f"{n('S1')}, stroke 1 of {n('L1')}: {DRIFT[0]:.5g}")
        assert browser.get(f"/thing/{n('S1')}").status == 200
        form = browser.get("/chart")
        assert (form.status, '<option value="noise"' in form.page, "<svg" in form.page) == (200, True, False)
        for asked, sentence in (
            ("&test=warp", "Lab test"),
            ("&test=noise&size=x", "expected a whole number"),
        ):
            refused = browser.get(f"/chart?code={TOOL}{asked}")
            assert (refused.status, sentence in refused.page) == (400, True), refused.page


def test_axe_finds_no_violation_on_a_chart(drifted, tabs):
    with served(drifted[0]) as port:
        tab = tabs(f"http://127.0.0.1:{port}/chart?code={TOOL}&test=noise")
        for scheme in ("light", "dark"):
            tab.emulate_media(color_scheme=scheme)
            assert tab.locator("svg a").count() == 79
            assert violations(tab) == []
        tab.set_viewport_size({"width": 390, "height": 844})
        assert tab.evaluate("document.documentElement.scrollWidth") == 390
