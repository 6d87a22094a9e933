"""Shared by the tests of identity: published check values and a few invented numbers of the example prefix 952."""

import json
from pathlib import Path

from tracelink.identity.checkdigit import gs1_check_digit
from tracelink.identity.gs1.aitable import RULES
from tracelink.identity.gs1.charsets import CSET_39, CSET_82
from tracelink.identity.gs1.checkpair import gs1_check_pair
from tracelink.identity.gs1.code_lists import COUNTRIES, COUNTRY_NUMBERS, CURRENCY_NUMBERS

VECTORS = json.loads((Path(__file__).parent / "vectors" / "identity.json").read_text(encoding="utf-8"))

SINGLE = "9520000012342"
"""GTIN-13 of an invented title; GS1 reserves prefix 952 for examples."""

SSCC = "006141411234567890"
"""GS1 General Specifications 21.0.1, figure 6.6.5-1."""

GS = "\x1d"


def vectors(*kinds):
    """Return the published cases of some kinds; a kind without any case is a mistake in the test."""
    for kind in kinds:
        assert any(case["kind"] == kind for case in VECTORS), kind
    return [case for case in VECTORS if case["kind"] in kinds]


def by_id(case):
    return case["id"]


def raw_text(case):
    """Published raw strings write the separator as a caret."""
    return case["input"]["raw"].replace("^", GS)


def foreign(elements):
    """Return the first application identifier that is not one of this plant's seven, or None."""
    return next((ai for ai, _ in elements if ai not in RULES), None)


def bracketed_pairs(text):
    """Part a bracketed text at its brackets, without judging anything."""
    return [tuple(part.split(")", 1)) for part in text.split("(")[1:]]


def random_text(rng, alphabet, shortest, longest):
    return "".join(rng.choices(alphabet, k=rng.randint(shortest, longest)))


def _random_part(rng, part):
    """Return a component's text that keeps all the checks made of it."""
    digits, checks = "0123456789", part.checks
    length = (part.shortest, part.longest)
    if "csum" in checks:
        body = random_text(rng, digits, part.longest - 1, part.longest - 1)
        return body + gs1_check_digit(body)
    if "csumalpha" in checks:
        # A letter in it, since one such identifier wants a character that is not a digit.
        body = random_text(rng, digits, 4, 4) + "A" + random_text(rng, sorted(CSET_82), 0, 18)
        return body + gs1_check_pair(body)
    if "gcppos1" in checks:
        return random_text(rng, digits, 4, 4) + random_text(rng, digits + "ABC", 0, part.longest - 4)
    if "pieceoftotal" in checks:
        total = rng.randint(1, 99)
        return f"{rng.randint(1, total):02d}{total:02d}"
    for name in ("yymmd0", "yymmdd"):
        if name in checks:
            first = 0 if name == "yymmd0" else 1
            return f"{rng.randint(0, 99):02d}{rng.randint(1, 12):02d}{rng.randint(first, 28):02d}"
    fixed = {
        "yyyymmdd": lambda: f"{rng.randint(1900, 2099)}{rng.randint(1, 12):02d}{rng.randint(1, 28):02d}",
        "hhmi": lambda: f"{rng.randint(0, 23):02d}{rng.randint(0, 59):02d}",
        "hh": lambda: f"{rng.randint(0, 23):02d}",
        "mi": lambda: f"{rng.randint(0, 59):02d}",
        "ss": lambda: f"{rng.randint(0, 59):02d}",
        "zero": lambda: "0",
        "nonzero": lambda: f"{rng.randint(1, 999):0{part.longest}d}",
        "nozeroprefix": lambda: str(rng.randint(0, 999_999)),
        "yesno": lambda: rng.choice("01"),
        "hyphen": lambda: "-",
        "iso3166alpha2": lambda: rng.choice(sorted(COUNTRIES)),
        "iso3166": lambda: rng.choice(sorted(COUNTRY_NUMBERS)),
        "iso3166999": lambda: rng.choice(["999", *sorted(COUNTRY_NUMBERS)]),
        "iso4217": lambda: rng.choice(sorted(CURRENCY_NUMBERS)),
        "iso5218": lambda: rng.choice("0129"),
        "mediatype": lambda: rng.choice(("01", "10", "80", "99")),
        "importeridx": lambda: rng.choice("aZ0-_"),
        "winding": lambda: rng.choice("019"),
        "latitude": lambda: f"{rng.randint(0, 1_800_000_000):010d}",
        "longitude": lambda: f"{rng.randint(0, 3_600_000_000):010d}",
        # Published ones: GS1 Barcode Syntax Dictionary, tests of its checks.
        "iban": lambda: rng.choice(("DE91100000000123456789", "GB98MIDL07009312345678")),
        "couponcode": lambda: rng.choice(("10614141011111275110111", "012345612345611110123")),
        "couponposoffer": lambda: rng.choice(("001234561234560123456", "101234561234560123456")),
        "posinseqslash": lambda: f"{rng.randint(1, 3)}/{rng.randint(3, 9)}",
        "pcenc": lambda: random_text(rng, digits + "Ab", 1, 20) + "%C3%B8",
    }
    for name, make in fixed.items():
        if name in checks:
            return make()
    alphabet = {"N": digits, "X": sorted(CSET_82), "Y": sorted(CSET_39), "Z": "abcXYZ0189-_"}[part.letter]
    return random_text(rng, alphabet, *length)


def random_value(rng, rule):
    """Return a value an identifier allows, drawn from what its rule says."""
    text = ""
    for part in rule.components:
        if part.optional and rng.random() < 0.3:
            break
        text += _random_part(rng, part)
    return text


def random_link(rng, rules):
    """Return elements that a Digital Link can hold: a key, what may narrow it down, and two attributes."""
    key = rng.choice([rule for rule in rules.values() if rule.link_paths])
    narrowing = {ai for path in key.link_paths for ai in path}
    chosen = [ai for ai in rng.choice(key.link_paths) if rng.random() < 0.6]
    attributes = [rule for rule in rules.values() if rule.link_attribute and not rule.link_paths]
    chosen += [rule.ai for rule in rng.sample(attributes, 2) if rule.ai not in narrowing]
    return {ai: random_value(rng, rules[ai]) for ai in (key.ai, *chosen)}


def damaged(rng, payload):
    """Return a payload with one character lost, changed, doubled or two swapped."""
    at = rng.randrange(len(payload))
    character = payload[at]
    return rng.choice(
        (
            payload[:at] + payload[at + 1 :],
            payload[:at] + rng.choice("0123456789A%-\x1d ~\u0663") + payload[at + 1 :],
            payload[:at] + character + payload[at:],
            payload[:at] + payload[at + 1 : at + 2] + character + payload[at + 2 :],
            payload[:at] + rng.choice(("\x1d", "\x00", "\u0661")) + payload[at:],
        )
    )
