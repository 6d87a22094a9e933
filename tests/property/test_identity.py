"""Rules of identity that hold for every text, not only for the published ones."""

import string

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from support_each import each
from support_identity import GS, SINGLE, SSCC

from tracelink.errors import IdentifierError, InvalidCheckCharacter, InvalidFormat
from tracelink.identity.checkdigit import ALPHABET, gs1_check_digit, mod37_36_check_character
from tracelink.identity.gs1.aitable import CSET_82, RULES
from tracelink.identity.gs1.elements import (
    human_readable,
    parse_elements,
    suspect_lost_separator,
    write_elements,
)
from tracelink.identity.gs1.gtin import Gtin
from tracelink.identity.gs1.sscc import Sscc
from tracelink.identity.matrix import MatrixGrammar
from tracelink.identity.plantcode import CodeKind, PlantCode, act_code, parse_act
from tracelink.identity.reading import (
    ActRead,
    DiscRead,
    LogisticRead,
    NumberKeyed,
    PlantRead,
    Reading,
    SleeveRead,
    TextKeyed,
    raw_act,
    raw_carton,
    raw_disc,
    raw_numbered_sleeve,
    raw_plant,
    raw_sleeve,
    raw_sscc,
    read_scan,
)
from tracelink.identity.symbology import GRAMMARS

digits = st.text("0123456789", min_size=1, max_size=17)
payloads = st.text(ALPHABET, min_size=1, max_size=17)
numbered_kinds = st.sampled_from([kind for kind in CodeKind if kind is not CodeKind.ACT])
codes = st.builds(PlantCode, numbered_kinds, st.integers(1, 999_999_999))
words = st.text(string.ascii_uppercase, min_size=2, max_size=14)
gtins = st.text("0123456789", min_size=12, max_size=12).map(
    lambda body: Gtin.parse(body + gs1_check_digit(body))
)
ssccs = st.text("0123456789", min_size=17, max_size=17).map(lambda body: body + gs1_check_digit(body))
sets_of = st.integers(1, 99).flatmap(lambda total: st.tuples(st.integers(1, total), st.just(total)))
values = st.text(sorted(CSET_82), min_size=1, max_size=20)


class TestMod10:
    """Weights 3 and 1 share no factor with 10: every wrong digit is caught; a swap is missed at distance 5."""

    @given(digits, st.data())
    def test_every_wrong_digit_is_caught(self, body, data):
        at = data.draw(st.integers(0, len(body) - 1))
        other = data.draw(st.sampled_from([d for d in "0123456789" if d != body[at]]))
        assert gs1_check_digit(body) != gs1_check_digit(body[:at] + other + body[at + 1 :])

    @given(digits, st.data())
    def test_a_swap_is_caught_unless_the_digits_differ_by_five(self, body, data):
        assume(len(body) > 1)
        at = data.draw(st.integers(0, len(body) - 2))
        a, b = body[at], body[at + 1]
        assume(a != b)
        caught = gs1_check_digit(body) != gs1_check_digit(body[:at] + b + a + body[at + 2 :])
        assert caught is (abs(int(a) - int(b)) != 5)

    @given(digits, st.integers(0, 5))
    def test_leading_zeros_change_nothing(self, body, zeros):
        assert gs1_check_digit("0" * zeros + body) == gs1_check_digit(body)


def product_before(payload):
    """Return the running product after payload, from the check character: it brings the sum to 1 modulo 36."""
    if not payload:
        return 36
    return (1 - ALPHABET.index(mod37_36_check_character(payload))) % 36 or 36


