"""EPC URNs against published ones, both ways."""

import pytest
from support_each import each
from support_identity import bracketed_pairs, by_id, vectors

from tracelink.errors import IdentifierError, InvalidCheckCharacter, InvalidFormat, InvalidLength
from tracelink.identity.gs1.epc import parse_epc, write_epc


@each("case", vectors("epc_urn"), ids=by_id)
def test_published_urns(case):
    elements = dict(bracketed_pairs(case["expected"]["element_string"]))
    assert parse_epc(case["input"]["urn"]) == elements, case["source"]
    assert write_epc(elements, company_prefix_length=case["input"]["gcp_length"]) == case["input"]["urn"]


@pytest.mark.parametrize("case", vectors("epc_other"), ids=by_id)
def test_published_urns_without_element_string(case):
    assert parse_epc(case["input"]["urn"]) == {}, case["source"]


@each("case", vectors("epc_urn_wrong"), ids=by_id)
def test_published_wrong_urns(case):
    with pytest.raises(IdentifierError):
        parse_epc(case["input"]["urn"])


@each(
    ("urn", "elements", "prefix_length"),
    [
        # Not checked against the Tag Data Standard, as its module says.
        ("urn:epc:id:sgln:0614141.12345.0", {"414": "0614141123452"}, 7),
        ("urn:epc:id:pgln:0614141.12345", {"417": "0614141123452"}, 7),
        ("urn:epc:id:itip:0614141.812345.01.02.987", {"8006": "806141411234580102", "21": "987"}, 7),
        ("urn:epc:idpat:itip:0614141.812345.01.02.*", {"8006": "806141411234580102"}, 7),
        ("urn:epc:idpat:grai:0614141.12345.*", {"8003": "00614141123452"}, 7),
        # The same numbers with a shorter and a longer company prefix; the reference may have no digit left.
        ("urn:epc:id:sscc:0614141.1234567890", {"00": "106141412345678908"}, 7),
        ("urn:epc:idpat:upui:0614141.812345.*", {"01": "80614141123458"}, None),
        ("URN:EPC:id:sscc:0614141.1234567890", {"00": "106141412345678908"}, None),
        ("urn:epc:idpat:gid:95100000.12345.*", {}, None),
        ("urn:epc:id:usdod:CJ194W.12345678901", {}, None),
        ("urn:epc:id:adi:W81X9C.3KL984PX1.2WMA52", {}, None),
        ("urn:epc:id:adi:W81X9C..%232WMA52", {}, None),
        ("urn:epc:id:sscc:061414.11234567890", {"00": "106141412345678908"}, 6),
        ("urn:epc:id:sscc:061414123456.17890", {"00": "106141412345678908"}, 12),
        ("urn:epc:id:sgln:061414112345..0", {"414": "0614141123452"}, 12),
        ("urn:epc:id:sgtin:061414112345.8.A.B:*", {"01": "80614141123458", "21": "A.B:*"}, 12),
        ("urn:epc:id:gdti:0614141.12345.006847", {"253": "0614141123452006847"}, 7),
        (
            "urn:epc:id:sgtin:0614141.812345.%22%25%26%2F%3C%3E%3F",
            {"01": "80614141123458", "21": '"%&/<>?'},
            7,
        ),
    ],
)
def test_other_urns_both_ways(urn, elements, prefix_length):
    """A length of None stands for what is read only: nothing here writes it that way."""
    assert parse_epc(urn) == elements
    if prefix_length is not None:
        assert write_epc(elements, company_prefix_length=prefix_length) == urn


SCHEMES = (
    "sgtin, lgtin, itip, sscc, sgln, pgln, grai, gdti, giai, ginc, gsin, gsrn, gsrnp, sgcn, cpi, upui, "
    "gid, bic, imovn, usdod, adi"
)


