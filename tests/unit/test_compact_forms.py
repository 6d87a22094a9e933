"""The stored forms of entries and raw scans: the very same bytes again, or plain; a damaged one is told at its entry."""

import hashlib
import zlib
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support_older_form import older_form
from support_plant import LINE, TOOL, Floor, code, gtin

from tracelink.ledger.entry import Entry, Stamp, entry_hash
from tracelink.ledger.entry_pattern import joined
from tracelink.ledger.packs import PackedScans, RawScan, pack_hash, pack_scans
from tracelink.ledger.proof.chain import Head, inspect_chain
from tracelink.ledger.proof.chain_faults import FaultKind
from tracelink.store.compact import entry_form, pack_form
from tracelink.store.compact.entry_form import actors_of, read_form, stored_form
from tracelink.store.compact.few_bytes import put, take, words
from tracelink.store.compact.pack_form import read_pack, stored_pack
from tracelink.store.compact.stored_rows import read_row, said
from tracelink.store.journal import journal

GOLDEN_ENTRY_WORDS = "45a1381007bf8dd9cc307573735c10881eb2ef0dcbd4dc9b26df79b55ea60cf6"
GOLDEN_OLDER_ENTRY = (
    "01ababababcdcdcdcd0000040000013d730ddd74e0c50880890f04c3135c0696a6460648c0d0106dcec6c8c40011a446a6b500"
)
GOLDEN_ENTRY_TEXTS = "11c244bf0eac675b64eadf9d2b382f21853d993b4aabd8be0bfde37b2d876529"
GOLDEN_ENTRY = "02ababababcdcdcdcd0000040000013d730ddd74e0c50880890f0408828098a4f798e92132"
GOLDEN_UNKNOWN_ENTRY = (
    "02ababababcdcdcdcd0000040000013d730ddd74e0c50880890f040006828098a4f798e921e00332c31bbc685e806b0200"
)
GOLDEN_PACK_WORDS = "4b95d44edab72b294a0b3c1ad4e0aaac1d6b7f856752778c858d891aba798dfa"
GOLDEN_PACK = "0163e378c1feeef9bb0d7c1d7c17f899982a2a58581819991861d220b5b287b70100"
GOLDEN_SCAN_TEXTS = "e3cab2ca83355ae2056477a7bfec799abf16585060af1a2be24175c02f62e437"
GOLDEN_FEW = "020104730ddd74e807880e0202828098a4f798e921"

AT = "2031-03-03T08:15:00+01:00"
PREV, SCANS = "ab" * 32, "cd" * 32
CLOSED = Entry(
    70_000,
    Stamp(AT, "2031-03-03T07:15:02Z", code("W", 4), 123_456, code("P", 1)),
    "carton-closed",
    {"carton": "095200000000000011", "units": 25},
    PREV,
    scans=SCANS,
)
UNKNOWN = replace(CLOSED, body={**CLOSED.body, "first_at": "2031-03-03T08:11:00+01:00"})


def again(stored, entry):
    short = read_form(stored, entry.prev, entry.scans)
    return None if short is None else joined(short.parts).encode()


