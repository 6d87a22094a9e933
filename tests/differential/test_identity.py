"""The same inputs through independent libraries: python-stdnum, biip, zxing-cpp. Disagreements are explained."""

import random

import biip
import pytest
import zxingcpp
from biip.gs1_messages import GS1Message
from stdnum import ean
from stdnum.exceptions import ValidationError
from stdnum.iso7064 import mod_37_36
from support_identity import GS, SINGLE, SSCC, by_id, foreign, raw_text, vectors

from tracelink.errors import IdentifierError, InvalidCheckCharacter
from tracelink.identity.checkdigit import ALPHABET, gs1_check_digit, mod37_36_check_character
from tracelink.identity.gs1.aitable import CSET_82, RULES
from tracelink.identity.gs1.elements import human_readable, parse_elements, write_elements
from tracelink.identity.gs1.gtin import Gtin
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.identity.reading import (
    raw_act,
    raw_carton,
    raw_disc,
    raw_numbered_sleeve,
    raw_plant,
    raw_sleeve,
    raw_sscc,
    read_scan,
)
from tracelink.identity.symbology import GRAMMARS, Grammar

SEED = 1948


def _random_text(rng, alphabet, shortest, longest):
    return "".join(rng.choices(alphabet, k=rng.randint(shortest, longest)))


def test_check_characters_agree_with_stdnum():
    rng = random.Random(SEED)
    for _ in range(3000):
        payload = _random_text(rng, ALPHABET, 1, 17)
        assert mod37_36_check_character(payload) == mod_37_36.calc_check_digit(payload)


def test_codes_and_their_damage_agree_with_stdnum():
    rng = random.Random(SEED)
    refused = 0
    for _ in range(3000):
        code = PlantCode.build(
            rng.choice([k for k in CodeKind if k is not CodeKind.ACT]), rng.randint(1, 999_999)
        )
        text = list(code.text)
        at = rng.randrange(1, 7)
        if rng.random() < 0.5:
            text[at], text[at + 1] = text[at + 1], text[at]
        else:
            text[at] = rng.choice("0123456789")
        damaged = "".join(text)
        if not damaged[1:7].isdigit():
            continue  # a letter swapped in from the check character: our shape refuses it, MOD 37,36 has no shape
        try:
            PlantCode.parse(damaged)
            ours = True
        except InvalidCheckCharacter:
            ours = False
        except IdentifierError:
            continue  # number 0, which stdnum knows nothing about
        refused += not ours
        assert ours is mod_37_36.is_valid(damaged)
    assert refused > 1000


def test_gtins_agree_with_stdnum_and_biip():
    rng = random.Random(SEED)
    passed = 0
    for _ in range(3000):
        length = rng.choice((8, 12, 13, 14))
        text = _random_text(rng, "0123456789", length, length)
        if rng.random() < 0.5:
            text = text[:-1] + gs1_check_digit(text[:-1])
        try:
            ours = Gtin.parse(text).digits
        except IdentifierError:
            ours = None
        passed += ours is not None
        assert ean.is_valid(text) is (ours is not None)
        try:
            theirs = biip.gtin.Gtin.parse(text).as_gtin_14()
        except biip.ParseError:
            theirs = None
        assert theirs == ours
    assert 1000 < passed < 2500


def test_ssccs_agree_with_biip():
    rng = random.Random(SEED)
    passed = 0
    for _ in range(1000):
        text = _random_text(rng, "0123456789", 18, 18)
        if rng.random() < 0.5:
            text = text[:-1] + gs1_check_digit(text[:-1])
        try:
            parse_elements("00" + text)
            ours = True
        except InvalidCheckCharacter:
            ours = False
        passed += ours
        try:
            biip.sscc.Sscc.parse(text)
            theirs = True
        except biip.ParseError:
            theirs = False
        assert ours is theirs
    assert 400 < passed < 700


def _random_value(rng, ai):
    if "csum" in RULES[ai].components[0].checks:
        length = RULES[ai].components[0].longest - 1
        body = _random_text(rng, "0123456789", length, length)
        total = rng.randint(1, 99)
        tail = f"{rng.randint(1, total):02d}{total:02d}" if ai == "8006" else ""
        return body + gs1_check_digit(body) + tail
    alphabet = "0123456789" if RULES[ai].numeric else sorted(CSET_82)
    return _random_text(rng, alphabet, 1, RULES[ai].longest)


def _by_biip(payload):
    return {element.ai.ai: element.value for element in GS1Message.parse(payload).element_strings}


def test_element_strings_agree_with_biip():
    rng = random.Random(SEED)
    for _ in range(1000):
        ais = rng.sample(list(RULES), rng.randint(1, len(RULES)))
        pairs = [(ai, _random_value(rng, ai)) for ai in ais]
        payload = write_elements(pairs)
        assert parse_elements(payload) == _by_biip(payload) == dict(pairs)
        assert human_readable(pairs) == GS1Message.parse(payload).as_hri()


