"""Canonical bytes and hashes of entries and packs, frozen; times, read strictly."""

import hashlib
import json
import random
import struct
from dataclasses import replace

import pytest
import rfc8785
from support_campaign import tries
from support_each import each
from support_vectors import by_id, load

from tracelink.errors import InvalidFormat, NewerJournal, NotCanonical
from tracelink.ledger.canonical_json import canonical_bytes, read_plainly
from tracelink.ledger.entry import (
    Entry,
    Stamp,
    entry_hash,
    read_entry,
    require_plain,
)
from tracelink.ledger.entry_pattern import parts
from tracelink.ledger.packs import RawScan, pack_hash, pack_scans, storable, unpack_scans
from tracelink.ledger.times import instant, require_local_time, require_utc_time

STAMP = Stamp("2031-03-03T08:00:00+01:00", "2031-03-03T07:00:00Z")
STAMPED = ("event_time", "recorded_at", "station", "station_seq", "person")


def entry_of(fields):
    stamp = Stamp(**{name: fields[name] for name in STAMPED})
    rest = {name: value for name, value in fields.items() if name not in STAMPED}
    return Entry(stamp=stamp, **rest)


def plain(body, **changed):
    return Entry(**{"seq": 1, "stamp": STAMP, "kind": "x", "body": body, "prev": "0" * 64, **changed})


def sorted_by_utf16(value):
    """Our own second writer of canonical JSON: keys in the order of their UTF-16 code units, then json.dumps."""
    if isinstance(value, dict):
        return {
            key: sorted_by_utf16(value[key]) for key in sorted(value, key=lambda key: key.encode("utf-16-be"))
        }
    return [sorted_by_utf16(item) for item in value] if isinstance(value, list) else value


def written_again(value):
    return json.dumps(sorted_by_utf16(value), ensure_ascii=False, separators=(",", ":"), allow_nan=False)


@pytest.mark.parametrize("case", load("journal", "entry"), ids=by_id)
class TestFrozenEntries:
    def test_the_bytes_and_the_hash_are_as_they_were_frozen(self, case):
        canonical = entry_of(case["input"]).canonical()
        assert canonical.decode() == case["expected"]["canonical"]
        assert entry_hash(canonical) == case["expected"]["hash"]

    def test_a_second_writer_and_a_hash_by_hand_agree(self, case):
        text = written_again({"v": 1, **case["input"]})
        assert text == case["expected"]["canonical"]
        assert hashlib.sha256(b"\0" + text.encode()).hexdigest() == case["expected"]["hash"]

    def test_reading_gives_the_entry_back(self, case):
        assert read_entry(case["expected"]["canonical"].encode()) == entry_of(case["input"])


@pytest.mark.parametrize("case", load("journal", "pack"), ids=by_id)
class TestFrozenPacks:
    def test_the_bytes_and_the_hash_are_as_they_were_frozen(self, case):
        scans = tuple(RawScan(*scan) for scan in case["input"])
        pack = pack_scans(scans)
        assert pack.decode() == case["expected"]["pack"] == written_again(case["input"])
        assert pack_hash(pack) == hashlib.sha256(b"\2" + pack).hexdigest() == case["expected"]["hash"]
        assert unpack_scans(pack) == scans


class TestPublishedValues:
    @pytest.mark.parametrize("case", load("journal", "rfc6962-leaf-hash"), ids=by_id)
    def test_an_entry_hash_is_the_leaf_hash_of_rfc_6962(self, case):
        assert entry_hash(bytes.fromhex(case["input"]["leaf_hex"])) == case["expected"], case["source"]

    @pytest.mark.parametrize("case", load("journal", "rfc8785"), ids=by_id)
    def test_the_samples_of_rfc_8785(self, case):
        value = json.loads(case["input"]["json_text"])
        written = rfc8785.dumps(value)
        assert written.hex() == case["expected"]["hex"], case["source"]
        assert hashlib.sha256(written).hexdigest() == case["expected"]["sha256"]
        if case["id"] == "jcs-sort":  # the other one holds floats, which no body may
            assert written.decode() in plain(value).canonical().decode()
        else:
            with pytest.raises(InvalidFormat, match=r"body\.numbers\[0\] holds 333333333\.3333333"):
                plain(value).canonical()

    @each("case", load("journal", "rfc8785-number"), ids=by_id)
    def test_numbers_of_rfc_8785_appendix_b(self, case):
        """No float is written at all; a whole one that a double holds exactly prints the same as an integer."""
        (value,) = struct.unpack(">d", bytes.fromhex(case["input"]["ieee754_hex"]))
        assert rfc8785.dumps(value).decode() == case["expected"], case["source"]
        with pytest.raises(InvalidFormat, match="expected text, whole number, yes/no, list or object"):
            require_plain({"n": value})
        if value.is_integer() and abs(value) < 2**53:
            assert f'"n":{case["expected"]}' in plain({"n": int(value)}).canonical().decode()

    @pytest.mark.parametrize("case", load("journal", "rfc8785-error"), ids=by_id)
    def test_what_rfc_8785_refuses_no_body_may_hold(self, case):
        values = {"nan": float("nan"), "inf": float("inf"), "9007199254740992": 2**53, "'\\ud800'": "\ud800"}
        for value in (values[case["input"]], [values[case["input"]]], {"deep": values[case["input"]]}):
            with pytest.raises(InvalidFormat):
                plain({"field": value}).canonical()
        with pytest.raises(rfc8785.CanonicalizationError):
            rfc8785.dumps(values[case["input"]])


