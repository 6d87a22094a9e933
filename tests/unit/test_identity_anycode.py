"""Any code said in full: published codes are told for what they are, damaged ones for what is wrong with them."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from support_identity import GS, SINGLE, SSCC, bracketed_pairs, by_id, raw_text, vectors

from tracelink.identity.anycode.check_schemes import SCHEMES, code128_symbol_check, scheme_fits
from tracelink.identity.anycode.code_parts import CodeVerdict
from tracelink.identity.anycode.code_reader import LONGEST, judged_together, read_code
from tracelink.identity.gs1.digitallink import write_link
from tracelink.identity.gs1.epc import is_epc


def read(text):
    return read_code(text, 2026)


def told(text):
    """What is said of a code: (what, value, judged) of each part."""
    code, _ = read(text)
    return [(part.what, part.value, part.judged) for part in code.parts]


@pytest.mark.parametrize("case", vectors("epc_urn"), ids=by_id)
def test_published_urns(case):
    code, elements = read(case["input"]["urn"])
    assert elements == dict(bracketed_pairs(case["expected"]["element_string"])), case["source"]
    assert not code.is_wrong
    (spelled,) = [part for part in code.parts if part.what == "company prefix"]
    assert spelled.says == f"{case['input']['gcp_length']} digits; spelled {case['input']['urn']}"


@pytest.mark.parametrize("case", vectors("epc_urn_wrong"), ids=by_id)
def test_published_wrong_urns(case):
    """One of them is no URN at all but an element string, and one lacks what a URN begins with."""
    urn = case["input"]["urn"]
    code, elements = read(urn)
    assert code.is_wrong == is_epc(urn), case["source"]
    assert bool(elements) == urn.startswith("(")


@pytest.mark.parametrize("case", vectors("digital_link"), ids=by_id)
def test_published_web_addresses(case):
    code, elements = read(case["input"]["uri"])
    assert elements == dict(case["expected"]["elements"]), case["source"]
    assert not code.is_wrong
    again = [part.value for part in code.parts if part.what == "as GS1 web address"]
    assert again == [write_link(elements)]


@pytest.mark.parametrize("case", vectors("scan"), ids=by_id)
def test_published_scans(case):
    _, elements = read(case["input"]["data"])
    expected = {ai.replace("gtin", "01"): value for ai, value in case["expected"]["elements"] or ()}
    assert elements == expected, case["source"]


@pytest.mark.parametrize("case", vectors("scan_reject", "digital_link_reject"), ids=by_id)
def test_published_damaged_scans(case):
    text = case["input"].get("data") or case["input"]["uri"]
    code, elements = read(text)
    assert not elements
    assert code.is_wrong or code.parts[0].judged is CodeVerdict.NOT_JUDGED, case["source"]


@pytest.mark.parametrize("case", vectors("element_string_raw"), ids=by_id)
def test_published_element_strings(case):
    _, elements = read("]C1" + raw_text(case))
    assert elements == dict(case["expected"]["elements"]), case["source"]


@pytest.mark.parametrize("case", vectors("ai_association", "ai_association_reject"), ids=by_id)
def test_published_associations(case):
    """Of two equal identifiers one is told: their values are the same, or the text itself is wrong."""
    pairs = bracketed_pairs(case["input"]["bracketed"])
    found = judged_together([dict([pair]) for pair in pairs])
    assert {part.judged for part in found} == {
        CodeVerdict.RIGHT if case["expected"]["valid"] else CodeVerdict.WRONG
    }, (
        case["source"],
        found,
    )


NAMES = {
    "gs1_mod10": "GS1 mod 10",
    "luhn": "Luhn",
    "iso7064_mod37_36": "MOD 37,36",
    "iso7064_mod37_2": "MOD 37-2",
    "iso7064_mod11_2": "MOD 11-2",
    "iso7064_mod11_10": "MOD 11,10",
    "iso7064_mod97_10": "MOD 97-10",
    "gs1_check_pair": "GS1 check pair",
    "code39_mod43": "Code 39 modulo 43",
}


@pytest.mark.parametrize("case", vectors(*NAMES), ids=by_id)
def test_published_check_characters_fit_their_scheme(case):
    fits = {fit.scheme.name: fit.fits for fit in scheme_fits(case["expected"]["full"])}
    assert fits[NAMES[case["kind"]]], case["source"]


def test_every_scheme_is_met_by_a_published_number():
    """ISO 6346 by the container of the Tag Data Standard's examples."""
    assert {scheme.name for scheme in SCHEMES} == {*NAMES.values(), "ISO 6346"}
    assert {fit.scheme.name: fit.fits for fit in scheme_fits("CSQU3054383")}["ISO 6346"]


