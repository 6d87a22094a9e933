"""Notices: filled from the records, gaps named, the plant's own template kept in its sandbox."""

from dataclasses import replace

import pytest

from tracelink.errors import UsageError
from tracelink.facts.notice_content import (
    Contact,
    NoticeFacts,
    NoticeLot,
    NoticePallet,
    NoticeShipment,
    NoticeUnit,
)
from tracelink.ledger.kinds.case_scope import CaseContainer
from tracelink.report.case.notice import notice_text
from tracelink.report.case.notice_items import COMMERCIAL, SAFETY, words_that_play_down
from tracelink.report.case.notice_list import notice_list

CARTON = CaseContainer(
    "095200000000000011", "carton", "closed", "L000001B", 25, 3, 20, ("195200000000000018", "D0000010"), "Shop 1", True
)  # fmt: skip

PALLET = NoticePallet("195200000000000018", "L000001B", (CARTON,))


def facts(*, safety=False, **more):
    values = {
        "case": "Q000001Z",
        "maker": "Invented Pressing",
        "sender": None,
        "consignee": "Shop 1",
        "contact": None,
        "date": "2031-03-04",
        "scope": 1,
        "may_hold": 25,
        "least": 3,
        "most": 20,
        "lots": (
            NoticeLot(
                "L000001B", "Paper Comet Arithmetic", "EX 101", "9520000000011", 1, 2, "EX-101-A", "EX-101-B", "2031-03-03", "2031-03-04"
            ),
        ),
        "shipments": (NoticeShipment("D0000010", "O000001Y", "2031-03-05", (PALLET,)),),
        "list_file": "list.csv",
    }  # fmt: skip
    return NoticeFacts(safety=safety, **(values | more))


def own(tmp_path, text):
    file = tmp_path / "letter.txt"
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    return file


class TestOwnWords:
    def test_a_stranger_finds_the_goods_by_it(self):
        text, gaps = notice_text(facts(), {"contact": "Quality, Ada"})
        for found in (
            "To: Shop 1",
            '"Paper Comet Arithmetic", catalogue number EX 101, EAN 9520000000011, disc 1 of 2, lot L000001B',
            "Matrix numbers EX-101-A (side A) and EX-101-B (side B)",
            "Pressed 2031-03-03 to 2031-03-04.",
            "Shipment D0000010, order O000001Y, left us 2031-03-05",
            "Pallet 195200000000000018: 1 carton, 25 discs of lot L000001B",
            "1 pallet, 1 carton, 25 discs in cartons that may hold an affected one.\nAffected by our records: 3 to 20 of these discs.",
            "The file list.csv lists every carton",
            "Please answer with the form below, to: Quality, Ada",
        ):
            assert found in text
        assert gaps == ["reason", "instruction", "remedy"]

    def test_what_nobody_gave_is_a_named_gap(self):
        text, gaps = notice_text(facts(), {"remedy": "  "})
        assert "What you get for them: [NOT GIVEN: what the consignee gets for them]" in text
        assert gaps == [item.name for item in COMMERCIAL]

    def test_a_commercial_withdrawal_speaks_of_no_safety_recall(self):
        text, _gaps = notice_text(facts(), {})
        assert "recall" not in text.lower()
        assert "safety" not in text.lower()

    def test_safety_items_are_offered_only_when_a_person_marked_it(self):
        with pytest.raises(UsageError, match="--item hazard: this notice has no such item"):
            notice_text(facts(), {"hazard": "splinters"})
        text, gaps = notice_text(facts(safety=True), {"hazard": "splinters"})
        assert text.startswith("PRODUCT SAFETY RECALL\n")
        assert "Hazard: splinters\n" in text
        assert gaps == [item.name for item in SAFETY if item.name != "hazard"]
        for item in SAFETY:
            assert item.name == "hazard" or f"[NOT GIVEN: {item.asks}]" in text

    def test_every_safety_item_says_where_it_comes_from(self):
        """The list of 16 CFR 1115.27 and EU 2023/988 Art. 36(2); the records give headline, date, product and units."""
        assert {item.name for item in SAFETY} == {
            "hazard", "action", "remedy", "contact", "picture", "brand", "sold_by", "sold_dates", "price", "incidents",
        }  # fmt: skip
        assert all("1115.27" in item.source or "Art. 36" in item.source for item in SAFETY)

    def test_nothing_typed_acts_on_whoever_reads_it(self):
        evil = Contact("a\x1b[2Jb\u202ec", "a@example.com", "", "", "2031-01-01")
        text, _gaps = notice_text(
            facts(contact=evil, sender=evil), {"reason": "x\x1b[2J", "contact": "x\x07y"}
        )
        assert text.count("a\\x1b[2Jb\\u202ec, a@example.com") == 2
        assert "Reason: x\\x1b[2J" in text
        assert "x\\x07y" in text


def of_units(*, safety=False, discs=()):
    """Two boards of one unit took parts of a reel; the unit is in a carton on no pallet."""
    carton = replace(CARTON, lot="F0008062", pieces=3, least=1, most=3, parents=("D0000010",))
    unit = NoticeUnit(
        "U3900130", "Kettle Moon turntable", "EX 161", "9520777000610", CARTON.code, "", "F0008062", 3, 1, 3
    )
    pallets = (*discs, NoticePallet("", "F0008062", (carton,), (unit,)))
    return facts(
        safety=safety,
        may_hold=3,
        least=1,
        most=3,
        lots=(),
        shipments=(NoticeShipment("D0000010", "O000001Y", "2031-03-05", pallets),),
    )