class TestMod3736:
    """All single substitutions are caught, and all swaps of neighbours but one pair in each state.

    A state is the running product before the two characters. The missed pair has values v and v+1 modulo 36.
    """

    @given(payloads, st.data())
    def test_every_wrong_character_is_caught(self, payload, data):
        full = payload + mod37_36_check_character(payload)
        at = data.draw(st.integers(0, len(full) - 1))
        other = data.draw(st.sampled_from([c for c in ALPHABET if c != full[at]]))
        wrong = full[:at] + other + full[at + 1 :]
        assert mod37_36_check_character(wrong[:-1]) != wrong[-1]

    @each("first", [kind.value for kind in CodeKind])
    def test_every_wrong_character_in_a_code_and_in_an_act_card(self, first):
        for payload in (first + "000142", first + "STOP", first + "987654321"):
            full = payload + mod37_36_check_character(payload)
            for at, right in enumerate(full):
                for other in ALPHABET.replace(right, ""):
                    wrong = full[:at] + other + full[at + 1 :]
                    assert mod37_36_check_character(wrong[:-1]) != wrong[-1]

    def test_each_state_misses_one_swap_of_successive_values(self):
        # A single character brings the product from 36 to any state but one; two characters reach them all.
        prefixes = {product_before(a + b): a + b for a in ALPHABET for b in ALPHABET}
        assert sorted(prefixes) == list(range(1, 37))
        for prefix in prefixes.values():
            missed = [
                (a, b)
                for a in range(36)
                for b in range(a + 1, 36)
                if mod37_36_check_character(prefix + ALPHABET[a] + ALPHABET[b])
                == mod37_36_check_character(prefix + ALPHABET[b] + ALPHABET[a])
            ]
            ((a, b),) = missed
            assert b - a in (1, 35)

    @given(codes, st.data())
    def test_a_swap_in_a_plant_code_is_refused_or_is_of_successive_digits(self, code, data):
        text = code.text
        at = data.draw(st.integers(0, len(text) - 2))
        a, b = text[at], text[at + 1]
        assume(a != b)
        swapped = text[:at] + b + a + text[at + 2 :]
        try:
            other = PlantCode.parse(swapped)
        except (InvalidFormat, InvalidCheckCharacter):
            return
        assert other != code
        assert abs(ALPHABET.index(a) - ALPHABET.index(b)) in (1, 35)

    def test_a_swap_that_is_missed_exists(self):
        # So that nobody relies on the check character alone: the ledger must know the code.
        assert PlantCode.parse("K000078L") == PlantCode(CodeKind.SPINDLE, 78)
        assert PlantCode.parse("K000087L") == PlantCode(CodeKind.SPINDLE, 87)


class TestRoundTrips:
    """What is written reads back as what was meant."""

    @given(codes)
    def test_plant_codes(self, code):
        assert PlantCode.parse(str(code)) == code
        assert read_scan(raw_plant(code.text)) == PlantRead(code)

    @given(words)
    def test_act_cards(self, word):
        assert parse_act(act_code(word)) == word
        assert read_scan(raw_act(word)) == ActRead(word)

    @given(gtins, sets_of)
    def test_discs(self, gtin, piece_and_total):
        assert read_scan(raw_disc(str(gtin), *piece_and_total)) == DiscRead(gtin, *piece_and_total)

    @given(gtins, values)
    def test_sleeves(self, gtin, serial):
        assert read_scan(raw_sleeve(gtin.gtin13)) == SleeveRead(gtin, None)
        assert read_scan(raw_numbered_sleeve(gtin.gtin13, serial)) == SleeveRead(gtin, serial)

    @given(ssccs, gtins, st.integers(0, 99_999_999), values)
    def test_carton_labels(self, sscc, gtin, count, lot):
        assert read_scan(raw_sscc(sscc)) == LogisticRead(Sscc(sscc), None, None, None)
        assert read_scan(raw_carton(sscc, gtin.digits, count, lot)) == LogisticRead(
            Sscc(sscc), gtin, count, lot
        )
        assert read_scan(raw_carton(None, gtin.digits, count, None)) == LogisticRead(None, gtin, count, None)

    @given(
        st.integers(0, 9).map(str),
        st.text("0123456789", min_size=4, max_size=12),
        st.integers(0, 9999),
    )
    def test_ssccs(self, extension, prefix, serial):
        assert Sscc.build(extension, prefix, serial).serial_reference(len(prefix)) == serial

    @given(st.integers(0, 999_999_999), st.text(min_size=1, max_size=200))
    def test_keyed_lines(self, number, text):
        assert read_scan(f"#{number}") == NumberKeyed(number)
        assume(text.isprintable() and not text.isspace())
        assert read_scan('"' + text) == TextKeyed(text)


