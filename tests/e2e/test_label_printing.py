"""From numbers to labels in one command, and labels with what is in a carton or on a pallet now."""

import pypdfium2
import pytest
from support_cli import run
from support_ledgers import initialised
from support_plant import DOCK, LAB, LINE, LINE_2, Floor, carton_sscc, code, gtin, n, pallet_sscc, plant_data
from support_sql import read

from tracelink.devices.images import read_pixels
from tracelink.identity.rawlines import raw_carton, raw_sscc
from tracelink.store.ledger import Ledger

BEN, DANA = code("P", 2), code("P", 4)


@pytest.fixture
def place(tmp_path):
    data = plant_data()
    data["person"].append({"code": DANA, "name": "Dana", "roles": ["dock"]})
    return initialised(tmp_path, data)


@pytest.fixture
def packed(tmp_path):
    """Carton 1 with 2 of 5 units of lot 1, carton 2 with a set of lots 2 and 3, both on pallet 1 for order 1."""
    floor = Floor.copy()
    floor.press(1, stacks=1)
    floor.press(2, stacks=1)
    floor.press(3, stacks=1)
    floor.open_line(1, [11], 1)
    floor.match(1, 2)
    floor.scan(LINE, "CLOSE")
    floor.open_line(2, [21, 31], 2, LINE_2)
    floor.play(LINE_2, "disc 2.1 | sleeve 2 | disc 2.2 | sleeve 2 | CLOSE -> DONE")
    floor.play(LAB, 'P1 | RELEASE | L1 | "good | RELEASE | L2 | "good | RELEASE | L3 | "good -> DONE')
    floor.play(DOCK, "P1 | PALLET | pallet 1 | carton 1 | carton 2 | CLOSE | ACCEPT | pallet 1 -> DONE")
    return floor.saved(tmp_path / "packed.db")


COARSE = ("--dpi", 203)
"""For what does not depend on the printer: pictures of half as many dots are read in half of the time."""


def scans(path, dpi=203):
    """What a scanner reads on each page, which is printed at these dots per inch."""
    document = pypdfium2.PdfDocument(path)
    pages = [page.render(scale=dpi / 72, grayscale=True).to_pil() for page in document]
    document.close()
    return [read_pixels(page, "page") for page in pages]


def words(path):
    """The text of each page."""
    document = pypdfium2.PdfDocument(path)
    told = [" ".join(page.get_textpage().get_text_range().split()) for page in document]
    document.close()
    return told


def issued(place):
    with Ledger.open(str(place)) as ledger, ledger.reading() as conn:
        return read(conn, "sscc_block", "what", "first_serial", "last_serial", order="seq")


def test_numbers_are_given_out_and_labels_of_full_cartons_made(place, tmp_path):
    out = tmp_path / "labels.pdf"
    done = run(
        "label", "issue", "carton", "--count", 2, "--lot", n("L1"), "--out", out, "--by", BEN, ledger=place
    )
    first, last = carton_sscc(1001), carton_sscc(1002)
    assert (done.code, done.out) == (0, f"2 carton labels: {first} to {last}\n")
    content = raw_carton(None, gtin(1), 5, n("L1"))
    assert scans(out, 300) == [[content, raw_sscc(first)], [content, raw_sscc(last)]]
    assert all(
        part in words(out)[0] for part in ("Paper Comet Arithmetic", "EX 101", "5 units", f"SSCC {first}")
    )


def test_a_set_and_several_lots_have_no_lot_in_the_symbol(place, tmp_path):
    out = tmp_path / "labels.pdf"
    lots = ("--lot", n("L2"), "--lot", n("L3"))
    assert (
        run(
            "label", "issue", "carton", "--count", 1, *lots, "--out", out, *COARSE, "--by", BEN, ledger=place
        ).code
        == 0
    )
    assert scans(out) == [[raw_carton(None, gtin(2), 3, None), raw_sscc(carton_sscc(1001))]]
    assert f"Lots {n('L2')}, {n('L3')}" in words(out)[0]


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ((), "is not packed yet: name the lot that it will be packed from, with --lot"),
        (("--lot", code("L", 99)), f"lot {code('L', 99)} is not in the system"),
        (("--lot", code("L", 1), "--lot", code("L", 2)), "are of 2 products: expected lots of one product"),
        (("--lot", "L0000019"), "check character of 'L0000019' is wrong"),
    ],
)
def test_what_is_wrong_costs_no_number(place, tmp_path, given, told):
    before = issued(place)
    done = run(
        "label",
        "issue",
        "carton",
        "--count",
        2,
        *given,
        "--out",
        tmp_path / "x.pdf",
        "--by",
        BEN,
        ledger=place,
    )
    assert done.code == 2
    assert told in done.err
    assert issued(place) == before
    assert not (tmp_path / "x.pdf").exists()


