"""`runout plan` as the person who keeps the plant file uses it: look first, hear of every fault, then change."""

import json
import os

import pytest
from support_cli import run
from support_ledgers import everything, initialised
from support_pins import PINS
from support_plant import code, gtin

ADA, BEN, CLEO = code("P", 1), code("P", 2), code("P", 3)
WRONG = f"""# what changes in November
[[lot]]
code = "{code("L", 80)}"
gtin = "{gtin(1)}"
piece = 1
quantity = 0

[[lot]]
code = "L000001X"
gtin = "{gtin(1)}"
piece = "one"
quantity = 5
colour = "red"

[[order]]
code = "{code("O", 80)}"
consignee = "Example Shop"
country = "DE"
lines = [
  {{ gtin = "{gtin(1)}", quantity = 5 }},
  {{ gtin = "{gtin(9)}", quantity = 5 }},
]

[[changed_setting]]
name = "rest_hours"
value = 24

[[withdrawn_badge]]
badge = "{code("P", 7)}"
since = "last Friday"

[[lots]]
"""
GOOD = f"""
[[location]]
code = "{code("Y", 5)}"
name = "rack 5"

[[changed_product]]
gtin = "{gtin(1)}"
carton_size = 6
since = "2099-01-01"
reason = "larger boxes"
"""


@pytest.fixture
def ledger(tmp_path):
    return initialised(tmp_path)


def written(tmp_path, text):
    file = tmp_path / "plan.toml"
    file.write_text(text, encoding="utf-8")
    return file


def test_every_fault_is_told_at_once_with_its_line(ledger, tmp_path):
    before = everything(ledger)
    told = run("plan", written(tmp_path, WRONG), "--by", ADA, "--reason", "november", ledger=ledger)
    assert (told.code, told.out) == (2, "")
    lines = told.err.splitlines()
    assert lines[0] == f"runout: 9 faults in plant file {tmp_path}/plan.toml:"
    found = [(line.partition(": ")[0], line.partition(": ")[2]) for line in lines[1:-1]]
    assert [where for where, _ in found] == [
        "line 6",
        "line 9",
        "line 11",
        "line 13",
        "line 15",
        "line 25",
        "line 28",
        "line 30",
        "line 32",
    ]
    assert found[0][1] == "[[lot]] number 1: quantity is 0: expected a whole number of 1 or more"
    assert found[2][1] == "[[lot]] number 2: piece is 'one': expected a whole number"
    assert found[3][1] == "[[lot]] number 2: unknown colour"
    assert "it names a product, disc or code that is not in the ledger" in found[4][1]
    assert found[5][1].startswith("[[changed_setting]] number 1: name is 'rest_hours': expected one of ")
    assert found[6][1] == f"[[withdrawn_badge]] number 1: badge {code('P', 7)} is not in the system"
    assert found[7][1].endswith("since is 'last Friday': expected a day as YYYY-MM-DD")
    assert found[8][1] == "plant file: unknown lots"
    assert lines[-1] == "Nothing of the file was taken."
    assert everything(ledger) == before


def test_a_dry_run_lists_what_would_change_and_records_nothing(ledger, tmp_path):
    file, before = written(tmp_path, GOOD), everything(ledger)
    tried = run("plan", file, "--dry-run", "--format", "json", "--by", ADA, ledger=ledger)
    assert (tried.code, tried.err) == (0, "2 entries would be added.\n")
    assert json.loads(tried.out) == [
        {"line": 2, "entry": "location-named", "says": f"location {code('Y', 5)}: rack 5", "reason": ""},
        {
            "line": 6,
            "entry": "product-changed",
            "says": f'{gtin(1)} "Paper Comet Arithmetic": carton size 6 instead of 5 from 2099-01-01 00:00 UTC on',
            "reason": "larger boxes",
        },
    ]
    assert everything(ledger) == before
    assert run("plan", file, "--by", ADA, ledger=ledger).out == "2 entries added.\n"
    verified = json.loads(run("audit", "verify", "--judge-again", "--format", "json", ledger=ledger).out)[0]
    assert (verified["differences"], verified["faults"]) == (0, [])


def test_a_file_is_the_act_of_a_person_with_their_pin(ledger, tmp_path, monkeypatch):
    file = written(tmp_path, GOOD)
    nobody = run("plan", file, ledger=ledger)
    assert (nobody.code, nobody.err) == (
        2,
        "runout: people of this plant have badges: expected who hands in the file, --by BADGE\n",
    )
    assert run("plan", file, "--by", code("P", 7), ledger=ledger).code == 4
    set_pin = run("person", "pin", ADA, "--by", BEN, "--stdin", ledger=ledger, scans=f"{PINS[1]}\n")
    assert set_pin.code == 0, set_pin.err
    monkeypatch.setitem(os.environ, "RUNOUT_PIN", "90210")
    wrong = run("plan", file, "--by", ADA, ledger=ledger)
    assert (wrong.code, wrong.err[:10]) == (4, "runout: Wr")
    monkeypatch.setitem(os.environ, "RUNOUT_PIN", PINS[1])
    assert run("plan", file, "--by", ADA, ledger=ledger).code == 0


def test_who_is_not_of_quality_adds_and_changes_nothing(ledger, tmp_path):
    told = run("plan", written(tmp_path, GOOD), "--by", CLEO, ledger=ledger)
    assert told.code == 2
    assert "line 6: [[changed_product]] number 1: Cleo may not change the plant" in told.err
    only = written(tmp_path, GOOD.split("[[changed_product]]", maxsplit=1)[0])
    assert run("plan", only, "--by", CLEO, ledger=ledger).out == "1 entry added.\n"


@pytest.mark.parametrize(
    ("since", "sentence"),
    [
        ("2020-13-01", "since is '2020-13-01': expected a day as YYYY-MM-DD"),
        ("0001-01-01", "since is 0001-01-01: expected 2000-01-01 to 2999-12-31"),
        ("9999-12-31", "since is 9999-12-31: expected 2000-01-01 to 2999-12-31"),
    ],
)
def test_a_day_that_is_none_is_named_whatever_it_is_for(ledger, tmp_path, since, sentence):
    """What stands in for a wrong day is a day all the same, so that the rest of the file is looked at."""
    file = written(tmp_path, f'[[withdrawn_badge]]\nbadge = "{BEN}"\nsince = "{since}"\nreason = "left"\n')
    told = run("plan", file, "--by", ADA, ledger=ledger)
    assert (told.code, told.err) == (
        2,
        f"runout: line 3: [[withdrawn_badge]] number 1: {sentence}\nNothing of the file was taken.\n",
    )
