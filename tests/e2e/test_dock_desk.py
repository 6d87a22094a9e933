"""The dock's desk by its commands: orders from files, allocation, finding, packing lists."""

import csv
import io
import json
import shutil
from pathlib import Path

import openpyxl
import pypdfium2
import pytest
from support_cli import run
from support_plant import DOCK, DOCK_2, LAB, LINE, Floor, code, gtin, n
from support_sql import set_setting

from tracelink.facts.pack_list import OrderedLine, PackList
from tracelink.report.pages.packing_list import write_packlist
from tracelink.store.ledger import Ledger


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """Pallet 1 with cartons 1 and 2 (2 units each) is accepted, carton 3 (1 unit) is loose; lot 1 is released."""
    floor = Floor.copy()
    floor.press(1)
    floor.open_line(1, [11], 1)
    floor.match(1, 2)
    floor.scan(LINE, "CLOSE", "carton 2")
    floor.match(1, 2)
    floor.scan(LINE, "CLOSE", "carton 3")
    floor.match(1, 1)
    floor.scan(LINE, "CLOSE")
    for dock in (DOCK, DOCK_2):
        floor.play(dock, "P1 -> DONE")
    floor.play(LAB, 'P1 | RELEASE | L1 | "good -> DONE')
    floor.play(DOCK, "PALLET | pallet 1 | carton 1 | carton 2 | CLOSE -> DONE")
    floor.play(DOCK, "ACCEPT | pallet 1 | PUT | pallet 1 | Y1 -> DONE")
    return floor.saved(tmp_path_factory.mktemp("made") / "plant.db")


@pytest.fixture
def place(made, tmp_path):
    return Path(shutil.copy(made, tmp_path / "plant.db"))


def text_of(file):
    document = pypdfium2.PdfDocument(file)
    text = "\n".join(page.get_textpage().get_text_range() for page in document)
    pages = len(document)
    document.close()
    return text, pages


HEAD = ["Order", "Consignee", "Country", "GTIN", "Quantity", "Note"]


def csv_file(file, rows, delimiter=","):
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter).writerows([HEAD, *rows])
    file.write_bytes(("\ufeff" + out.getvalue()).encode())
    return file


def xlsx_file(file, rows):
    book = openpyxl.Workbook()
    for row in [HEAD, *rows]:
        book.active.append(row)
    book.save(file)
    return file


GOOD = [
    [code("O", 21), "Shop A", "NL", gtin(1), 5, ""],
    [code("O", 22), "Shop; B", "FR", gtin(2), 7, "soon"],
]
BAD = [
    [code("O", 21), "Shop A", "NL", gtin(1), 5, ""],
    [code("L", 1), "Shop B", "", gtin(1), 0, ""],
    ["O0000019X", "Shop C", "DE", "9520000000019", "ten", ""],
]


