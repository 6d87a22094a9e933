"""A notice as a consignee gets it: totals first, one line per pallet, the list of cartons, an e-mail ready to send."""

import csv
import email
import email.policy
import io
import json
import shutil
from email.utils import parsedate_to_datetime

import pytest
from support_cases import ADA, CAUSE, shipped_file
from support_cli import run
from support_plant import n

CASE = n("Q1")
REASON = "scratch on side A, as June said to Ben"
CONTACTS = """
[[contact]]
name = "Shop 1"
person = "Ida Example"
email = "returns@shop1.example.com"
telephone = "+44 20 0000 0001"
since = "2025-01-01"
[[contact]]
name = "Shop 1"
email = "new@shop1.example.com"
since = "2032-01-01"
[[contact]]
name = "Invented Pressing"
person = "Quality"
email = "quality@plant.example.com"
since = "2025-01-01"
"""
GIVEN = [
    "--item=reason=A scratch that repeats can be heard on side A.",
    "--item=instruction=Send them back with the form.",
    "--item=remedy=New copies.",
    "--item=contact=Quality, quality@plant.example.com",
]


@pytest.fixture(scope="module")
def told(tmp_path_factory):
    """The ledger, and the folder with the files of both notices."""
    folder = tmp_path_factory.mktemp("told")
    ledger = shutil.copy(shipped_file(folder), folder / "told.db")
    (folder / "contacts.toml").write_text(CONTACTS, encoding="utf-8")
    assert run("plan", folder / "contacts.toml", "--by", ADA, ledger=ledger).out == "3 entries added.\n"
    opened = run(
        "case", "open", CAUSE, "--shape", "from-onset", "--by", ADA, "--reason", REASON, ledger=ledger
    )
    assert opened.code == 0, opened.err
    out = folder / "out"
    out.mkdir()
    words = ("case", "notice", CASE, "--all", "--by", ADA, "--at", "2031-03-05T09:00:00+01:00", "--out", out)
    done = run(*words, "--method", "e-mail", *GIVEN, ledger=ledger)
    assert (done.code, done.err.count("\n")) == (1, 1), done.err
    assert done.err.startswith(
        "Notice to Shop 9: no e-mail address of Shop 9 is recorded for 2031-03-05: fill it in"
    )
    return ledger, out


def files(out, name):
    return {file.suffix: file.read_bytes() for file in out.glob(f"{CASE}-{name}-*")}


def test_totals_stand_before_the_reason_and_the_internal_one_nowhere(told):
    found = files(told[1], "shop-1")
    text = found[".txt"].decode()
    assert text.index(
        "1 pallet, 2 cartons, 9 discs in cartons that may hold an affected one.\nAffected by our records: "
    ) < text.index("Reason: ")
    assert "Reason: A scratch that repeats can be heard on side A." in text
    assert all(b"June" not in data for data in found.values())
    assert f"  Pallet {n('pallet 1')}: 2 cartons, 9 discs of lot {n('L1')}\n" in text
    assert text.count(n("L1")) == 2
    assert "Ida Example, returns@shop1.example.com, +44 20 0000 0001" in text
    assert "Quality, quality@plant.example.com\n2031-03-05" in text
    assert "\nREPLY FORM: please fill in and send back" in text


def test_the_figure_is_that_of_the_scope(told):
    """Least to most are the joint limits that contain gives for the consignee."""
    asked = run("contain", CAUSE, "--shape", "from-onset", "--format", "json", ledger=told[0])
    groups = {one["code"]: one for one in json.loads(asked.out)["groups"] if one["kind"] == "consignee"}
    for name, consignee in (("shop-1", "Shop 1"), ("shop-9", "Shop 9")):
        bound = groups[consignee]
        said = (
            f"{bound['least']} to {bound['most']}" if bound["least"] < bound["most"] else str(bound["most"])
        )
        assert f"Affected by our records: {said} of these discs." in files(told[1], name)[".txt"].decode()


