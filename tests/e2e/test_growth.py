"""Questions cost what they are about, not what the plant ever made: each is asked of ten lots and of forty."""

import sqlite3
from contextlib import closing

import pytest
from support_cli import run
from support_growth import calls, cost, filled, plant

from tracelink.ledger.entry_tally import BLOCK

SMALL, LARGE = 10, 40
"""Lots."""
ONE_TABLE_READ = 200
"""Steps: reading a table from end to end that has a row for each stack, carton, movement or entry takes more; mostly the
difference is none at all."""
STEPS_OF_AN_ENTRY = 20
"""At most, to see whether an entry is of a station."""

_LOT, _CARTON, _SHIPMENT = plant.code("L", 1004), plant.carton(47), plant.code("D", 5)
_PALLET, _STAMPER, _STACK = plant._sscc("1", 5), plant.stamper(4, 0), plant.code("K", 9)

FLAT = {
    "trace a stamper": ("trace", _STAMPER, "--forward"),
    "trace a lot": ("trace", _LOT),
    "trace a carton": ("trace", _CARTON, "--back"),
    "totals of a stamper": ("contain", _STAMPER, "--shape", "from-onset", "--totals"),
    "totals of a lot": ("contain", _LOT, "--shape", "intermittent", "--totals"),
    "content list": ("packlist", _PALLET, "{out}"),
    "packing list": ("packlist", _SHIPMENT, "{out}"),
    "balance of a lot": ("balance", _LOT),
    "cartons to open on a pallet": ("check-cartons", _PALLET),
    "where a pallet is": ("find", _PALLET),
    "what is on a vehicle": ("find", _SHIPMENT),
    "findings": ("findings",),
    "findings of a kind": ("findings", "--finding", "no-read"),
    "late entries": ("findings", "--late"),
    "rules of record keeping": ("audit", "rules"),
    "holds": ("hold",),
    "cases": ("case", "list"),
    "investigations": ("investigate", "list"),
    "people": ("person", "list"),
    "what a code is": ("code", "read", _LOT),
    "values of a stamper": ("results", _STAMPER),
    "board of the lines": ("board", "line", "--once", "--date", "2031-03-04"),
    "board of the presses": ("board", "press", "--once", "--date", "2031-03-04"),
}
"""Asked of one thing, one day or what is open: the same at both sizes."""

LINEAR = {
    "scope of a stamper": (
        ("contain", _STAMPER, "--shape", "from-onset"),
        "names every lot that shares press, label lot, matrix number or family; here all do",
    ),
    "scope of a carton": (("contain", _CARTON, "--shape", "intermittent"), "the same"),
    "scope of a stack": (("contain", _STACK, "--shape", "intermittent"), "the same"),
    "board of everything": (("board", "--once", "--date", "2031-03-04"), "counts samples, tools and pallets"),
    "drill": (("drill", "--seed", "7"), "draws among all cartons that were shipped"),
    "search": (("search", _LOT), "a part of a code may be in the middle of it"),
    "balance of sleeves": (("balance", plant.batch()), "one sleeve batch for the whole plant"),
    "common cause": (("cause",), "compares all judged discs"),
    "chart of judged discs": (
        ("chart", _STAMPER, "--test", "judged", "--chart", "p"),
        "looks all judged discs up, as the common cause does",
    ),
    "codes that one slip confuses": (("label", "confusable"), "compares all codes"),
    "labels that one slip confuses": (("label", "confusable", "--sscc"), "compares all codes"),
}
"""About the whole plant, for the reason given: no more than so many times the work for so many times the plant."""


@pytest.fixture(scope="module")
def ledgers(tmp_path_factory):
    folder = tmp_path_factory.mktemp("growth")
    with pytest.MonkeyPatch.context() as patch:
        return [filled(folder / f"{lots}.db", lots, patch) for lots in (SMALL, LARGE)]


