"""GTIN and SSCC."""

import pytest
from support_identity import SINGLE, SSCC, by_id, vectors

from tracelink.errors import InvalidCheckCharacter, InvalidFormat, InvalidLength
from tracelink.identity.gs1.gtin import Gtin
from tracelink.identity.gs1.sscc import Sscc
from tracelink.identity.rawlines import raw_sleeve

_GTINS = [case for case in vectors("gs1_mod10") if "gtin" in case["id"]]
_SSCCS = [case for case in vectors("gs1_mod10") if "sscc" in case["id"]]


@pytest.mark.parametrize("case", _GTINS, ids=by_id)
def test_published_gtins_of_every_length(case):
    full = case["expected"]["full"]
    gtin = Gtin.parse(full)
    assert gtin.digits == full.zfill(14)
    assert str(gtin) == (full.zfill(14) if full.zfill(14)[0] != "0" else full.zfill(13)[-13:])


@pytest.mark.parametrize("case", _SSCCS, ids=by_id)
def test_published_ssccs(case):
    """Taken and built with the published check digit, refused with every other one."""
    body, check = case["input"]["body"], case["expected"]["check_digit"]
    assert str(Sscc.parse(body + check)) == case["expected"]["full"] == body + check, case["source"]
    assert Sscc.build(body[0], body[1:8], int(body[8:])) == Sscc.parse(body + check)
    for wrong in set("0123456789") - {check}:
        with pytest.raises(InvalidCheckCharacter, match=f"expected {check}, found {wrong}"):
            Sscc.parse(body + wrong)


def test_one_product_is_one_gtin_however_many_zeros_lead():
    assert Gtin.parse(SINGLE) == Gtin.parse("0" + SINGLE) == Gtin("0" + SINGLE)
    assert Gtin.parse(SINGLE).gtin13 == str(Gtin.parse(SINGLE)) == SINGLE


@pytest.mark.parametrize(
    ("text", "short"),
    [("95200125", "95200125"), ("0000095200125", "95200125"), (SINGLE, None), ("12345678901231", None)],
)
def test_a_gtin_8_is_the_one_with_six_zeros_in_front(text, short):
    assert Gtin.parse(text).gtin8 == short
    expected = f"]E4{short}" if short else f"]E0{text}"
    if text[0] != "1":
        assert raw_sleeve(text) == expected


def test_gtins_sort_by_their_digits():
    assert sorted([Gtin.parse(SINGLE), Gtin.parse("95012346")]) == [
        Gtin.parse("95012346"),
        Gtin.parse(SINGLE),
    ]


def test_outer_pack_has_no_thirteen_digits():
    with pytest.raises(InvalidLength) as caught:
        _ = Gtin.parse("12345678901231").gtin13
    assert str(caught.value) == (
        "GTIN '12345678901231' has no 13-digit form: expected indicator digit 0, found 1"
    )


@pytest.mark.parametrize(
    ("text", "error", "sentence"),
    [
        ("", InvalidFormat, "GTIN must be digits 0-9, found ''"),
        ("952000001234X", InvalidFormat, "GTIN must be digits 0-9, found '952000001234X'"),
        (
            "９５２０００００１２３４２",
            InvalidFormat,
            "GTIN must be digits 0-9, found '９５２０００００１２３４２'",
        ),
        ("123456789", InvalidLength, "GTIN '123456789' must have 8, 12, 13 or 14 digits, found 9"),
        (
            "9520000012343",
            InvalidCheckCharacter,
            "invalid check digit in GTIN '9520000012343': expected 2, found 3",
        ),
    ],
)
def test_what_is_no_gtin(text, error, sentence):
    with pytest.raises(error) as caught:
        Gtin.parse(text)
    assert str(caught.value) == sentence


def test_a_gtin_cannot_be_made_around_its_checks():
    with pytest.raises(InvalidLength, match="must have 14 digits, found 13"):
        Gtin(SINGLE)
    with pytest.raises(InvalidCheckCharacter):
        Gtin("09520000012343")


@pytest.mark.parametrize(
    ("text", "error", "sentence"),
    [
        ("", InvalidFormat, "SSCC must be digits 0-9, found ''"),
        (SSCC[:-1], InvalidLength, "SSCC '00614141123456789' must have 18 digits, found 17"),
        (
            SSCC[:-1] + "1",
            InvalidCheckCharacter,
            "invalid check digit in SSCC '006141411234567891': expected 0, found 1",
        ),
    ],
)
def test_what_is_no_sscc(text, error, sentence):
    with pytest.raises(error) as caught:
        Sscc.parse(text)
    assert str(caught.value) == sentence


def test_published_sscc_is_built_from_its_parts():
    # EPC Tag Data Standard, example urn:epc:id:sscc:0614141.1234567890: extension 1, prefix 0614141.
    built = Sscc.build("1", "0614141", 234567890)
    assert str(built) == "106141412345678908"
    assert built.serial_reference(7) == 234567890


@pytest.mark.parametrize(
    ("extension", "prefix", "serial", "error", "sentence"),
    [
        (
            "",
            "9520000",
            1,
            InvalidFormat,
            "extension and company prefix must be digits 0-9, found '' and '9520000'",
        ),
        ("12", "9520000", 1, InvalidLength, "extension must be one digit, found '12'"),
        ("1", "952", 1, InvalidLength, "company prefix must have 4 to 12 digits, found 3"),
        (
            "1",
            "9520000",
            10**9,
            InvalidFormat,
            "serial reference must be 0 to 999999999 after company prefix 9520000, found 1000000000",
        ),
        (
            "1",
            "9520000",
            -1,
            InvalidFormat,
            "serial reference must be 0 to 999999999 after company prefix 9520000, found -1",
        ),
    ],
)
def test_an_sscc_that_cannot_be_built(extension, prefix, serial, error, sentence):
    with pytest.raises(error) as caught:
        Sscc.build(extension, prefix, serial)
    assert str(caught.value) == sentence


def test_no_company_prefix_of_thirteen_digits():
    with pytest.raises(InvalidLength, match="company prefix must have 4 to 12 digits, found 13"):
        Sscc.parse(SSCC).serial_reference(13)