def test_a_text_that_a_scheme_is_not_for_is_passed_over():
    assert [fit.scheme.name for fit in scheme_fits("é")] == []
    assert [fit.scheme.name for fit in scheme_fits("hello")] == ["GS1 check pair"]
    assert (code128_symbol_check("é"), code128_symbol_check("")) == (None, None)
    # Start B 104, A is 33: 104 + 33 = 137, modulo 103 is 34.
    assert code128_symbol_check("A") == 34


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("L004707P", ("plant code", "L004707P", CodeVerdict.RIGHT)),
        ("L004707X", ("plant code", "L004707X", CodeVerdict.WRONG)),
        ("AGROWX", ("action card", "AGROWX", CodeVerdict.RIGHT)),
        (SINGLE, ("GTIN", SINGLE, CodeVerdict.RIGHT)),
        (SINGLE[:-1] + "3", ("GTIN", SINGLE[:-1] + "3", CodeVerdict.WRONG)),
        ("95200125", ("GTIN", "95200125", CodeVerdict.RIGHT)),
        (SSCC, ("SSCC", SSCC, CodeVerdict.RIGHT)),
        ("ISRC AA-6Q7-20-00047", ("ISRC of a recording", "ISRC AA-6Q7-20-00047", CodeVerdict.RIGHT)),
        ("DE91100000000123456789", ("bank account (IBAN)", "DE91100000000123456789", CodeVerdict.RIGHT)),
        ("9176187", ("number of a ship", "9176187", CodeVerdict.RIGHT)),
        ("9176188", ("text", "9176188", CodeVerdict.NOT_JUDGED)),
        ("hello", ("text", "hello", CodeVerdict.NOT_JUDGED)),
        ("https://example.com/shop", ("web address", "https://example.com/shop", CodeVerdict.NOT_JUDGED)),
        ("#12", ("at a station", "number typed", CodeVerdict.TOLD)),
        ('"a reason', ("at a station", "text typed", CodeVerdict.TOLD)),
        ("]C0L004707P", ("symbology", "]C0 (Code 128)", CodeVerdict.RIGHT)),
        ("]C9x", ("symbology", "]C9", CodeVerdict.WRONG)),
        ("]", ("symbology", "]", CodeVerdict.WRONG)),
        ("", ("text", "", CodeVerdict.WRONG)),
        ("x" * (LONGEST + 1), ("text", "", CodeVerdict.WRONG)),
        ("(01)" + "1" * 13, ("GS1 elements", "(01)" + "1" * 13, CodeVerdict.WRONG)),
        ("urn:epc:id:gid:1.2.3", ("EPC URN", "urn:epc:id:gid:1.2.3", CodeVerdict.RIGHT)),
    ],
)
def test_what_a_text_is_told_to_be(text, first):
    assert told(text)[0] == first


def test_a_carton_label_is_told_element_by_element():
    code, elements = read(f"]C1020{SINGLE}3725{GS}10AB21C")
    assert elements == {"02": f"0{SINGLE}", "37": "25", "10": "AB21C"}
    assert [(part.what, part.says) for part in code.parts] == [
        ("symbology", "carries GS1 elements"),
        ("at a station", f"content {SINGLE}, count 25, lot AB21C"),
        ("(02) CONTENT", "14 digits, its length is predefined; needs (37); never with (01), (03)"),
        (
            "(37) COUNT",
            "1 to 8 digits, a separator ends it unless it is last; needs (00); needs (02) or (8026)",
        ),
        (
            "(10) BATCH/LOT",
            "1 to 20 characters, a separator ends it unless it is last; needs (01) or (02) or (03) or (8006) or (8026)",
        ),
        (
            "(10) BATCH/LOT",
            "'AB21C' may be 'AB' followed by (21)C, with the separator between them lost: only the records can tell",
        ),
    ]
    (missing,) = judged_together([elements])
    assert (missing.judged, missing.says) == (
        CodeVerdict.WRONG,
        "(37) COUNT needs (00) on the same item, found none",
    )
    (fine,) = judged_together([elements, {"00": SSCC}])
    assert (fine.judged, fine.value) == (CodeVerdict.RIGHT, "(02) (37) (10) (00)")
    (differing,) = judged_together([elements, {"37": "26"}])
    assert differing.judged is CodeVerdict.WRONG
    assert judged_together([{}, {}]) == ()


@pytest.mark.parametrize(
    ("text", "means"),
    [("(01)09520000012342(17)260331", "means 2026-03-31"), ("(01)09520000012342(11)260300", "means 2026-03")],
)
def test_a_date_is_told_in_full(text, means):
    code, _ = read(text)
    assert any(means in part.says.split("; ") for part in code.parts)


def test_a_list_that_is_not_kept_is_named():
    code, _ = read(f"(00){SSCC}(7041)QQ9")
    assert not code.is_wrong
    found = {part.what: (part.judged, part.says.split("; ")[-1]) for part in code.parts}
    assert found["(00) SSCC"][0] is CodeVerdict.RIGHT
    assert found["(7041) UFRGT UNIT TYPE"] == (
        CodeVerdict.NOT_JUDGED,
        "its list is not kept here (packagetype), so only length and characters count",
    )


@given(st.text(max_size=60) | st.text(']#"()C1dEQ0123456789ABKL\x1d:/.urnepchtps', max_size=60))
@example("]C1\x1d")
@example("(((")
@example("(01)(01)")
@example("http://")
@example("urn:epc:id:sgtin:....")
@example("A" * 300)
def test_whatever_the_text_something_is_said_and_nothing_is_raised(text):
    code, elements = read(text)
    assert code.text == text[:LONGEST]
    assert code.parts
    judged_together([elements])
