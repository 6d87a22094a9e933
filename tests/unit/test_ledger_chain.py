"""The hash chain: every single change to a journal is found, and found at its place."""

import json
import zlib
from dataclasses import replace

import pytest
import rfc8785
from support_campaign import TIMES
from support_each import each

from tracelink.errors import BrokenChain, NewerJournal
from tracelink.ledger.entry import FIRST_PREV, Entry, Stamp, entry_hash
from tracelink.ledger.packs import RawScan, pack_hash, pack_scans
from tracelink.ledger.proof.chain import EMPTY, Head, JournalRow, inspect_chain, verify_chain
from tracelink.ledger.proof.chain_faults import FaultKind
from tracelink.store.compact.pack_form import read_pack, stored_pack

LENGTH = 20


def make():
    """Twenty entries of different shapes; every third has raw scans beside it."""
    rows, prev = [], FIRST_PREV
    for seq in range(1, LENGTH + 1):
        at = f"2031-03-03T08:{seq:02d}:00+01:00"
        scans = [RawScan(seq, at, f"]C0K00{seq:04d}ö"), RawScan(seq + 1, at, "\x1d")] if seq % 3 == 0 else []
        pack = pack_scans(scans) if scans else None
        entry = Entry(
            seq=seq,
            stamp=Stamp(
                at, f"2031-03-03T07:{seq:02d}:00Z", *(("W000003B", seq, "P000001H") if seq % 2 else ())
            ),
            kind=("stack-taken", "note")[seq % 2],
            body={"spindle": f"K{seq}", "moves": [{"quantity": seq, "first": None}], "good": seq % 4 == 0},
            prev=prev,
            reason="because" if seq % 5 == 0 else None,
            corrects=seq - 1 if seq % 5 == 0 else None,
            scans=pack_hash(pack) if pack else None,
        )
        canonical = entry.canonical()
        prev = entry_hash(canonical)
        rows.append(JournalRow(seq, prev, canonical, pack, entry.kind))
    return rows


ROWS = make()
HEADS = [EMPTY, *(Head(row.seq, row.hash) for row in ROWS)]
EACH = range(LENGTH)
CHANGED = EACH if TIMES > 1 else (0, 3, 11, 14, 19)
"""Entries changed byte by byte, some 2,400 times each: with and without all that an entry may have, and the last one."""


def located(rows, start=EMPTY):
    """The sequence number at which a journal departs from itself."""
    with pytest.raises(BrokenChain) as caught:
        verify_chain(rows, start)
    assert f"entry {caught.value.seq}" in str(caught.value)
    return caught.value.seq


def outcome(rows, start):
    """Where the chain breaks, and its head: (seq, None), (None, None) for a later version, or (None, head)."""
    try:
        return None, verify_chain(rows, start)
    except BrokenChain as found:
        return found.seq, None
    except NewerJournal:
        return None, None


def with_row(place, **changed):
    """From the changed entry on; all before it is as it was, and verified on its own."""
    return [replace(ROWS[place], **changed), *ROWS[place + 1 : place + 3]]


def other_bytes(data):
    """Every way to change, drop or add one byte at one place, a few values each."""
    for at in range(len(data)):
        for value in {data[at] ^ 1, data[at] ^ 0x20, data[at] ^ 0x80, ord("0"), 0} - {data[at]}:
            yield data[:at] + bytes([value]) + data[at + 1 :]
        yield data[:at] + data[at + 1 :]
        yield data[:at] + b" " + data[at:]


def other_characters(text):
    for at in range(len(text)):
        for value in {"0", "f", "F", "-", "\u0131", chr(ord(text[at]) ^ 1)} - {text[at]}:
            yield text[:at] + value + text[at + 1 :]
        yield text[:at] + text[at + 1 :]


def test_the_whole_journal_verifies_and_gives_its_head():
    seen = []
    assert verify_chain(ROWS, visit=seen.append) == Head(LENGTH, ROWS[-1].hash)
    assert [entry.seq for entry in seen] == list(range(1, LENGTH + 1))
    assert verify_chain(ROWS[7:], HEADS[7]) == HEADS[-1]
    assert verify_chain([]) == EMPTY == Head(0, "0" * 64)


