"""The label store: numbers are given out once, void labels are refused, every label has its fate."""

import multiprocessing
import re
from concurrent.futures import ProcessPoolExecutor

import pytest
from support_cli import run, write_plant_file
from support_ledgers import filled, initialised
from support_plant import DOCK, LINE, Floor, carton_sscc, code, gtin, pallet_sscc, plant_data, raw_disc
from support_sql import read

from tracelink.clock import local_now, utc_now
from tracelink.errors import RefusedByRule
from tracelink.identity.checkdigit import gs1_check_digit
from tracelink.identity.rawlines import raw_numbered_sleeve, raw_sscc
from tracelink.ledger.kinds.base import numbered_label
from tracelink.ledger.kinds.label_stock import SsccReturned
from tracelink.ledger.kinds.setup import SsccIssued
from tracelink.store.ledger import Ledger
from tracelink.store.office import label_stock as stock

BEN = code("P", 2)


@pytest.fixture
def place(tmp_path):
    data = plant_data()
    data["sleeves"].append({"code": code("B", 9), "gtin": gtin(3), "quantity": 50})
    return initialised(tmp_path, data)


@pytest.fixture
def floor(place):
    return Floor(Ledger.open(str(filled(place, _pressed))))


def _pressed(place):
    with Ledger.open(str(place)) as ledger:
        floor = Floor(ledger)
        floor.tools()
        floor.press(4)


def issue_many(place, times):
    ledger = Ledger.open(str(place))
    found = []
    for _ in range(times):
        with ledger.writing() as booking:
            who = stock.clerk(booking, BEN, local_now(), utc_now())
            found.append(stock.issue_ssccs(booking, who, "carton", 3))
    return found


class TestIssue:
    def test_the_next_block_follows_the_last(self, place):
        first = run("label", "issue", "carton", "--count", 10, "--by", BEN, ledger=place)
        assert first.out == f"10 carton labels: {carton_sscc(1001)} to {carton_sscc(1010)}\n"
        assert run("label", "issue", "pallet", "--count", 1, "--by", BEN, ledger=place).out == (
            f"1 pallet label: {pallet_sscc(101)}\n"
        )

    def test_many_programs_at_once_never_get_the_same_number(self, place):
        with ProcessPoolExecutor(4, mp_context=multiprocessing.get_context("spawn")) as programs:
            given_out = programs.map(issue_many, [place] * 4, [10] * 4)
            found = [block for blocks in given_out for block in blocks]
        assert len({first for first, _last in found}) == 40
        serials = sorted(int(first[8:17]) for first, _last in found)
        assert serials == list(range(1001, 1001 + 3 * 40, 3))

    def test_a_program_that_dies_before_the_end_gives_out_nothing(self, place):
        ledger = Ledger.open(str(place))

        def die():
            with ledger.writing() as booking:
                stock.issue_ssccs(booking, stock.clerk(booking, BEN, local_now(), utc_now()), "carton", 5)
                raise KeyboardInterrupt

        with pytest.raises(KeyboardInterrupt):
            die()
        assert issue_many(place, 1)[0][0] == carton_sscc(1001)

    @pytest.mark.parametrize("block", [("0", 1000, 1001), ("0", 1, 1), ("0", 500, 2000)])
    def test_the_database_itself_refuses_an_overlapping_block(self, place, block):
        ledger = Ledger.open(str(place))
        with pytest.raises(RefusedByRule, match="an SSCC is given out once"), ledger.writing() as booking:
            booking.record(SsccIssued("carton", *block), stock.Clerk(BEN, local_now(), utc_now()).stamp)

    def test_a_press_operator_may_not(self, place):
        refused = run("label", "issue", "carton", "--count", 1, "--by", code("P", 3), ledger=place)
        assert (refused.code, refused.err) == (
            4,
            "runout: Cleo may not handle labels: that needs the role line or quality\n",
        )


