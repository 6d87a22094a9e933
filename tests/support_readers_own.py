"""Readers of what the program wrote itself and finds again: files beside a ledger, scopes that went out, stored entries."""

import json
import tempfile
from functools import cache
from pathlib import Path
from typing import Any

from support_bundle import PLANT
from support_cli import run
from support_damage import damaged_json, damaged_lines
from support_plant import LINE, raw, stamper
from support_reader import Reader, in_file, text_of, texts
from support_two_cartons import two_cartons

from tracelink.identity.rawlines import (
    raw_away,
    raw_picture,
    raw_unread_picture,
    read_away,
    read_picture,
    unread_picture,
)
from tracelink.ledger.entry import read_entry
from tracelink.ledger.packs import PackedScans, RawScan, unpack_scans
from tracelink.ledger.proof.note import parse_verifier_key
from tracelink.services.cases.scope_check import CheckedScope, check_scope
from tracelink.services.floor.away.copy_seal import CopySeal, read_seal
from tracelink.services.floor.away.line_stand import LineStand, Made
from tracelink.store.compact import entry_form, pack_form
from tracelink.store.compact.entry_form import read_form, stored_form
from tracelink.store.compact.few_bytes import deflate, inflate, put, take
from tracelink.store.compact.pack_form import read_pack, stored_pack
from tracelink.store.compact.stored_rows import actors_said, said
from tracelink.store.journal import journal
from tracelink.store.journal.keys import held_key, make_key
from tracelink.store.stations import scan_signer

AT = "2031-03-04T09:00:00.000+01:00"
LINES = (
    raw_picture("a.png", [raw("disc 2.1"), raw("P1")], 1),
    raw_unread_picture("b.png", "no symbol was read"),
    raw_away(raw("sleeve 1"), "MATCH"),
)
DIGEST = "0" * 64


def _line_read(data: bytes, _: Path) -> Any:
    line = text_of(data)
    return read_picture(line), unread_picture(line), read_away(line)


def _is_a_picture_of_lines(answer: Any, _: bytes) -> bool:
    picture = answer[0]
    return picture is None or (
        len(picture.lines) > 0 and all(isinstance(each, str) for each in picture.lines)
    )


def _stand(folder: Path) -> list[bytes]:
    stand = LineStand(folder / "good", LINE)
    stand.copied(DIGEST, 7, keeps=True)
    for number, line in ((8, raw("disc 1.1")), (9, raw("sleeve 1"))):
        stand.begin(number)
        stand.done(Made(number, AT, line, "NEXT", line))
    stand.begin(10)
    stand.refused(10)
    return [(folder / "good").read_bytes()]


def _read_stand(file: Path) -> list[Made]:
    stand = LineStand(file, LINE)
    stand.read(DIGEST, 7)
    return stand.made


def _are_in_turn(answer: list[Made], _: bytes) -> bool:
    return [each.number for each in answer] == list(range(8, 8 + len(answer)))


def _seal(_: Path) -> list[bytes]:
    text = CopySeal(LINE, DIGEST, 7, "2031-03-04T08:00:00.000Z").text()
    return [f"{text}\n{PLANT.line(text)}".encode()]


def _kept_scans(folder: Path) -> list[bytes]:
    for number, line in ((8, "disc 1.1"), (9, "sleeve 1")):
        scan_signer._add(folder / "good", RawScan(number, AT, raw(line)))
    return [(folder / "good").read_bytes()]


def _are_scans(answer: list[RawScan], _: bytes) -> bool:
    return all((type(each.number), type(each.at), type(each.raw)) == (int, str, str) for each in answer)


def _key(folder: Path) -> list[bytes]:
    make_key(folder / "good.key", "ours")
    return [(folder / "good.key").read_bytes()]


def _read_key(data: bytes, file: Path) -> Any:
    file.write_bytes(data)
    file.chmod(0o600)
    with held_key(file) as held:
        return held.key.verifier


@cache
def _floor() -> Any:
    return two_cartons()


@cache
def _written_scope() -> bytes:
    asked = ("contain", stamper("EX-101-A"), "--shape", "from-onset", "--format", "json")
    with tempfile.TemporaryDirectory() as folder:
        return run(*asked, ledger=_floor().saved(Path(folder, "plant.db"))).out.encode()


