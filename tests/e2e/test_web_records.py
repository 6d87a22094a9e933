"""Products, orders, customers and part numbers in a browser: each has a page of its own with what belongs to it."""

import re
from html import unescape
from urllib.parse import quote

import pytest
from support_assembly import hall_of_two_units
from support_browser import violations
from support_cases import shipped_file
from support_cli import run
from support_plant import gtin, n
from support_web import Browser, let_in, served, served_floor

import runout
from runout import open_ledger


@pytest.fixture(scope="module")
def plant(tmp_path_factory):
    file = shipped_file(tmp_path_factory.mktemp("web"))
    with served(let_in(file)) as port:
        yield file, Browser(port)


@pytest.fixture(scope="module")
def hall(tmp_path_factory):
    with served_floor(hall_of_two_units(), tmp_path_factory.mktemp("hall") / "plant.db") as both:
        yield both


def title(page):
    return unescape(re.search(r"<h1>(.*?)</h1>", page)[1])


def said(page):
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", page)))


class TestProducts:
    def test_one_has_its_title_lots_sleeves_and_orders(self, plant):
        place, browser = plant
        with open_ledger(place, read_only=True) as ledger:
            found = ledger.warehouse.product(gtin(1))
            assert found == ledger.warehouse.product(n("L1")) == ledger.warehouse.product(n("carton 1"))
            # As it stands in the code of a numbered sleeve.
            assert found == ledger.warehouse.product(f"0{gtin(1)}")
        page = browser.get(f"/thing/{gtin(1)}").page
        assert title(page) == f"Product {found.title}"
        for code in (n("L1"), n("B1"), n("O1"), n("O9")):
            assert f'href="/thing/{code}"' in page, code
        # Three cartons of 5, 4 and 5 units; all of them count, wherever they are.
        assert (found.cartons, found.units) == (3, 14)
        assert "3 cartons with 14 units, wherever they are" in said(page)
        assert {order.order: (order.ordered, order.sent) for order in found.orders} == {
            n("O1"): (50, 9),
            n("O9"): (50, 5),
        }

    @pytest.mark.parametrize("code", ["L1", "B1", "carton 1"])
    def test_what_is_of_it_leads_to_it(self, plant, code):
        assert f'href="/thing/{gtin(1)}"' in plant[1].get(f"/thing/{n(code)}").page


class TestOrders:
    def test_one_has_its_lines_and_shipments(self, plant):
        place, browser = plant
        page = browser.get(f"/thing/{n('O1')}").page
        assert title(page) == f"Order {n('O1')}"
        with open_ledger(place, read_only=True) as ledger:
            found = ledger.warehouse.order(n("O1"))
        assert [(line.gtin, line.ordered, line.sent) for line in found.lines] == [(gtin(1), 50, 9)]
        [shipment] = found.shipments
        assert (shipment.status, shipment.departed_at is None) == ("shipped", False)
        assert f'href="/thing/{shipment.code}"' in page
        assert 'href="/thing/Shop%201"' in page

    def test_a_customer_has_its_orders_and_shipments(self, plant):
        place, browser = plant
        page = browser.get("/thing/Shop%201").page
        assert title(page) == "Customer Shop 1"
        assert f'href="/thing/{n("O1")}"' in page
        assert f'href="/thing/{n("O9")}"' not in page
        with open_ledger(place, read_only=True) as ledger:
            found = ledger.warehouse.consignee("Shop 1")
        assert (found.cases, len(found.shipments)) == ((), 1)


class TestParts:
    def numbers(self, place):
        with open_ledger(place, read_only=True) as ledger:
            return {code: ledger.hall.part(n(code)) for code in ("M1", "F1", "N1", "N2")}

    def test_one_has_its_lots_reels_and_build_orders(self, hall):
        place, browser = hall
        part = self.numbers(place)["F1"]
        page = browser.get(f"/thing/{quote(part.number, safe='')}").page
        assert title(page) == f"Part {part.number}, {part.what}"
        assert n("F1") in {reel.code for reel in part.reels}
        assert part.lots
        assert part.takes
        for each in (*part.reels, *part.lots, *part.takes):
            assert f'href="/thing/{each.code}"' in page, each
        assert all(use.quantity > 0 for use in part.uses)

    def test_a_part_that_is_built_has_the_orders_that_make_it(self, hall):
        place, browser = hall
        part = self.numbers(place)["N1"]
        assert [build.code for build in part.makes] == [n("N1")]
        page = browser.get(f"/thing/{quote(part.number, safe='')}").page
        assert "Build orders that make it" in page
        assert f"/faults?part={quote(part.number)}" in page

    @pytest.mark.parametrize("code", ["M1", "F1", "N1"])
    def test_what_is_of_it_leads_to_it(self, hall, code):
        place, browser = hall
        number = self.numbers(place)[code].number
        assert f'href="/thing/{quote(number, safe="")}"' in browser.get(f"/thing/{n(code)}").page

    def test_it_is_found_by_its_number_and_by_what_it_is(self, hall):
        place, browser = hall
        part = self.numbers(place)["F1"]
        for words in (part.number, part.what):
            page = browser.get(f"/search?q={quote(words)}").page
            assert f'<a href="/thing/{quote(part.number, safe="")}">{part.number}</a>' in page
        assert '"kind": "part"' in run("search", part.number, "--format", "json", ledger=place).out


@pytest.mark.parametrize("ask", ["product", "order", "consignee"])
def test_what_is_not_there_is_told(plant, ask):
    with open_ledger(plant[0], read_only=True) as ledger:
        with pytest.raises(runout.errors.UnknownCode, match="nothing like it"):
            getattr(ledger.warehouse, ask)("nothing like it")
        with pytest.raises(runout.errors.UnknownCode, match="nothing like it"):
            ledger.hall.part("nothing like it")
    assert plant[1].get("/thing/nothing%20like%20it").status in (400, 404)


def test_axe_finds_nothing_on_them(plant, hall, tabs):
    found = {}
    for (place, browser), paths in (
        (plant, (gtin(1), n("O1"), "Shop%201")),
        (hall, (TestParts().numbers(hall[0])["F1"].number,)),
    ):
        tab = tabs(f"{browser.origin}/board")
        for path in paths:
            tab.goto(f"{browser.origin}/thing/{path}")
            if against := violations(tab):
                found[place.name, path] = against
    assert found == {}
