"""GS1 Digital Links against published ones, both ways."""

import pytest
from support_each import each
from support_identity import by_id, vectors

from tracelink.errors import IdentifierError, InvalidCheckCharacter, InvalidFormat, InvalidLength
from tracelink.identity.gs1.digitallink import is_link, parse_link, write_link

KEY = "https://id.gs1.org/01/09520123456788"
GTIN = "09520123456788"


@pytest.mark.parametrize("case", vectors("digital_link"), ids=by_id)
def test_published_links(case):
    uri = case["input"]["uri"]
    elements = dict(case["expected"]["elements"])
    assert parse_link(uri) == elements, case["source"]
    assert is_link(uri)
    stem = uri[: uri.rindex(f"/{case['expected']['elements'][0][0]}/")]
    assert write_link(elements, stem=stem) == uri


REFUSED = {
    "dl-bad-1": "(10) BATCH/LOT narrows (01) GTIN: expected it in the path, in GS1's order",
    "dl-bad-2": "(01) GTIN stands twice in one web address",
    "dl-bad-3": "'https://a/stem/00/006141411234567890/' ends its path in a slash: expected a value there",
    "dl-bad-5": (
        "'https://a/gtin/12312312312333' has no key such as 01 and its value at the end of its path"
    ),
    "dl-bad-6": "(99) INTERNAL needs 1 to 90 characters, found 0 in ''",
    "dl-bad-7": "'http://a/b/' ends its path in a slash: expected a value there",
}


@pytest.mark.parametrize("case", vectors("digital_link_reject"), ids=by_id)
def test_published_links_that_are_refused(case):
    with pytest.raises(InvalidFormat) as caught:
        parse_link(case["input"]["uri"])
    assert str(caught.value) == REFUSED[case["id"]], case["source"]


def test_a_gtin_without_its_leading_zero_is_refused():
    # The older rule allowed it; we take the present one.
    (case,) = vectors("digital_link_zero_suppressed")
    with pytest.raises(InvalidLength) as caught:
        parse_link(case["input"]["uri"])
    assert str(caught.value) == "(01) GTIN needs 14 digits, found 13 in '9520123456788'", case["source"]


@each(
    ("uri", "elements"),
    [
        (f"HTTPS://ID.GS1.ORG/01/{GTIN}", {"01": GTIN}),
        # A scheme means the same in either case (RFC 3986, section 3.1).
        (f"HtTpS://id.gs1.org/01/{GTIN}", {"01": GTIN}),
        (f"https://id.gs1.org:8080/some/where/01/{GTIN}", {"01": GTIN}),
        (f"{KEY}#part", {"01": GTIN}),
        (f"{KEY}?", {"01": GTIN}),
        (f"{KEY}?linkType=all&17=260331&context=A;B+C", {"01": GTIN, "17": "260331"}),
        (f"{KEY}/22/A/21/B", {"01": GTIN, "22": "A", "21": "B"}),
        (f"{KEY}/235/XYZ", {"01": GTIN, "235": "XYZ"}),
        (f"{KEY}/21/00", {"01": GTIN, "21": "00"}),
        (f"{KEY}/10/a+b?99=c%2Bd", {"01": GTIN, "10": "a+b", "99": "c+d"}),
        (f"{KEY}/10/%41%2f", {"01": GTIN, "10": "A/"}),
        ("https://a/8006/095201234567880102/21/7", {"8006": "095201234567880102", "21": "7"}),
    ],
)
def test_what_is_read(uri, elements):
    assert parse_link(uri) == elements


NO_ADDRESS = "{!r} is not a web address that begins with http:// or https:// and has a path"


