"""GS1 element strings against published ones: read with all of GS1, and with the seven identifiers of this plant.

A station must refuse by name a published case that needs an identifier this plant does not use.
"""

import re

import pytest
from support_documents import outside
from support_each import each
from support_identity import GS, SSCC, bracketed_pairs, by_id, foreign, raw_text, vectors

from tracelink.errors import (
    IdentifierError,
    InvalidCheckCharacter,
    InvalidFormat,
    InvalidLength,
    LostSeparator,
)
from tracelink.identity.gs1.aitable import PLANT_AIS, RULES, all_rules, identifier_at
from tracelink.identity.gs1.aivalues import _JUDGES, UNJUDGED
from tracelink.identity.gs1.elements import (
    check_association,
    human_readable,
    parse_elements,
    suspect_lost_separator,
    write_elements,
)

USED = "00, 01, 02, 10, 21, 37, 8006"
GTIN = "12345678901231"
RUNS_ON = "before a separator; the separator is missing or the label is misprinted"


def not_used(ai):
    return f"application identifier {ai} is not used here: expected one of {USED}"


def refused_at_stations(raw, pairs):
    """A station names the first identifier it does not use and takes nothing of the symbol."""
    ai = foreign(pairs)
    assert ai is not None
    with pytest.raises(InvalidFormat) as caught:
        parse_elements(raw)
    assert str(caught.value) == not_used(ai)


@each("case", vectors("element_string"), ids=by_id)
def test_published_element_strings(case):
    pairs = [tuple(pair) for pair in case["expected"]["elements"]]
    raw = case["expected"]["raw"].replace("^", GS)
    assert parse_elements(raw, used=None) == dict(pairs), case["source"]
    if foreign(pairs) is None:
        assert parse_elements(raw) == dict(pairs)
    else:
        refused_at_stations(raw, pairs)
    # We write predefined lengths first, which the publisher of es-2 did not.
    ordered = sorted(pairs, key=lambda pair: not all_rules()[pair[0]].predefined)
    assert (ordered != pairs) is (case["id"] == "es-2")
    if ordered == pairs:
        assert write_elements(pairs, used=None) == raw
        assert human_readable(pairs, used=None) == case["input"]["bracketed"]
    if case["expected"]["associations_ok"]:
        assert check_association(dict(pairs)) == dict(pairs)
    else:
        with pytest.raises(InvalidFormat, match=r"needs .* on the same item, found none"):
            check_association(dict(pairs))


def test_published_label_in_two_symbols_holds_only_together():
    (case,) = [case for case in vectors("element_string") if case["id"] == "es-7"]
    pairs = [tuple(pair) for pair in case["expected"]["elements"]]
    top, bottom = dict(pairs[1:]), dict(pairs[:1])
    assert check_association(bottom, top) == dict(pairs)
    assert check_association(top, bottom) == dict(pairs)
    check_association(bottom)
    with pytest.raises(InvalidFormat) as caught:
        check_association(top)
    assert str(caught.value) == "(37) COUNT needs (00) on the same item, found none"


@pytest.mark.parametrize("case", vectors("element_string_raw"), ids=by_id)
def test_published_raw_strings(case):
    pairs = case["expected"]["elements"]
    assert parse_elements(raw_text(case), used=None) == dict(pairs), case["source"]
    if foreign(pairs) is None:
        assert parse_elements(raw_text(case)) == dict(pairs)
    else:
        refused_at_stations(raw_text(case), pairs)


REFUSED = {
    "esbad-2": (InvalidFormat, "(01) GTIN must be digits 0-9, found 'A2345678901231'"),
    "esbad-3": (InvalidLength, "(01) GTIN needs 14 digits, found 13 in '1234567890123'"),
    "esbad-4": (InvalidFormat, "expected an application identifier at position 17, found '2'"),
    "esbad-5": (InvalidLength, "(01) GTIN needs 14 digits, found 13 in '1234567890123'"),
    "esbad-6": (InvalidFormat, "expected an application identifier at position 1, found '8912'"),
    "esbad-7": (InvalidFormat, "(99) INTERNAL '~ABC' holds '~', which GS1 does not allow there"),
    "esbad-8": (InvalidLength, "(8111) POINTS needs 4 digits, found 3 in '123'"),
    "esbad-9": (
        InvalidCheckCharacter,
        "invalid check digit in GRAI '2112345678901': expected 0, found 1",
    ),
    "esbad-11": (
        LostSeparator,
        "(242) MTO VARIANT runs on to 7 characters in '1234567': expected 1 to 6 digits " + RUNS_ON,
    ),
}


@pytest.mark.parametrize("case", vectors("element_string_raw_reject"), ids=by_id)
def test_published_raw_strings_that_are_refused(case):
    error, sentence = REFUSED[case["id"]]
    with pytest.raises(error) as caught:
        parse_elements(raw_text(case), used=None)
    assert str(caught.value) == sentence, case["source"]
    with pytest.raises(IdentifierError):
        parse_elements(raw_text(case))


