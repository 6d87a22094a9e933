"""`runout search`: everything that a person may know a thing by leads to it; what is left out is counted."""

import json

import pytest
from support_cases import ADA, CAUSE, shipped_file
from support_cli import run
from support_plant import LINE, carton_sscc, code, gtin, n

from runout import errors, open_ledger
from tracelink.identity.reading import raw_disc, raw_sleeve


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    return shipped_file(tmp_path_factory.mktemp("search"))


@pytest.fixture
def ledger(place):
    with open_ledger(place, read_only=True) as opened:
        yield opened


def found(ledger, text, **more):
    return {(hit.kind, hit.code) for hit in ledger.search(text, **more).hits}


class TestWhatIsKnown:
    def test_a_code_in_any_case_and_with_blanks(self, ledger):
        assert ("stamper", CAUSE) in found(ledger, CAUSE)
        assert ("stamper", CAUSE) in found(ledger, f" {CAUSE[:3].lower()} {CAUSE[3:].lower()} ")

    def test_a_title_leads_to_product_and_lots(self, ledger):
        title = ledger.search(gtin(1)).hits[0].text
        hits = found(ledger, title.upper()[2:9])
        assert ("product", gtin(1)) in hits
        assert ("lot", n("L1")) in hits

    def test_whatever_finds_a_product_finds_what_is_made_of_it(self, ledger):
        product = next(hit for hit in ledger.search(gtin(1)).hits if hit.kind == "product")
        for known_by in (gtin(1), product.detail, product.text, raw_sleeve(gtin(1)), raw_disc(gtin(1), 1, 1)):
            hits = found(ledger, known_by)
            assert {("product", gtin(1)), ("lot", n("L1")), ("sleeve batch", n("B1"))} <= hits, known_by

    def test_a_consignee_leads_to_its_orders_and_shipments(self, ledger):
        hits = ledger.search("shop").hits
        consignees = {hit.code for hit in hits if hit.kind == "consignee"}
        assert consignees
        assert {hit.text for hit in hits if hit.kind == "order"} == consignees
        assert {hit.text for hit in hits if hit.kind == "shipment"} == {"Shop 1", "Shop 9"}

    def test_one_is_not_counted_like_several(self, ledger):
        details = {hit.code: hit.detail for hit in ledger.search("shop").hits if hit.kind == "consignee"}
        assert set(details.values()) == {"1 order"}

    def test_a_matrix_text_leads_to_every_tool_that_bears_it(self, ledger):
        hits = ledger.search("EX 101 A").hits
        assert {hit.text for hit in hits if hit.kind in ("lacquer", "father", "mother", "stamper")} == {
            "EX-101-A"
        }
        assert {"father", "mother", "stamper"} <= {hit.kind for hit in hits}

    def test_the_last_digits_of_an_sscc(self, ledger):
        carton = carton_sscc(1)
        assert ("carton", carton) in found(ledger, carton[-6:])
        assert ("carton", carton) in found(ledger, carton)

    def test_names_and_reasons(self, ledger):
        assert ("person", ADA) in found(ledger, "ada")
        assert ("station", LINE) in found(ledger, LINE.lower())
        consignees = [hit for hit in ledger.search("shop").hits if hit.kind == "consignee"]
        assert consignees

    def test_a_raw_scan(self, ledger):
        assert ("lot", n("L1")) in found(ledger, f"]C0{n('L1')}")

    def test_a_day_and_a_period(self, ledger):
        sample = next(hit for hit in ledger.search(n("S1")).hits if hit.kind == "sample")
        day = next(
            hit.detail
            for hit in ledger.search("2031-01-01..2031-12-31", most=1000).hits
            if hit.code == sample.code
        )
        assert ("sample", sample.code) in found(ledger, day.split()[1][:10], most=1000)
        assert found(ledger, "1999-01-01") == set()

    def test_signs_of_the_query_language_are_only_signs(self, ledger):
        assert found(ledger, "%%") == found(ledger, "__") == found(ledger, "!!") == set()


class TestWhatIsNoCode:
    def test_a_product_is_not_one_thing(self, place):
        for given in (gtin(1), raw_sleeve(gtin(1))):
            told = run("trace", given, ledger=place)
            assert told.code == 2
            assert told.err == (
                f"runout: '{gtin(1)}' names a product, not one thing: give a lot, tool, spindle, carton, pallet or numbered "
                f"sleeve; runout search {gtin(1)} finds the lots of a product\n"
            )

    def test_a_name_is_asked_for_with_search(self, place):
        told = run("trace", "EX 101", ledger=place)
        assert told.code == 2
        assert told.err.endswith(
            ". If it is a name, a matrix text or part of a code: runout search 'EX 101'\n"
        )


class TestHowItIsTold:
    def test_what_is_left_out_is_counted(self, ledger):
        every = ledger.search("EX-1", most=1000)
        few = ledger.search("EX-1", most=1)
        assert every.left_out == 0
        assert len(few.hits) < len(every.hits)
        assert few.left_out == len(every.hits) - len(few.hits)

    def test_the_command_says_the_same(self, ledger, place):
        told = run("search", "EX-101", "--format", "json", ledger=place)
        assert json.loads(told.out) == ledger.search("EX-101").to_dict()
        table = run("search", "EX-101", "--most", "1", ledger=place)
        assert CAUSE in run("search", CAUSE, ledger=place).out
        assert "more were found and are not shown" in table.err
        assert run("search", "EX-101", "--format", "csv", ledger=place).out.startswith(
            "kind,code,text,detail,entry\n"
        )

    def test_nothing_found_is_said_with_the_text(self, place):
        told = run("search", "no", "such", "thing", ledger=place)
        assert (told.code, told.out) == (0, "Nothing in the records is known by 'no such thing'.\n")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("a", "the search text 'a' is too short: expected 2 characters or more"),
        ("2031-02-30", "'2031-02-30' is an invalid date: expected YYYY-MM-DD"),
        ("2031-03-02..2031-03-01", "ends before it begins: expected the earlier day first"),
        (f"]C0{code('K', 1)[:-1]}A", "check character"),
    ],
)
def test_a_wrong_text_has_its_sentence(ledger, place, text, sentence):
    with pytest.raises(errors.LedgerError, match=sentence.replace("(", r"\(")):
        ledger.search(text)
    assert sentence in run("search", text, ledger=place).err


def test_every_rule_is_asked_on_a_database_server_too(pg_grown):
    with open_ledger(pg_grown.ledger.place, read_only=True) as served:
        assert ("product", gtin(1)) in found(served, gtin(1))
        assert ("stamper", CAUSE) in found(served, "ex101a")
        for text in ("12", "2031-03-01", "ada"):
            served.search(text)