def test_the_list_has_every_carton_with_its_pallet(told):
    rows = list(csv.DictReader(io.StringIO(files(told[1], "shop-1")[".csv"].decode())))
    assert [(row["sscc"], row["pallet_sscc"], row["discs"]) for row in rows] == [
        (n("carton 1"), n("pallet 1"), "5"),
        (n("carton 2"), n("pallet 1"), "4"),
    ]
    assert {row["title"] for row in rows} == {"Paper Comet Arithmetic"}
    [loose] = csv.DictReader(io.StringIO(files(told[1], "shop-9")[".csv"].decode()))
    assert (loose["sscc"], loose["pallet_sscc"]) == (n("carton 3"), "")


def test_the_e_mail_is_a_draft_with_text_and_list(told):
    found = files(told[1], "shop-1")
    message = email.message_from_bytes(found[".eml"], policy=email.policy.default)
    assert message["To"] == "Ida Example <returns@shop1.example.com>"
    assert message["From"] == "Quality <quality@plant.example.com>"
    assert message["Subject"] == f"Withdrawal of records, case {CASE}: Paper Comet Arithmetic"
    assert message["X-Unsent"] == "1"
    assert parsedate_to_datetime(message["Date"]).isoformat() == "2031-03-05T09:00:00+01:00"
    assert message.defects == []
    assert message.get_body().get_content().replace("\r\n", "\n") == found[".txt"].decode()
    [enclosed] = message.iter_attachments()
    assert enclosed.get_filename().endswith(".csv")
    assert enclosed.get_content().replace("\r\n", "\n") == found[".csv"].decode()


def test_an_unknown_address_is_left_for_the_person(told):
    message = email.message_from_bytes(files(told[1], "shop-9")[".eml"], policy=email.policy.default)
    assert message["To"] is None
    assert message["From"] == "Quality <quality@plant.example.com>"


@pytest.mark.parametrize(
    ("template", "said"),
    [
        ("{{ notice.list_file }}", ["its text does not name every lot: the template lacks"]),
        ("{% for lot in notice.lots %}{{ lot.lot }}{% endfor %}", ["its text names neither every carton nor the list"]),
        ("Dear {{ notice.consignee }}", ["does not name every lot", "names neither every carton nor the list"]),
        ("{% for lot in notice.lots %}{{ lot.lot }}{% endfor %} {{ notice.list_file }}", []),
    ],
)  # fmt: skip
def test_a_template_without_lot_or_carton_has_its_sentence(told, tmp_path, template, said):
    (tmp_path / "own.txt").write_text(template, encoding="utf-8")
    words = ("case", "notice", CASE, "--all", "--dry-run", "--template", tmp_path / "own.txt")
    done = run(*words, *GIVEN, ledger=told[0])
    assert done.code == (1 if said else 0), done.err
    # One sentence for each of the two consignees.
    assert done.err.count("\n") == 2 * len(said)
    assert all(sentence in done.err for sentence in said)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ('name = "Shop 1"\nsince = "2025-01-01"', "the contact of 'Shop 1' is empty: expected email, telephone or address"),
        ('name = " "\nemail = "a@example.com"\nsince = "2025-01-01"', "name is empty: expected the consignee as in its"),
        ('name = "S"\nemail = "a at example.com"\nsince = "2025-01-01"', "email is 'a at example.com': expected one address"),
        ('name = "S"\nemail = "a@example.com\\nBcc: b@example.com"\nsince = "2025-01-01"', "expected one line without control"),
        ('name = "S"\nemail = "a@example.com"\nsince = "1.2.2025"', "since is '1.2.2025': expected a day as YYYY-MM-DD"),
        ('name = "S"\nemail = "a@example.com"\nsince = "20250101"', "since is '20250101': expected a day as YYYY-MM-DD"),
        ('name = "S"\nemail = "a@example.com"', "since is missing: expected text"),
        ('name = "S"\nemail = "a@example.com"\nsince = "2025-01-01"\nfax = "1"', "unknown fax"),
    ],
)  # fmt: skip
def test_a_wrong_contact_has_its_sentence_and_nothing_is_taken(told, tmp_path, fields, sentence):
    file = tmp_path / "c.toml"
    file.write_text(f"[[contact]]\n{fields}\n", encoding="utf-8")
    done = run("plan", file, "--by", ADA, ledger=told[0])
    assert done.code == 2
    assert sentence in done.err