UNASSIGNED = "application identifier {} is not one that GS1 has assigned"
WRITING_REFUSED = {
    "esbadb-1": "(10) BATCH/LOT needs 1 to 20 characters, found 0 in ''",
    "esbadb-2": UNASSIGNED.format("1A"),
    "esbadb-3": UNASSIGNED.format(""),
    "esbadb-4": UNASSIGNED.format("12345"),
    "esbadb-6": "(17) USE BY or EXPIRY needs 6 digits, found 1 in '9'",
    "esbadb-7": "(10) BATCH/LOT '12345^' holds '^', which GS1 does not allow there",
    "esbadb-8": "(11) PROD DATE needs 6 digits, found 0 in ''",
    "esbadb-9": "invalid check digit in GTIN '95012345678902': expected 3, found 2",
    "esbadb-10": ("(11) PROD DATE: date '131313' has month 13: expected YYMMDD with a month from 01 to 12"),
    "esbadb-12": "(8010) CPID '123456_' holds '_', which GS1 does not allow there",
    "esbadb-13": "(8003) GRAI has '1': expected 0 in front",
}


@each("case", vectors("element_string_bracketed_reject"), ids=by_id)
def test_published_bracketed_strings_cannot_be_written(case):
    pairs = bracketed_pairs(case["input"]["bracketed"])
    for make in (write_elements, human_readable):
        with pytest.raises(IdentifierError) as caught:
            make(pairs, used=None)
        assert str(caught.value) == WRITING_REFUSED[case["id"]], case["source"]
        with pytest.raises(IdentifierError):
            make(pairs)


def in_symbols(case):
    """Each element as a symbol of its own, so that an identifier may come twice."""
    return [{ai: value} for ai, value in bracketed_pairs(case["input"]["bracketed"])]


@pytest.mark.parametrize("case", vectors("ai_association"), ids=by_id)
def test_published_associations(case):
    assert check_association(*in_symbols(case)) == dict(bracketed_pairs(case["input"]["bracketed"]))


ASSOCIATION_REFUSED = {
    "assoc-bad-2": "(01) GTIN and (37) COUNT exclude each other",
    "assoc-bad-3": "(21) SERIAL and (235) TPX exclude each other",
    "assoc-bad-4": "(02) CONTENT needs (37) on the same item, found none",
    "assoc-bad-5": "(37) COUNT needs (00) on the same item, found none",
    "assoc-bad-6": "(21) SERIAL needs (01) or (03) or (8006) on the same item, found none",
    "assoc-bad-7": "(250) SECONDARY SERIAL needs (21) on the same item, found none",
    "assoc-bad-8": "(400) stands on one item with different values: 'ABC' and 'AB'",
}


@pytest.mark.parametrize("case", vectors("ai_association_reject"), ids=by_id)
def test_published_associations_that_are_refused(case):
    with pytest.raises(InvalidFormat) as caught:
        check_association(*in_symbols(case))
    assert str(caught.value) == ASSOCIATION_REFUSED[case["id"]], case["source"]


@each(
    ("elements", "sentence"),
    [
        ({"01": GTIN, "02": GTIN, "37": "1"}, "(01) GTIN and (37) COUNT exclude each other"),
        ({"02": GTIN, "01": GTIN}, "(02) CONTENT and (01) GTIN exclude each other"),
        ({"8006": GTIN + "0102", "01": GTIN}, "(8006) ITIP and (01) GTIN exclude each other"),
        ({"00": SSCC, "37": "5"}, "(37) COUNT needs (02) or (8026) on the same item, found none"),
        (
            {"10": "L1"},
            "(10) BATCH/LOT needs (01) or (02) or (03) or (8006) or (8026) on the same item, found none",
        ),
        ({"255": "9501101020917", "01": GTIN}, "(255) GCN and (01) GTIN exclude each other"),
        (
            {"01": GTIN, "3103": "000123", "3102": "001230"},
            "(3103) NET WEIGHT (kg) and (3102) NET WEIGHT (kg) exclude each other",
        ),
        ({"3103": "000123"}, "(3103) NET WEIGHT (kg) needs (01) or (02) on the same item, found none"),
        (
            {"7004": "1", "01": GTIN},
            "(7004) ACTIVE POTENCY needs (01) with (10) on the same item, found none",
        ),
        (
            {"01": GTIN, "3922": "199"},
            "(3922) PRICE needs (30) or (31nn) or (32nn) or (35nn) or (36nn) on the same item, found none",
        ),
        ({"99": "A", "236": "B"}, UNASSIGNED.format("236")),
    ],
)
def test_other_associations_of_the_dictionary_that_are_refused(elements, sentence):
    with pytest.raises(InvalidFormat) as caught:
        check_association(elements)
    assert str(caught.value) == sentence


@pytest.mark.parametrize(
    "elements",
    [
        {"01": GTIN, "3103": "000123", "3922": "199"},
        {"01": GTIN, "10": "A", "7004": "1"},
        {"00": SSCC, "02": GTIN, "37": "4", "3302": "001500", "400": "PO1", "410": "0614141123452"},
        {"415": "0614141123452", "8020": "A"},
    ],
)
def test_other_associations_of_the_dictionary_that_hold(elements):
    assert check_association(elements) == elements
    assert check_association() == {}