class TestBodies:
    def test_a_reason_is_text_as_well(self):
        entry = replace(plain({"field": 1}), reason="\udcff")
        with pytest.raises(InvalidFormat, match="the reason holds half a surrogate pair"):
            entry.canonical()

    def test_refusals_name_the_place(self):
        with pytest.raises(InvalidFormat) as caught:
            require_plain({"moves": [{"quantity": 1}, {"quantity": 2**53}]})
        assert str(caught.value) == (
            "body.moves[1].quantity holds 9007199254740992: expected a whole number up to 9007199254740991"
        )
        with pytest.raises(InvalidFormat, match="body has a field name that is not text: 7"):
            require_plain({7: "x"})
        with pytest.raises(InvalidFormat, match=r"body\.raw holds b'x'"):
            require_plain({"raw": b"x"})
        with pytest.raises(InvalidFormat, match=r"body\.t\[0\] holds half a surrogate pair"):
            require_plain({"t": ["\udfff"]})

    def test_half_a_surrogate_pair_in_a_raw_scan_is_written_out(self):
        assert storable("]C0\ud800K\x1dö😀") == "]C0\\ud800K\x1dö😀"
        assert unpack_scans(pack_scans([RawScan(1, "t", storable("\udc41"))]))[0].raw == "\\udc41"

    def test_an_entry_without_a_usable_time_is_not_written(self):
        """It could never be read back, and the journal would not verify from there on."""
        with pytest.raises(InvalidFormat, match="time 'yesterday' is not usable"):
            plain({}, stamp=Stamp("yesterday", STAMP.recorded_at)).canonical()
        with pytest.raises(InvalidFormat, match="expected UTC like"):
            plain({}, stamp=Stamp(STAMP.event_time, STAMP.event_time)).canonical()


class TestReading:
    GOOD = plain({"a": "b"}).canonical()

    def changed(self, **fields):
        found = json.loads(self.GOOD)
        found.update(fields)
        return rfc8785.dumps(found)

    def refusal(self, data):
        with pytest.raises(NotCanonical) as caught:
            read_entry(data)
        return str(caught.value)

    @each(
        "data",
        [b"", b"null", b"[]", b"\xff", b"{", b"1" * 5000, b"[" * 100000, GOOD + b" ", b"\xef\xbb\xbf" + GOOD,
         GOOD.replace(b":", b": ", 1), GOOD.replace(b'"a"', b'"\\u0061"'), GOOD.decode().encode("utf-16"),
         GOOD.replace(b'"seq":1', b'"seq":1.0'), GOOD.replace(b'"seq":1', b'"seq":1,"seq":1')],
        ids=range(14),
    )  # fmt: skip
    def test_any_other_spelling_is_refused(self, data):
        assert self.refusal(data)

    @each(
        ("field", "value"),
        [("seq", True), ("seq", "1"), ("seq", None), ("body", []), ("kind", None), ("prev", 0), ("station", 5),
         ("station_seq", "7"), ("station_seq", True), ("person", {}), ("reason", 1), ("corrects", "4"), ("scans", False)],
    )  # fmt: skip
    def test_a_field_of_another_type_is_refused_by_name(self, field, value):
        assert self.refusal(self.changed(**{field: value})).startswith(
            f"the entry cannot be read: {field} is {value!r}: expected "
        )

    def test_a_field_more_or_less_is_refused(self):
        assert "the entry has fields ['added', 'body'" in self.refusal(self.changed(added=None))
        fields = json.loads(self.GOOD)
        del fields["reason"]
        assert "expected ['body', 'corrects'" in self.refusal(rfc8785.dumps(fields))

    def test_a_later_version_asks_for_a_newer_program(self):
        with pytest.raises(NewerJournal) as caught:
            read_entry(self.changed(v=2, new_field="x"))
        assert str(caught.value) == (
            "the journal was written in version 2; this program reads up to version 1: use a newer program"
        )
        for version in (0, -1, True, "1", None, 1.5):
            self.refusal(self.changed(v=version))


