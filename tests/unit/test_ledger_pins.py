"""PINs: what is kept of one, which are refused, and how wrong ones make wait."""

import hashlib

import pytest
from support_each import each

from tracelink.errors import InvalidFormat
from tracelink.ledger import pins
from tracelink.ledger.pins import Limits, PinFact, fits, make_verifier, next_try, wait_s

KEY, SALT = bytes(range(32)), bytes(16)
LIMITS = Limits(free=3, first_s=30, longest_s=3600, most=100)


def test_the_hash_is_the_published_one():
    """RFC 7914 section 12, third vector: the library's scrypt is the standard's."""
    found = hashlib.scrypt(
        b"pleaseletmein", salt=b"SodiumChloride", n=16384, r=8, p=1, maxmem=2**26, dklen=64
    )
    assert found.hex() == (
        "7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2"
        "d5432955613f0fcf62d49705242a9af9e61e85dc0d651e40dfcf017b45575887"
    )


def test_a_pin_fits_only_its_badge_its_key_and_itself():
    kept = make_verifier(KEY, "P000001H", "2580", SALT)
    assert fits(KEY, "P000001H", "2580", kept)
    assert not fits(KEY, "P000001H", "2581", kept)
    assert not fits(KEY, "P000002F", "2580", kept)
    assert not fits(bytes(32), "P000001H", "2580", kept)


def test_what_is_kept_cannot_be_tried_without_the_key():
    """All ten thousand PINs of four digits, hashed as an outsider would, meet nothing that is kept."""
    kept = make_verifier(KEY, "P000001H", "2580", SALT)
    for digits in ("2580", "2580P000001H", "P000001H\x002580"):
        tried = hashlib.scrypt(
            digits.encode(), salt=SALT, n=kept.cost, r=8, p=1, maxmem=2**26, dklen=32
        ).hex()
        assert tried != kept.digest
    assert KEY.hex() not in repr(kept)
    assert "2580" not in repr(kept)


def test_the_same_pin_is_kept_differently_under_another_salt_or_badge():
    digests = {
        make_verifier(KEY, badge, "2580", salt).digest
        for badge in ("P000001H", "P000002F")
        for salt in (SALT, b"\x01" * 16)
    }
    assert len(digests) == 4


@pytest.mark.parametrize("digits", ["2580", "1470", "98765321", "0042"])
def test_usual_pins_are_taken(digits):
    assert pins.require_pin(digits) == digits


@each(
    ("digits", "why"),
    [
        ("", "4 to 8 digits"),
        ("258", "4 to 8 digits"),
        ("123456789", "4 to 8 digits"),
        ("25a0", "4 to 8 digits"),
        ("２５８０", "4 to 8 digits"),
        ("2580\n", "4 to 8 digits"),
        ("0000", "guessed first"),
        ("1234", "guessed first"),
        ("34567890", "guessed first"),
        ("9876", "guessed first"),
        ("0987", "guessed first"),
    ],
)
def test_others_are_refused_without_repeating_them(digits, why):
    with pytest.raises(InvalidFormat, match=why) as refused:
        pins.require_pin(digits)
    assert not digits or digits not in str(refused.value)


@each(
    ("failures", "seconds"),
    [(0, 0), (1, 0), (3, 0), (4, 30), (5, 60), (6, 120), (10, 1920), (11, 3600), (60, 3600), (10**9, 3600)],
)
def test_wrong_pins_make_wait_twice_as_long_each_time(failures, seconds):
    assert wait_s(failures, LIMITS) == seconds


def test_the_wait_goes_by_the_time_of_recording():
    pin = PinFact(make_verifier(KEY, "P", "2580", SALT), 4, "2031-03-04T08:00:00Z")
    assert next_try(pin, "2031-03-04T08:00:29Z", LIMITS) == "2031-03-04T08:00:30+00:00"
    assert next_try(pin, "2031-03-04T08:00:30Z", LIMITS) is None
    # A clock that was put back does not shorten the wait.
    assert next_try(pin, "2031-03-03T08:00:00Z", LIMITS) == "2031-03-04T08:00:30+00:00"
    assert next_try(PinFact(pin.verifier, 3, pin.failed_at), "2031-03-04T08:00:01Z", LIMITS) is None


@pytest.mark.parametrize(
    ("failures", "most", "blocked"), [(99, 100, False), (100, 100, True), (10**6, 0, False)]
)
def test_a_pin_is_blocked_after_too_many(failures, most, blocked):
    assert pins.is_blocked(failures, Limits(3, 30, 3600, most)) is blocked