class TestEntry:
    def test_golden_bytes(self):
        """What is written once must be read for ever, by every program and with these very words."""
        assert hashlib.sha256(words("entry_texts_2.txt")).hexdigest() == GOLDEN_ENTRY_TEXTS
        for entry, golden in ((CLOSED, GOLDEN_ENTRY), (UNKNOWN, GOLDEN_UNKNOWN_ENTRY)):
            assert stored_form(entry.canonical()).hex() == golden
            assert again(bytes.fromhex(golden), entry) == entry.canonical()

    def test_golden_bytes_of_the_form_before(self):
        assert hashlib.sha256(words("entry_words_1.txt")).hexdigest() == GOLDEN_ENTRY_WORDS
        assert older_form(UNKNOWN.canonical()).hex() == GOLDEN_OLDER_ENTRY
        assert again(bytes.fromhex(GOLDEN_OLDER_ENTRY), UNKNOWN) == UNKNOWN.canonical()
        assert actors_of(bytes.fromhex(GOLDEN_OLDER_ENTRY)) == (code("W", 4), code("P", 1))

    @pytest.mark.parametrize(
        "entry",
        [
            CLOSED,
            UNKNOWN,
            replace(CLOSED, scans=None),
            replace(CLOSED, reason="said twice", corrects=4),
            replace(CLOSED, stamp=Stamp("1999-12-31T23:59:59-03:30", "2000-01-01T03:30:00Z")),
            replace(CLOSED, body={"at": "2031-03-03T08:11:00+02:00", "later": "2031-03-03T09:11:00+01:00"}),
            replace(
                CLOSED, body={"codes": ["L000001A", "A000001A", "Z000001A", "095200000000000012", "00", "-0"]}
            ),
            replace(
                CLOSED, body={"numbers": [0, -1, 25, 10**15, 10**14, True, None], "gtin": "9520000000011"}
            ),
            replace(
                CLOSED, body={"carton": "095200000000000011", "gtin": gtin(1), "target": "095200000000000011"}
            ),
        ],
    )
    def test_the_same_bytes_in_a_tenth_of_them(self, entry):
        stored = stored_form(entry.canonical())
        assert stored[0] == entry_form.FORM
        assert len(stored) < 110 < len(entry.canonical()) // 3
        assert again(stored, entry) == entry.canonical()

    @pytest.mark.parametrize(
        "entry",
        [
            replace(CLOSED, reason="größer"),
            replace(CLOSED, reason="said \\ twice"),
            replace(CLOSED, prev="none"),
            replace(CLOSED, scans="none"),
            replace(CLOSED, stamp=replace(CLOSED.stamp, station="elsewhere")),
            replace(CLOSED, stamp=replace(CLOSED.stamp, person=code("W", 1))),
            replace(CLOSED, stamp=replace(CLOSED.stamp, person=code("P", 20_000_000))),
            replace(CLOSED, stamp=replace(CLOSED.stamp, event_time="2031-03-03T08:15:00.5+01:00")),
            replace(CLOSED, stamp=replace(CLOSED.stamp, event_time="2031-03-03T08:15:00+01:07")),
            replace(CLOSED, stamp=replace(CLOSED.stamp, event_time="1931-03-03T08:15:00+01:00")),
        ],
    )
    def test_an_odd_entry_stays_plain(self, entry):
        assert stored_form(entry.canonical()) == entry.canonical()
        assert read_form(entry.canonical()) is None
        assert said(entry.canonical())["seq"] == 70_000

    def test_bytes_of_no_entry_stay_as_they_are(self):
        for data in (b"", b"{}", b"\x01", b"\x01" * 30, b"x"):
            assert stored_form(data) == data
            assert read_form(data) is None

    def test_a_station_and_a_person_stand_at_their_places(self):
        stored = stored_form(CLOSED.canonical())
        for place, known in ((entry_form.STATION_AT, code("W", 4)), (entry_form.PERSON_AT, code("P", 1))):
            assert stored[place - 1 : place - 1 + entry_form.ACTOR_BYTES] == entry_form.actor_bytes(known)
        assert entry_form.actor_bytes("nobody") is None

    def test_without_what_its_hashes_are_of_the_first_digits_are_known(self):
        stored = stored_form(CLOSED.canonical())
        row = read_row(
            Head(70_000, entry_hash(CLOSED.canonical())), stored, PackedScans(None), CLOSED.kind, None
        )
        assert (said(stored)["prev"], said(stored)["scans"]) == (PREV[:8], SCANS[:8])
        [found] = inspect_chain([row])
        assert {fault.kind for fault in found.faults} == {FaultKind.MISSING, FaultKind.SCANS}
        assert (found.leaf, found.entry.body) == (row.hash, CLOSED.body)

    def test_a_known_text_with_other_values_than_it_has_places_is_none(self):
        stored = stored_form(CLOSED.canonical())
        assert read_form(stored + b"\x02") is None
        assert read_form(stored[:-1]) is None
        assert read_form(stored[:-10]) is None


class TestPack:
    RUN = tuple(
        RawScan(
            500 + n,
            f"2031-03-03T08:{n:02d}:07+01:00",
            ("]d280060", "]E0\x1dö")[n % 2],
            900 + 2 * n,
            69_000 + n,
        )
        for n in range(40)
    )

    def test_golden_bytes(self):
        assert hashlib.sha256(words("pack_words_1.txt")).hexdigest() == GOLDEN_PACK_WORDS
        assert read_pack(bytes.fromhex(GOLDEN_PACK), 70_000) == pack_scans(self.RUN[:3])

    def test_golden_bytes_of_few_scans(self):
        assert hashlib.sha256(words("scan_texts_2.txt")).hexdigest() == GOLDEN_SCAN_TEXTS
        pack = pack_scans((RawScan(500, AT, "]C100095200000000000011", 900, 69_999),))
        assert stored_pack(pack, 70_000).hex() == GOLDEN_FEW
        assert read_pack(bytes.fromhex(GOLDEN_FEW), 70_000) == pack

    @pytest.mark.parametrize(
        "lines",
        [
            ["]C100095200000000000011"],
            ["]C100095200000000000012", "]C1000952000000000000110"],
            ["]C0K000001" + code("K", 1)[-1], "]C0K000001?", "]C0ACLOSEH"],
            ["]E09520000000011", "]d280060952000000001101", "]d280060952000000001201"],
            ["#25", "#025", "#-1", "größer", "]E0\x1d"],
        ],
    )
    def test_few_scans_come_back(self, lines):
        pack = pack_scans([RawScan(7 + n, AT, line, 90 + n, 60) for n, line in enumerate(lines[:4])])
        stored = stored_pack(pack, 70)
        assert stored[0] == pack_form.FEW_FORM
        assert read_pack(stored, 70) == pack

    def test_a_steady_stream_takes_a_byte_or_two_for_each_scan(self):
        stored = stored_pack(pack_scans(self.RUN), 70_000)
        assert stored[0] == pack_form.FORM
        assert len(stored) < 2 * len(self.RUN)

    @pytest.mark.parametrize(
        "scans",
        [
            (RawScan(1, AT, "of an older program"),),
            (RawScan(1, AT, "two\nlines", 1, 1),),
            (RawScan(1, AT, "x", 1, 1), RawScan(2, "2031-03-03T08:15:00+02:00", "x", 2, 1)),
            (RawScan(1, "2031-03-03T08:15:00.25+01:00", "x", 1, 1),),
            (RawScan(1, "at noon", "x", 1, 1),),
            (RawScan(1, AT, "a mark: \x03", 1, 1),),
        ],
    )
    def test_odd_scans_stay_as_zlib_has_them(self, scans):
        pack = pack_scans(scans)
        stored = stored_pack(pack, 7)
        assert stored[0] not in (pack_form.FORM, pack_form.FEW_FORM)
        assert zlib.decompress(stored) == read_pack(stored, 7) == pack

    @pytest.mark.parametrize("pack", [b"", b"[]", b"{}", b"[[]]", b"\xff", b'[[1,2,"x",4,5]]'])
    def test_what_is_no_pack_comes_back_as_it_was(self, pack):
        assert read_pack(stored_pack(pack, 7), 7) == pack


