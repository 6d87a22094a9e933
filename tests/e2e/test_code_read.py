"""`runout code read`: texts, files and pictures; what is said of them in every form."""

import csv
import io
import json

import pytest
from support_cli import run
from support_plant import carton_sscc, code, gtin
from support_printing import DATA, SHORT_GTIN, draw_ean8, draw_gs1_128, on_paper

import runout
from runout import CodeVerdict, read_codes
from tracelink.errors import UsageError
from tracelink.printing.label import write_label
from tracelink.printing.layout import load_layout

KEYS = {"place", "code", "source", "what", "value", "judged", "says"}


def rows(*words):
    done = run("code", "read", *words, "--format", "json")
    return done.code, json.loads(done.out)


def test_a_right_code_ends_with_0_a_wrong_one_with_1():
    found, said = rows(code("L", 1))
    assert (found, said[0]["what"], said[0]["judged"]) == (0, "plant code", "right")
    assert set(said[0]) == KEYS
    wrong = code("L", 1)[:-1] + ("A" if code("L", 1)[-1] != "A" else "B")
    found, said = rows(wrong)
    assert (found, said[0]["judged"]) == (1, "WRONG")
    assert said[0]["says"].startswith("check character of")


def test_it_needs_no_ledger_and_books_nothing(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run("code", "read", gtin(1)).code == 0
    assert list(tmp_path.iterdir()) == []


def test_the_symbols_of_a_picture_are_judged_together(tmp_path):
    """A carton's content needs its SSCC, which stands in another symbol of the same label."""
    whole, half = tmp_path / "carton.png", tmp_path / "half.png"
    write_label(whole, load_layout("carton-label"), DATA["carton-label"], 300)
    found, said = rows(whole)
    assert found == 0
    assert {row["source"] for row in said if row["place"]} == {str(whole)}
    assert [row["judged"] for row in said if row["what"] == "together"] == ["right"]
    on_paper(draw_gs1_128([("02", "0" + gtin(1)), ("37", "25")], 300, 0.495, 31.75)).save(half)
    found, said = rows(half)
    assert (found, said[-1]["says"]) == (1, "(37) COUNT needs (00) on the same item, found none")
    assert rows(half, f"(00){carton_sscc(1)}")[0] == 0


def test_a_retail_symbol_of_eight_digits(tmp_path):
    on_paper(draw_ean8(SHORT_GTIN, 300, 0.33, 18.23)).save(tmp_path / "s.png")
    found, said = rows(tmp_path / "s.png")
    assert found == 0
    assert [(row["what"], row["value"]) for row in said[:3]] == [
        ("symbology", "]E4 (EAN-8)"),
        ("at a station", "sleeve"),
        ("(01) GTIN", f"000000{SHORT_GTIN}"),
    ]


def test_the_lines_of_a_file_and_a_stand_in_for_the_separator(tmp_path):
    file = tmp_path / "scans.txt"
    file.write_text(f"]C110AB~21C\r\n\n{gtin(2)}\n", encoding="utf-8")
    _, said = rows(file, "--separator", "~")
    values = {row["what"]: row["value"] for row in said if row["place"] == 1}
    assert (values["(10) BATCH/LOT"], values["(21) SERIAL"]) == ("AB", "C")
    assert next(row["value"] for row in said if row["place"] == 2) == gtin(2)


def test_as_table_and_as_csv():
    table = run("code", "read", gtin(1))
    assert (table.code, "its check digits fit" in table.out, "GS1 mod 10" in table.out) == (0, True, True)
    made = list(csv.DictReader(io.StringIO(run("code", "read", gtin(1), "--format", "csv").out)))
    assert set(made[0]) == KEYS
    assert made[0]["value"] == gtin(1)


@pytest.mark.parametrize(
    "text", ["\x1b[31mred", "<script>alert(1)</script>", "=cmd|x", "\u202eevil", "]C0\x07"]
)
def test_hostile_text_is_shown_and_does_nothing(text):
    for form in ("table", "csv", "json"):
        out = run("code", "read", text, "--format", form).out
        assert "\x1b" not in out
        assert "\u202e" not in out
        assert "\x07" not in out
    assert not any(
        line.startswith("=") for line in run("code", "read", "=cmd|x", "--format", "csv").out.split(",")
    )


@pytest.mark.parametrize(
    ("name", "content", "sentence"),
    [
        ("none.png", None, "There is no file"),
        ("bad.png", b"no picture", "is not an image"),
        ("bytes.bin", b"\xff\xfe\x00", "is not a text file: expected one code per line"),
        ("empty.txt", b"\n\n", "has 0 lines: expected 1 to 1000 codes"),
        ("long.txt", b"x\n" * 1001, "has 1001 lines: expected 1 to 1000 codes"),
    ],
)
def test_a_file_that_is_none(tmp_path, name, content, sentence):
    if content is not None:
        (tmp_path / name).write_bytes(content)
    refused = run("code", "read", tmp_path / name)
    assert (refused.code, "Traceback" in refused.err) == (2, False)
    assert sentence in refused.err


def test_a_stand_in_that_may_be_data_is_refused():
    assert run("code", "read", "x", "--separator", "A").code == 2


def test_from_python(tmp_path):
    (tmp_path / "codes.txt").write_text(gtin(1), encoding="utf-8")
    found = read_codes(tmp_path / "codes.txt", code("L", 1))
    assert [one.parts[0].judged for one in found.codes] == [CodeVerdict.RIGHT, CodeVerdict.RIGHT]
    assert (found.is_wrong, found.together) == (False, ())
    for given in ((), (7,)):
        with pytest.raises(UsageError):
            runout.read_codes(*given)
