"""GS1 element strings against published ones, and the rules for the seven identifiers of this plant.

A published case that needs an identifier this plant does not use must be refused by name: the sentence is what
is tested there.
"""

import pytest
from support_identity import GS, SSCC, bracketed_pairs, by_id, foreign, raw_text, vectors

from tracelink.errors import (
    IdentifierError,
    InvalidCheckCharacter,
    InvalidFormat,
    InvalidLength,
    LostSeparator,
)
from tracelink.identity.aitable import CSET_82, RULES, identifier_at
from tracelink.identity.elements import (
    check_association,
    human_readable,
    parse_elements,
    suspect_lost_separator,
    write_elements,
)

USED = "00, 01, 02, 10, 21, 37, 8006"
GTIN = "12345678901231"


def not_used(ai):
    return f"application identifier {ai} is not used here: expected one of {USED}"


@pytest.mark.parametrize("case", vectors("element_string"), ids=by_id)
def test_published_element_strings(case):
    pairs = [tuple(pair) for pair in case["expected"]["elements"]]
    raw = case["expected"]["raw"].replace("^", GS)
    ai = foreign(pairs)
    if ai is not None:
        with pytest.raises(InvalidFormat) as caught:
            parse_elements(raw)
        assert str(caught.value) == not_used(ai)
        return
    assert parse_elements(raw) == dict(pairs), case["source"]
    assert write_elements(pairs) == raw
    assert human_readable(pairs) == case["input"]["bracketed"]
    check_association(dict(pairs))
    assert case["expected"]["associations_ok"]


def test_published_label_in_two_symbols_holds_only_together():
    (case,) = [case for case in vectors("element_string") if case["id"] == "es-7"]
    pairs = [
        tuple(pair) for pair in case["expected"]["elements"] if pair[0] != "15"
    ]  # this plant dates no goods
    top, bottom = dict(pairs[1:]), dict(pairs[:1])
    check_association(bottom | top)
    check_association(bottom)
    with pytest.raises(InvalidFormat) as caught:
        check_association(top)
    assert str(caught.value) == "(37) COUNT needs (00) on the same item, found none"
    assert parse_elements(write_elements(pairs)) == dict(pairs)


@pytest.mark.parametrize("case", vectors("element_string_raw"), ids=by_id)
def test_published_raw_strings(case):
    pairs = case["expected"]["elements"]
    ai = foreign(pairs)
    if ai is None:
        assert parse_elements(raw_text(case)) == dict(pairs), case["source"]
    else:
        with pytest.raises(InvalidFormat) as caught:
            parse_elements(raw_text(case))
        assert str(caught.value) == not_used(ai)


REFUSED = {
    "esbad-2": (InvalidFormat, "(01) GTIN must be digits 0-9, found 'A2345678901231'"),
    "esbad-3": (InvalidLength, "(01) GTIN needs 14 digits, found 13 in '1234567890123'"),
    "esbad-4": (InvalidFormat, "expected an application identifier at position 17, found '2'"),
    "esbad-5": (InvalidLength, "(01) GTIN needs 14 digits, found 13 in '1234567890123'"),
    "esbad-6": (InvalidFormat, "expected an application identifier at position 1, found '8912'"),
    # The published fault lies behind an identifier this plant refuses before it comes to it.
    "esbad-7": (InvalidFormat, not_used("99")),
    "esbad-8": (InvalidFormat, not_used("8111")),
    "esbad-9": (InvalidFormat, not_used("8003")),
    "esbad-11": (InvalidFormat, not_used("242")),
}


@pytest.mark.parametrize("case", vectors("element_string_raw_reject"), ids=by_id)
def test_published_raw_strings_that_are_refused(case):
    error, sentence = REFUSED[case["id"]]
    with pytest.raises(error) as caught:
        parse_elements(raw_text(case))
    assert str(caught.value) == sentence, case["source"]