class TestReturn:
    def test_labels_that_came_back_are_never_used(self, place):
        done = run("label", "return", carton_sscc(1), carton_sscc(3), "--by", BEN, ledger=place)
        assert done.out == "3 labels came back unused.\n"
        floor = Floor(Ledger.open(str(place)))
        floor.scan(LINE, "P1", "CLEAR", "P2", "B1")
        refused = floor.scan(LINE, carton_sscc(2))
        assert refused.finding == "void-label"
        assert re.fullmatch(
            rf"Carton label {carton_sscc(2)} is void: it came back unused, entry \d+. Put it aside and take another.",
            refused.sentence,
        )
        assert floor.scan(LINE, carton_sscc(4)).word.value == "DONE"
        assert run("label", "return", carton_sscc(3), carton_sscc(5), "--by", BEN, ledger=place).code == 4

    def test_a_label_in_use_does_not_come_back(self, place):
        floor = Floor(Ledger.open(str(place)))
        floor.scan(DOCK, "P1", "PALLET", pallet_sscc(2))
        refused = run("label", "return", pallet_sscc(1), pallet_sscc(5), "--by", BEN, ledger=place)
        assert (refused.code, refused.err) == (
            4,
            f"runout: label {pallet_sscc(2)} is in use; only unused labels come back\n",
        )

    @pytest.mark.parametrize(("first", "last", "code"), [(1, 2, 4), (2, 3, 4), (1, 1, 0), (3, 3, 0)])
    def test_a_label_in_use_stands_at_either_end(self, place, first, last, code):
        Floor(Ledger.open(str(place))).scan(DOCK, "P1", "PALLET", pallet_sscc(2))
        done = run("label", "return", pallet_sscc(first), pallet_sscc(last), "--by", BEN, ledger=place)
        assert done.code == code

    @pytest.mark.parametrize(("first", "last"), [(1000, 1001), (5, 4), (5000, 5001)])
    def test_only_part_of_one_block_comes_back(self, place, first, last):
        refused = run("label", "return", carton_sscc(first), carton_sscc(last), "--by", BEN, ledger=place)
        assert refused.code == 2
        assert "is not a part of one block that was given out" in refused.err

    def test_the_database_itself_refuses_a_second_return(self, place):
        ledger = Ledger.open(str(place))
        stamp = stock.Clerk(BEN, local_now(), utc_now()).stamp
        with ledger.writing() as booking:
            booking.record(SsccReturned("0", 5, 9), stamp)
        with pytest.raises(RefusedByRule, match="an SSCC label comes back once"), ledger.writing() as booking:
            booking.record(SsccReturned("0", 9, 12), stamp)


class TestNumbers:
    def test_numbers_in_no_order_are_given_out_and_taken_once(self, place, floor):
        floor.open_line(9, [], 1)
        assert [v.finding for v in floor.verdicts if v.finding] == ["no-numbers", "not-ready"]
        drawn = run("label", "numbers", code("B", 9), "--count", 20, "--by", BEN, ledger=place).out.split()
        assert len(set(drawn)) == 20
        assert all(re.fullmatch("[2-9A-HJ-NP-Z]{10}", number) for number in drawn)
        floor.scan(LINE, "B9", "K41", carton_sscc(1))
        disc = raw_disc(gtin(3), 1, 1)
        # The wrong number first: nothing is packed yet that it would hold back.
        assert floor.scan(LINE, disc, raw_numbered_sleeve(gtin(3), "7")).finding == "wrong-number"
        assert floor.scan(LINE, raw_numbered_sleeve(gtin(3), drawn[0])).word.value == "MATCH"
        assert floor.scan(LINE, disc, raw_numbered_sleeve(gtin(3), drawn[0])).finding == "duplicate-number"

    @pytest.mark.parametrize(
        ("batch", "sentence"),
        [
            (code("B", 1), '"Paper Comet Arithmetic" is not a numbered edition'),
            (code("B", 3), f"sleeve batch {code('B', 3)} came in with numbers 1 to 100"),
        ],
    )
    def test_other_batches_get_none(self, place, batch, sentence):
        refused = run("label", "numbers", batch, "--count", 5, "--by", BEN, ledger=place)
        assert (refused.code, refused.err) == (4, f"runout: {sentence}\n")


