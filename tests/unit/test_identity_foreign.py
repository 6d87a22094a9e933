"""Labels of others: published scans, and which symbologies carry what."""

import pytest
from support_each import each
from support_identity import by_id, vectors

from tracelink.errors import IdentifierError, InvalidFormat, UnknownSymbology
from tracelink.identity.foreign import ForeignRead, read_foreign
from tracelink.identity.symbology import name_of


@pytest.mark.parametrize("case", vectors("scan"), ids=by_id)
def test_published_scans(case):
    data, elements = case["input"]["data"], case["expected"]["elements"]
    # The publisher names the number of a retail symbol "gtin"; here it is (01).
    expected = None if elements is None else {ai.replace("gtin", "01"): value for ai, value in elements}
    assert read_foreign(data) == ForeignRead(data[:3], data[3:], expected), case["source"]


SENTENCES = {
    "scan-12": "]E0 (EAN-13) must come as 13 digits, found 12 in '123456789012'",
    "scan-13": "]E0 (EAN-13) must come as 13 digits, found 14 in '12345678901234'",
    "scan-14": "]E0 (EAN-13) must be digits 0-9, found '1234ABC890123'",
    "scan-15": "invalid check digit in GTIN '02345674': expected 3, found 4",
    "scan-17": "nothing follows the symbology identifier; expected GS1 element strings",
    "scan-18": "nothing follows the symbology identifier; expected GS1 element strings",
    "scan-19": (
        "]XX is not read: expected one of ]C1, ]J1, ]Q3, ]d2, ]e0, ]E0, ]E4, ]I0, ]I1, ]A0, ]A1, ]A3, ]A4, ]A5, ]A7, "
        "]C0, ]J0, ]Q1, ]d1"
    ),
    "scan-21": (
        "'ABC' has no symbology identifier: expected ']', a letter and a digit or letter in front; "
        "switch on the scanner's symbology identifier (AIM prefix) and scan again; what is keyed begins with # or a double quote"
    ),
    "scan-22": "(01) GTIN must be digits 0-9, found '123123123133^1'",
}


@pytest.mark.parametrize("case", vectors("scan_reject"), ids=by_id)
def test_published_scans_that_are_refused(case):
    with pytest.raises(IdentifierError) as caught:
        read_foreign(case["input"]["data"])
    assert str(caught.value) == SENTENCES[case["id"]], case["source"]


@each("case", vectors("symbology_identifier"), ids=by_id)
def test_published_identifiers_carry_elements_where_they_say_so(case):
    prefix, carries = case["input"]["prefix"], case["expected"]["gs1_element_strings"]
    # Add-ons of magazines, the inside of composites, and readers set to keep a check digit back are not read.
    if prefix in {"]E3", "]I3", "]d3", "]e1", "]e2"}:
        with pytest.raises(UnknownSymbology) as caught:
            read_foreign(prefix + "10A")
        assert str(caught.value).startswith(f"{name_of(prefix)} is not read: expected one of ")
    elif prefix in {"]E0", "]E4", "]I0", "]I1"}:
        assert carries is False
        with pytest.raises(InvalidFormat, match=r"must be digits 0-9, found '10A'"):
            read_foreign(prefix + "10A")
    else:
        assert read_foreign(prefix + "10A").elements == ({"10": "A"} if carries else None), case["source"]


@pytest.mark.parametrize(
    ("raw", "elements"),
    [
        ("]I112345678901231", {"01": "12345678901231"}),
        ("]E402345673", {"01": "00000002345673"}),
        ("]Q1https://id.gs1.org/01/09520123456788/10/ABC123", {"01": "09520123456788", "10": "ABC123"}),
        ("]d1https://example.com/shop", None),
        ("]C0", None),
    ],
)
def test_other_symbols(raw, elements):
    assert read_foreign(raw) == ForeignRead(raw[:3], raw[3:], elements)


@pytest.mark.parametrize(
    "raw",
    ["]Q1https://id.gs1.org/01/09520123456789", "]I112345678901232", "]I1123456789012", "]E4０2345673", ""],
)
def test_a_damaged_number_is_not_taken_for_plain_text(raw):
    with pytest.raises(IdentifierError):
        read_foreign(raw)