class TestOrders:
    @pytest.mark.parametrize("kind", ["comma", "semicolon", "xlsx"])
    def test_a_file_is_taken_whole(self, place, tmp_path, kind):
        if kind == "xlsx":
            file = xlsx_file(tmp_path / "orders.xlsx", GOOD)
        else:
            file = csv_file(tmp_path / "orders.csv", GOOD, "," if kind == "comma" else ";")
        done = run("orders", file, "--by", code("P", 1), ledger=place)
        assert (done.code, done.out) == (0, "2 orders taken.\n"), done.err
        assert run("allocate", code("O", 21), "--by", code("P", 1), ledger=place).code == 0
        twice = run("orders", file, "--by", code("P", 1), ledger=place)
        assert twice.code == 2
        assert twice.err == (
            f"runout: no order was taken\nline 2: order {n('O21')} is in the system already\n"
            f"line 3: order {n('O22')} is in the system already\n"
        )

    @pytest.mark.parametrize("kind", ["csv", "xlsx"])
    def test_every_wrong_line_is_named_and_nothing_is_taken(self, place, tmp_path, kind):
        write = xlsx_file if kind == "xlsx" else csv_file
        done = run("orders", write(tmp_path / f"bad.{kind}", BAD), "--by", code("P", 1), ledger=place)
        assert (done.code, done.out) == (2, "")
        lines = done.err.splitlines()
        assert lines[0] == "runout: no order was taken"
        assert [line.partition(": ")[0] for line in lines[1:]] == ["line 3"] * 3 + ["line 4"] * 3
        assert lines[1] == f"line 3: order {n('L1')} is a lot card: expected an order code"
        assert lines[2] == "line 3: country is '': expected printable text"
        assert lines[3] == "line 3: quantity is '0': expected a whole number from 1"
        assert lines[6] == "line 4: quantity is 'ten': expected a whole number from 1"
        assert run("allocate", code("O", 21), "--by", code("P", 1), ledger=place).code == 2

    def test_an_order_twice_and_an_unknown_product_are_named(self, place, tmp_path):
        rows = [GOOD[0], [code("O", 21), "Shop", "NL", gtin(9), 5, ""]]
        done = run("orders", csv_file(tmp_path / "o.csv", rows), "--by", code("P", 1), ledger=place)
        assert done.err == (
            f"runout: no order was taken\nline 3: consignee is 'Shop': order {n('O21')} is for 'Shop A' by line 2\n"
        )
        rows = [GOOD[0], [code("O", 21), "Shop A", "NL", gtin(1), 5, ""]]
        done = run("orders", csv_file(tmp_path / "o.csv", rows), "--by", code("P", 1), ledger=place)
        assert done.err == (
            f"runout: no order was taken\nline 3: order {n('O21')} names gtin {gtin(1)} already: expected each product once\n"
        )
        rows = [GOOD[0], [code("O", 21), "Shop A", "NL", gtin(9), 5, ""]]
        done = run("orders", csv_file(tmp_path / "o.csv", rows), "--by", code("P", 1), ledger=place)
        assert (
            done.err == f"runout: no order was taken\nline 2: gtin {gtin(9)} is not a product in the system\n"
        )

    @pytest.mark.parametrize(
        ("name", "data", "sentence"),
        [
            ("o.txt", b"x", "expected a name ending in .csv or .xlsx"),
            ("o.csv", b"", "is empty: expected a first row with order, consignee, country, gtin, quantity"),
            ("o.csv", b"\xff\xfe", "is not UTF-8 text: byte 0 cannot be read"),
            ("o.csv", b"order,gtin\n1,2\n", "the first row has no column consignee, country, quantity"),
            (
                "o.csv",
                b"order,consignee,country,gtin,quantity\n",
                "the file names no order below its first row",
            ),
            ("o.csv", b'order,consignee,country,gtin,quantity\n"x', "line 2: "),
            ("o.xlsx", b"not a workbook", "is not an XLSX workbook"),
        ],
    )
    def test_a_file_that_is_none(self, place, tmp_path, name, data, sentence):
        (tmp_path / name).write_bytes(data)
        done = run("orders", tmp_path / name, "--by", code("P", 1), ledger=place)
        assert done.code == 2
        assert sentence in done.err

    def test_only_dock_or_quality_takes_orders(self, place, tmp_path):
        file = csv_file(tmp_path / "orders.csv", GOOD)
        done = run("orders", file, "--by", code("P", 3), ledger=place)
        assert (done.code, done.err) == (
            4,
            "runout: Cleo may not handle orders: that needs the role dock or quality\n",
        )
        assert run("orders", file, "--by", code("P", 9), ledger=place).code == 4


class TestAllocation:
    def test_kept_stock_goes_to_its_order_only_until_it_is_let_go(self, place):
        by = ("--by", code("P", 1))
        done = run("allocate", code("O", 1), *by, "--format", "json", ledger=place)
        assert done.code == 1
        assert [(row["code"], row["units"]) for row in json.loads(done.out)] == [
            (n("pallet 1"), 4),
            (n("carton 3"), 1),
        ]
        assert done.err == f"Order {n('O1')} stays short of 45 of {gtin(1)}.\n"
        again = run("allocate", code("O", 1), *by, ledger=place)
        assert (again.code, again.err) == (1, f"Order {n('O1')} stays short of 45 of {gtin(1)}.\n")
        found = json.loads(run("find", n("carton 3"), "--format", "json", ledger=place).out)
        assert found[0]["kept_for"] == n("O1")

        floor = Floor(Ledger.open(str(place)))
        csv_other = f"order,consignee,country,gtin,quantity\n{n('O30')},Other,DE,{gtin(1)},9\n"
        (place.parent / "other.csv").write_text(csv_other)
        assert run("orders", place.parent / "other.csv", *by, ledger=place).code == 0
        floor.play(
            DOCK_2,
            f"""
            SHIP | O30 -> DONE
            pallet 1 -> STOP kept-for-another; Pallet {n("pallet 1")} is kept for order {n("O1")}; this shipment is for order {n("O30")}. Leave it where it is.
            PICK -> NEXT
            carton 3 -> STOP kept-for-another
            CANCEL -> DONE
            """,
        )
        floor.play(
            DOCK,
            f"""
            REOPEN -> NEXT
            pallet 1 -> STOP kept-for-an-order; Pallet {n("pallet 1")} is kept for order {n("O1")}. Have that released before you open it.
            CANCEL | SHIP | O1 | pallet 1 -> DONE
            """,
        )
        let_go = run("allocate", code("O", 1), *by, "--release", "order changed", ledger=place)
        assert (let_go.code, let_go.out) == (0, f"1 released from order {n('O1')}.\n")
        floor.play(DOCK_2, "PICK | carton 3 | carton 3 -> DONE")
        empty = run("allocate", code("O", 1), *by, "--release", "again", ledger=place)
        assert empty.code == 4
        floor.ledger.close()
        assert run("audit", "verify", ledger=place).code == 0

    def test_held_and_unreleased_stock_is_not_kept(self, place):
        floor = Floor(Ledger.open(str(place)))
        floor.play(LAB, 'HOLD | pallet 1 | "doubtful -> DONE')
        done = run("allocate", code("O", 1), "--by", code("P", 1), "--format", "json", ledger=place)
        assert [row["code"] for row in json.loads(done.out)] == [n("carton 3")]
        run("allocate", code("O", 1), "--by", code("P", 1), "--release", "try again", ledger=place)
        floor.play(LAB, 'LIFT | H1 | "fine | P2 | REJECT | L1 | "clicks -> DONE')
        done = run("allocate", code("O", 1), "--by", code("P", 1), "--format", "json", ledger=place)
        assert json.loads(done.out) == []
        floor.ledger.close()

    def test_an_unknown_order(self, place):
        done = run("allocate", code("O", 99), "--by", code("P", 1), ledger=place)
        assert (done.code, done.err) == (2, f"runout: order {n('O99')} is not in the system\n")
        assert run("allocate", code("L", 1), "--by", code("P", 1), ledger=place).code == 2


