"""A drill: drawn by a seed, traced, contained, balanced, timed; nothing is written unless it is to be recorded."""

import itertools
import json
import shutil

import pypdfium2
import pytest
from support_cases import ADA, CLEO, shipped_file
from support_cli import run, write_plant_file
from support_plant import MATRICES, n, stamper
from support_sql import change, read

from tracelink.services.drill import drawn_by, hold_drill
from tracelink.store.ledger import Ledger


@pytest.fixture(scope="module")
def template(tmp_path_factory):
    return shipped_file(tmp_path_factory.mktemp("drill"))


@pytest.fixture
def ledger(template, tmp_path):
    return shutil.copy(template, tmp_path / "plant.db")


def held(ledger, *words):
    done = run("drill", *words, "--format", "json", ledger=ledger)
    assert done.err == ""
    return json.loads(done.out)


def untimed(found):
    """A drill without its times, which differ from run to run."""
    return {**found, "ms": 0, "steps": [{**step, "ms": 0} for step in found["steps"]]}


def test_the_same_seed_draws_the_same_thing_and_finds_the_same(ledger):
    first, second = held(ledger, "--seed", 7), held(ledger, "--seed", 7)
    assert untimed(first) == untimed(second)
    assert {held(ledger, "--seed", seed)["subject"] for seed in range(12)} == {
        n("carton 1"),
        n("carton 2"),
        n("carton 3"),
    }


def test_without_a_seed_the_report_names_the_one_taken(ledger):
    found = held(ledger)
    assert untimed(held(ledger, "--seed", found["seed"])) == untimed(found)


def test_what_it_finds_is_what_the_commands_find(ledger):
    found = held(ledger, "--seed", 7)
    assert found["cause"] in {stamper(MATRICES[0]), stamper(MATRICES[1])}
    scope = json.loads(
        run("contain", found["cause"], "--shape", "intermittent", "--format", "json", ledger=ledger).out
    )
    assert found["consignees"] == [
        {"consignee": "Shop 1", "discs": 9},
        {"consignee": "Shop 9", "discs": 5},
    ]
    assert f"containers: {len(scope['containers'])}, consignees: 2" in [
        step["found"] for step in found["steps"]
    ]
    assert (found["discs"], found["unaccounted"], found["difference"]) == (20, 0, 0)
    assert [lot["lot"] for lot in found["lots"]] == [n("L1")]
    assert found["limit"]["minutes"] == 240
    assert "not checked against the original text" in found["limit"]["source"]


def test_each_step_is_timed_by_itself(ledger):
    """With a clock that goes on by one, two, three ... seconds at each look, steps take 1, 3, 5, 7 of them."""
    ticks = itertools.accumulate(itertools.count())
    with Ledger.open(str(ledger), read_only=True).reading() as conn:
        found = hold_drill(conn, "stamper", 1, lambda: float(next(ticks)))
    assert [step.ms for step in found.steps] == [1000, 3000, 5000, 7000]
    assert found.ms == 16000


def test_scans_are_judged_again_when_it_is_asked_for(ledger):
    """The clock goes on by 4 seconds while they are."""
    ticks = itertools.accumulate(itertools.repeat(4))
    with Ledger.open(str(ledger), read_only=True).reading() as conn:
        found = hold_drill(conn, "carton", 7, lambda: float(next(ticks)), judge_again=True)
        scans = conn.exec_driver_sql("SELECT SUM(last_number) FROM station").scalar_one()
    step = found.steps[-1]
    assert (step.asked, step.ms, len(found.steps)) == ("runout audit verify --judge-again", 4000, 5)
    assert step.found.startswith(f"scans: {scans} ({scans / 4:.0f} a second), entries they force: ")
    assert step.found.endswith("entries not judged: 0")


def test_a_difference_and_its_sign_are_told(ledger):
    """Two of the 14 discs of the cartons were lost: the balance of the lot says where it first shows."""
    book = Ledger.open(str(ledger))
    with book.transaction() as conn:
        [(there,)] = read(conn, "stock", "quantity", place=n("K12"))
        change(conn, "stock", {"quantity": there - 2}, place=n("K12"))
    book.close()
    done = run("drill", "--seed", 7, "--format", "json", ledger=ledger)
    found = json.loads(done.out)
    assert (done.code, found["difference"], found["lots_off"]) == (1, 2, 1)
    assert found["lots"][0]["off"]


def test_it_writes_nothing(ledger):
    before = Ledger.open(str(ledger), read_only=True).head()
    assert run("--read-only", "drill", "--seed", 7, ledger=ledger).code == 0
    assert Ledger.open(str(ledger), read_only=True).head() == before


def test_a_recorded_drill_is_an_entry_of_a_named_person(ledger):
    assert run("drill", "--seed", 7, "--record", "--by", ADA, ledger=ledger).code == 0
    [row] = json.loads(run("drill", "--held", "--format", "json", ledger=ledger).out)
    assert (row["seed"], row["what"], row["gaps"], row["difference"]) == (7, "carton", 0, 0)
    assert run("audit", "verify", ledger=ledger).code == 0
    refused = run("drill", "--seed", 7, "--record", "--by", CLEO, ledger=ledger)
    assert (refused.code, "Cleo may not record a drill" in refused.err) == (4, True)


def test_it_is_written_as_text_page_and_pdf(ledger, tmp_path):
    files = [tmp_path / f"drill.{ending}" for ending in ("txt", "html", "pdf")]
    run(*("drill", "--seed", 7, "--out", files[0], "--html", files[1], "--pdf", files[2]), ledger=ledger)
    text, page = (file.read_text(encoding="utf-8") for file in files[:2])
    pdf = pypdfium2.PdfDocument(files[2])
    printed = "".join(sheet.get_textpage().get_text_range() for sheet in pdf)
    pdf.close()
    for found in (text, page, printed):
        assert n("carton 1") in found
        assert "A drill times the records and this machine, not the people" in " ".join(found.split())
    assert "http://" not in page
    assert "https://" not in page


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--record",), "--record and --by BADGE go together"),
        (("--by", ADA), "--record and --by BADGE go together"),
        (("--seed", "-1"), "-1"),
        (("--seed", "many"), "many"),
        (("--from", "pallet"), "pallet"),
        (("--html", "drill.db"), "ends in .html"),
        (("--out", "missing/drill.txt"), "does not exist"),
    ],
)
def test_a_wrong_word_has_its_sentence(ledger, words, sentence):
    done = run("drill", *words, ledger=ledger)
    assert (done.code, sentence in done.err) == (2, True), done.err


@pytest.mark.parametrize(
    ("what", "sentence"), [("carton", "no carton has left the plant"), ("stamper", "no stamper has pressed")]
)
def test_a_new_plant_has_nothing_to_draw(tmp_path, what, sentence):
    run("init", "--plant", write_plant_file(tmp_path / "plant.toml"), ledger=tmp_path / "new.db")
    done = run("drill", "--from", what, ledger=tmp_path / "new.db")
    assert (done.code, sentence in done.err) == (2, True)


def test_the_draw_does_not_hang_on_the_order_and_draws_each():
    codes = [f"C{number}" for number in range(9)]
    assert drawn_by(5, codes) == drawn_by(5, codes[::-1])
    assert {drawn_by(seed, codes) for seed in range(200)} == set(codes)