def _both(ledgers, words, folder):
    named = [word.format(out=folder / "list.pdf") for word in words]
    return [cost(ledger, *named) for ledger in ledgers]


@pytest.mark.parametrize("words", FLAT.values(), ids=FLAT)
def test_a_question_about_one_thing_costs_the_same_in_a_large_plant(words, ledgers, tmp_path):
    small, large = _both(ledgers, words, tmp_path)
    assert large.steps - small.steps < ONE_TABLE_READ, (small.steps, large.steps)
    assert large.statements == small.statements


@pytest.mark.parametrize(("words", "_why"), LINEAR.values(), ids=LINEAR)
def test_a_question_about_the_plant_grows_no_faster_than_the_plant(words, _why, ledgers, tmp_path):
    small, large = _both(ledgers, words, tmp_path)
    assert large.steps <= LARGE / SMALL * small.steps, (small.steps, large.steps)
    assert large.statements <= LARGE / SMALL * small.statements, (small.statements, large.statements)


@pytest.mark.parametrize(
    "words",
    [
        ("contain", plant.PRESS, "--shape", "intermittent", "--format", "csv"),
        ("trace", plant.PRESS, "--forward", "--format", "json"),
        ("cause", "--format", "json"),
    ],
    ids=["scope", "trace", "common cause"],
)
def test_the_work_behind_a_wide_question_grows_no_faster_than_its_answer(words, ledgers):
    small, large = ledgers
    # Once before, so that what is imported and prepared on first use does not count for the small one.
    calls(small, *words)
    assert calls(large, *words) <= 1.1 * LARGE / SMALL * calls(small, *words)


def test_what_was_rarely_done_is_not_looked_for_in_the_whole_journal(ledgers):
    """Of the journal one block and the entries after the last block are read, at most two blocks in all."""
    small, large = (cost(ledger, "contain", plant.SPARE, "--shape", "intermittent") for ledger in ledgers)
    assert large.statements == small.statements
    assert large.steps - small.steps < STEPS_OF_AN_ENTRY * BLOCK, (small.steps, large.steps)
    # A journal read whole would be noticed: the large plant has that many blocks more.
    with closing(sqlite3.connect(ledgers[1])) as db:
        (blocks,) = db.execute("SELECT COUNT(DISTINCT block) FROM entry_block").fetchone()
    assert blocks > 2 * LARGE / SMALL


def test_a_walk_asks_once_for_each_lot_and_not_for_each_thing_on_the_way(ledgers):
    """Tools, cartons and shipments are read by the hundred: a lot more is one statement more, for its movements."""
    small, large = (cost(ledger, "trace", plant.father(0, 0), "--forward") for ledger in ledgers)
    assert large.statements - small.statements <= 1.5 * (LARGE - SMALL), (small.statements, large.statements)


def test_the_journal_of_the_plant_replays_like_any_other(ledgers):
    small, _large = ledgers
    checked = run("audit", "verify", ledger=small)
    assert checked.out.startswith("Differences: 0, in"), checked.out


def test_a_table_that_is_read_from_end_to_end_is_noticed(ledgers, tmp_path):
    """The limit of the flat questions is one that a single such read goes past."""
    small, large = (cost(ledger, "search", plant.code("K", 9)) for ledger in ledgers)
    assert large.steps - small.steps > ONE_TABLE_READ


def test_a_table_of_pairs_is_short_and_says_what_it_leaves_out(ledgers):
    _small, large = ledgers
    shown = cost(large, "label", "confusable", "--sscc")
    every = cost(large, "label", "confusable", "--sscc", "--format", "csv")
    pairs = len(every.out.splitlines()) - 1
    assert pairs > 50
    assert sum(line.startswith(("09", "19")) for line in shown.out.splitlines()) <= 50
    assert f"{pairs - 50} more pairs left out; --format csv lists all." in shown.err.replace("\u202f", "")
    assert every.err == ""