WRITING_REFUSED = {
    "esbadb-1": "(10) BATCH/LOT needs 1 to 20 characters, found 0 in ''",
    "esbadb-2": not_used("1A"),
    "esbadb-3": not_used(""),
    "esbadb-4": not_used("12345"),
    "esbadb-6": not_used("17"),
    "esbadb-7": "(10) BATCH/LOT '12345^' holds '^', which GS1 does not allow there",
    "esbadb-8": not_used("11"),
    "esbadb-9": "invalid check digit in GTIN '95012345678902': expected 3, found 2",
    "esbadb-10": not_used("11"),
    "esbadb-12": not_used("8010"),
    "esbadb-13": not_used("8003"),
}


@pytest.mark.parametrize("case", vectors("element_string_bracketed_reject"), ids=by_id)
def test_published_bracketed_strings_cannot_be_written(case):
    pairs = bracketed_pairs(case["input"]["bracketed"])
    for make in (write_elements, human_readable):
        with pytest.raises(IdentifierError) as caught:
            make(pairs)
        assert str(caught.value) == WRITING_REFUSED[case["id"]], case["source"]


@pytest.mark.parametrize("case", vectors("ai_association"), ids=by_id)
def test_published_associations(case):
    # Identifiers in the nineties and (400) have no partners in the dictionary, so leaving them out changes nothing.
    elements = dict(pair for pair in bracketed_pairs(case["input"]["bracketed"]) if pair[0] in RULES)
    check_association(elements)
    assert bool(elements) is (case["id"] != "assoc-ok-1")


ASSOCIATION_REFUSED = {
    "assoc-bad-2": "(01) GTIN and (37) COUNT exclude each other",
    "assoc-bad-3": "(21) SERIAL needs (01) or (8006) on the same item, found none",
    "assoc-bad-4": "(02) CONTENT needs (37) on the same item, found none",
    "assoc-bad-5": "(37) COUNT needs (00) on the same item, found none",
    "assoc-bad-6": "(21) SERIAL needs (01) or (8006) on the same item, found none",
    "assoc-bad-7": not_used("250"),
    "assoc-bad-8": not_used("400"),
}


@pytest.mark.parametrize("case", vectors("ai_association_reject"), ids=by_id)
def test_published_associations_that_are_refused(case):
    with pytest.raises(InvalidFormat) as caught:
        check_association(dict(bracketed_pairs(case["input"]["bracketed"])))
    assert str(caught.value) == ASSOCIATION_REFUSED[case["id"]], case["source"]


@pytest.mark.parametrize(
    ("elements", "sentence"),
    [
        ({"01": GTIN, "02": GTIN, "37": "1"}, "(01) GTIN and (37) COUNT exclude each other"),
        ({"02": GTIN, "01": GTIN}, "(02) CONTENT and (01) GTIN exclude each other"),
        ({"8006": GTIN + "0102", "01": GTIN}, "(8006) ITIP and (01) GTIN exclude each other"),
        ({"00": SSCC, "37": "5"}, "(37) COUNT needs (02) on the same item, found none"),
        ({"10": "L1"}, "(10) BATCH/LOT needs (01) or (02) or (8006) on the same item, found none"),
    ],
)
def test_other_associations_of_the_dictionary_that_are_refused(elements, sentence):
    with pytest.raises(InvalidFormat) as caught:
        check_association(elements)
    assert str(caught.value) == sentence


def _spec_of(rule):
    """Write a rule of ours in the dictionary's notation, without the linters of company prefixes."""
    kind = "N" if rule.numeric else "X"
    if rule.ai == "8006":
        return "N14,csum N4,pieceoftotal"
    length = str(rule.longest) if rule.shortest == rule.longest else f"..{rule.longest}"
    return kind + length + (",csum" if rule.key else "")