value_of = {
    "00": ssccs,
    "01": gtins.map(lambda gtin: gtin.digits),
    "02": gtins.map(lambda gtin: gtin.digits),
    "10": values,
    "21": values,
    "37": st.text("0123456789", min_size=1, max_size=8),
    "8006": st.builds(lambda gtin, set_of: f"{gtin.digits}{set_of[0]:02d}{set_of[1]:02d}", gtins, sets_of),
}
element_rows = (
    st.lists(st.sampled_from(list(RULES)), unique=True, min_size=1)
    .flatmap(lambda ais: st.tuples(*(st.tuples(st.just(ai), value_of[ai]) for ai in ais)))
    .map(list)
)


class TestElements:
    """Written element strings read back; separators stand only where needed; a lost one is refused or suspected."""

    @given(element_rows)
    def test_rows_read_back(self, pairs):
        text = write_elements(pairs)
        assert parse_elements(text) == dict(pairs)
        variable = sum(not RULES[ai].predefined for ai, _ in pairs)
        assert text.count(GS) == max(0, variable - 1)
        assert len(human_readable(pairs)) == len(text) - text.count(GS) + 2 * len(pairs)

    @given(element_rows)
    def test_a_needless_separator_after_each_value_changes_nothing(self, pairs):
        assert parse_elements("".join(f"{ai}{value}{GS}" for ai, value in pairs)) == dict(pairs)

    @given(element_rows, st.data())
    def test_a_lost_separator_is_refused_or_suspected(self, pairs, data):
        text = write_elements(pairs)
        places = [at for at, character in enumerate(text) if character == GS]
        assume(places)
        at = data.draw(st.sampled_from(places))
        try:
            read = parse_elements(text[:at] + text[at + 1 :])
        except IdentifierError:
            return
        swollen = [(ai, value) for ai, value in read.items() if dict(pairs)[ai] != value]
        ((ai, value),) = swollen
        # A count that swallowed digits is a wrong count: nothing in the text shows it, the content's number will.
        assert ai == "37" or suspect_lost_separator(value) is not None

    @given(st.text(sorted(CSET_82 | {GS, " "}), max_size=60))
    def test_what_reads_can_be_written_again(self, payload):
        try:
            elements = parse_elements(payload)
        except IdentifierError:
            return
        assert parse_elements(write_elements(list(elements.items()))) == elements


class TestMatrix:
    """Normalising settles: normal text stays as it is, and a look-alike suggestion is never the text itself."""

    grammar = MatrixGrammar(r"[A-Z0-9 -]+", "OX 1041-A2")

    @given(st.text(max_size=50))
    def test_normal_text_stays(self, text):
        normal = self.grammar.normalise(text)
        assert self.grammar.normalise(normal) == normal
        try:
            assert self.grammar.parse(text) == self.grammar.parse(normal) == normal
        except InvalidFormat:
            return
        assert normal.isascii()
        assert 0 < len(normal) <= 40

    @given(st.text("OI01AX", min_size=1, max_size=8), st.lists(st.text("OI01AX", min_size=1, max_size=8)))
    def test_suggestions_differ_only_by_look_alikes(self, text, known):
        suggested = self.grammar.likely(text, known)
        fold = str.maketrans("OI", "01")
        assert suggested == sorted(
            {k for k in known if k != text and k.translate(fold) == text.translate(fold)}
        )


