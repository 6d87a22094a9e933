"""Rules that hold for every text given as an element string, link, URN or label of somebody else."""

import random

from biip.checksums import gs1_standard_check_digit
from hypothesis import example, given, settings
from hypothesis import strategies as st
from support_campaign import tries
from support_identity import damaged, random_link, random_value

from tracelink.errors import IdentifierError
from tracelink.identity.foreign import read_foreign
from tracelink.identity.gs1.aitable import all_rules
from tracelink.identity.gs1.association import check_association
from tracelink.identity.gs1.dates import read_date
from tracelink.identity.gs1.digitallink import is_link, parse_link, write_link
from tracelink.identity.gs1.elements import parse_elements, write_elements
from tracelink.identity.gs1.epc import _SCHEMES, parse_epc, write_epc
from tracelink.identity.gs1.lostseparator import possible_splits
from tracelink.identity.isrc import Isrc

RULES = all_rules()
CHECKED = {"00", "01", "02", *(f"41{which}" for which in range(8))}
"""Identifiers whose value ends in a check digit: SSCC, GTIN and GLN."""
randoms = st.integers(0, 2**32).map(random.Random)
rules = st.sampled_from(list(RULES.values()))


@st.composite
def payloads(draw):
    """One to four elements of any identifiers, as a reader would send them."""
    rng = draw(randoms)
    chosen = draw(st.lists(rules, min_size=1, max_size=4, unique=True))
    return [(rule.ai, random_value(rng, rule)) for rule in chosen]


@st.composite
def urns(draw):
    """A URN of a random number, with the length of its company prefix."""
    rng, length = draw(randoms), draw(st.integers(6, 12))
    scheme = draw(st.sampled_from(list(_SCHEMES.values())))
    # Four digits are enough for a company prefix of GS1, not for one of a URN.
    value = random_value(rng, RULES[scheme.ai])
    elements = {scheme.ai: value if scheme.digits else "952000012345" + value[:18]}
    if scheme.serial not in {"", scheme.ai} and (not scheme.may_lack or draw(st.booleans())):
        # Extension 0 means none.
        elements[scheme.serial] = random_value(rng, RULES[scheme.serial]) + "x" * (scheme.serial == "254")
        elements[scheme.serial] = elements[scheme.serial][-20:]
    return write_epc(elements, company_prefix_length=length), elements, length


def judged(read, text):
    """Return what a reader makes of a text, or None where it refuses it with a sentence; anything else fails."""
    try:
        return read(text)
    except IdentifierError as error:
        sentence = str(error)
    assert len(sentence) > 20
    return None


class TestRoundTrips:
    """What is written reads back as what was meant, for every identifier of GS1."""

    @given(payloads())
    def test_element_strings(self, pairs):
        assert parse_elements(write_elements(pairs, used=None), used=None) == dict(pairs)

    @given(urns())
    def test_urns(self, drawn):
        urn, elements, length = drawn
        assert parse_epc(urn) == elements
        assert write_epc(elements, company_prefix_length=length) == urn

    @given(payloads())
    def test_links(self, pairs):
        def written(elements):
            return write_link(dict(elements))

        uri = judged(written, pairs)
        if uri is not None:
            assert parse_link(uri) == dict(pairs)
            assert is_link(uri)
            assert read_foreign("]Q1" + uri).elements == dict(pairs)


class TestAnyText:
    """A text gives a reading or an error of this project with a sentence; never anything else, never a guess."""

    @settings(max_examples=400)
    @given(payloads(), randoms, st.integers(1, 4))
    def test_damaged_symbols(self, pairs, rng, times):
        payload = write_elements(pairs, used=None)
        for _ in range(times):
            payload = damaged(rng, payload) or "0"
        elements = judged(lambda text: parse_elements(text, used=None), payload)
        if elements is not None:
            # What is taken is written the same way, but for the order and separators too many.
            again = parse_elements(write_elements(list(elements.items()), used=None), used=None)
            assert again == elements
            assert "".join(sorted(payload.replace("\x1d", ""))).isascii()
            judged(check_association, elements)

    @given(urns(), randoms)
    def test_damaged_urns(self, drawn, rng):
        elements = judged(parse_epc, damaged(rng, drawn[0]))
        if elements is not None:
            write_elements(list(elements.items()), used=None)

    def test_damaged_links(self):
        """What is still a link is written as one again, and says the same; most are none any more."""
        rng, taken, refused = random.Random(12), 0, 0
        for _ in range(tries(400)):
            uri = write_link(random_link(rng, RULES))
            elements = judged(parse_link, damaged(rng, uri))
            if elements is None:
                refused += 1
            else:
                taken += 1
                assert parse_link(write_link(elements)) == elements, uri
                for ai in CHECKED & elements.keys():
                    assert gs1_standard_check_digit(elements[ai][:-1]) == int(elements[ai][-1]), uri
        assert taken > refused / 10 > 0

    @settings(max_examples=300)
    @given(
        st.text(max_size=300),
        st.sampled_from(["", "]C1", "]d2", "]Q1", "]Q1https://a/01/", "]E0", "]I1", "]z9"]),
    )
    @example("", "]C1")
    @example("\x1d\x1d", "]C1")
    def test_any_label(self, text, start):
        found = judged(read_foreign, start + text)
        assert found is None or (found.identifier + found.text == start + text)

    @given(st.text(max_size=60), st.sampled_from(["", "urn:epc:id:sgtin:", "urn:epc:id:giai:0614141."]))
    def test_any_urn(self, text, start):
        judged(parse_epc, start + text)

    @given(st.text(max_size=20) | st.text("0123456789-ABISRC ", max_size=20))
    def test_any_recording_code(self, text):
        isrc = judged(Isrc.parse, text)
        assert isrc is None or text in {isrc.compact, str(isrc), str(isrc)[5:]}

    @given(st.text("0123456789", min_size=5, max_size=7) | st.text(max_size=8), st.integers(1950, 2150))
    def test_any_date(self, text, year):
        found = judged(lambda value: read_date(value, current_year=year), text)
        if found is not None:
            assert found.date.strftime("%y%m") == text[:4]
            assert found.day_given is (text[4:] != "00")
            assert -49 <= found.date.year - year <= 50


class TestLostSeparator:
    """What may come apart does: every split put together with a separator between reads as its two parts."""

    @given(payloads())
    def test_splits_read_as_they_say(self, pairs):
        value = "LX" + "".join(ai + text for ai, text in pairs)[:18]
        for split in possible_splits(value, used=None):
            assert split.before + split.ai + split.rest == value
            rule = RULES[split.ai]
            swallowed = split.rest[: rule.longest] if rule.predefined else split.rest
            payload = f"10{split.before}\x1d{split.ai}{swallowed}"
            if split.ai != "10":
                assert parse_elements(payload, used=None) == {"10": split.before, split.ai: swallowed}
