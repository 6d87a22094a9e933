"""Backup and restore: a verified copy, never over anything."""

import fcntl
import shutil
import signal
import subprocess
import sys

import pysqlite3
import pytest
from support_cli import run
from support_ledgers import filled, packing_line
from support_plant import LINE, Floor

from tracelink.errors import BrokenChain, StorageFailed, UsageError
from tracelink.store.copies.backup import copy_ledger
from tracelink.store.ledger import Ledger


@pytest.fixture
def place(tmp_path):
    """A ledger whose line is in the middle of a carton: matches and one disc lie in the spool."""
    return filled(tmp_path / "plant.db", packing_line)


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


def test_what_a_killed_backup_left_goes_with_the_next_one(place, tmp_path):
    folder = tmp_path / "backups"
    folder.mkdir()
    killed = [folder / f"plant-20310303T0{hour}0000Z.db.part" for hour in (7, 8)]
    others = [folder / "plant.db.part", folder / "other-20310303T070000Z.db.part"]
    for file in (*killed, *others, folder / f"{killed[0].name}-journal"):
        file.write_bytes(b"half a copy")
    with killed[1].open("ab") as running:
        fcntl.flock(running, fcntl.LOCK_EX)
        assert run("backup", folder, "--keep", "3", ledger=place).code == 0
        assert killed[1].read_bytes() == b"half a copy", "somebody is writing it"
    left = sorted(file.name for file in folder.iterdir() if not file.name.endswith(".db"))
    assert left == sorted(file.name for file in (killed[1], *others))
    assert run("backup", folder, ledger=place).code == 0
    assert not killed[1].exists()


def test_a_backup_that_is_killed_leaves_no_copy_and_the_next_one_is_made(place, tmp_path):
    target = tmp_path / "copy.db"
    program = (
        "import os, signal; from pathlib import Path; from tracelink.store.copies import backup; "
        "backup._verified = lambda *_given: os.kill(os.getpid(), signal.SIGKILL); "
        f"backup.copy_ledger({str(place)!r}, Path({str(target)!r}))"
    )
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == -signal.SIGKILL
    assert not target.exists()
    assert run("backup", target, ledger=place).code == 0
    assert not list(tmp_path.glob("*.part*"))


def test_two_backups_into_one_file_do_not_take_it_from_each_other(place, tmp_path):
    with (tmp_path / "copy.db.part").open("ab") as running:
        fcntl.flock(running, fcntl.LOCK_EX)
        refused = run("backup", tmp_path / "copy.db", ledger=place)
    assert (refused.code, refused.err) == (
        4,
        f"runout: {tmp_path}/copy.db.part is being written by another copy: wait for it\n",
    )


@pytest.mark.parametrize("cut", [1, 100, 4095])
def test_a_file_cut_inside_its_last_page_is_damaged_for_every_command(place, tmp_path, cut):
    """SQLite takes what is missing for zeros: a command that did not read that page noticed nothing."""
    whole = place.read_bytes()
    place.write_bytes(whole[:-cut])
    plant_file = tmp_path / "more.toml"
    plant_file.write_text("")
    told = (
        f"runout: the ledger {place} is damaged: it is cut after {len(whole) - cut} bytes, inside a page of 4096. Keep the file as "
        "it is, and compare it with a backup\n"
    )
    for words in (
        ("audit", "verify"),
        ("hold",),
        ("backup", tmp_path / "copy.db"),
        ("upgrade",),
        ("rebuild",),
        ("line", "--station", LINE),
        ("board", "--once"),
        ("plan", plant_file),
    ):
        refused = run(*words, ledger=place)
        assert (refused.code, refused.out, refused.err) == (3, "", told), words
    assert run("restore", place, ledger=tmp_path / "back.db").code == 3
    assert place.read_bytes() == whole[:-cut]


def test_a_forged_ledger_makes_no_copy(place, tmp_path):
    conn = pysqlite3.connect(place)
    conn.execute("DROP TRIGGER journal_no_update")
    conn.execute("UPDATE journal SET hash = zeroblob(32) WHERE seq = 9")
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
