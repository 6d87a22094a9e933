"""Checkpoints by command: signed, kept, witnessed; never two that contradict each other."""

import stat
from pathlib import Path

import pysqlite3
import pytest
from support_cli import run, write_plant_file
from support_journal import changed_text
from support_ledgers import initialised
from support_plant import LAB

from tracelink.ledger.proof.note import parse_checkpoint, parse_note, parse_verifier_key, require_signed
from tracelink.store.journal.keys import is_signed
from tracelink.store.ledger import Ledger


@pytest.fixture
def place(tmp_path):
    return initialised(tmp_path)


def more(place, word="word"):
    """A few more entries, different ones for different words."""
    done = run("lab", "--station", LAB, ledger=place, scans="".join(f"{word} {n}\n" for n in range(5)))
    assert done.code == 1, done.err


def copied(source, target):
    """Put a copy in the place of a ledger, with what was committed last."""
    for ending in ("", "-wal", "-shm"):
        Path(f"{target}{ending}").unlink(missing_ok=True)
    for lock in Path(target).parent.glob(f"{Path(target).name}-*.lock"):
        # They tell how far the stations got in the ledger that lay there; whoever puts another one in its place takes them away.
        lock.unlink()
    conn = pysqlite3.connect(source)
    conn.execute("VACUUM INTO ?", (str(target),))
    conn.close()


def forged(place, *statements):
    conn = pysqlite3.connect(place)
    for each in statements:
        conn.execute(*each(conn)) if callable(each) else conn.execute(each)
    conn.commit()
    conn.close()


class TestKey:
    def test_init_makes_it_and_shows_its_public_half(self, tmp_path):
        made = run("init", "--plant", write_plant_file(tmp_path / "p.toml"), ledger=tmp_path / "p.db")
        key = run("audit", "key", ledger=tmp_path / "p.db").out.strip()
        assert made.out.splitlines()[-1].endswith(f"Its public half: {key}")
        parse_verifier_key(key)
        assert stat.S_IMODE((tmp_path / "p.db.key").stat().st_mode) == 0o600

    def test_a_key_that_is_there_bars_a_new_ledger(self, tmp_path):
        (tmp_path / "p.db.key").write_text("old")
        refused = run("init", "--plant", write_plant_file(tmp_path / "p.toml"), ledger=tmp_path / "p.db")
        assert refused.code == 2
        assert "exists already, and a key is never overwritten" in refused.err
        assert not (tmp_path / "p.db").exists()

    def test_an_older_ledger_gets_one_later(self, place):
        place.with_name("plant.db.key").unlink()
        none = run("audit", "checkpoint", ledger=place)
        assert (none.code, "make one with `runout audit key --make`" in none.err) == (2, True)
        made = run("audit", "key", "--make", ledger=place)
        assert made.out == run("audit", "key", ledger=place).out
        assert run("audit", "key", "--make", ledger=place).code == 2
        assert run("audit", "checkpoint", ledger=place).code == 0

    def test_a_name_is_for_a_new_key(self, place, tmp_path):
        assert run("audit", "key", "--name", "x", ledger=place).code == 2
        bad = run("audit", "key", "--make", "--name", "a b", "--key", tmp_path / "w", ledger=place)
        assert (bad.code, "'a b' is not a name for a key" in bad.err) == (3, True)