VALID_LINES = (
    raw_disc(SINGLE, 1, 2),
    raw_sleeve(SINGLE),
    raw_numbered_sleeve(SINGLE, "000123"),
    raw_plant(PlantCode(CodeKind.SPINDLE, 142).text),
    raw_plant(PlantCode(CodeKind.TOOL, 7).text),
    raw_act("STOP"),
    raw_sscc(SSCC),
    raw_carton(SSCC, SINGLE, 20, "L1"),
    "#400",
    '"OX 1041-A2',
)
characters = st.one_of(
    st.characters(),
    st.sampled_from(']CdEeQ0123456789#"()' + GS + "\r\n\t ١２é"),
)


@st.composite
def damaged_lines(draw):
    """Valid lines with up to three characters lost, added, changed or swapped, or two lines run together."""
    line = draw(st.sampled_from(VALID_LINES))
    for _ in range(draw(st.integers(0, 3))):
        at = draw(st.integers(0, len(line)))
        cut = draw(st.integers(0, 2))
        line = line[:at] + draw(st.text(characters, max_size=2)) + line[at + cut :]
    return line + draw(st.sampled_from(("", "", "", *VALID_LINES)))


prefixed_lines = st.builds(
    str.__add__, st.sampled_from([*GRAMMARS, "]E4", "]Q1", "]", "#", '"', ""]), st.text(max_size=210)
)


def canonical(reading):
    """Write a reading again as a reader would have sent it; keyed lines and cartons need no second spelling."""
    match reading:
        case PlantRead(code):
            return {"]C0" + code.text, "]d1" + code.text}
        case ActRead(word):
            return {raw_act(word)}
        case DiscRead(gtin, piece, total):
            return {"]d2" + write_elements([("8006", f"{gtin.digits}{piece:02d}{total:02d}")])}
        case SleeveRead(gtin, None):
            return {raw_sleeve(gtin.gtin13)}
        case SleeveRead(gtin, serial):
            return {
                "]d2" + write_elements([("01", gtin.digits), ("21", serial)]),
                f"]d221{serial}{GS}01{gtin.digits}",
            }
    return None


class TestEveryLine:
    """A line gives a reading or an error of this project with a sentence; never anything else, never a guess."""

    def judge(self, line):
        try:
            reading = read_scan(line)
        except IdentifierError as error:
            refusal = str(error)
        else:
            assert isinstance(reading, Reading)
            spellings = canonical(reading)
            # Separators too many are tolerated; nothing else of a line may differ from what would be printed.
            assert spellings is None or line.replace(GS, "") in {text.replace(GS, "") for text in spellings}
            return
        assert len(refusal) > 20

    @settings(max_examples=600)
    @given(damaged_lines())
    def test_damaged_lines(self, line):
        self.judge(line)

    @settings(max_examples=400)
    @given(prefixed_lines)
    def test_any_text_behind_any_identifier(self, line):
        self.judge(line)

    @given(st.text(max_size=220))
    def test_any_text(self, line):
        self.judge(line)

    @given(st.sampled_from(VALID_LINES[:8]), st.sampled_from(list(GRAMMARS)))
    def test_the_same_text_under_another_identifier_is_not_taken(self, line, identifier):
        assume(identifier != line[:3])
        is_tool = line == VALID_LINES[4]
        if is_tool and identifier == "]C0":
            assert read_scan(identifier + line[3:]) == read_scan(line)
        else:
            with pytest.raises(IdentifierError):
                read_scan(identifier + line[3:])

    @given(st.sampled_from(VALID_LINES[:8]), st.data())
    def test_one_wrong_digit_never_reads_as_the_same_thing(self, line, data):
        at = data.draw(st.integers(3, len(line) - 1))
        other = data.draw(st.sampled_from([c for c in ALPHABET if c != line[at]]))
        wrong = line[:at] + other + line[at + 1 :]
        try:
            assert read_scan(wrong) != read_scan(line)
        except IdentifierError:
            return
