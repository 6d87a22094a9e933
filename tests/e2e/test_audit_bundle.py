"""`runout audit export` and `runout audit check`, as a plant and its auditor use them."""

import csv
import hashlib
import json
import os
import re
import subprocess
import sys
from contextlib import closing

import pytest
from support_cases import ADA, CAUSE, shipped, shipped_file
from support_cli import run
from support_journal import changed_text, journal_rows
from support_ledgers import filled
from support_plant import DOCK, LAB, LINE, Floor, carton_sscc, code, gtin, raw

from tracelink.store.database.engine import ledger_url, open_engine
from tracelink.store.ledger import Ledger

LOT = code("L", 1)


@pytest.fixture
def place(tmp_path):
    return filled(tmp_path / "plant.db", _pack)


def _pack(place):
    floor = Floor.copy()
    floor.press(1)
    floor.open_line(1, [11], 1)
    floor.match(1, 5)
    floor.scan(LINE, "CLOSE")
    floor.scan(DOCK, "P1", "PALLET", "pallet 1", "carton 1")
    floor.saved(place)


@pytest.fixture
def key(place):
    return run("audit", "key", "--make", ledger=place).out.strip()


def test_a_bundle_goes_out_and_an_auditor_checks_it(place, key, tmp_path):
    file = tmp_path / "lot.zip"
    made = run("audit", "export", LOT, "--out", file, ledger=place)
    assert made.code == 0, made.err
    assert f"about lot {LOT}" in made.out
    assert made.out.endswith(f"Hand over by another way the key to check it with: {key}\n")
    assert run("audit", "check", file, "--key", key).code == 0
    seen = run("audit", "check", file)
    assert seen.code == 1
    assert "the key came from the bundle itself" in seen.out


def test_a_folder_that_may_not_be_read_has_its_sentence(tmp_path, monkeypatch):
    def closed(folder):
        raise PermissionError(13, "Permission denied", folder)

    monkeypatch.setattr(os, "scandir", closed)
    found = run("audit", "check", tmp_path)
    assert (found.code, f"{tmp_path} cannot be read: Permission denied" in found.out) == (3, True)


def test_what_is_no_checkpoint_is_named(place, key, tmp_path):
    (tmp_path / "mine.txt").write_text("no checkpoint\n", encoding="utf-8")
    refused = run(
        "audit", "export", LOT, "--out", tmp_path / "x.zip", "--since", tmp_path / "mine.txt", ledger=place
    )
    assert (refused.code, f"{tmp_path / 'mine.txt'}: the signed note" in refused.err) == (3, True)
    told = run("audit", "verify", "--checkpoint", tmp_path / "mine.txt", "--key", key, ledger=place)
    assert (told.code, told.err.count("mine.txt")) == (3, 1)


