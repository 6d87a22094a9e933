"""Values that only the labels of others hold, against the published tests of the dictionary's checks."""

from pathlib import Path

import pytest
from support_identity import by_id, vectors

from tracelink.errors import IdentifierError, InvalidCheckCharacter, InvalidFormat
from tracelink.identity.gs1.aitable import Component
from tracelink.identity.gs1.aivalues import _JUDGES, UNJUDGED
from tracelink.identity.gs1.code_lists import COUNTRIES
from tracelink.identity.gs1.coupons import require_coupon
from tracelink.identity.gs1.elements import parse_elements
from tracelink.identity.gs1.partner_values import CONDITIONS, require_account


class Rule:
    """Stands for the identifier that a value belongs to."""

    name = "(99) VALUE"
    components: tuple[Component, ...] = ()


def holds(check, value):
    try:
        _JUDGES[check](Rule, value)
    except IdentifierError:
        return False
    return True


@pytest.mark.parametrize("case", vectors("syntax_check"), ids=by_id)
def test_published_values(case):
    check, values = case["input"]["check"], case["input"]["values"]
    found = {value: holds(check, value) for value in values}
    assert found == dict.fromkeys(values, case["expected"]["valid"]), case["source"]


@pytest.mark.parametrize("case", vectors("code_list"), ids=by_id)
def test_published_lists(case):
    codes = set(case["expected"]["codes"].split())
    ours = {f"{number:03d}" for number in range(1000) if holds(case["input"]["check"], f"{number:03d}")}
    # Given out since, or ended before, as the iso-codes collection has them.
    beyond = {"396", "926"} if case["input"]["check"] == "iso4217" else set()
    assert ours == codes | beyond, case["source"]


def test_the_countries_are_those_of_the_time_zone_database():
    """Its file iso3166.tab lists the alpha-2 codes; the package tzdata carries it."""
    tzdata = pytest.importorskip("tzdata")
    table = Path(tzdata.__path__[0], "zoneinfo", "iso3166.tab").read_text(encoding="utf-8")
    listed = {line.split("\t")[0] for line in table.splitlines() if line and not line.startswith("#")}
    assert listed == COUNTRIES


@pytest.mark.parametrize(
    ("payload", "sentence"),
    [
        ("422999", "(422) ORIGIN has '999': expected the three digits of a country (ISO 3166-1)"),
        (
            "4307XX",
            "(4307) SHIP TO COUNTRY has 'XX': expected the two capital letters of a country (ISO 3166-1)",
        ),
        (
            "800100010000100120",
            "(8001) DIMENSIONS has '2': expected 0 (face out), 1 (face in) or 9 (not defined)",
        ),
        (
            "724111",
            "(7241) AIDC MEDIA TYPE has '11': expected 01 to 10 or 80 to 99, the kinds of carrier that are given out",
        ),
        (
            "43090000000000" + "3600000001",
            (
                "(4309) SHIP TO GEO has '3600000001': expected 0000000000 to 3600000000, degrees from 180 west with seven "
                "decimals"
            ),
        ),
        (
            "8007DE92100000000123456789",
            "(8007) IBAN: invalid check digits in account 'DE92100000000123456789': expected 91, found 92",
        ),
        (
            "8110712345678901234",
            (
                "(8110): coupon '712345678901234' has 7 as length of the company prefix at place 1: expected one of 0, 1, 2, 3, "
                "4, 5, 6"
            ),
        ),
    ],
)
def test_a_wrong_one_is_named_with_its_identifier(payload, sentence):
    with pytest.raises(IdentifierError) as refused:
        parse_elements(payload, used=None)
    assert str(refused.value) == sentence


@pytest.mark.parametrize(
    "text",
    [
        "DE91100000",
        "XX91100000000123456789",
        "de91100000000123456789",
        "DEX1100000000123456789",
        "DE91 1000 0000",
    ],
)
def test_what_is_no_account(text):
    with pytest.raises(InvalidFormat):
        require_account(text)


def test_every_single_digit_and_swap_in_an_account_is_noticed():
    """MOD 97-10 catches them all."""
    right = "DE91100000000123456789"
    for place in range(2, len(right)):
        for digit in "0123456789":
            if digit != right[place]:
                with pytest.raises(InvalidCheckCharacter):
                    require_account(right[:place] + digit + right[place + 1 :])
        if right[place] != right[place - 1] and place > 2:
            with pytest.raises(InvalidCheckCharacter):
                require_account(right[: place - 1] + right[place] + right[place - 1] + right[place + 1 :])


@pytest.mark.parametrize("end", range(1, len("106141410222223100110222111101231023456721104561045678991201")))
def test_a_coupon_cut_short_anywhere_is_refused_or_one_with_fewer_fields(end):
    whole = "106141410222223100110222111101231023456721104561045678991201"
    try:
        require_coupon(whole[:end])
    except InvalidFormat:
        assert end not in {24, 40, 55}
    else:
        # Behind the first purchase every field may be left out.
        assert end in {24, 40, 55}, end


def test_what_is_not_judged_is_one_list():
    assert {"packagetype"} == UNJUDGED
    assert not UNJUDGED & CONDITIONS.keys()