class TestFinding:
    def test_a_thing_and_a_place(self, place):
        for wanted in (n("pallet 1"), n("Y1")):
            [found] = json.loads(run("find", wanted, "--format", "json", ledger=place).out)
            assert found == {
                "code": n("pallet 1"),
                "what": "pallet",
                "state": "accepted",
                "units": 4,
                "place": f"in location {n('Y1')} (rack 1)",
                "kept_for": "",
                "hold": "",
            }
        [carton] = json.loads(run("find", n("carton 1"), "--format", "json", ledger=place).out)
        assert carton["place"] == f"on pallet {n('pallet 1')}"

    def test_an_unknown_thing(self, place):
        done = run("find", n("carton 99"), ledger=place)
        assert done.code == 2
        assert done.err == (
            f"runout: {n('carton 99')} is not a pallet, carton, location or shipment in the system: "
            f"runout search {n('carton 99')} shows whatever else is known by that code\n"
        )


class TestPackingList:
    def test_a_shipment_lists_pallets_and_loose_cartons_and_adds_up(self, place, tmp_path):
        floor = Floor(Ledger.open(str(place)))
        floor.play(
            DOCK, 'SHIP | O1 | pallet 1 | PICK | carton 3 | carton 3 | DRIVER | "Dora | DEPART -> DONE'
        )
        floor.ledger.close()
        first, second = tmp_path / "a.pdf", tmp_path / "b.pdf"
        for file in (first, second):
            done = run("packlist", n("D1"), file, ledger=place)
            assert (done.code, done.out) == (0, f"{file}: packing list of 3 cartons.\n")
        assert first.read_bytes() == second.read_bytes()
        text, _pages = text_of(first)
        for wanted in (
            f"Packing list {n('D1')}",
            f"{n('O1')}, 50 ordered",
            "Shop 1, DE",
            "Dora",
            f"Pallet {n('pallet 1')}: 2 cartons, 4 units",
            "No pallet: 1 carton, 1 unit",
            n("carton 3"),
            "Paper Comet Arithmetic",
            f"{n('L1')} (2)",
            "Total: 1 pallet, 3 cartons, 5 units",
            "page 1 of 1",
            "Packed by:",
            "Driver:",
            "Received by:",
        ):
            assert wanted in text, wanted
        # What is signed for stands before the cartons, and a title once for each pallet that has it.
        assert text.index("Total: ") < text.index("Received by:") < text.index(n("carton 1"))
        assert text.count("EX 101 Paper Comet Arithmetic: ") == 2

    def test_a_pallet_and_a_carton_have_content_lists(self, place, tmp_path):
        for thing, cartons in (("pallet 1", 2), ("carton 3", 1)):
            file = tmp_path / "c.pdf"
            done = run("packlist", n(thing), file, ledger=place)
            assert done.code == 0, done.err
            text, _pages = text_of(file)
            assert f"{thing.split()[0].capitalize()} content {n(thing)}" in text
            assert f"{cartons} carton{'s' if cartons > 1 else ''}, " in text

    def test_an_unknown_thing(self, place, tmp_path):
        done = run("packlist", n("D9"), tmp_path / "x.pdf", ledger=place)
        assert (done.code, done.err) == (
            2,
            f"runout: {n('D9')} is not a shipment, pallet or carton in the system\n",
        )
        assert not (tmp_path / "x.pdf").exists()