def test_a_folder_runs_its_own_check_with_bare_python(place, key, tmp_path):
    folder = tmp_path / "audit"
    assert run("audit", "export", carton_sscc(1), "--out", folder, ledger=place).code == 0
    done = subprocess.run(
        [sys.executable, "-I", "-S", folder / "verify.py", "--key", key],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, ""), done.stdout
    summed = subprocess.run(
        ["sha256sum", "--quiet", "-c", "manifest.sha256"],
        cwd=folder,
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert summed.returncode == 0


def test_a_folder_and_a_zip_file_hold_the_same_and_twice_the_same(place, key, tmp_path):
    for name in ("a.zip", "b.zip"):
        assert run("audit", "export", LOT, "--out", tmp_path / name, ledger=place).code == 0
    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()


def test_growth_since_an_earlier_checkpoint_is_proven(place, key, tmp_path):
    earlier = tmp_path / "earlier.txt"
    assert run("audit", "checkpoint", "--out", earlier, ledger=place).code == 0
    plan = tmp_path / "more.toml"
    plan.write_text(f'[[lot]]\ncode = "{code("L", 77)}"\ngtin = "{gtin(1)}"\npiece = 1\nquantity = 5\n')
    assert run("plan", plan, "--by", code("P", 1), ledger=place).code == 0
    file = tmp_path / "lot.zip"
    assert run("audit", "export", LOT, "--out", file, "--since", earlier, ledger=place).code == 0
    held = run("audit", "check", file, "--key", key, "--held", earlier)
    assert held.code == 0
    assert held.out.count("the journal only grew") == 2
    without = tmp_path / "without.zip"
    assert run("audit", "export", LOT, "--out", without, ledger=place).code == 0
    assert run("audit", "check", without, "--key", key, "--held", earlier).code == 1


def test_a_checkpoint_signed_before_serves_if_it_is_of_now(place, key, tmp_path):
    note = tmp_path / "now.txt"
    assert run("audit", "checkpoint", "--out", note, ledger=place).code == 0
    file = tmp_path / "lot.zip"
    assert run("audit", "export", LOT, "--out", file, "--checkpoint", note, ledger=place).code == 0
    assert run("audit", "check", file, "--key", key).code == 0


def test_a_signed_checkpoint_without_the_key_that_seals_is_refused(place, key, tmp_path):
    note = tmp_path / "now.txt"
    assert run("audit", "checkpoint", "--out", note, ledger=place).code == 0
    place.with_name(f"{place.name}.key").rename(tmp_path / "away.key")
    file = tmp_path / "lot.zip"
    refused = run("audit", "export", LOT, "--out", file, "--checkpoint", note, ledger=place)
    assert (refused.code, file.exists()) == (2, False)
    assert "a bundle with a signed checkpoint is sealed with the same key" in refused.err


def test_a_seal_taken_out_and_a_table_changed_is_refused_by_the_copy_and_by_the_program(place, key, tmp_path):
    folder = tmp_path / "lot"
    assert run("audit", "export", LOT, "--out", folder, ledger=place).code == 0
    table = folder / "tables" / "cartons.csv"
    table.write_bytes(table.read_bytes().replace(b"5", b"6"))
    lines = (folder / "manifest.sha256").read_text().splitlines()
    digest = hashlib.sha256(table.read_bytes()).hexdigest()
    anew = [
        f"{digest}  tables/cartons.csv" if line.endswith("tables/cartons.csv") else line for line in lines
    ]
    (folder / "manifest.sha256").write_text("\n".join(anew) + "\n")
    named = run("audit", "check", folder, "--key", key)
    assert (named.code, "file tables/cartons.csv was changed since the bundle was sealed" in named.out) == (
        3,
        True,
    )
    (folder / "manifest.note").unlink()
    for words in (("--key", key), ()):
        found = run("audit", "check", folder, *words)
        assert (found.code, "manifest.note is missing" in found.out) == (3, True)


def test_the_readme_gives_the_hash_of_a_verify_py_that_the_program_writes(place, key, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    folder = tmp_path / "lot"
    assert run("audit", "export", LOT, "--out", folder, ledger=place).code == 0
    made = run("audit", "verifier", "--out", "verify.py")
    digest = hashlib.sha256((tmp_path / "verify.py").read_bytes()).hexdigest()
    assert (made.code, made.out) == (0, f"{digest}  verify.py\n")
    assert run("audit", "verifier").out == made.out
    readme = (folder / "README.txt").read_text()
    assert digest in readme
    assert "proves nothing against whoever sent it" in readme
    assert max(map(len, readme.splitlines())) <= 100
    assert re.search(r", recorded \d{4}-\d\d-\d\d \d\d:\d\d UTC\.\n", readme)
    assert (folder / "verify.py").read_bytes() == (tmp_path / "verify.py").read_bytes()
    again = run("audit", "verifier", "--out", "verify.py")
    assert (again.code, "is there already" in again.err) == (2, True)


def test_without_a_key_it_must_be_said(place, tmp_path):
    file = tmp_path / "lot.zip"
    refused = run("audit", "export", LOT, "--out", file, ledger=place)
    assert refused.code == 2
    assert "there is no signing key at" in refused.err
    made = run("audit", "export", LOT, "--out", file, "--unsigned", ledger=place)
    assert made.code == 0
    assert "bears no signature" in made.err
    assert "bears no signature that could be checked" in run("audit", "check", file).out


def test_nothing_is_overwritten_and_wrong_words_are_told(place, key, tmp_path):
    file = tmp_path / "lot.zip"
    file.write_bytes(b"mine")
    for words, said in (
        ((LOT, "--out", file), "is there already"),
        ((LOT, "--out", tmp_path / "no" / "lot.zip"), "does not exist"),
        ((code("T", 99),), "tool, material lot, step, part lot, reel, build order, built piece or case"),
        ((LOT, "--unsigned", "--checkpoint", file, "--out", tmp_path / "x.zip"), "contradict each other"),
        ((LOT, "--checkpoint", tmp_path / "none", "--out", tmp_path / "x.zip"), "cannot be read"),
        ((LOT, "--domain", "https://x y", "--out", tmp_path / "x.zip"), "expected a host name"),
    ):
        outcome = run("audit", "export", *words, ledger=place)
        assert (outcome.code, said in outcome.err) == (2, True), outcome
    assert file.read_bytes() == b"mine"
    assert run("audit", "check", tmp_path / "none.zip").code == 2
    assert run("audit", "check", file).code == 3


def test_a_ledger_that_does_not_verify_gives_no_bundle(place, key, tmp_path):
    engine = open_engine(ledger_url(str(place)))
    with engine.begin() as conn:
        conn.exec_driver_sql("DROP TRIGGER journal_no_update")
        raw = conn.connection.driver_connection
        for row in journal_rows(raw):
            if row.kind == "station-placed" and b"press" in row.canonical:
                conn.exec_driver_sql(*changed_text(raw, row.seq, "press", "prass"))
    engine.dispose()
    file = tmp_path / "lot.zip"
    outcome = run("audit", "export", LOT, "--out", file, "--unsigned", ledger=place)
    assert outcome.code == 3, outcome
    assert not file.exists()


def test_one_byte_changed_in_the_file_is_found(place, key, tmp_path):
    file = tmp_path / "lot.zip"
    assert run("audit", "export", LOT, "--out", file, ledger=place).code == 0
    data = bytearray(file.read_bytes())
    for place_of in range(1000, len(data), len(data) // 7):
        bad = bytearray(data)
        bad[place_of] ^= 1
        file.write_bytes(bad)
        assert run("audit", "check", file, "--key", key).code == 3


def test_a_case_has_a_bundle_with_its_lots_cartons_and_entries(place, key, tmp_path):
    words = (
        "case",
        "open",
        code("T", 4),
        "--shape",
        "whole-life",
        "--by",
        code("P", 1),
        "--reason",
        "made wrong",
    )
    opened = run(*words, ledger=place)
    assert opened.code == 0, opened.err
    case = opened.out.split()[1]
    folder = tmp_path / "case"
    made = run("audit", "export", case, "--out", folder, ledger=place)
    assert made.code == 0, made.err
    assert run("audit", "check", folder, "--key", key).code == 0
    assert "case-opened" in (folder / "tables" / "cases.csv").read_text(encoding="utf-8")
    assert carton_sscc(1) in (folder / "tables" / "cartons.csv").read_text(encoding="utf-8")
    assert code("T", 4) in (folder / "tables" / "segments.csv").read_text(encoding="utf-8")
    lot = tmp_path / "lot"
    assert run("audit", "export", LOT, "--out", lot, ledger=place).code == 0
    assert case in (lot / "tables" / "cases.csv").read_text(encoding="utf-8")


def test_the_bundle_of_a_case_holds_its_answer(tmp_path):
    """Tiers, limits by consignee and container, places and balance are those that the commands tell."""
    place = shipped_file(tmp_path)
    assert run("audit", "key", "--make", ledger=place).code == 0
    opened = run(
        "case", "open", CAUSE, "--shape", "from-onset", "--by", ADA, "--reason", "scratch", ledger=place
    )
    case = opened.out.split()[1]
    folder, hidden = tmp_path / "case", tmp_path / "hidden"
    assert run("audit", "export", case, "--out", folder, ledger=place).code == 0

    def rows(name):
        with (folder / "tables" / f"{name}.csv").open(encoding="utf-8-sig", newline="") as file:
            return list(csv.DictReader(file))

    told = json.loads(run("case", "status", case, "--format", "json", ledger=place).out)
    columns = ("consignee", "may_hold", "least", "most", "unaccounted")
    assert [[row[name] for name in columns] for row in rows("case-consignees")] == [
        [str(row[name]) for name in columns] for row in told["consignees"]
    ]
    asked = json.loads(run("contain", CAUSE, "--shape", "from-onset", "--format", "json", ledger=place).out)
    assert {(row["container"], row["lot"], row["least"], row["most"]) for row in rows("case-containers")} == {
        (held["code"], held["lot"], str(held["least"]), str(held["most"]))
        for held in asked["containers"]
        if held["most"]
    }
    assert [(row["tier"], row["strokes"].replace("–", "-")) for row in rows("case-tiers")] == [
        (tier["name"], ", ".join("-".join(map(str, dict.fromkeys(span))) for span in tier["strokes"]))
        for tier in asked["tiers"]
    ]
    assert [(row["place"], int(row["most"])) for row in rows("case-places")] == [
        (line["place"], line["most"]) for line in asked["places"]
    ]
    assert {row["lot"] for row in rows("balance")} == {LOT}
    report = (folder / "report.html").read_text(encoding="utf-8")
    assert "The answer of the case" in report
    assert "it finds the same" in report
    checked = run("contain", "--check", folder / "answer.json", ledger=place)
    assert (checked.code, "confirmed by the movements" in checked.out) == (0, True), checked.err
    # People shown by their badges: the answer still bears its own digest.
    assert run("audit", "export", case, "--pseudonyms", "--out", hidden, ledger=place).code == 0
    assert run("contain", "--check", hidden / "answer.json", ledger=place).code == 0


def test_a_case_whose_question_finds_something_else_now_says_so(tmp_path):
    """Sample 3, stroke 12, is judged good after the case was opened: fewer discs are possible."""
    floor = shipped()
    place = floor.saved(tmp_path / "before.db")
    opened = run(
        "case", "open", CAUSE, "--shape", "from-onset", "--by", ADA, "--reason", "scratch", ledger=place
    )
    with closing(Ledger.open(str(place))) as ledger:
        for line in ("P1", "GOOD", "S3"):
            verdict = ledger.scan(LAB, raw(line), floor.at)
    assert verdict.finding is None, verdict.sentence
    folder = tmp_path / "case"
    made = run("audit", "export", opened.out.split()[1], "--unsigned", "--out", folder, ledger=place)
    assert made.code == 0, made.err
    report = (folder / "report.html").read_text(encoding="utf-8")
    assert "it finds something else than the recorded scope" in report