@given(st.lists(st.integers(-(2**60), 2**60) | st.integers(-64, 63)), st.binary(max_size=3))
@settings(max_examples=60)
def test_numbers_come_back_and_end_where_they_end(numbers, behind):
    data = put(numbers)
    assert take(data + behind, len(numbers)) == (numbers, len(data))


@given(
    st.lists(
        st.tuples(
            st.integers(0, 9),
            st.integers(-5, 90),
            st.sampled_from(["]E0", "x", "ö", "\x1d", '"']) | st.text(),
        ),
        min_size=1,
        max_size=12,
    )
)
@settings(max_examples=20)
def test_any_scans_come_back(steps):
    scans, second = [], 0
    for number, (step, pause, raw) in enumerate(steps, 1):
        second = max(0, second + pause)
        text = raw.encode("utf-8", errors="backslashreplace").decode()
        at = f"2031-03-03T{second // 3600 % 24:02d}:{second // 60 % 60:02d}:{second % 60:02d}+01:00"
        scans.append(RawScan(number, at, text, number + step, step))
    pack = pack_scans(scans)
    assert read_pack(stored_pack(pack, 9), 9) == pack


@pytest.fixture(scope="module")
def floor():
    made = Floor.copy()
    made.press(1)
    made.open_line(1, [11], 1)
    made.match(1, 3)
    made.scan(LINE, "CLOSE", "carton 2")
    made.scan(TOOL, '"größer')
    return made


def test_the_journal_of_a_plant_is_nearly_all_short(floor):
    with floor.ledger.reading() as conn:
        stored = conn.exec_driver_sql("SELECT stored FROM journal ORDER BY seq").scalars().all()
        rows = list(journal.rows(conn))
        assert [row.canonical for row in journal.rows_at(conn, range(1, len(rows) + 1))] == [
            row.canonical for row in rows
        ]
    assert sum(each[:1] == b"{" for each in stored) < len(stored) / 20
    for row in rows:
        assert entry_hash(row.canonical) == row.hash
        assert row.pack is None or pack_hash(row.pack) in row.canonical.decode()


def test_every_changed_byte_of_a_stored_entry_is_told_at_its_entry(floor):
    """A byte of deflate may stand for the same text as another: then nothing was changed."""
    with floor.ledger.reading() as conn:
        raw = conn.exec_driver_sql(
            "SELECT j.seq, j.hash, j.stored, p.packed, j.kind FROM journal j LEFT JOIN journal_pack p ON p.seq = j.seq "
            "ORDER BY j.seq"
        ).all()
    packs = {seq: None if packed is None else read_pack(packed, seq) for seq, _, _, packed, _ in raw}
    [at] = [n for n, row in enumerate(raw) if row.kind == "discs-sleeved"]

    def read(stored):
        rows = [*raw[at - 1 : at], (*raw[at][:2], stored, *raw[at][3:]), *raw[at + 1 : at + 3]]
        prev = raw[at - 2].hash.hex()
        for seq, digest, content, _packed, kind in rows:
            yield read_row(Head(seq, digest.hex()), content, PackedScans(packs[seq]), kind, prev)
            prev = digest.hex()

    whole = next(row for row in read(raw[at].stored) if row.seq == at + 1).canonical
    changed = 0
    for place in range(len(raw[at].stored)):
        data = bytearray(raw[at].stored)
        data[place] ^= 0x15
        rows = list(read(bytes(data)))
        found = [
            fault
            for item in inspect_chain(rows)
            for fault in item.faults
            if fault.kind is not FaultKind.MISSING
        ]
        if rows[1].canonical == whole and not rows[1].lacks:
            assert found == []
            continue
        changed += 1
        assert {fault.seq for fault in found} == {at + 1}, place
    assert changed > len(raw[at].stored) * 0.9