class TestSigning:
    def test_it_says_entries_and_root_and_is_signed(self, place):
        told = run("audit", "checkpoint", ledger=place)
        note = parse_note(told.out.encode())
        key = parse_verifier_key(run("audit", "key", ledger=place).out)
        assert require_signed(note, [key], is_signed) == [key]
        point = parse_checkpoint(note.text)
        assert (point.origin, point.size) == (key.name, Ledger.open(str(place)).head().seq)

    def test_again_without_anything_new_it_is_the_same(self, place):
        assert run("audit", "checkpoint", ledger=place).out == run("audit", "checkpoint", ledger=place).out

    def test_it_goes_on_from_the_last_one(self, place, tmp_path):
        assert run("audit", "checkpoint", "--out", tmp_path / "one", ledger=place).code == 0
        more(place)
        told = run("audit", "checkpoint", "--out", tmp_path / "two", ledger=place)
        one, two = (parse_checkpoint(parse_note((tmp_path / n).read_bytes()).text) for n in ("one", "two"))
        assert two.size == one.size + 5
        assert told.out == f"{tmp_path}/two: {two.size} entries, signed by {two.origin}\n"

    def test_an_earlier_file_is_never_overwritten(self, place, tmp_path):
        assert run("audit", "checkpoint", "--out", tmp_path / "one", ledger=place).code == 0
        again = run("audit", "checkpoint", "--out", tmp_path / "one", ledger=place)
        assert (again.code, "exists already" in again.err) == (2, True)

    def test_a_folder_that_is_not_there_is_wrong_usage(self, place, tmp_path):
        refused = run("audit", "checkpoint", "--out", tmp_path / "no" / "one", ledger=place)
        assert (refused.code, f"the folder {tmp_path / 'no'} does not exist" in refused.err) == (2, True)

    def test_a_place_that_may_not_be_looked_at_has_its_sentence(self, place, monkeypatch):
        looked = Path.exists

        def exists(self, **more):
            if self.parent.name == "theirs":
                raise PermissionError(13, "Permission denied", str(self))
            return looked(self, **more)

        monkeypatch.setattr(Path, "exists", exists)
        refused = run("audit", "checkpoint", "--out", "theirs/one", ledger=place)
        assert (refused.code, refused.err) == (2, "runout: theirs/one cannot be used: Permission denied\n")

    def test_after_a_lost_key_the_sentence_says_how_to_go_on(self, place, tmp_path):
        assert run("audit", "checkpoint", ledger=place).code == 0
        key, memory = Path(f"{place}.key"), Path(f"{place}.key.last")
        key.unlink()
        assert run("audit", "key", "--make", ledger=place).code == 0
        refused = run("audit", "checkpoint", ledger=place)
        assert (refused.code, f"move {memory} away, keep it" in refused.err) == (3, True)
        memory.rename(tmp_path / "kept")
        assert run("audit", "checkpoint", ledger=place).code == 0


class TestNeverTwoThatContradict:
    """C2SP tlog-checkpoint: a log must never sign two checkpoints that are inconsistent."""

    def test_a_shorter_ledger(self, place, tmp_path):
        copied(place, tmp_path / "old.db")
        more(place)
        assert run("audit", "checkpoint", ledger=place).code == 0
        entries = Ledger.open(str(place)).head().seq
        copied(tmp_path / "old.db", place)
        refused = run("audit", "checkpoint", ledger=place)
        assert refused.code == 3
        assert (
            f"the ledger has {entries - 5} entries, but a checkpoint of {entries} was signed" in refused.err
        )

    def test_another_story(self, place, tmp_path):
        copied(place, tmp_path / "old.db")
        more(place)
        assert run("audit", "checkpoint", ledger=place).code == 0
        copied(tmp_path / "old.db", place)
        more(place, "another story")
        more(place)
        refused = run("audit", "checkpoint", ledger=place)
        assert refused.code == 3
        assert "entries are not those of the checkpoint signed before" in refused.err

    def test_a_changed_entry_since_then(self, place):
        assert run("audit", "checkpoint", ledger=place).code == 0
        before = Ledger.open(str(place)).head().seq
        more(place)
        forged(
            place,
            "DROP TRIGGER journal_no_update",
            lambda conn: changed_text(conn, before + 2, "word", "ward"),
        )
        refused = run("audit", "checkpoint", ledger=place)
        assert (refused.code, f"entry {before + 2} was changed" in refused.err) == (3, True)

    def test_a_stored_tree_that_is_not_that_of_the_entries(self, place):
        forged(place, "UPDATE tree_node SET hash = zeroblob(32) WHERE level = 4 AND position = 1")
        refused = run("audit", "checkpoint", ledger=place)
        assert (refused.code, "the stored tree is not the tree of the entries" in refused.err) == (3, True)
        assert run("rebuild", ledger=place).code == 0
        assert run("audit", "checkpoint", ledger=place).code == 0

    def test_a_memory_that_was_changed(self, place):
        assert run("audit", "checkpoint", ledger=place).code == 0
        memory = Path(f"{place}.key.last")
        memory.write_text(memory.read_text().replace("\n\n", "\nmore\n\n"))
        refused = run("audit", "checkpoint", ledger=place)
        assert (refused.code, "Nothing is signed before that is cleared up" in refused.err) == (3, True)