class TestOneChange:
    """Any one change to what is stored is found at the entry it was made in."""

    @pytest.mark.parametrize("place", CHANGED)
    def test_every_byte_of_every_entry(self, place):
        for canonical in other_bytes(ROWS[place].canonical):
            assert located(with_row(place, canonical=canonical), HEADS[place]) == place + 1

    @pytest.mark.parametrize("place", CHANGED)
    def test_every_byte_of_every_entry_with_its_hash_made_to_fit(self, place):
        """Then it is not a canonical entry any more, or the next one names another entry before it.

        Only in the last entry nothing follows that could tell; there the head is another one.
        """
        for canonical in other_bytes(ROWS[place].canonical):
            forged = with_row(place, canonical=canonical, hash=entry_hash(canonical))
            seq, head = outcome(forged, HEADS[place])
            if seq is not None:
                assert seq in (place + 1, place + 2)
            elif head is None:
                assert b'"v":1' not in canonical
            else:
                assert place == LENGTH - 1
                assert head.hash != HEADS[-1].hash

    @each("place", EACH)
    def test_every_character_of_every_stored_hash(self, place):
        for digest in other_characters(ROWS[place].hash):
            assert located(with_row(place, hash=digest), HEADS[place]) == place + 1

    @each("place", EACH)
    def test_every_character_of_the_kind_it_is_filed_under(self, place):
        for kind in other_characters(ROWS[place].kind):
            assert located(with_row(place, kind=kind), HEADS[place]) == place + 1

    @pytest.mark.parametrize("place", [place for place in EACH if ROWS[place].pack])
    def test_every_byte_of_every_pack(self, place):
        for pack in other_bytes(ROWS[place].pack):
            assert located(with_row(place, pack=pack), HEADS[place]) == place + 1

    @pytest.mark.parametrize("place", [place for place in EACH if ROWS[place].pack])
    def test_every_byte_of_every_pack_as_compressed(self, place):
        """What is hashed is the text: another compressed form of the same text is the same pack."""
        seq = place + 1
        for whole in (zlib.compress(ROWS[place].pack, 6), stored_pack(ROWS[place].pack, seq)):
            for stored in other_bytes(whole):
                pack = read_pack(stored, seq)
                if pack != ROWS[place].pack:
                    assert located(with_row(place, pack=pack), HEADS[place]) == seq

    @each("place", EACH)
    def test_a_pack_taken_away_added_or_swapped(self, place):
        others = [
            None,
            b"[]",
            b"",
            next(row.pack for row in ROWS if row.pack and row.pack != ROWS[place].pack),
        ]
        for pack in others:
            if pack != ROWS[place].pack:
                assert located(with_row(place, pack=pack), HEADS[place]) == place + 1

    @each("place", EACH)
    def test_every_field_with_another_value_and_its_hash_made_to_fit(self, place):
        others = {
            "body": {"spindle": "K9"}, "corrects": 1, "event_time": "2031-03-03T08:00:00+02:00", "kind": "other",
            "person": "P000002F", "prev": "1" * 64, "reason": "another", "recorded_at": "2031-03-03T09:00:00Z",
            "scans": "2" * 64, "seq": 99, "station": "W0000043", "station_seq": 99,
        }  # fmt: skip
        assert others.keys() | {"v"} == json.loads(ROWS[place].canonical).keys()
        for field, value in others.items():
            canonical = rfc8785.dumps({**json.loads(ROWS[place].canonical), field: value})
            forged = with_row(place, canonical=canonical, hash=entry_hash(canonical), kind=None)
            at_once = field in ("prev", "scans", "seq")
            if place == LENGTH - 1 and not at_once:
                assert verify_chain(forged, HEADS[place]).hash != HEADS[-1].hash
            else:
                assert located(forged, HEADS[place]) == (place + 1 if at_once else place + 2)


class TestRows:
    @each("place", range(LENGTH - 1))
    def test_a_missing_entry(self, place):
        assert located(ROWS[:place] + ROWS[place + 1 :]) == place + 1

    @each("place", range(LENGTH - 1))
    def test_two_entries_swapped(self, place):
        swapped = [*ROWS[:place], ROWS[place + 1], ROWS[place], *ROWS[place + 2 :]]
        assert located(swapped) == place + 1
        renumbered = [replace(row, seq=seq) for seq, row in enumerate(swapped, 1)]
        assert located(renumbered) == place + 1

    @each("place", EACH)
    def test_an_entry_twice(self, place):
        assert located([*ROWS[: place + 1], *ROWS[place:]]) == place + 2

    def test_the_sentences_name_what_was_found(self):
        def sentence(rows, start=EMPTY):
            with pytest.raises(BrokenChain) as caught:
                verify_chain(rows, start)
            return str(caught.value)

        assert sentence(ROWS[1:]) == "entry 1 is missing: found entry 2 after 0"
        changed = ROWS[4].canonical.replace(b"because", b"Because")
        assert sentence(with_row(4, canonical=changed), HEADS[4]) == (
            f"entry 5 was changed: its content hashes to {entry_hash(changed)}, recorded is {ROWS[4].hash}"
        )
        assert sentence(with_row(4, canonical=changed, hash=entry_hash(changed)), HEADS[4]) == (
            f"entry 6 does not follow entry 5: it names {ROWS[4].hash[:16]}... as the entry before, "
            f"found {entry_hash(changed)[:16]}..."
        )
        assert sentence(with_row(5, pack=None), HEADS[5]) == (
            "the raw scans beside entry 6 were changed or taken away: expected "
            f"{pack_hash(ROWS[5].pack)[:16]}..., found none"
        )
        digest = pack_hash(ROWS[5].pack)
        other = digest[:-1] + ("0" if digest[-1] != "0" else "1")
        changed = rfc8785.dumps({**json.loads(ROWS[5].canonical), "scans": other})
        assert sentence(with_row(5, canonical=changed, hash=entry_hash(changed)), HEADS[5]) == (
            f"the raw scans beside entry 6 were changed or taken away: expected {other}, found {digest}"
        )
        assert sentence(with_row(4, kind="note "), HEADS[4]) == (
            "entry 5 is of kind 'note', but filed as 'note ': the filing was changed"
        )