@each(
    ("urn", "error", "sentence"),
    [
        ("", InvalidFormat, f"'' is not an EPC URN: expected urn:epc:id: and one of {SCHEMES}"),
        (
            "urn:epc:id:isbn:0614141.812345.6789",
            InvalidFormat,
            f"'urn:epc:id:isbn:0614141.812345.6789' is not an EPC URN: expected urn:epc:id: and one of {SCHEMES}",
        ),
        (
            "urn:epc:id:bic:CSQU3054384",
            InvalidCheckCharacter,
            "invalid check digit in container 'CSQU3054384': expected 3, found 4",
        ),
        (
            "urn:epc:id:imovn:9176188",
            InvalidCheckCharacter,
            "invalid check digit in ship '9176188': expected 7, found 8",
        ),
        (
            "urn:epc:id:bic:CSQX3054383",
            InvalidFormat,
            (
                "'urn:epc:id:bic:CSQX3054383': expected three letters of an owner, J, U or Z, six digits and a check "
                "digit behind bic"
            ),
        ),
        (
            "urn:epc:id:gid:1.02.3",
            InvalidFormat,
            "'urn:epc:id:gid:1.02.3': expected three numbers without leading zeros behind gid",
        ),
        (
            "urn:epc:id:gid:1.2.*",
            InvalidFormat,
            "'urn:epc:id:gid:1.2.*': expected urn:epc:idpat: before gid",
        ),
        (
            "urn:epc:idpat:gid:1.2.3",
            InvalidFormat,
            "'urn:epc:idpat:gid:1.2.3': expected urn:epc:id: before gid",
        ),
        (
            "urn:epc:id:giai:0614141.",
            InvalidLength,
            "'urn:epc:id:giai:0614141.' must have something behind the company prefix",
        ),
        ("urn:epc:id:cpi:0614141.1#2.3", InvalidFormat, "'1#2' has '#': expected %23 in an EPC URN"),
        (
            "urn:epc:id:sgtin:0614141.812345",
            InvalidFormat,
            "'urn:epc:id:sgtin:0614141.812345' has 2 fields between dots: expected 3",
        ),
        (
            "urn:epc:id:sgtin:0614141.12345.1",
            InvalidFormat,
            (
                "'urn:epc:id:sgtin:0614141.12345.1' must have 13 digits in its first two fields together, found "
                "'061414112345'"
            ),
        ),
        (
            "urn:epc:id:sgtin:06141.41812345.1",
            InvalidLength,
            "company prefix in an EPC URN must have 6 to 12 digits, found 5",
        ),
        (
            "urn:epc:id:sgtin:06141A1.812345.1",
            InvalidFormat,
            "company prefix in 'urn:epc:id:sgtin:06141A1.812345.1' must be digits 0-9, found '06141A1'",
        ),
        (
            "urn:epc:id:sgtin:0614141.812345.",
            InvalidLength,
            "'urn:epc:id:sgtin:0614141.812345.' must have something in its last field",
        ),
        (
            "urn:epc:id:grai:0614141.12345.",
            InvalidLength,
            "'urn:epc:id:grai:0614141.12345.' must have something in its last field",
        ),
        ("urn:epc:id:sgtin:0614141.812345.a/b", InvalidFormat, "'a/b' has '/': expected %2F in an EPC URN"),
        (
            "urn:epc:id:sgtin:0614141.812345.a%2",
            InvalidFormat,
            "'a%2' has a % without two hexadecimal digits behind it",
        ),
        (
            "urn:epc:id:sgtin:0614141.812345.a%20b",
            InvalidFormat,
            "(21) SERIAL 'a b' holds ' ', which GS1 does not allow there",
        ),
        (
            "urn:epc:id:lgtin:0614141.812345.A",
            InvalidFormat,
            "'urn:epc:id:lgtin:0614141.812345.A': expected urn:epc:class: before lgtin",
        ),
        (
            "urn:epc:idpat:sgtin:0614141.812345.5",
            InvalidFormat,
            "'urn:epc:idpat:sgtin:0614141.812345.5': expected '*' as serial of a pattern, of a scheme that has serials",
        ),
        (
            "urn:epc:idpat:sgln:0614141.12345.*",
            InvalidFormat,
            "'urn:epc:idpat:sgln:0614141.12345.*': expected '*' as serial of a pattern, of a scheme that has serials",
        ),
        (
            "urn:epc:id:itip:0614141.812345.03.02.1",
            InvalidFormat,
            "(8006) says piece 3 of 2: expected a piece from 1 to the total",
        ),
        (
            "urn:epc:id:itip:0614141.812345.1.02.1",
            InvalidLength,
            "(8006) ITIP needs 18 digits, found 17 in '80614141123458102'",
        ),
    ],
)
def test_what_is_no_urn(urn, error, sentence):
    with pytest.raises(error) as caught:
        parse_epc(urn)
    assert str(caught.value) == sentence


@pytest.mark.parametrize(
    ("elements", "prefix_length", "sentence"),
    [
        ({"01": "80614141123458"}, 5, "company prefix in an EPC URN must have 6 to 12 digits, found 5"),
        ({"01": "80614141123458"}, 13, "company prefix in an EPC URN must have 6 to 12 digits, found 13"),
        ({}, 7, "no EPC URN stands for no elements together"),
        (
            {"01": "80614141123458", "10": "A", "21": "B"},
            7,
            "no EPC URN stands for (01) and (10) and (21) together",
        ),
        ({"01": "80614141123457"}, 7, "invalid check digit in GTIN '80614141123457': expected 8, found 7"),
        (
            {"414": "0614141123452", "254": "0"},
            7,
            "(254) '0' means no extension in an EPC URN: leave it out",
        ),
        (
            {"8004": "0614AB"},
            7,
            "(8004) '0614AB' must be a company prefix of 7 digits and something behind it",
        ),
        (
            {"8004": "0614141"},
            7,
            "(8004) '0614141' must be a company prefix of 7 digits and something behind it",
        ),
    ],
)
def test_what_cannot_be_written(elements, prefix_length, sentence):
    with pytest.raises(IdentifierError) as caught:
        write_epc(elements, company_prefix_length=prefix_length)
    assert str(caught.value) == sentence
