"""Dates of element strings against published ones."""

from datetime import date

import pytest
from support_identity import by_id, vectors

from tracelink.errors import InvalidFormat, InvalidLength
from tracelink.identity.gs1.dates import ElementDate, full_year, read_date, require_date
from tracelink.identity.gs1.elements import parse_elements

DAY_ZERO_AIS = ("11", "12", "13", "15", "16", "17")
STRICT = {"4326": "", "7003": "1200", "7011": "", "8008": "12"}
"""Identifiers whose date needs its day, with what must stand behind the date."""


@pytest.mark.parametrize("case", vectors("date_yymmd0"), ids=by_id)
def test_published_dates(case):
    value = case["input"]["value"]
    require_date(value, day_zero=True)
    for ai in DAY_ZERO_AIS:
        assert parse_elements(ai + value, used=None) == {ai: value}, case["source"]
    if not value.endswith("00"):
        require_date(value, day_zero=False)
        for ai, behind in STRICT.items():
            assert parse_elements(ai + value + behind, used=None) == {ai: value + behind}


NO_DATE = {
    "date-bad-1": "date '200010' has month 00: expected YYMMDD with a month from 01 to 12",
    "date-bad-2": "date '201310' has month 13: expected YYMMDD with a month from 01 to 12",
    "date-bad-4": "date '200230' has day 30: expected YYMMDD with a day from 00 to 29 in that month",
    "date-bad-6": "date must be digits 0-9, YYMMDD, found '20013x'",
    "date-bad-7": "date must be six digits, YYMMDD, found 5 in '11111'",
    "date-bad-8": "date must be six digits, YYMMDD, found 7 in '1111111'",
}


@pytest.mark.parametrize("case", vectors("date_yymmd0_reject"), ids=by_id)
def test_published_dates_that_are_refused(case):
    value = case["input"]["value"]
    for judge in (
        lambda: require_date(value, day_zero=True),
        lambda: read_date(value, current_year=2021),
    ):
        with pytest.raises(InvalidFormat) as caught:
            judge()
        assert str(caught.value) == NO_DATE[case["id"]], case["source"]
    with pytest.raises(InvalidFormat):
        parse_elements("11" + value, used=None)


def test_published_day_zero_is_refused_where_the_day_is_needed():
    (case,) = vectors("date_yymmdd_reject")
    value = case["input"]["value"]
    sentence = f"date {value!r} has day 00: expected YYMMDD with a day from 01 to 30 in that month"
    with pytest.raises(InvalidFormat) as caught:
        read_date(value, current_year=2026, day_zero=False)
    assert str(caught.value) == sentence, case["source"]
    for ai, behind in STRICT.items():
        with pytest.raises(InvalidFormat) as caught:
            parse_elements(ai + value + behind, used=None)
        assert str(caught.value).endswith(sentence)


@pytest.mark.parametrize("case", vectors("date_value"), ids=by_id)
def test_published_days(case):
    found = read_date(case["input"]["value"], current_year=case["input"]["current_year"])
    expected = ElementDate(
        date.fromisoformat(case["expected"]["iso"]), case["expected"].get("day_given", True)
    )
    assert found == expected, case["source"]


@pytest.mark.parametrize("case", vectors("century_window"), ids=by_id)
def test_centuries(case):
    found = full_year(case["input"]["yy"], case["input"]["current_year"])
    assert found == case["expected"]["year"], case["source"]


def test_the_window_is_a_hundred_years_wide_whatever_the_year():
    for current in range(1990, 2110):
        years = sorted(full_year(yy, current) for yy in range(100))
        assert years == list(range(current - 49, current + 51))


def test_29_february_depends_on_the_century_only_in_years_00():
    require_date("000229", day_zero=False)  # some century has it: 2000
    assert read_date("000229", current_year=2026) == ElementDate(date(2000, 2, 29), day_given=True)
    with pytest.raises(InvalidFormat) as caught:
        read_date("000229", current_year=2060)  # 2100 has not
    assert str(caught.value) == (
        "date '000229' has day 29: expected YYMMDD with a day from 00 to 28 in that month"
    )
    for yy in range(1, 100):
        for current in (1999, 2026, 2080):
            try:
                read_date(f"{yy:02d}0229", current_year=current)
                assert yy % 4 == 0
            except InvalidFormat:
                assert yy % 4


@pytest.mark.parametrize(
    ("text", "error"), [("", InvalidFormat), ("１２０１０１", InvalidFormat), ("2001011", InvalidLength)]
)
def test_what_is_no_date(text, error):
    with pytest.raises(error):
        require_date(text, day_zero=True)


@pytest.mark.parametrize(
    ("payload", "sentence"),
    [
        ("70032601012460", "(7003) EXPIRY TIME has '2460': expected hours 00 to 23, minutes 00 to 59"),
        ("800826010124", "(8008) PROD TIME has '24': expected hours 00 to 23, minutes 00 to 59"),
        ("80082601012361", "(8008) PROD TIME has '61': expected minutes and seconds 00 to 59"),
        (
            "8008260101236",
            "(8008) PROD TIME '260101236' ends amid a part: expected 2 characters from place 9, found 1",
        ),
        ("725020260230", "(7250) DOB '20260230' is not a date: expected YYYYMMDD"),
    ],
)
def test_times_and_long_dates_that_cannot_be(payload, sentence):
    with pytest.raises(InvalidFormat) as caught:
        parse_elements(payload, used=None)
    assert str(caught.value) == sentence


def test_times_that_can_be():
    for payload in ("70032601012359", "8008260101235959", "80082601012359", "725020260228"):
        assert parse_elements(payload, used=None) == {payload[:4]: payload[4:]}