class TestTails:
    """What a chain cannot show by itself: a tail cut off or written anew. A head kept elsewhere shows it."""

    @each("length", range(LENGTH))
    def test_a_cut_tail_verifies_with_another_head(self, length):
        assert verify_chain(ROWS[:length]) == HEADS[length]
        assert len(set(HEADS)) == LENGTH + 1

    @each("place", EACH)
    def test_a_tail_hashed_anew_never_gives_the_head_that_was_kept(self, place):
        rows, prev = list(ROWS[:place]), HEADS[place].hash
        for row in ROWS[place:]:
            found = json.loads(row.canonical)
            found["prev"] = prev
            if row.seq == place + 1:
                found["body"]["spindle"] = "K666"
            canonical = rfc8785.dumps(found)
            prev = entry_hash(canonical)
            rows.append(replace(row, canonical=canonical, hash=prev))
        assert verify_chain(rows).seq == LENGTH
        assert verify_chain(rows).hash != HEADS[-1].hash
        if place < LENGTH - 1:
            assert located(rows[place + 1 :], HEADS[place + 1]) == place + 2

    @each("place", EACH)
    def test_an_entry_of_a_later_version_asks_for_a_newer_program(self, place):
        canonical = rfc8785.dumps({**json.loads(ROWS[place].canonical), "v": 2})
        with pytest.raises(NewerJournal):
            verify_chain(with_row(place, canonical=canonical, hash=entry_hash(canonical)), HEADS[place])

    def test_nothing_is_visited_from_the_fault_on(self):
        seen = []
        with pytest.raises(BrokenChain):
            verify_chain([*ROWS[:6], *ROWS[7:]], visit=seen.append)
        assert [entry.seq for entry in seen] == [1, 2, 3, 4, 5, 6]


class TestWhatTheNextEntryTells:
    """An entry whose content and hash do not go together: the next one names the hash that it had."""

    PLACE = 6

    def told(self, **changed):
        rows = [*ROWS]
        rows[self.PLACE] = replace(rows[self.PLACE], **changed)
        inspected = list(inspect_chain(rows))
        [fault] = [one for one in inspected[self.PLACE].faults if one.kind is FaultKind.CONTENT]
        return fault.sentence, inspected[self.PLACE].leaf

    def test_that_the_content_was_changed(self):
        sentence, leaf = self.told(canonical=ROWS[self.PLACE].canonical.replace(b"K7", b"K9"))
        assert sentence.endswith(". Entry 8 names the hash recorded: the content was changed.")
        assert leaf == ROWS[self.PLACE].hash

    def test_that_the_hash_was_changed(self):
        sentence, leaf = self.told(hash="ab" * 32)
        assert sentence.endswith(". Entry 8 names the hash of the content: the hash recorded was changed.")
        assert leaf == ROWS[self.PLACE].hash

    def test_neither_where_both_were_changed(self):
        canonical = ROWS[self.PLACE].canonical.replace(b"K7", b"K9")
        sentence, _ = self.told(canonical=canonical, hash="ab" * 32)
        assert "was changed." not in sentence

    def test_nothing_where_the_next_row_is_filed_under_another_number(self):
        rows = [*ROWS[: self.PLACE], replace(ROWS[self.PLACE], hash="ab" * 32)]
        rows.append(replace(ROWS[self.PLACE + 1], seq=self.PLACE + 3))
        fault = list(inspect_chain(rows))[self.PLACE].faults[0]
        assert (fault.kind, fault.changed) == (FaultKind.CONTENT, None)
