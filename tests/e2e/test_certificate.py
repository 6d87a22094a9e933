"""`runout contain --together` and `--check` through the command line, on a floor with open and shipped cartons."""

import json
import subprocess
import sys

import pytest
from support_cli import run
from support_clock import station_clock
from support_plant import LAB, LINE, Floor, n, stamper
from support_two_cartons import ship_the_first, two_cartons

SCOPE = ("contain", stamper("EX-101-A"), "--shape", "from-onset", "--format", "json")


@pytest.fixture(scope="module")
def plant():
    return two_cartons()


@pytest.fixture
def ledger(plant, tmp_path):
    return plant.saved(tmp_path / "runout.db")


@pytest.fixture
def scope(ledger, tmp_path):
    file = tmp_path / "scope.json"
    file.write_text(
        run(*SCOPE, "--together", f"{n('carton 1')},{n('K11')}", ledger=ledger).out, encoding="utf-8"
    )
    return file


def check(file, ledger, *words):
    return run("contain", "--check", file, *words, ledger=ledger)


def test_every_bound_is_confirmed(scope, ledger):
    data = json.loads(scope.read_text())
    done = check(scope, ledger)
    count = len(data["containers"]) + len(data["groups"]) + len(data["places"]) + 1
    assert done.out.startswith(f"{scope}: {count} of {count} bounds confirmed by the movements up to entry ")
    assert done.code == 0
    rows = json.loads(check(scope, ledger, "--format", "json").out)
    assert {row["verdict"] for row in rows} == {"confirmed"}
    assert ("together", f"{n('carton 1')},{n('K11')}") in {(row["kind"], row["code"]) for row in rows}


def test_bounds_that_there_is_no_time_for_are_said_to_be_not_looked_at(scope, ledger):
    data = json.loads(scope.read_text())
    left = len(data["containers"]) + len(data["groups"]) + len(data["places"])
    done = check(scope, ledger, "--seconds", "0.000001")
    assert f"There was no time left to look at {left} bounds: --seconds gives the check more." in done.out
    assert f": 1 of {left + 1} bounds confirmed" in done.out
    assert done.code == 1
    assert check(scope, ledger, "--seconds", "60").code == 0
    refused = check(scope, ledger, "--seconds", "0")
    assert refused.code == 2
    assert "--seconds 0: expected a number of seconds that is more than 0" in refused.err


def test_a_set_is_bounded_together(scope, ledger):
    """Of strokes 4 to 10 on the spindle, 7 of 9 discs went on: the carton and the rest hold what the other does not."""
    [one] = json.loads(scope.read_text())["together"]
    assert one == {
        "codes": [n("carton 1"), n("K11")], "pieces": 6, "least": 0, "most": 6, "tight": True
    }  # fmt: skip
    table = run(*SCOPE[:-2], "--together", f"{n('carton 1')}, {n('carton 2')},{n('K11')}", ledger=ledger).out
    assert f"{n('carton 1')} + {n('carton 2')} + {n('K11')}" in " ".join(table.split()).replace(
        "9 0 7 yes ", ""
    )
    [one] = json.loads(
        run(*SCOPE, "--together", f"{n('carton 1')},{n('carton 2')},{n('K11')}", ledger=ledger).out
    )["together"]
    # Together they are the spindle as it was stacked, without the sampled disc 3.
    assert (one["pieces"], one["least"], one["most"]) == (9, 0, 7)


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (
            ("--together", "nonsense"),
            "--together: 'nonsense' is not a consignee, order or country that the scope reaches",
        ),
        (
            ("--together", f"{n('K11')},"),
            "--together: expected codes with commas between, found an empty one",
        ),
        (
            ("--together", n("K99")),
            f"--together: {n('K99')} is not a container, pallet or shipment in the system",
        ),
        (("--together", n("K11"), "--format", "csv"), "--together has no place in --format csv"),
    ],
)
def test_a_set_that_cannot_be_is_refused(ledger, words, sentence):
    done = run(*SCOPE[:-2], *words, ledger=ledger)
    assert done.code == 2
    assert sentence in done.err


@pytest.mark.parametrize("key", ["least", "most", "pieces"])
def test_a_changed_bound_is_named(scope, ledger, key):
    data = json.loads(scope.read_text())
    row = next(one for one in data["containers"] if one["code"] == n("carton 1"))
    row[key] += 1
    scope.write_text(json.dumps(data))
    done = check(scope, ledger)
    assert done.code == 3
    assert f"container  {n('carton 1')}  fails" in " ".join(done.out.split(" ")).replace("   ", "  ")
    assert "the file was changed after it was written" in done.err


def test_a_change_that_no_proof_is_about_is_found_by_the_digest(scope, ledger):
    data = json.loads(scope.read_text())
    data["containers"][0]["chance"] = 0.5
    scope.write_text(json.dumps(data))
    done = check(scope, ledger)
    assert done.code == 3
    assert "its digest is" in done.err


def test_a_ledger_that_grew_still_confirms_and_another_one_does_not(scope, ledger, plant, tmp_path):
    floor = Floor.copy()
    file = floor.saved(tmp_path / "other.db")
    done = check(scope, file)
    assert done.code == 3
    assert "and this ledger has" in done.err
    before = check(scope, ledger).out
    run("press", "--station", n("W1"), ledger=ledger, scans="")
    lines = "".join(f"]C0{n(one)}\n" for one in ("P1",))
    with station_clock():
        assert run("lab", "--station", LAB, ledger=ledger, scans=lines).code == 0
    grown = check(scope, ledger)
    # The bounds are what they were; what stands where is looked up as it is now, so it is not compared any more.
    assert "Its containers, what they stand in, their status" in before
    assert "Also taken from the file, because the journal has gone on since: which containers" in grown.out
    assert (grown.out.splitlines()[0], grown.code) == (before.splitlines()[0], 0)