def test_figures_of_the_order_are_grouped_like_the_totals(tmp_path):
    ordered = OrderedLine("EX 101", "Paper Comet Arithmetic", gtin(1), 3000, 1200, 1776)
    write_packlist(
        PackList("Packing list", (("Shipment", n("D1")),), (), "entry 9", (ordered,)), tmp_path / "list.pdf"
    )
    text, _pages = text_of(tmp_path / "list.pdf")
    assert (
        "Ordered: 3 000 of EX 101 Paper Comet Arithmetic; 1 776 here, 1 200 sent before: −24"
        in text.replace("\u202f", " ")
    )


class TestLines:
    """An order of several products: each line is allocated, judged and listed by itself."""

    @pytest.fixture
    def two(self, place, tmp_path):
        """Order 31 for 4 of product 1 and 3 of product 3, of which 1 is packed, in carton 9."""
        floor = Floor(Ledger.open(str(place)))
        floor.press(4, stacks=1)
        floor.play(LINE, "CLEAR | P2 | B3 | K41 | carton 9 | disc 3.1 | sleeve 3 no 1 | CLOSE -> DONE")
        floor.play(LAB, 'RELEASE | L4 | "good -> DONE')
        rows = [
            [code("O", 31), "Shop A", "NL", gtin(1), 4, ""],
            [code("O", 32), "Shop B", "FR", gtin(2), 7, ""],
            [code("O", 31), "Shop A", "NL", gtin(3), 3, ""],
        ]
        done = run("orders", csv_file(tmp_path / "o.csv", rows), "--by", code("P", 1), ledger=place)
        assert (done.code, done.out) == (0, "2 orders taken.\n"), done.err
        return floor

    def test_each_line_is_kept_for_and_told_short_by_itself(self, place, two):
        done = run("allocate", n("O31"), "--by", code("P", 1), "--format", "json", ledger=place)
        assert done.code == 1
        assert [(row["code"], row["units"]) for row in json.loads(done.out)] == [
            (n("pallet 1"), 4),
            (n("carton 9"), 1),
        ]
        assert done.err == f"Order {n('O31')} stays short of 2 of {gtin(3)}.\n"
        again = run("allocate", n("O31"), "--by", code("P", 1), "--format", "json", ledger=place)
        assert (json.loads(again.out), again.err) == ([], done.err)
        assert two.read("order_line", "line", "gtin", "quantity", order_code=n("O31")) == [
            (1, gtin(1), 4),
            (2, gtin(3), 3),
        ]

    def test_what_one_line_has_too_much_another_still_lacks(self, place, two, tmp_path):
        with two.ledger._engine.begin() as conn:
            for name in ("ship_short_percent", "ship_over_percent"):
                set_setting(conn, name, 10)
        shipment = n("D1")
        two.play(
            DOCK,
            f"""
            SHIP | O31 | pallet 1 | PICK | carton 3 | carton 3 | PICK | carton 9 | carton 9 -> DONE
            DEPART -> STOP shipment-over; Order {n("O31")} is for 4 of "Paper Comet Arithmetic" EX 101; with shipment {shipment} it has 5 (+1), more than 10 % over; 3 of "Nine Pale Windmills" EX 103; with shipment {shipment} it has 1 (-2), more than 10 % short. Correct the load, or have quality scan ACCEPTLOAD.
            UNLOAD | carton 3 | "too many -> DONE
            DEPART -> STOP shipment-short; Order {n("O31")} is for 3 of "Nine Pale Windmills" EX 103; with shipment {shipment} it has 1 (-2), more than 10 % short. Correct the load, or have quality scan ACCEPTLOAD.
            ACCEPTLOAD | "the rest next week -> DONE
            """,
        )
        run("packlist", shipment, tmp_path / "p.pdf", ledger=place)
        shown, _pages = text_of(tmp_path / "p.pdf")
        assert "Ordered: 4 of EX 101 Paper Comet Arithmetic; 4 here: ±0" in shown
        assert "Ordered: 3 of EX 103 Nine Pale Windmills; 1 here: −2" in shown

    def test_a_product_in_no_line_is_the_wrong_title(self, two):
        two.play(DOCK, "SHIP | O32 | PICK -> NEXT")
        two.play(
            DOCK,
            f'carton 9 -> STOP wrong-title; Carton {n("carton 9")} holds "Nine Pale Windmills" EX 103; order {n("O32")} is for "Moth Parliament" EX 102.',
        )