@pytest.mark.parametrize("case", vectors("ai_spec"), ids=by_id)
def test_the_table_is_the_published_dictionary(case):
    ai, expected = case["input"]["ai"], case["expected"]
    first = ai.split("-")[0]
    assert identifier_at(first + "123", 0) == first, case["source"]
    if ai not in RULES:
        with pytest.raises(InvalidFormat) as caught:
            parse_elements(first + "123456")
        assert str(caught.value) == not_used(first)
        return
    rule = RULES[ai]
    assert rule.title == expected["title"]
    assert rule.predefined is expected["predefined_length"] is not expected["separator_needed"]
    assert _spec_of(rule) == expected["spec"].replace(",gcppos2", "")
    groups = [text.removeprefix("req=").split(",") for text in expected["rules"] if text.startswith("req=")]
    excluded = {ai for text in expected["rules"] if text.startswith("ex=") for ai in text[3:].split(",")}
    assert [list(group) for group in rule.needs] == [[ai for ai in group if ai in RULES] for group in groups]
    assert set(rule.excludes) == excluded & set(RULES)


def test_exactly_the_seven_identifiers_are_in_the_table():
    assert set(RULES) <= {case["input"]["ai"] for case in vectors("ai_spec")}
    assert ", ".join(RULES) == USED


def test_predefined_lengths_are_the_published_ones():
    (case,) = vectors("ai_predefined_lengths")
    assert {ai: rule.longest for ai, rule in RULES.items() if rule.predefined} == {
        ai: length for ai, length in case["expected"].items() if ai in RULES
    }
    assert [ai for ai in RULES if not RULES[ai].predefined] == [
        ai for ai in RULES if ai not in case["expected"]
    ]


def test_character_set_is_the_published_one():
    # CSET 39 and CSET 32 belong to identifiers this plant does not use.
    (case,) = [case for case in vectors("charset") if case["id"] == "cset82"]
    assert set(case["expected"]) == CSET_82
    everything = case["expected"]
    for start in range(0, len(everything), 20):
        lot = everything[start : start + 20]
        assert parse_elements("10" + lot) == {"10": lot}


@pytest.mark.parametrize(
    ("payload", "error", "sentence"),
    [
        ("", InvalidFormat, "nothing follows the symbology identifier; expected GS1 element strings"),
        (
            GS + "01" + GTIN,
            InvalidFormat,
            "separator at position 1: expected an application identifier there",
        ),
        (
            f"10A{GS}{GS}21B",
            InvalidFormat,
            "separator at position 5: expected an application identifier there",
        ),
        (f"10A{GS}{GS}", InvalidFormat, "separator at position 5: expected an application identifier there"),
        ("10", InvalidLength, "(10) BATCH/LOT needs 1 to 20 characters, found 0 in ''"),
        (f"10{GS}21X", InvalidLength, "(10) BATCH/LOT needs 1 to 20 characters, found 0 in ''"),
        ("10A B", InvalidFormat, "(10) BATCH/LOT 'A B' holds ' ', which GS1 does not allow there"),
        (
            "01" + GTIN[:-1] + "2",
            InvalidCheckCharacter,
            f"invalid check digit in GTIN '{GTIN[:-1]}2': expected 1, found 2",
        ),
        (
            "00" + SSCC[:-1] + "1",
            InvalidCheckCharacter,
            f"invalid check digit in SSCC '{SSCC[:-1]}1': expected 0, found 1",
        ),
        ("01" + "١" * 14, InvalidFormat, f"(01) GTIN must be digits 0-9, found '{'١' * 14}'"),
        (f"10A{GS}10B", InvalidFormat, "(10) stands twice with different values: 'A' and 'B'"),
        ("8006" + GTIN + "010", InvalidLength, f"(8006) ITIP needs 18 digits, found 17 in '{GTIN}010'"),
        (
            "8006" + GTIN + "0302",
            InvalidFormat,
            "(8006) says piece 3 of 2: expected a piece from 1 to the total",
        ),
        (
            "8006" + GTIN + "0002",
            InvalidFormat,
            "(8006) says piece 0 of 2: expected a piece from 1 to the total",
        ),
        (
            "8006" + GTIN + "0000",
            InvalidFormat,
            "(8006) says piece 0 of 0: expected a piece from 1 to the total",
        ),
        ("400AB", InvalidFormat, not_used("400")),
        ("37AB", InvalidFormat, "(37) COUNT must be digits 0-9, found 'AB'"),
        ("8", InvalidFormat, "expected an application identifier at position 1, found '8'"),
        ("80", InvalidFormat, "expected an application identifier at position 1, found '80'"),
    ],
)
def test_what_is_no_element_string(payload, error, sentence):
    with pytest.raises(error) as caught:
        parse_elements(payload)
    assert str(caught.value) == sentence
    assert type(caught.value) is error


