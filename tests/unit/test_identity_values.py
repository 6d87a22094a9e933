"""Values of identifiers the plant does not use: keys, parts that may be left out, rules of the dictionary."""

import pytest
from support_each import each
from support_identity import GS

from tracelink.errors import IdentifierError, InvalidCheckCharacter, InvalidFormat, LostSeparator
from tracelink.identity.gs1.elements import parse_elements, suspect_lost_separator, write_elements
from tracelink.identity.gs1.lostseparator import Split, possible_splits

RUNS_ON = "before a separator; the separator is missing or the label is misprinted"


@each(
    "payload",
    [
        "80030061414112345232a/b",  # Tag Data Standard, with a serial
        "800300614141123452",  # and without
        "80040614141ABC",
        "4010614141xyz47/11",
        "40240123452223334442",
        "8018950110153123456781",
        "80131987654Ad4X4bL5ttr2310c2K",  # General Specifications, by the syntax tests
        "800101000100010010",
        "7040123A",
        "4321" + "1",
        "4300Low%20Tide",
        "4307NO",
        "72581/2",
        "4330" + "000250-",
        "4330" + "000250",
        "8011" + "0",
        "3103000123",
        "8030-_Az09=",
    ],
)
def test_what_is_taken(payload):
    ((ai, value),) = parse_elements(payload, used=None).items()
    assert ai + value == payload
    assert write_elements([(ai, value)], used=None) == payload


@each(
    ("payload", "error", "sentence"),
    [
        ("800310614141123452", InvalidFormat, "(8003) GRAI has '1': expected 0 in front"),
        (
            "80030061414112345X",
            InvalidFormat,
            "(8003) GRAI '0061414112345X' must have digits 0-9 where it has '061414112345X'",
        ),
        (
            "800300614141123453",
            InvalidCheckCharacter,
            "invalid check digit in GRAI '0614141123453': expected 2, found 3",
        ),
        (
            "40240123452223334443",
            InvalidCheckCharacter,
            "invalid check digit in GSIN '40123452223334443': expected 2, found 3",
        ),
        (
            "8004ABC",
            InvalidFormat,
            "(8004) GIAI 'ABC' must begin with a GS1 company prefix, 4 digits at least",
        ),
        ("401952", InvalidFormat, "(401) GINC '952' must begin with a GS1 company prefix, 4 digits at least"),
        (
            "80131987654Ad4X4bL5ttr2310c2X",
            InvalidCheckCharacter,
            "invalid check pair in GMN '1987654Ad4X4bL5ttr2310c2X': expected 2K, found 2X",
        ),
        ("801401", InvalidFormat, "MUDI needs a text and a check pair, 3 characters at least, found '01'"),
        ("43212", InvalidFormat, "(4321) DANGEROUS GOODS has '2': expected 0 (no) or 1 (yes)"),
        (
            "4300Low%2",
            InvalidFormat,
            "(4300) SHIP TO COMP has 'Low%2': expected two hexadecimal digits behind every %",
        ),
        (
            "4307no",
            InvalidFormat,
            "(4307) SHIP TO COUNTRY has 'no': expected the two capital letters of a country (ISO 3166-1)",
        ),
        ("72583/2", InvalidFormat, "(7258) BIRTH SEQUENCE has '3/2': expected place and total such as 1/2"),
        ("72581-2", InvalidFormat, "(7258) BIRTH SEQUENCE has '1-2': expected place and total such as 1/2"),
        ("4330000250+", InvalidFormat, "(4330) MAX TEMP F. has '+': expected a hyphen, for below zero"),
        ("80110123", InvalidFormat, "(8011) CPID SERIAL has '0123': expected no needless zero in front"),
        ("800100000100010010", InvalidFormat, "(8001) DIMENSIONS has '0000': expected a number above 0"),
        (
            "8026123456789012310302",
            InvalidFormat,
            "(8026) says piece 3 of 2: expected a piece from 1 to the total",
        ),
        ("41006141411234521", InvalidFormat, "expected an application identifier at position 17, found '1'"),
        (
            "402" + "40123452223334442" + "10A",
            LostSeparator,
            "(402) GSIN runs on to 20 characters in '4012345222333444210A': expected 17 digits " + RUNS_ON,
        ),
        ("236A", InvalidFormat, "expected an application identifier at position 1, found '236A'"),
    ],
)
def test_what_is_refused(payload, error, sentence):
    with pytest.raises(error) as caught:
        parse_elements(payload, used=None)
    assert str(caught.value) == sentence


def test_a_station_may_be_given_other_identifiers():
    used = ("01", "17", "10")
    assert parse_elements("011234567890123117260331" + "10A", used=used) == {
        "01": "12345678901231",
        "17": "260331",
        "10": "A",
    }
    with pytest.raises(InvalidFormat) as caught:
        parse_elements("00006141411234567890", used=used)
    assert str(caught.value) == "application identifier 00 is not used here: expected one of 01, 17, 10"
    with pytest.raises(InvalidFormat, match="236 is not one that GS1 has assigned"):
        parse_elements("10A", used=("10", "236"))


def test_lost_separators_among_all_of_gs1():
    # Not suspected at a station, which knows no (400) and no dates; a customer's label may have them.
    assert suspect_lost_separator("LX400PO7") is None
    assert suspect_lost_separator("LX400PO7", used=None) == (
        "'LX400PO7' may be 'LX' followed by (400)PO7, with the separator between them lost"
    )
    assert suspect_lost_separator("AB17260230", used=("17",)) is None  # 30 February
    assert list(possible_splits("AB17260228", used=("17", "10"))) == [Split("AB", "17", "260228")]
    assert list(possible_splits("A2110B", used=("10", "21"))) == [
        Split("A", "21", "10B"),
        Split("A21", "10", "B"),
    ]


def test_a_count_that_swallowed_its_neighbour_names_it():
    with pytest.raises(LostSeparator) as caught:
        parse_elements("3012400PO", used=("30", "400"))
    assert str(caught.value) == (
        "(30) VAR. COUNT must be digits: '12400PO' may be '12' followed by (400)PO, "
        "with the separator between them lost"
    )


@each("strange", ["\u0661", "\uff11", "\u00b2", "\x00", "\x1c", "\x7f", "\n", " ", "~", "\u00e9"])
@each("payload", ["01{}2345678901231", "10A{}B", "8003006141411234{}2", "8004{}614141ABC", "{}"])
def test_no_strange_character_is_ever_taken(strange, payload):
    for used in (None, ("01", "10", "8003", "8004")):
        with pytest.raises(IdentifierError):
            parse_elements(payload.format(strange), used=used)


@each("payload", ["", GS, "0", "01", "10", "8003", "10" + "A" * 21, "91" + "A" * 91, "9" * 5000, "00" * 3001])
def test_empty_cut_and_overlong_ones_are_refused(payload):
    for used in (None, ("00", "01", "10", "91", "8003")):
        with pytest.raises(IdentifierError):
            parse_elements(payload, used=used)