NARROWER = {
    "rfc3339-parse-2026-03-02t08:15:00z": "small letters: one instant, one text",
    "rfc3339-parse-2026-03-02T08:15:00.123456789Z": "datetime cuts digits after the sixth",
    "rfc3339-parse-2026-03-02T08:15:00-00:00": "says that the local offset is unknown",
    "rfc3339-leap-1990-12-31T23:59:60Z": "datetime has no leap second",
    "rfc3339-leap-1990-12-31T15:59:60-08:00": "datetime has no leap second",
}
"""Valid times that neither reader takes, and why."""


def is_taken(read, text):
    try:
        return read(text) == text
    except InvalidFormat:
        return False


class TestTimes:
    @each("case", load("journal", "rfc3339-validity", "rfc3339-leap-second"), ids=by_id)
    def test_nothing_outside_rfc_3339_is_taken(self, case):
        expected = case["expected"]
        valid = expected.get("rfc3339", expected.get("valid_rfc3339"))
        taken = is_taken(require_local_time, case["input"]) or is_taken(require_utc_time, case["input"])
        assert taken == (valid and case["id"] not in NARROWER), case["source"]

    @pytest.mark.parametrize("case", load("journal", "rfc3339"), ids=by_id)
    def test_the_examples_of_rfc_3339_mean_what_it_says(self, case):
        """A local time carries its numeric offset: the "Z" of one example is given as +00:00."""
        text = case["input"].replace("Z", "+00:00")
        assert instant(require_local_time(text)).isoformat() == case["expected"], case["source"]

    @each(
        "text",
        ["2031-03-03T08:00:00Z", "2031-03-03T08:00:00+14:01", "2031-03-03T08:00:00+01:60", "2031-02-29T08:00:00+01:00",
         "2031-03-03T08:00:00.+01:00", "2031-03-03T08:00:00+1:00", "2031-03-03T08:00:00+01:00\n", "2031-03-03T08:00:00\u221201:00",
         "٢٠٣١-03-03T08:00:00+01:00", "", "0000-01-01T00:00:00+01:00"],
    )  # fmt: skip
    def test_other_local_times_are_refused(self, text):
        with pytest.raises(InvalidFormat) as caught:
            require_local_time(text)
        assert repr(text) in str(caught.value)

    def test_utc_is_in_whole_seconds(self):
        assert require_utc_time("2031-03-03T08:00:00Z") == "2031-03-03T08:00:00Z"
        for text in ("2031-03-03T08:00:00.5Z", "2031-03-03T08:00:00+00:00", "2031-13-03T08:00:00Z"):
            with pytest.raises(InvalidFormat):
                require_utc_time(text)