def test_what_we_take_biip_takes_alike():
    """One way only: biip lets much through that we refuse, see the next test."""
    rng = random.Random(SEED)
    taken = 0
    for _ in range(4000):
        ais = rng.sample(list(RULES), rng.randint(1, 3))
        payload = list(write_elements([(ai, _random_value(rng, ai)) for ai in ais]))
        at = rng.randrange(len(payload))
        payload[at] = rng.choice((GS, "0", "1", "2", "A", ""))
        text = "".join(payload)
        try:
            ours = parse_elements(text)
        except IdentifierError:
            continue
        taken += 1
        assert _by_biip(text) == ours
    assert taken > 500


@pytest.mark.parametrize(
    ("payload", "why"),
    [
        ("0112345678901232", "a wrong check digit is only noted by biip beside the element"),
        ("", "biip reads an empty message without elements"),
        (GS + "10A", "biip passes over a leading separator"),
        (f"10A{GS}{GS}21B", "biip passes over a doubled separator"),
        (f"10A{GS}10B", "biip keeps both values of a repeated identifier"),
        ("99TESTING", "biip knows every identifier, this plant uses seven"),
        ("8006123456789012310302", "biip does not compare piece and total"),
    ],
)
def test_where_biip_is_more_lenient(payload, why):
    GS1Message.parse(payload)
    with pytest.raises(IdentifierError):
        parse_elements(payload)
    assert why


@pytest.mark.parametrize("case", vectors("element_string_raw"), ids=by_id)
def test_published_raw_strings_agree_with_biip(case):
    pairs = case["expected"]["elements"]
    assert _by_biip(raw_text(case)) == dict(pairs), case["source"]
    if foreign(pairs) is None:
        assert parse_elements(raw_text(case)) == _by_biip(raw_text(case))


@pytest.mark.parametrize("identifier", GRAMMARS)
def test_which_identifiers_mean_element_strings_agrees_with_biip(identifier):
    symbology = biip.symbology.SymbologyIdentifier.extract(identifier + "x").gs1_symbology
    is_elements = symbology in biip.symbology.GS1Symbology.with_gs1_messages()
    assert is_elements is (GRAMMARS[identifier] is Grammar.ELEMENTS)


def _drawn_and_read(content, barcode_format, *, gs1=False):
    """Draw a symbol, read its pixels, and return what a hand scanner would send."""
    drawn = zxingcpp.create_barcode(content, barcode_format, gs1=gs1)
    (read,) = zxingcpp.read_barcodes(drawn.to_image(scale=4), try_downscale=False)
    return read.symbology_identifier + read.bytes.decode("ascii")


TOOL = PlantCode.build(CodeKind.TOOL, 7).text
GTIN14 = Gtin.parse(SINGLE).digits
DRAWN = {
    "disc": ("(8006)" + GTIN14 + "0102", zxingcpp.BarcodeFormat.DataMatrix, True, raw_disc(SINGLE, 1, 2)),
    "sleeve": (SINGLE, zxingcpp.BarcodeFormat.EAN13, False, raw_sleeve(SINGLE)),
    "numbered sleeve": (
        f"(01){GTIN14}(21)000123",
        zxingcpp.BarcodeFormat.DataMatrix,
        True,
        raw_numbered_sleeve(SINGLE, "000123"),
    ),
    "tool tag": (TOOL, zxingcpp.BarcodeFormat.DataMatrix, False, raw_plant(TOOL)),
    "spindle card": ("K0001422", zxingcpp.BarcodeFormat.Code128, False, raw_plant("K0001422")),
    "act card": (raw_act("STOP")[3:], zxingcpp.BarcodeFormat.Code128, False, raw_act("STOP")),
    "pallet": ("(00)" + SSCC, zxingcpp.BarcodeFormat.Code128, True, raw_sscc(SSCC)),
    "carton content": (
        f"(02){GTIN14}(37)20(10)L0000421",
        zxingcpp.BarcodeFormat.Code128,
        True,
        raw_carton(None, SINGLE, 20, "L0000421"),
    ),
}


@pytest.mark.parametrize("thing", DRAWN)
def test_raw_lines_are_what_an_independent_reader_sends(thing):
    content, barcode_format, gs1, raw = DRAWN[thing]
    assert _drawn_and_read(content, barcode_format, gs1=gs1) == raw
    read_scan(raw)


def test_stdnum_refuses_the_published_wrong_code_as_we_do():
    (case,) = vectors("iso7064_mod37_36_reject")
    with pytest.raises(ValidationError):
        mod_37_36.validate(case["input"]["value"])