RUNS_ON = "before a separator; the separator is missing or the label is misprinted"


@pytest.mark.parametrize(
    ("payload", "sentence"),
    [
        (
            "3720" + "10LOT421",
            "(37) COUNT runs on to 10 characters in '2010LOT421': expected 1 to 8 digits " + RUNS_ON,
        ),
        (
            "3720" + "10AB",
            "(37) COUNT must be digits: '2010AB' may be '20' followed by (10)AB, with the separator between them lost",
        ),
        (
            "10LOT42" + "02" + GTIN,
            f"(10) BATCH/LOT runs on to 21 characters in 'LOT4202{GTIN}': expected 1 to 20 characters "
            + RUNS_ON,
        ),
        (
            "8006" + GTIN + "0102" + "21A",
            f"(8006) ITIP runs on to 21 characters in '{GTIN}010221A': expected 18 digits " + RUNS_ON,
        ),
    ],
)
def test_a_separator_lost_beyond_doubt(payload, sentence):
    with pytest.raises(LostSeparator) as caught:
        parse_elements(payload)
    assert str(caught.value) == sentence


def test_separators_the_standard_tolerates():
    assert parse_elements(f"01{GTIN}{GS}10A{GS}") == {"01": GTIN, "10": "A"}
    assert parse_elements(f"8006{GTIN}0102{GS}") == {"8006": GTIN + "0102"}
    assert parse_elements(f"10A{GS}10A") == {"10": "A"}


def test_published_lost_separator_is_suspected():
    (case,) = [case for case in vectors("element_string_raw") if case["id"] == "es-trap-1"]
    swallowed = parse_elements(raw_text(case))["10"]
    assert suspect_lost_separator(swallowed) == (
        "'ABC21X1' may be 'ABC' followed by (21)X1, with the separator between them lost"
    ), case["source"]


@pytest.mark.parametrize(
    ("value", "before", "element"),
    [
        ("LOT4221SER", "LOT42", "(21)SER"),
        ("A2105", "A", "(21)05"),
        ("L3720", "L", "(37)20"),
        ("X02" + GTIN, "X", f"(02){GTIN}"),
        ("X02" + GTIN + "37", "X", f"(02){GTIN}37"),
        ("X8006" + GTIN + "0102", "X", f"(8006){GTIN}0102"),
    ],
)
def test_what_may_be_a_swallowed_element(value, before, element):
    assert suspect_lost_separator(value) == (
        f"{value!r} may be {before!r} followed by {element}, with the separator between them lost"
    )


@pytest.mark.parametrize(
    "value",
    [
        "",
        "A",
        "21ABC",  # an identifier in front would leave the lot empty
        "LOT21",  # nothing behind it
        "AB37X",  # a count is digits
        "A37123456789",  # and at most eight
        "X0209520000012343",  # wrong check digit
        "X01123",  # too short
        "X8006095200000123420302",  # piece 3 of 2
        "L0000412",  # a lot code of this plant, by luck
    ],
)
def test_what_cannot_be_a_swallowed_element(value):
    assert suspect_lost_separator(value) is None


def test_predefined_lengths_are_written_first_and_the_rest_as_given():
    pairs = [("10", "L1"), ("37", "20"), ("02", GTIN), ("00", SSCC)]
    assert write_elements(pairs) == f"02{GTIN}00{SSCC}10L1{GS}3720"
    assert human_readable(pairs) == f"(02){GTIN}(00){SSCC}(10)L1(37)20"
    assert write_elements([]) == human_readable([]) == ""