class TestTheQuickWay:
    """`read_plainly` may take a journal's bytes for canonical only if RFC 8785 would write the very same."""

    PARTS = (
        "a", "b", "aa", "", "é", "\ufb33", "\ud7ff", "\ue000", "\uffff", "\U0001f600", "\U0010ffff", "\x7f", "\x00", "\x1f",
        "\b\f\n\r\t", '"', "\\", "/", "\u2028", "<>&",
    )  # fmt: skip
    NUMBERS = (0, -1, 7, 10**14, 10**15 - 1, 10**15, 2**53 - 1, -(2**53 - 1), True, False, None)

    def value(self, rng, depth=0):
        kind = rng.randrange(6 if depth < 3 else 3)
        if kind < 2:
            return "".join(rng.choices(self.PARTS, k=rng.randrange(4)))
        if kind == 2:
            return rng.choice(self.NUMBERS)
        if kind == 3:
            return [self.value(rng, depth + 1) for _ in range(rng.randrange(4))]
        return {
            "".join(rng.choices(self.PARTS, k=rng.randrange(3))): self.value(rng, depth + 1)
            for _ in range(rng.randrange(4))
        }

    def test_what_it_takes_is_canonical_by_the_library(self):
        rng, taken = random.Random(8785), 0
        for _ in range(4000):
            body = {"x": self.value(rng)}
            data = rfc8785.dumps(body)
            found = read_plainly(data)
            assert found is None or found == body
            taken += found is not None
            # As Python writes it by itself: never taken unless it is the same.
            for other in (
                json.dumps(body, sort_keys=True, separators=(",", ":"), ensure_ascii=False),
                json.dumps(body, sort_keys=True),
                json.dumps(body, separators=(",", ":")),
            ):
                text = other.encode("utf-8")
                assert text == data or read_plainly(text) is None
        assert taken > 1000

    @each(
        "data",
        [
            b'{"a":1.0}', b'{"a":1e3}', b'{"a":-0}', b'{"a":NaN}', b'{"a":Infinity}', b'{"a":1,"a":1}', b'{"b":1,"a":1}', b'{"a": 1}',
            b'{"a":1} ', b'\xef\xbb\xbf{"a":1}', b'{"a":"\\u0061"}', b'{"a":"\\ud800"}', b'{"a":"\xff"}', b'{"a":9007199254740992}',
            b'{"a":[9007199254740993]}', b"[" * 100_000, b"", b"x", '{"a":1}'.encode("utf-16"), b'{"a":"\\/"}', b'{"a":"\\u001F"}',
        ],
    )  # fmt: skip
    def test_what_it_leaves_to_the_long_way(self, data):
        assert read_plainly(data) is None


class TestThePattern:
    """`entry_pattern` may take an entry's bytes apart only if they are canonical, and must find what JSON says."""

    ENTRIES = (
        plain({"carton": "095200000000000015", "units": 25}),
        plain({}, corrects=3, reason="counted again: 24, not 25", scans="1" * 64),
        plain({"a": [{"b": None}, True, -7]}, seq=10**14, reason=""),
        plain({"a": '},"corrects":null,"event_time":"'}, kind='k"ind\\', reason='null "x" \n é'),
        plain({"a": "\U0001f600"}, stamp=replace(STAMP, station="W000016W", station_seq=0, person="null")),
        plain({"a": 2**53 - 1}, stamp=replace(STAMP, station_seq=10**15)),
    )

    def test_what_was_written_is_read_back(self):
        taken = 0
        for entry in self.ENTRIES:
            data = entry.canonical()
            assert data == rfc8785.dumps(json.loads(data))
            assert read_entry(data) == entry
            taken += parts(data) is not None
        assert taken == 3

    def test_what_is_not_canonical_is_refused_wherever_it_is_changed(self):
        """Each place of an entry changed to each character that means something there."""
        data, refused = self.ENTRIES[1].canonical(), 0
        for place in range(len(data)):
            for other in b' 0x"\\{}:,-n\x7f\xc3':
                changed = data[:place] + bytes([other]) + data[place + 1 :]
                try:
                    entry = read_entry(changed)
                except (NotCanonical, NewerJournal):
                    refused += 1
                else:
                    assert rfc8785.dumps(json.loads(changed)) == changed == entry.canonical()
        assert refused > 3000


_ODD = 'aZ09 "\\/\x00\x01\x1f\x7f\x80éß€\u2028\u2029\ue000\uffff\U0001f600\U0010ffff\ud83d:,[-{}\b\f\n\r\t'
_NUMBERS = [0, -1, 7, 10**14, 10**15, 10**16, -(10**15), 2**53 - 1, 2**53, -(2**60), 123456789012345]


def _value(rng, depth=1):
    what = rng.randrange(7 if depth < 4 else 4)
    if what < 2:
        return rng.choice([None, True, False, *_NUMBERS])
    if what < 4:
        return "".join(rng.choice(_ODD) for _ in range(rng.randrange(25)))
    if what == 4:
        return [_value(rng, depth + 1) for _ in range(rng.randrange(4))]
    return {
        "".join(rng.choice(_ODD) for _ in range(rng.randrange(4))): _value(rng, depth + 1)
        for _ in range(rng.randrange(5))
    }


def test_the_quick_way_to_canonical_bytes_writes_those_of_the_library_or_refuses_as_it_does():
    rng = random.Random(8785)

    def of(way, value):
        try:
            return way(value)
        except (ValueError, rfc8785.CanonicalizationError) as problem:
            return type(problem)

    outcomes = set()
    for _ in range(tries(2000)):
        value = [_value(rng), {"seq": _value(rng)}]
        expected = of(rfc8785.dumps, value)
        assert of(canonical_bytes, value) == expected, value
        outcomes.add(type(expected))
    assert outcomes == {bytes, type}