def spec_of(rule):
    """Write the components of a rule in the dictionary's notation."""
    texts = []
    for part in rule.components:
        length = str(part.longest) if part.shortest == part.longest else f"..{part.longest}"
        form = part.letter + length
        texts.append(",".join((f"[{form}]" if part.optional else form, *part.checks)))
    return " ".join(texts)


def rules_in_words(rule):
    """Write what goes together in the dictionary's notation, sorted."""
    words = ["req=" + ",".join("+".join(choice) for choice in group) for group in rule.needs]
    if rule.excludes:
        words.append("ex=" + ",".join(rule.excludes))
    if rule.link_paths == ((),):
        words.append("dlpkey")
    elif rule.link_paths:
        words.append("dlpkey=" + "|".join(",".join(path) for path in rule.link_paths))
    return sorted(words)


@each("case", vectors("ai_spec"), ids=by_id)
def test_the_table_is_as_published(case):
    ai, expected = case["input"]["ai"], case["expected"]
    rule = all_rules()[ai]
    assert identifier_at(ai + "123", 0) == ai, case["source"]
    assert rule.title == expected["title"]
    assert rule.predefined is expected["predefined_length"] is not expected["separator_needed"]
    assert spec_of(rule) == expected["spec"]
    assert rules_in_words(rule) == sorted(expected["rules"])
    if ai not in RULES:
        refused_at_stations(ai + "123456", [(ai, "")])


def test_the_table_is_the_published_dictionary():
    """Every identifier of GS1, with every attribute: nothing is left out and nothing differs."""
    published = {}
    for line in (
        outside("gs1-syntax-dictionary/gs1-syntax-dictionary.txt").read_text(encoding="utf-8").splitlines()
    ):
        if not line or line.startswith("#"):
            continue
        body, _, title = line.partition("#")
        span, *words = body.split()
        flags = words.pop(0) if not words[0][0].isalpha() and words[0][0] != "[" else ""
        form = " ".join(word for word in words if re.match(r"\[?[NXYZ][.0-9]", word))
        together = sorted(word for word in words if word.startswith(("req=", "ex=", "dlpkey")))
        assert len(form.split()) + len(together) == len(words), line
        first, _, last = span.partition("-")
        for number in range(int(first), int(last or first) + 1):
            ai = f"{number:0{len(first)}d}"
            published[ai] = (title.strip(), "*" in flags, "?" in flags, form, together)
    ours = {
        ai: (rule.title, rule.predefined, rule.link_attribute, spec_of(rule), rules_in_words(rule))
        for ai, rule in all_rules().items()
    }
    assert len(published) == 541
    assert ours == published


def test_every_check_of_the_table_is_made_or_listed_as_not_made():
    used = {check for rule in all_rules().values() for part in rule.components for check in part.checks}
    # The first digits of a key with a check digit in it are digits anyway.
    assert used == set(_JUDGES) | UNJUDGED | {"gcppos2"}
    assert not set(_JUDGES) & UNJUDGED
    for rule in all_rules().values():
        for part in rule.components:
            assert "gcppos2" not in part.checks or (part.letter == "N" and part.shortest >= 14)


def test_no_identifier_begins_another_and_two_digits_tell_the_length():
    lengths = {}
    for ai in all_rules():
        lengths.setdefault(ai[:2], set()).add(len(ai))
    assert all(len(found) == 1 for found in lengths.values())


def test_the_plants_identifiers_are_seven():
    assert ", ".join(RULES) == USED
    assert tuple(RULES) == PLANT_AIS
    assert all(all_rules()[ai] == RULES[ai] for ai in PLANT_AIS)


def test_predefined_lengths_are_the_published_ones():
    (case,) = vectors("ai_predefined_lengths")
    # Published by the first two digits; of those, 04, 14, 18 and 19 are assigned to nothing yet.
    ours = {ai[:2]: rule.longest for ai, rule in all_rules().items() if rule.predefined}
    assert ours == {
        ai: length for ai, length in case["expected"].items() if ai not in {"04", "14", "18", "19"}
    }
    assert {ai[:2] for ai, rule in all_rules().items() if not rule.predefined}.isdisjoint(case["expected"])


@pytest.mark.parametrize(("charset", "begins"), [("cset82", "10"), ("cset39", "80109520")])
def test_character_sets_are_the_published_ones(charset, begins):
    # Character set 32 is that of check pairs, tested with them.
    (case,) = [case for case in vectors("charset") if case["id"] == charset]
    taken = set()
    for character in map(chr, range(256)):
        try:
            (value,) = parse_elements(begins + character, used=None).values()
        except IdentifierError:
            continue
        if character != GS or value.endswith(GS):
            taken.add(character)
    assert taken == set(case["expected"]), case["source"]


@each(
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


@each(
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