@each(
    ("uri", "error", "sentence"),
    [
        ("", InvalidFormat, NO_ADDRESS.format("")),
        (f"ftp://a/01/{GTIN}", InvalidFormat, NO_ADDRESS.format(f"ftp://a/01/{GTIN}")),
        # No error shows what may be a password.
        (f"https://u:p@a/01/{GTIN}", InvalidFormat, NO_ADDRESS.format(f"https://u:***@a/01/{GTIN}")),
        ("https://id.gs1.org", InvalidFormat, NO_ADDRESS.format("https://id.gs1.org")),
        (f"{KEY}/10/a b", InvalidFormat, NO_ADDRESS.format(f"{KEY}/10/a b")),
        (f"{KEY}/10/é", InvalidFormat, NO_ADDRESS.format(f"{KEY}/10/é")),
        (f"{KEY}\n", InvalidFormat, NO_ADDRESS.format(f"{KEY}\n")),
        (f"{KEY}/10/%zz", InvalidFormat, "'%zz' has a % without two hexadecimal digits behind it"),
        (f"{KEY}/10/%5E", InvalidFormat, "(10) BATCH/LOT '^' holds '^', which GS1 does not allow there"),
        (
            f"{KEY}/10/%252F%5E",
            InvalidFormat,
            "(10) BATCH/LOT '%2F^' holds '^', which GS1 does not allow there",
        ),
        (
            "https://a/01/09520123456789",
            InvalidCheckCharacter,
            "invalid check digit in GTIN '09520123456789': expected 8, found 9",
        ),
        (
            f"{KEY}/21/B/10/A",
            InvalidFormat,
            (
                "(01) GTIN is followed by /21/10 in the path: expected /22/10/21 or /235, in this order, "
                "any of them left out"
            ),
        ),
        (
            f"{KEY}/10/A/235/B",
            InvalidFormat,
            (
                "(01) GTIN is followed by /10/235 in the path: expected /22/10/21 or /235, in this order, "
                "any of them left out"
            ),
        ),
        (
            "https://a/00/006141411234567890/10/A",
            InvalidFormat,
            "(00) SSCC is followed by /10 in the path: expected nothing there",
        ),
        (f"{KEY}/10/A/10/A", InvalidFormat, "(10) BATCH/LOT stands twice in one web address"),
        (
            f"{KEY}?17=260331&17=260331",
            InvalidFormat,
            "(17) USE BY or EXPIRY stands twice in one web address",
        ),
        (f"{KEY}?12345=A", InvalidFormat, "application identifier 12345 is not one that GS1 has assigned"),
        (f"{KEY}?99", InvalidFormat, "(99) INTERNAL needs 1 to 90 characters, found 0 in ''"),
        (
            f"{KEY}?99=a+b",
            InvalidFormat,
            "(99) 'a+b' has + or ; behind the question mark: expected %2B or %3B",
        ),
        (
            f"{KEY}?8200=A",
            InvalidFormat,
            "(8200) PRODUCT URL cannot stand behind the question mark of a web address",
        ),
    ],
)
def test_what_is_refused(uri, error, sentence):
    with pytest.raises(error) as caught:
        parse_link(uri)
    assert str(caught.value) == sentence


def test_which_text_means_to_be_a_link():
    assert is_link("https://a/01/123")  # a wrong number is still one
    assert is_link(KEY + "/")
    for text in ("", "https://example.com/", "https://example.com/shop/7", "01/09520123456788", "TESTING"):
        assert not is_link(text)


@pytest.mark.parametrize(
    ("elements", "uri"),
    [
        ({"21": "B", "17": "260331", "10": "A/1", "01": GTIN}, f"{KEY}/10/A%2F1/21/B?17=260331"),
        ({"01": GTIN, "99": "a+b;c=d"}, f"{KEY}?99=a%2Bb%3Bc%3Dd"),
        ({"235": "X", "01": GTIN}, f"{KEY}/235/X"),
        ({"414": "9520123456788", "254": "A"}, "https://id.gs1.org/414/9520123456788/254/A"),
    ],
)
def test_what_is_written(elements, uri):
    assert write_link(elements) == uri
    assert parse_link(uri) == elements


@pytest.mark.parametrize(
    ("elements", "stem", "sentence"),
    [
        ({}, "https://a", "none of no elements can be the key of a web address: expected one like (01)"),
        (
            {"10": "A", "37": "2"},
            "https://a",
            "none of (10) and (37) can be the key of a web address: expected one like (01)",
        ),
        (
            {"00": "006141411234567890", "21": "B"},
            "https://a",
            "(21) SERIAL cannot stand behind the question mark of a web address",
        ),
        (
            {"01": GTIN, "10": "A", "22": "B", "235": "C"},
            "https://a",
            "(235) TPX narrows (01) GTIN: expected it in the path, in GS1's order",
        ),
        ({"01": "1"}, "https://a", "(01) GTIN needs 14 digits, found 1 in '1'"),
        (
            {"01": GTIN},
            "https://a/",
            "'https://a/' is not the beginning of a web address without a slash at its end",
        ),
        ({"01": GTIN}, "a", "'a' is not the beginning of a web address without a slash at its end"),
    ],
)
def test_what_cannot_be_written(elements, stem, sentence):
    with pytest.raises(IdentifierError) as caught:
        write_link(elements, stem=stem)
    assert str(caught.value) == sentence