def _entries(_: Path) -> list[bytes]:
    with _floor().ledger.reading() as conn:
        return [row.canonical for row in journal.rows(conn)][::9]


def _packs(_: Path) -> list[bytes]:
    with _floor().ledger.reading() as conn:
        return [row.pack for row in journal.rows(conn) if row.pack][-3:]


def _stored_entry(data: bytes, _: Path) -> Any:
    return read_form(data), actors_said(data), said(data)


def _unpacked_entries(folder: Path) -> list[bytes]:
    """Return entries in the form that deflated all their text, before it is."""
    made = []
    for stored in map(stored_form, _entries(folder)):
        form = read_form(stored)
        assert form is not None
        numbers, _at = take(stored, 3, entry_form._HEAD.size)
        parts = form.parts
        corrects, reason = ("" if each == "null" else each for each in (parts.corrects, parts.reason))
        text = f"{corrects}\n{reason}\n{parts.kind}\n{parts.body}"
        head = bytes((entry_form.OLDER_FORM,)) + stored[1 : entry_form._HEAD.size]
        made.append(head + put(numbers) + text.encode("ascii"))
    return made


def _packed_entry(data: bytes, file: Path) -> Any:
    """Read what is damaged inside: as it was packed, so that it can be unpacked."""
    try:
        at = take(data, 3, entry_form._HEAD.size)[1]
    except IndexError:
        at = len(data)
    return _stored_entry(data[:at] + deflate(data[at:], entry_form._OLDER_WORDS), file)


def _stored_scans(data: bytes, _: Path) -> Any:
    return PackedScans(read_pack(data, 9)).scans


def _packed_scans(data: bytes, file: Path) -> Any:
    return _stored_scans(bytes((pack_form.FORM,)) + deflate(data, pack_form._WORDS), file)


def _unpacked_scans(folder: Path) -> list[bytes]:
    """Return raw scans in the form for many of them, before it is deflated."""
    many = [pack_form._many_written(unpack_scans(each), 9) for each in _packs(folder)]
    return [inflate(each[1:], pack_form._WORDS) for each in many]


def _holds_only_unchanged(answer: CheckedScope, data: bytes) -> bool:
    """A scope in which anything was changed does not verify."""
    return not answer.verifies or json.loads(data) == json.loads(_written_scope())


OWN: dict[str, Reader] = {
    "line of a picture, or of a scan made away": Reader(texts(*LINES), _line_read, accepted=_is_a_picture_of_lines, share=30),
    "stand of a line whose ledger is away": Reader(_stand, in_file(_read_stand), damaged_lines, accepted=_are_in_turn, share=20),
    "seal of a copy": Reader(_seal, in_file(lambda file: read_seal(file, LINE, parse_verifier_key(PLANT.key))), share=10),
    "scans that wait for a signature": Reader(_kept_scans, in_file(scan_signer._kept), damaged_lines, accepted=_are_scans, share=10),
    "key file": Reader(_key, _read_key, share=5),
    "public key": Reader(lambda _: [str(PLANT.key).encode()], lambda data, _: parse_verifier_key(text_of(data)), accepted=lambda answer, data: str(answer) == text_of(data).strip(), share=20),
    "certificate of a scope": Reader(lambda _: [_written_scope()], in_file(lambda file: check_scope(_floor().ledger, str(file))), damaged_json, suffix=".json", accepted=_holds_only_unchanged, share=4),
    "entry": Reader(_entries, lambda data, _: read_entry(data), damaged_json, accepted=lambda answer, data: answer.canonical() == data, share=30),
    "entry as it is stored": Reader(lambda folder: [stored_form(each) for each in _entries(folder)], _stored_entry, share=10),
    "entry as it is stored, damaged before it was packed": Reader(_unpacked_entries, _packed_entry, share=20),
    "raw scans of an entry": Reader(_packs, lambda data, _: unpack_scans(data), damaged_json, accepted=lambda answer, _: _are_scans(answer, b""), share=20),
    "raw scans as they are stored": Reader(lambda folder: [stored_pack(each, 9) for each in _packs(folder)], _stored_scans, share=10),
    "raw scans as they are stored, damaged before they were packed": Reader(_unpacked_scans, _packed_scans, share=20),
}  # fmt: skip
