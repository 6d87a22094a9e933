"""A notice of a bad reel names units by their labels, in the carton and on the pallet that the whole nesting says."""

import csv
import io
import re

import pytest
from support_assembly import BENCH, UNIT, built_floor, play
from support_cases import ADA
from support_cli import run
from support_clock import station_clock
from support_plant import DOCK, gtin, n, raw

CASE = n("Q1")
DISCS = r"\b(?:discs?|strokes?|lots?|records|pressed|matrix)\b"


def hall_with_case(folder, cause):
    floor = built_floor()
    play(
        floor,
        f"""
        BUILD | N2 | "{UNIT} | U201 | #4 | #1 | JOIN | U201 | U101 | F4 | JOIN | U202 | U116 | F4 -> DONE
        PASS | U201 | "final 2.1 | PASS | U202 | "final 2.1 | PACK | carton 1 | U201 | U202 | carton 1 -> DONE
        12:00 DOCK
        P1 | PALLET | pallet 1 | carton 1 | CLOSE | ACCEPT | pallet 1 -> DONE
        SHIP | O9 | PICK | pallet 1 | pallet 1 | DRIVER | "Dee | DEPART -> DONE
        """,
        BENCH,
    )
    place = floor.saved(folder / "plant.db")
    floor.ledger.close()
    asked = ("case", "open", cause, "--shape", "intermittent", "--by", ADA, "--reason", "open joints")
    assert run(*asked, ledger=place).code == 0
    return place


def told(place, out, *more):
    done = run("case", "notice", CASE, "--all", "--by", ADA, "--out", out, *more, ledger=place)
    assert done.code == 1, done.err
    return {file.suffix: file.read_text(encoding="utf-8") for file in out.iterdir()}


@pytest.fixture(scope="module")
def of_reel(tmp_path_factory):
    """The ledger, and the files of the notice."""
    folder = tmp_path_factory.mktemp("reel")
    place = hall_with_case(folder, n("F1"))
    out = folder / "out"
    out.mkdir()
    return place, told(place, out)


def test_the_letter_names_product_units_carton_and_pallet(of_reel):
    text = of_reel[1][".txt"]
    assert "1 pallet, 1 carton, 2 units with 4 parts that may be affected.\n" in text
    assert "Affected by our records: 0 to 4 of these parts.\n" in text
    assert f'- "Ash Turntable", catalogue number EX 900, EAN {gtin(9)}\n' in text
    assert f"  2 units, by serial label: {n('U201')}, {n('U202')}\n" in text
    assert f"  Pallet {n('pallet 1')}: 1 carton, 2 units, 4 parts of reel {n('F1')}\n" in text
    assert "WITHDRAWAL OF PRODUCTS" in text
    assert "We sent back:                             ______ units, on: __________\n" in text
    assert "\nSerial labels of those units: " in text
    assert re.findall(DISCS, re.sub(r"by our records", "", text), re.IGNORECASE) == []


def test_the_list_has_a_row_for_each_unit(of_reel):
    rows = list(csv.DictReader(io.StringIO(of_reel[1][".csv"])))
    assert [tuple(row.values()) for row in rows] == [
        (n(unit), n("carton 1"), n("pallet 1"), n("D1"), n("O9"), n("F1"), "Ash Turntable", gtin(9), "2", "0", "2")
        for unit in ("U201", "U202")
    ]  # fmt: skip


def test_the_e_mail_names_the_product(of_reel):
    assert f"Subject: Withdrawal of products, case {CASE}: Ash Turntable" in of_reel[1][".eml"]


def test_a_letter_of_a_plant_that_names_no_unit_has_its_sentence(of_reel, tmp_path):
    own = tmp_path / "own.txt"
    own.write_text("{{ notice.case }}", encoding="utf-8")
    done = run("case", "notice", CASE, "--all", "--dry-run", "--template", own, ledger=of_reel[0])
    assert "its text names neither every unit nor the list of them" in done.err
    own.write_text("{% for one in notice.products %}{{ one.labels }}{% endfor %}", encoding="utf-8")
    done = run("case", "notice", CASE, "--all", "--dry-run", "--template", own, ledger=of_reel[0])
    assert "unit" not in done.err


