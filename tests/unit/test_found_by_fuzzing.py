"""What damaged inputs came upon in readers of what the program wrote itself: each ended in a traceback, or was taken."""

import json
import zlib

import pytest
from support_each import each

from tracelink.errors import NotCanonical, ProofFails, UsageError
from tracelink.identity.rawlines import read_picture
from tracelink.ledger.packs import unpack_scans
from tracelink.ledger.proof.note import parse_verifier_key
from tracelink.store.compact import few_bytes
from tracelink.store.compact.few_bytes import deflate, inflate, unzip
from tracelink.store.stations import scan_signer

DEEP = "[" * 100_000
AT = "2031-03-04T09:00:00+01:00"
NOT_WAITING = "expected the scans that wait for a signature, one on each line"


def test_a_picture_of_lists_in_lists_is_a_line_like_any_other():
    assert read_picture(f'pictured ["a.png",{DEEP}') is None


@each(
    "text",
    [
        DEEP,
        '"abc"',
        '["abc"]',
        f'[[1,"{AT}",7]]',
        f'[["1","{AT}","x"]]',
        f'[[true,"{AT}","x"]]',
        f'[[1,"{AT}","x","2"]]',
    ],
)
def test_a_pack_of_anything_but_scans_is_none(text):
    with pytest.raises(NotCanonical, match="the raw scans beside the entry cannot be read"):
        unpack_scans(text.encode())


@each(
    "data",
    [
        b"\xff]",
        DEEP.encode() + b"]",
        b'[1,2,"x"]',
        b'[true,"a","x"]',
        b'[1,"a"]',
        b'[1,"a","x",2]',
        b'{"a":[1]}\n[]',
    ],
)
def test_a_damaged_list_of_scans_that_wait_for_a_signature_is_told(tmp_path, data):
    file = tmp_path / "waits"
    file.write_bytes(data + b"\n")
    with pytest.raises(UsageError, match=NOT_WAITING):
        scan_signer._kept(file)


def test_the_last_of_them_may_be_cut_off(tmp_path):
    file = tmp_path / "waits"
    file.write_bytes(json.dumps([8, AT, "x"]).encode() + b'\n[9,"2031-\xc3')
    assert [each.number for each in scan_signer._kept(file)] == [8]


def test_a_key_whose_name_is_no_text_is_no_key():
    """A byte of a command line that is not UTF-8 comes as half of a surrogate pair."""
    with pytest.raises(ProofFails, match="is not a name for a key"):
        parse_verifier_key("plant\udcc9+00000000+AQ" + "A" * 42)


def test_a_few_bytes_do_not_unpack_to_gigabytes(monkeypatch):
    words, much = "pack_words_1.txt", bytes(5000)
    packed = ((unzip, zlib.compress(much)), (lambda data: inflate(data, words), deflate(much, words)))
    assert [read(data) for read, data in packed] == [much, much]
    monkeypatch.setattr(few_bytes, "LARGEST", 4999)
    for read, data in packed:
        with pytest.raises(zlib.error):
            read(data)