class TestWitness:
    @pytest.fixture
    def eye(self, place, tmp_path):
        assert (
            run(
                "audit", "key", "--make", "--key", tmp_path / "eye", "--name", "auditor/eye", ledger=place
            ).code
            == 0
        )
        return tmp_path / "eye"

    def test_a_second_signature(self, place, tmp_path, eye):
        log = run("audit", "key", ledger=place).out.strip()
        assert run("audit", "checkpoint", "--out", tmp_path / "one", ledger=place).code == 0
        told = run("audit", "witness", tmp_path / "one", "--key", eye, "--log", log, ledger=place)
        assert told.code == 0, told.err
        assert told.out.endswith("and auditor/eye\n")
        note = parse_note((tmp_path / "one").read_bytes())
        keys = [
            parse_verifier_key(log),
            parse_verifier_key(run("audit", "key", "--key", eye, ledger=place).out),
        ]
        assert require_signed(note, keys, is_signed) == keys
        again = run("audit", "witness", tmp_path / "one", "--key", eye, ledger=place)
        assert (again.code, "is signed with" in again.err) == (2, True)

    def test_both_at_once(self, place, eye):
        told = run("audit", "checkpoint", "--witness", eye, ledger=place)
        assert told.code == 0, told.err
        assert len(parse_note(told.out.encode()).signatures) == 2

    def test_a_witness_sees_the_second_history(self, place, tmp_path, eye):
        """The key of the plant signs both, as a dishonest owner could make it; the witness does not."""
        copied(place, tmp_path / "old.db")
        more(place)
        assert run("audit", "checkpoint", "--witness", eye, ledger=place).code == 0
        copied(tmp_path / "old.db", place)
        Path(f"{place}.key.last").unlink()
        more(place, "another story")
        more(place)
        assert run("audit", "checkpoint", "--out", tmp_path / "two", ledger=place).code == 0
        before = (tmp_path / "two").read_bytes()
        refused = run("audit", "witness", tmp_path / "two", "--key", eye, ledger=place)
        assert refused.code == 3
        assert "entries are not those of the checkpoint signed before" in refused.err
        assert (tmp_path / "two").read_bytes() == before

    def test_a_checkpoint_that_the_ledger_does_not_bear_out(self, place, tmp_path, eye):
        copied(place, tmp_path / "copy.db")
        more(place)
        assert run("audit", "checkpoint", "--out", tmp_path / "one", ledger=place).code == 0
        log = run("audit", "key", ledger=place).out.strip()
        words = ("audit", "witness", tmp_path / "one", "--key", eye, "--log", log)
        short = run(*words, ledger=tmp_path / "copy.db")
        assert (short.code, "its tail was cut off" in short.err) == (3, True)
        more(tmp_path / "copy.db", "another story")
        other = run(*words, ledger=tmp_path / "copy.db")
        assert (other.code, "are not those of the checkpoint: they lead to root" in other.err) == (3, True)

    def test_a_checkpoint_that_another_key_signed(self, place, tmp_path, eye):
        assert run("audit", "key", "--make", "--key", tmp_path / "x", "--name", "x", ledger=place).code == 0
        assert (
            run("audit", "checkpoint", "--key", tmp_path / "x", "--out", tmp_path / "one", ledger=place).code
            == 0
        )
        refused = run("audit", "witness", tmp_path / "one", "--key", eye, ledger=place)
        assert (refused.code, "it is signed by x (" in refused.err) == (3, True)

    def test_an_older_checkpoint_than_the_last(self, place, tmp_path, eye):
        assert run("audit", "checkpoint", "--out", tmp_path / "one", ledger=place).code == 0
        more(place)
        assert run("audit", "checkpoint", "--witness", eye, ledger=place).code == 0
        old = run("audit", "witness", tmp_path / "one", "--key", eye, ledger=place)
        assert (old.code, "says nothing new" in old.err) == (2, True)

    def test_files_that_are_no_checkpoint(self, place, tmp_path, eye):
        none = run("audit", "witness", tmp_path / "none", "--key", eye, ledger=place)
        assert (none.code, "cannot be read: No such file" in none.err) == (2, True)
        (tmp_path / "junk").write_bytes(b"\x00\x01")
        junk = run("audit", "witness", tmp_path / "junk", "--key", eye, ledger=place)
        assert (junk.code, "holds control characters" in junk.err) == (3, True)