class TestOfParts:
    @pytest.mark.parametrize("safety", [False, True])
    def test_both_letters_speak_of_parts_in_units(self, safety):
        text, _gaps = notice_text(of_units(safety=safety), {})
        for found in (
            "\n1 carton, 1 unit with 3 parts that may be affected.\nAffected by our records: 1 to 3 of these parts.\n",
            '- "Kettle Moon turntable", catalogue number EX 161, EAN 9520777000610\n  1 unit, by serial label: U3900130\n',
            "  On no pallet: 1 carton, 1 unit, 3 parts of reel F0008062\n",
            "also if you have none of these products\n",
            "______ units\n",
        ):
            assert found in text
        assert "disc" not in text

    def test_discs_in_the_same_case_are_listed_by_carton(self):
        listed = notice_list(of_units(discs=(PALLET,))).decode().splitlines()
        assert listed[1].startswith(
            f"U3900130,{CARTON.code},,D0000010,O000001Y,F0008062,Kettle Moon turntable,"
        )
        assert listed[2].startswith(f",{CARTON.code},195200000000000018,D0000010,O000001Y,L000001B,")
        assert len(listed) == 3

    def test_a_part_that_is_sold_as_no_product_is_told_by_its_number(self):
        one = replace(of_units().units[0], title="motor board", catalogue_number="EX-3000", gtin="")
        pallet = NoticePallet("", "N0008012", (CARTON,), (one,))
        shipments = (NoticeShipment("D0000010", "O000001Y", "2031-03-05", (pallet,)),)
        text, _gaps = notice_text(facts(lots=(), shipments=shipments), {})
        assert '- "motor board", part number EX-3000\n  1 unit, by serial label: U3900130\n' in text


class TestTemplateOfThePlant:
    def test_it_is_filled_in_its_place(self, tmp_path):
        file = own(
            tmp_path,
            "Dear {{ notice.consignee }}: {% for lot in notice.lots %}{{ lot.lot }}{% endfor %} {{ item.contact }}",
        )
        assert notice_text(facts(), {"contact": "Ada"}, file)[0] == "Dear Shop 1: L000001B Ada"

    def test_figures_are_grouped_and_times_are_told_as_in_tables(self, tmp_path):
        file = own(
            tmp_path,
            "{{ notice.may_hold }} {{ 15002.9 }} {{ 14155 | string }} {{ notice.safety }} {{ '2031-03-04T08:00:40.966+00:00' | moment }}",
        )
        assert notice_text(facts(may_hold=1240), {}, file)[0] == (
            "1\u202f240 15\u202f002.9 14155 False 2031-03-04 08:00 +00:00"
        )

    @pytest.mark.parametrize(
        ("text", "sentence"),
        [
            ("{{ notice.colour }}", "cannot be filled: .* has no attribute 'colour'"),
            ("{{ price }}", "cannot be filled: 'price' is undefined"),
            ("line\n{% if %}", "line 2: Expected an expression"),
            ("{{ 1 // 0 }}", "cannot be filled"),
            ("{{ notice.lots[9].lot }}", "cannot be filled"),
            ("{% include 'missing.txt' %}", "takes in 'missing.txt': expected a template that is whole in itself"),
            (b"\xff", "is not UTF-8 text: byte 0 cannot be read"),
            ("x" * 200_001, "has 200001 characters: expected at most 200000"),
            ("{% for i in range(90000) %}xxx{% endfor %}", "makes 270000 characters: expected at most 200000"),
        ],
        ids=range(9),
    )  # fmt: skip
    def test_a_wrong_one_has_its_sentence(self, tmp_path, text, sentence):
        with pytest.raises(UsageError, match=sentence):
            notice_text(facts(), {}, own(tmp_path, text))

    @pytest.mark.parametrize(
        "text",
        [
            "{{ ''.__class__.__mro__[1].__subclasses__() }}",
            "{{ notice.__init__.__globals__ }}",
            "{{ 'a' * 10**9 }}",
            "{{ 10 ** 10 ** 10 }}",
            "{% for i in range(10 * 99999) %}x{% endfor %}",
            "{{ item.update(contact='x') }}",
        ],
    )
    def test_it_cannot_reach_the_program(self, tmp_path, text):
        with pytest.raises(UsageError, match="cannot be filled"):
            notice_text(facts(), {}, own(tmp_path, text))

    def test_one_that_is_not_there_is_said(self, tmp_path):
        with pytest.raises(UsageError, match=r"gone\.txt cannot be read: No such file"):
            notice_text(facts(), {}, tmp_path / "gone.txt")


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("A voluntary recall", [(1, "voluntary")]),
        ("first\nAs a Precaution and\nat our discretion", [(2, "Precaution"), (3, "discretion")]),
        ("in rare cases, rarely", [(1, "rare"), (1, "rarely")]),
        ("precautionary, discretionary", [(1, "precautionary"), (1, "discretionary")]),
        ("a rarefied gas, involuntary", []),
    ],
)
def test_words_that_make_a_risk_look_small_are_found(text, found):
    """EU 2023/988 Art. 36: voluntary, precautionary, discretionary, rare (not checked against the original text)."""
    assert words_that_play_down(text) == found