def test_a_folder_that_is_not_there_and_too_many_cost_no_number(place, tmp_path):
    before = issued(place)
    lot = ("--lot", n("L1"), "--by", BEN)
    nowhere = run(
        "label", "issue", "carton", "--count", 1, "--out", tmp_path / "no" / "x.pdf", *lot, ledger=place
    )
    assert nowhere.err == f"runout: {tmp_path}/no is not a folder: expected one for x.pdf\n"
    many = run("label", "issue", "carton", "--count", 5001, "--out", tmp_path / "x.pdf", *lot, ledger=place)
    assert "5001 labels are too many to be made at a time: expected at most 5000" in many.err
    alone = run("label", "issue", "carton", "--count", 1, *lot, ledger=place)
    assert "expected --out FILE.pdf with them" in alone.err
    assert (nowhere.code, many.code, alone.code) == (2, 2, 2)
    assert issued(place) == before


def test_the_dock_gives_out_pallet_labels_and_no_carton_labels(place, tmp_path):
    out = tmp_path / "pallets.pdf"
    done = run(
        "label",
        "issue",
        "pallet",
        "--count",
        1,
        "--out",
        out,
        "--sheet",
        *COARSE,
        "--by",
        DANA,
        ledger=place,
    )
    assert (done.code, done.out) == (0, f"1 pallet label: {pallet_sscc(101)}\n")
    assert scans(out) == [[raw_sscc(pallet_sscc(101))]]
    refused = run("label", "issue", "carton", "--count", 1, "--by", DANA, ledger=place)
    assert (refused.code, "may not handle labels" in refused.err) == (4, True)


def test_labels_say_what_is_in_a_carton_and_on_a_pallet_now(packed, tmp_path):
    out = tmp_path / "now.pdf"
    done = run("label", "print", carton_sscc(1), carton_sscc(2), out, *COARSE, ledger=packed)
    assert (done.code, done.out) == (0, f"{out}: 2 labels\n")
    assert scans(out) == [
        [raw_carton(None, gtin(1), 2, n("L1")), raw_sscc(carton_sscc(1))],
        [raw_carton(None, gtin(2), 1, None), raw_sscc(carton_sscc(2))],
    ]
    part, whole = words(out)
    assert "2 units" in part
    assert "1 unit" in whole
    assert run("label", "print", pallet_sscc(1), out, *COARSE, ledger=packed).code == 0
    assert scans(out) == [[raw_sscc(pallet_sscc(1))]]
    assert all(
        told in words(out)[0] for told in ("To stock", "2 cartons", "3 units", "2 titles", "EX 101, EX 102")
    )


def test_what_was_never_given_out_or_is_void_has_no_label(place, tmp_path):
    out = tmp_path / "x.pdf"
    stranger = run("label", "print", carton_sscc(5000), out, ledger=place)
    assert (stranger.code, f"SSCC {carton_sscc(5000)} was never issued here" in stranger.err) == (2, True)
    assert run("label", "void", carton_sscc(7), "--by", BEN, "--reason", "smudged", ledger=place).code == 0
    void = run("label", "print", carton_sscc(6), carton_sscc(8), out, "--lot", n("L1"), ledger=place)
    assert (void.code, f"label {carton_sscc(7)} is void" in void.err) == (4, True)
    turned = run("label", "print", carton_sscc(8), carton_sscc(6), out, "--lot", n("L1"), ledger=place)
    assert (turned.code, "is not a range of 1 to 5000 labels" in turned.err) == (2, True)
    assert run("label", "print", carton_sscc(8), carton_sscc(9), out, out, ledger=place).code == 2
    assert not out.exists()
