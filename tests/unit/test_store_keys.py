"""The signing key: made for its owner only, never overwritten, and never shown."""

import os
import stat

import pytest

from tracelink.errors import LedgerBusy, ProofFails, RefusedByRule, StorageFailed, UsageError
from tracelink.ledger.proof.note import Checkpoint
from tracelink.store.journal.keys import held_key, key_place, make_key


@pytest.fixture
def file(tmp_path):
    return tmp_path / "plant.db.key"


@pytest.mark.parametrize("umask", [0o000, 0o022, 0o077, 0o777])
def test_only_its_owner_may_read_it(file, umask):
    before = os.umask(umask)
    try:
        made = make_key(file, "plant/journal")
    finally:
        os.umask(before)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    with held_key(file) as held:
        assert held.key.verifier == made


@pytest.mark.parametrize("name", ["Presswerk-Süd/журнал", "盤/journal"])
def test_its_name_may_have_any_letter(file, name):
    made = make_key(file, name)
    with held_key(file) as held:
        assert (held.key.name, held.key.verifier) == (name, made)


def test_two_keys_are_never_the_same(tmp_path):
    assert make_key(tmp_path / "a", "k") != make_key(tmp_path / "b", "k")


def test_a_key_is_never_overwritten(file, tmp_path):
    make_key(file, "k")
    before = file.read_bytes()
    with pytest.raises(UsageError, match="exists already, and a key is never overwritten"):
        make_key(file, "k")
    (tmp_path / "link").symlink_to(tmp_path / "nowhere")
    with pytest.raises(UsageError, match="exists already"):
        make_key(tmp_path / "link", "k")
    assert file.read_bytes() == before
    assert not (tmp_path / "nowhere").exists()


def test_half_a_key_is_not_left(file, monkeypatch):
    def full(_handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(StorageFailed, match="cannot be written: No space left on device"):
        make_key(file, "k")
    assert not file.exists()


def test_a_key_that_others_may_read_is_not_used(file):
    make_key(file, "k")
    for mode in (0o640, 0o604, 0o660, 0o700):
        file.chmod(mode)
        with (
            pytest.raises(RefusedByRule, match=f"may be read or changed by others .mode {mode:04o}."),
            held_key(file),
        ):
            pass


def test_two_programs_do_not_sign_at_once(file):
    make_key(file, "k")
    with held_key(file), pytest.raises(LedgerBusy, match="something else signs with"), held_key(file):
        pass
    with held_key(file):
        pass


def test_a_key_does_not_show_itself(file):
    make_key(file, "k")
    secret = file.read_text().strip().split("+")[-1]
    with held_key(file) as held:
        assert secret[:12] not in repr(held)
        assert repr(held.key.seed) not in repr(held)
    for text in (f"PRIVATE+KEY+k+00000000+{secret[:-4]}!!!!\n", f"PRIVATE+KEY+k+00000000+{secret[:20]}\n"):
        file.write_text(text)
        with pytest.raises(UsageError) as told, held_key(file):
            pass
        assert secret[:12] not in str(told.value)


@pytest.mark.parametrize("text", ["", "a key", "PRIVATE+KEY+k", "PRIVATE+KEY+k+0+AAAA", "\udcff"])
def test_a_file_that_holds_no_key(file, text):
    file.write_bytes(text.encode(errors="surrogateescape"))
    file.chmod(0o600)
    with pytest.raises(UsageError, match="holds no signing key"), held_key(file):
        pass


def test_a_changed_key_is_noticed(file):
    make_key(file, "k")
    file.write_text(file.read_text().replace("+k+", "+j+"))
    with pytest.raises(ProofFails, match="was changed: its id is"), held_key(file):
        pass


def test_no_key(file):
    with pytest.raises(UsageError, match="make one with `runout audit key --make`"), held_key(file):
        pass


def test_it_remembers_what_it_signed(file):
    make_key(file, "k")
    point = Checkpoint("k", 8, b"\x07" * 32)
    with held_key(file) as held:
        assert held.last() is None
        held.sign(point)
        assert held.last() == point
    memory = file.with_name("plant.db.key.last")
    memory.write_bytes(memory.read_bytes().replace(b"8", b"9", 1))
    with (
        held_key(file) as held,
        pytest.raises(ProofFails, match="Nothing is signed before that is cleared up"),
    ):
        held.last()


def test_nothing_is_signed_that_cannot_be_remembered(file, monkeypatch):
    make_key(file, "k")

    def full(_handle):
        raise OSError(28, "No space left on device")

    with held_key(file) as held:
        monkeypatch.setattr(os, "fsync", full)
        with pytest.raises(StorageFailed, match="cannot be written: No space left on device"):
            held.sign(Checkpoint("k", 8, b"\x07" * 32))
        assert held.last() is None
    assert sorted(one.name for one in file.parent.iterdir()) == ["plant.db.key"]


def test_where_the_key_of_a_ledger_is(tmp_path):
    assert key_place(f"{tmp_path}/plant.db", None) == tmp_path / "plant.db.key"
    assert key_place("postgresql+psycopg://u@h/d", "a.key").name == "a.key"
    with pytest.raises(
        UsageError, match="is on a database server: name the file of its signing key with --key"
    ):
        key_place("postgresql+psycopg://u@h/d", None)
