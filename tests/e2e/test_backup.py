"""Backup and restore: a verified copy, never over anything."""

import shutil

import pysqlite3
import pytest
from support_cli import run
from support_ledgers import filled
from support_plant import LINE, Floor

from tracelink.errors import BrokenChain, StorageFailed, UsageError
from tracelink.store.database.backup import copy_ledger
from tracelink.store.ledger import Ledger


@pytest.fixture
def place(tmp_path):
    """A ledger whose line is in the middle of a carton: matches and one disc lie in the spool."""
    return filled(tmp_path / "plant.db", _pack)


def _pack(place):
    floor = Floor.new(str(place))
    floor.tools()
    floor.press(1)
    floor.open_line(1, [11], 1)
    floor.match(1, 3)
    floor.ledger.close()


def test_a_copy_holds_everything_and_goes_on_where_the_ledger_was(place, tmp_path):
    made = run("backup", tmp_path / "copy.db", ledger=place)
    assert made.code == 0, made.err
    assert "6 scans not yet closed into an entry" in made.out
    assert run("restore", tmp_path / "copy.db", ledger=tmp_path / "back.db").code == 0
    back = Floor(Ledger.open(str(tmp_path / "back.db")))
    assert back.match(1).count == "4 of 5 in carton"
    assert back.scan(LINE, "CLOSE").word.value == "DONE"
    assert run("audit", "verify", ledger=tmp_path / "back.db").code == 0


def test_nothing_is_ever_overwritten(place, tmp_path):
    other = tmp_path / "other.db"
    other.write_bytes(b"something dear")
    for words, ledger in ((("backup", other), place), (("restore", place), other)):
        refused = run(*words, ledger=ledger)
        assert (refused.code, refused.err) == (
            2,
            f"runout: {other} exists already; a copy never overwrites anything\n",
        )
    assert other.read_bytes() == b"something dear"


def test_a_forged_ledger_makes_no_copy(place, tmp_path):
    conn = pysqlite3.connect(place)
    conn.execute("DROP TRIGGER journal_no_update")
    conn.execute("UPDATE journal SET hash = ? WHERE seq = 9", ("0" * 64,))
    conn.commit()
    conn.close()
    with pytest.raises(BrokenChain) as broken:
        copy_ledger(str(place), tmp_path / "copy.db")
    assert broken.value.seq == 9
    assert sorted(file.name for file in tmp_path.glob("copy*")) == []


def test_tables_that_are_not_what_the_journal_says_make_no_copy(place, tmp_path):
    conn = pysqlite3.connect(place)
    conn.execute("UPDATE lot SET decision = 'released' WHERE counter > 0")
    conn.commit()
    conn.close()
    refused = run("backup", tmp_path / "copy.db", ledger=place)
    assert refused.code == 3
    assert "decision is 'released', the journal says 'pending'" in refused.err
    assert not list(tmp_path.glob("copy*"))


def test_a_copy_goes_only_where_a_folder_is(place, tmp_path):
    with pytest.raises(UsageError, match="does not exist"):
        copy_ledger(str(place), tmp_path / "nowhere" / "copy.db")


def test_a_copy_on_a_full_disk_is_said_and_leaves_nothing(place, tmp_path):
    if shutil.which("mount") is None:
        pytest.skip("no mount command")
    small = tmp_path / "small"
    small.mkdir()
    import subprocess  # noqa: PLC0415

    if subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", small], check=False, capture_output=True
    ).returncode:
        pytest.skip("this user may not mount a small disk")
    try:
        # Looked for before; and said where it fills up under the copy.
        refused = run("backup", small / "copy.db", ledger=place)
        assert refused.code == 4
        assert f"the disk that holds {small} has 65536 bytes free" in refused.err
        with pytest.raises(StorageFailed, match=f"the disk that holds {small}/copy.db is full"):
            copy_ledger(str(place), small / "copy.db")
        assert list(small.iterdir()) == []
    finally:
        subprocess.run(["umount", small], check=True)