def test_a_scope_of_a_later_head_than_an_older_copy_has_is_told_so(plant, ledger, tmp_path):
    later = plant.saved(tmp_path / "later.db")
    with station_clock():
        assert run("lab", "--station", LAB, ledger=later, scans=f"]C0{n('P1')}\n").code == 0
    scope = tmp_path / "later.json"
    scope.write_text(run(*SCOPE, ledger=later).out)
    head = json.loads(scope.read_text())["head"]
    assert check(scope, later).code == 0
    done = check(scope, ledger)
    assert done.code == 3
    assert done.err == (
        f"runout: {scope}: it was made from entry {head['seq']} ({head['hash'][:16]}), and this ledger has no such entry: "
        f"its last is {head['seq'] - 1}, so it is an older copy or another ledger\n"
    )


def test_matches_that_are_sealed_later_are_taken_from_the_file(plant, tmp_path):
    floor = Floor(plant.ledger)
    floor.scan(LINE, "carton 3")
    floor.match(1, 1)
    ledger = floor.saved(tmp_path / "spool.db")
    scope = tmp_path / "scope.json"
    scope.write_text(run(*SCOPE, ledger=ledger).out)
    assert json.loads(scope.read_text())["certificate"]["lots"][0]["unsealed"]
    assert check(scope, ledger).code == 0
    # A scope that places holds names the entry of the hold as its head; the spool is as it was.
    held = run(*SCOPE, "--hold", "--by", n("P1"), "--reason", "scratch", ledger=ledger)
    (tmp_path / "held.json").write_text(held.out)
    assert (held.code, check(tmp_path / "held.json", ledger).code) == (1, 0)
    floor.scan(LINE, "CLOSE")
    later = check(scope, floor.saved(tmp_path / "sealed.db"), "--format", "csv")
    assert later.code == 1
    assert "matches that were not sealed yet are taken from the file" in later.out


@pytest.mark.parametrize(
    ("text", "code", "sentence"),
    [
        ("", 2, "is not a scope: expected JSON"),
        ('{\n"head": {', 2, "found a text that cannot be read from line 2, column 10 on: it may be cut off"),
        ("[]", 2, "is not a scope: expected an object, found list"),
        ("{}", 2, "'head' is missing; expected a scope written with --format json"),
        ('{"head": {"seq": 1e999}}', 2, "'seq': expected a whole number, found inf"),
        ('{"head": {"seq": NaN}}', 2, "NaN, which is not JSON"),
        ('{"head": {"seq": 99999999, "hash": "x"}}', 3, "this ledger has no such entry"),
        ("[" * 100_000, 2, "is not a scope: expected JSON"),
        ('{"head": {"seq": ' + "9" * 5000 + "}}", 2, "is not a scope: expected JSON"),
    ],
)
def test_a_file_that_is_no_scope_is_one_sentence(ledger, tmp_path, text, code, sentence):
    file = tmp_path / "odd.json"
    file.write_text(text)
    done = check(file, ledger)
    assert (done.code, sentence in done.err) == (code, True), done.err
    assert len(done.err.splitlines()) == 1


def test_a_file_nested_deeply_is_one_sentence(scope, ledger):
    deep = "[" * 900 + "]" * 900
    whole = scope.read_text().rstrip().removesuffix("}")
    for text in (
        f'{whole},"more":{deep}}}',
        whole.replace('"certificate": {', f'"certificate": {deep},"x":{{') + "}",
    ):
        scope.write_text(text)
        done = check(scope, ledger)
        assert done.code in (2, 3)
        assert "Traceback" not in done.err
        assert done.err


def test_missing_keys_anywhere_are_a_sentence_and_no_traceback(scope, ledger, tmp_path):
    whole = json.loads(scope.read_text())

    def keys(data, path=()):
        if isinstance(data, dict):
            for key, value in data.items():
                yield (*path, key)
                yield from keys(value, (*path, key))
        elif isinstance(data, list):
            for place, value in enumerate(data[:1]):
                yield from keys(value, (*path, place))

    for path in [("head",), *[path for path in keys(whole) if path[0] in ("certificate", "tiers", "places")]]:
        for wrong in (None, ["x"]):
            data = json.loads(scope.read_text())
            inner = data
            for key in path[:-1]:
                inner = inner[key]
            if inner[path[-1]] == wrong:
                continue
            inner[path[-1]] = wrong
            file = tmp_path / "odd.json"
            file.write_text(json.dumps(data))
            done = check(file, ledger)
            assert done.code in (2, 3), (path, wrong)
            assert "Traceback" not in done.err


def test_a_file_that_is_not_there_and_a_directory(ledger, tmp_path):
    for place in (tmp_path / "none.json", tmp_path):
        done = check(place, ledger)
        assert done.code == 2
        assert "cannot be read" in done.err


def test_help_stays_quick():
    """scipy and numpy are not loaded for a command that solves nothing."""
    code = "import sys, tracelink.cli.contain.contain; assert 'scipy' not in sys.modules and 'numpy' not in sys.modules"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_a_shipped_pallet_goes_with_its_order_and_country(plant, tmp_path):
    floor = Floor(plant.ledger)
    ship_the_first(floor)
    ledger = floor.saved(tmp_path / "sent.db")
    scope = tmp_path / "scope.json"
    scope.write_text(run(*SCOPE, "--together", f"DE,{n('carton 2')}", ledger=ledger).out)
    groups = {(one["kind"], one["code"]): one["pieces"] for one in json.loads(scope.read_text())["groups"]}
    assert groups.keys() >= {("order", n("O1")), ("country", "DE"), ("consignee", "Shop 1")}, groups
    assert check(scope, ledger).code == 0