class TestVoid:
    def test_a_reprint_carries_a_new_number_and_the_old_one_is_refused(self, place):
        words = ("label", "void", carton_sscc(7), "--reprint", "--by", BEN, "--reason", "smudged")
        assert run(*words, ledger=place).out == f"{carton_sscc(7)} is void; print {carton_sscc(1001)}.\n"
        assert run(*words, ledger=place).code == 4
        floor = Floor(Ledger.open(str(place)))
        floor.scan(LINE, "P1", "CLEAR", "P2", "B1")
        refused = floor.scan(LINE, raw_sscc(carton_sscc(7)))
        assert refused.finding == "void-label"
        assert f"replaced by {carton_sscc(1001)}" in refused.sentence
        assert floor.scan(LINE, carton_sscc(1001)).word.value == "DONE"

    def test_a_void_number_is_refused_at_the_sleeve(self, place, floor):
        done = run("label", "void", code("B", 3), "5", "--by", BEN, "--reason", "torn", ledger=place)
        assert done.out == "5 is void.\n"
        floor.open_line(3, [41], 1)
        refused = floor.scan(LINE, raw_disc(gtin(3), 1, 1), raw_numbered_sleeve(gtin(3), "5"))
        assert refused.finding == "void-label"
        with floor.ledger.reading() as conn:
            assert read(conn, "void_label", "subject") == [(numbered_label(gtin(3), "5"),)]

    def test_a_used_number_is_not_voided(self, place, floor):
        floor.open_line(3, [41], 1)
        floor.scan(LINE, raw_disc(gtin(3), 1, 1), raw_numbered_sleeve(gtin(3), "5"))
        refused = run("label", "void", code("B", 3), "5", "--by", BEN, "--reason", "torn", ledger=place)
        assert (refused.code, refused.err) == (
            4,
            "runout: sleeve number 5 is packed; a label in use is not voided\n",
        )


class TestCount:
    def test_each_fate_is_an_entry(self, place):
        for fate in ("printed", "spoiled", "returned", "destroyed", "samples"):
            assert run("label", "count", code("B", 1), fate, 3, "--by", BEN, ledger=place).code == 0
        ledger = Ledger.open(str(place))
        with ledger.reading() as conn:
            found = read(conn, "label_count", "subject", "fate", "quantity", order="seq")
        assert found == [
            (code("B", 1), fate, 3) for fate in ("printed", "spoiled", "returned", "destroyed", "samples")
        ]
        assert run("audit", "verify", ledger=place).code == 0

    def test_what_is_no_label_batch_is_said(self, place):
        refused = run("label", "count", code("C", 1), "spoiled", 3, "--by", BEN, ledger=place)
        assert (refused.code, refused.err) == (
            2,
            f"runout: {code('C', 1)} is neither a sleeve batch nor a label lot in the system\n",
        )


def test_confusable_codes_are_listed(tmp_path):
    """GS1 mod 10 does not see digits two apart swapped: 123 and 321 have the same check digit."""
    data = plant_data()
    bodies = ("952000012300", "952000032100")
    codes = [body + gs1_check_digit(body) for body in bodies]
    assert codes[0][-1] == codes[1][-1]
    product = data["product"][0]
    data["product"] += [
        {**product, "gtin": gtin13, "title": title} for gtin13, title in zip(codes, "XY", strict=True)
    ]
    place = tmp_path / "plant.db"
    assert run("init", "--plant", write_plant_file(tmp_path / "plant.toml", data), ledger=place).code == 0
    listed = run("label", "confusable", "--format", "csv", ledger=place)
    assert listed.code == 1
    assert f"{codes[0]},{codes[1]},8\n" in listed.out


def test_the_card_of_an_area_has_the_reasons_of_the_plant(place, tmp_path):
    worn = {"code": code("R", 1), "area": "tool", "text": "Worn out", "acts": ["RETIRE"]}
    more = write_plant_file(tmp_path / "more.toml", {"reason": [worn]})
    assert run("plan", more, "--by", BEN, ledger=place).code == 0
    out = tmp_path / "card.pdf"
    card = run("label", "acts", "tool", out, "--reasons", "--dpi", 203, ledger=place)
    assert card.out == f"{out}: CANCEL, BLANK, LACQUER, COPPER, GROW, RETIRE, SIGNOFF, Worn out\n"
    assert run("code", "make", "R", ledger=place).out == f"{code('R', 2)}\n"
    assert run("label", "acts", "attic", out, "--reasons", ledger=place).code == 2
    missing = run("label", "acts", "tool", out, "--reasons", ledger=tmp_path / "none.db")
    assert missing.code == 2
    assert "there is no ledger at" in missing.err


def test_a_reason_is_named_once_and_for_acts_that_ask_why(place, tmp_path):
    worn = {"code": code("R", 1), "area": "tool", "text": "Worn out", "acts": ["RETIRE"]}
    more = write_plant_file(tmp_path / "more.toml", {"reason": [worn]})
    assert run("plan", more, "--by", BEN, ledger=place).code == 0
    assert run("plan", more, "--by", BEN, ledger=place).code == 2
    wrong = write_plant_file(tmp_path / "wrong.toml", {"reason": [{**worn, "acts": ["GROW"]}]})
    assert (
        "acts is ['GROW']: expected one or more of RETIRE, each once"
        in run("plan", wrong, "--by", BEN, ledger=place).err
    )