@pytest.mark.parametrize(
    ("cause", "counted"),
    [
        ("M3", "2 units with 8 parts that may be affected"),
        ("N1", "2 units with 2 pieces that may be affected"),
        ("U201", "1 unit with "),
    ],
)
def test_part_lot_build_order_and_unit_are_told_alike(tmp_path, cause, counted):
    place = hall_with_case(tmp_path, n(cause))
    done = run("case", "notice", CASE, "--all", "--dry-run", ledger=place)
    assert counted in done.out
    assert f'- "Ash Turntable", catalogue number EX 900, EAN {gtin(9)}\n' in done.out
    assert f"Pallet {n('pallet 1')}: 1 carton, " in done.out


def test_status_and_summary_speak_of_parts_and_units(of_reel, tmp_path):
    page = tmp_path / "status.html"
    status = run("case", "status", CASE, "--html", page, ledger=of_reel[0]).out
    assert "Example Shop 9: of 4 parts in units that may hold one, 4 not accounted for." in status
    assert "Quantities in parts\n" in status
    summary = run("case", "summary", CASE, ledger=of_reel[0]).out
    assert f'- "Ash Turntable", catalogue number EX 900, EAN {gtin(9)}\n' in summary
    assert f"2 units that left the plant, by serial label: {n('U201')}, {n('U202')}\n" in summary
    assert "Example Shop 9: 4 parts in units that may hold an affected one, 0 to 4 affected\n" in summary
    shown = run("case", "show", CASE, ledger=of_reel[0]).out
    # The model's own words on a plant that presses records are no words on parts.
    on_page = re.sub(
        r"<(style|script).*?</\1>|<[^>]+>", " ", page.read_text(encoding="utf-8"), flags=re.DOTALL
    )
    for told in (status, summary, on_page, shown):
        assert re.findall(r"\b(?:discs?|strokes?|matrix)\b", told, re.IGNORECASE) == []


def test_an_answer_is_held_against_parts(of_reel):
    by = ("--by", ADA, "--consignee", "Example Shop 9", "--quantity-on-hand", "9")
    done = run("case", "reply", CASE, *by, ledger=of_reel[0])
    assert done.code == 1
    assert "Example Shop 9: says it had 9 parts on hand; 4 were delivered to it." in done.out
    status = run("case", "status", CASE, ledger=of_reel[0]).out
    assert "5 more parts are accounted for than the 4 in units that may hold one" in status


def at_the_dock(place, *scans):
    with station_clock():
        return run("dock", "--station", DOCK, ledger=place, scans="".join(f"{scan}\n" for scan in scans)).out


def test_units_that_come_back_are_counted_as_returned(tmp_path):
    place = hall_with_case(tmp_path, n("F1"))
    for thing in ("carton 1", "pallet 1"):
        told = at_the_dock(place, raw("RETURN"), raw(thing), raw("CANCEL"))
        assert f"The system shows no disc in carton {n('carton 1')}. Units come back one by one" in told
    before = run("case", "status", CASE, ledger=place).out
    assert "Example Shop 9: of 4 parts in units that may hold one, 4 not accounted for." in before
    told = at_the_dock(place, raw("UNITBACK"), raw("U201"), '"open joint')
    assert f"{n('U201')}, turntable, is back from Example Shop 9 and in quarantine." in told
    after = run("case", "status", CASE, ledger=place).out
    assert "Example Shop 9: of 4 parts in units that may hold one, 2 not accounted for." in after
    scope = run("contain", n("F1"), "--shape", "intermittent", ledger=place)
    assert scope.code == 1
    assert f"{n('U201')}" in scope.out
