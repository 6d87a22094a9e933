"""`runout audit verify`: each fault is told once, at its place; what was kept outside says the rest."""

import json
from pathlib import Path

import pysqlite3
import pytest
from support_cli import run
from support_journal import changed_text, journal_rows, to_store
from support_plant import LINE, TOOL, Floor, code

from tracelink.ledger.proof import merkle, merkle_proofs
from tracelink.store.ledger import Ledger


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A ledger with some 300 entries, scans in the spool, a key, and checkpoints of three sizes."""
    folder = tmp_path_factory.mktemp("made")
    floor = Floor.copy()
    floor.press(1)
    floor.open_line(1, [11], 1)
    floor.match(1, 3)
    floor.scan(LINE, "CLOSE", "carton 2")
    floor.match(1, 2)
    place = floor.saved(folder / "plant.db")
    assert run("audit", "key", "--make", ledger=place).code == 0
    for name in ("one", "two", "three"):
        told = run("audit", "checkpoint", "--out", folder / name, ledger=place)
        assert told.code == 0, told.err
        with Ledger.open(str(place)).writing() as booking:
            for _ in range(40):
                number = booking.last_number(TOOL) + 1
                booking.book(TOOL, _scan(number))
    return folder


def _scan(number):
    from tracelink.ledger.packs import RawScan  # noqa: PLC0415

    return RawScan(number, "2031-03-03T11:00:00+01:00", f"no code {number}")


@pytest.fixture
def place(made, tmp_path):
    copy = tmp_path / "plant.db"
    conn = pysqlite3.connect(made / "plant.db")
    conn.execute("VACUUM INTO ?", (str(copy),))
    conn.close()
    Path(f"{copy}.key").write_bytes((made / "plant.db.key").read_bytes())
    Path(f"{copy}.key").chmod(0o600)
    return copy


TRIGGERS = ("journal_no_update", "journal_no_delete", "journal_pack_no_update", "journal_pack_no_delete")


def forge(place, *statements):
    """Change the ledger behind its back and put the triggers back, as somebody careful would."""
    conn = pysqlite3.connect(place)
    conn.execute("PRAGMA foreign_keys=OFF")
    made = [
        conn.execute("SELECT sql FROM sqlite_master WHERE name = ?", (one,)).fetchone()[0] for one in TRIGGERS
    ]
    for one in TRIGGERS:
        conn.execute(f"DROP TRIGGER {one}")
    for each in statements:
        statement = each(conn) if callable(each) else each
        conn.execute(*statement) if isinstance(statement, tuple) else conn.execute(statement)
    for sql in made:
        conn.execute(sql)
    conn.commit()
    conn.close()


def verify(place, *words):
    found = run("audit", "verify", "--format", "json", *words, ledger=place)
    [row] = json.loads(found.out)
    return found.code, row["faults"]


def points(made):
    return [word for name in ("one", "two", "three") for word in ("--checkpoint", made / name)]


def sizes(made):
    return [int((made / name).read_text().split("\n")[1]) for name in ("one", "two", "three")]


def rewritten(place, seq, old, new):
    """Write the journal anew from entry `seq` on, with every hash and the whole tree made to fit."""
    from tracelink.ledger.entry import entry_hash  # noqa: PLC0415

    conn = pysqlite3.connect(place)
    statements, before = [], None
    for row in journal_rows(conn, seq):
        text = row.canonical.decode()
        text = text.replace(old, new) if before is None else text.replace(*before)
        was = entry_hash(row.canonical)
        digest = entry_hash(text.encode())
        statements.append(to_store(text.encode(), digest, row.seq))
        before = (was, digest)
    conn.close()
    forge(place, *statements)


def first_of(place, word):
    conn = pysqlite3.connect(place)
    found = min(row.seq for row in journal_rows(conn) if word in row.canonical.decode())
    conn.close()
    return found


class TestAllIsAsItWas:
    def test_with_every_checkpoint(self, place, made):
        found = run("audit", "verify", *points(made), "--format", "json", ledger=place)
        assert found.code == 0, found.err
        [row] = json.loads(found.out)
        assert (row["faults"], row["differences"], row["kept"]) == ([], 0, 3)
        with Ledger.open(str(place)).reading() as conn:
            from tracelink.store.journal import subtrees  # noqa: PLC0415

            leaves = list(subtrees.leaves(conn))
        assert row["root"] == merkle.root(merkle.Leaves(leaves), row["entries"]).hex()
        name = (made / "one").read_text().split("\n")[0]
        assert (
            found.err.splitlines()[0]
            == f"one, signed by {name}: agrees with the first {sizes(made)[0]} entries"
        )

    def test_the_journal_alone(self, place):
        forge(place, "UPDATE product SET title = 'Another'")
        assert verify(place, "--journal-only") == (0, [])
        assert verify(place)[0] == 3


class TestEntries:
    def test_a_changed_content_is_told_from_a_changed_hash(self, place):
        forge(
            place,
            lambda conn: changed_text(conn, 220, "no code", "no cude"),
            f"UPDATE journal SET hash = x'{'ab' * 32}' WHERE seq = 100",
        )
        status, faults = verify(place)
        assert status == 3
        assert faults[0].startswith("entry 100 was changed: its content hashes to ")
        assert faults[0].endswith("Entry 101 names the hash of the content: the hash recorded was changed.")
        assert faults[1].startswith("entry 220 was changed: its content hashes to ")
        assert faults[1].endswith("Entry 221 names the hash recorded: the content was changed.")

    def test_the_field_that_was_changed_in_an_entry_shows_in_the_tables(self, place):
        query = "SELECT seq FROM journal WHERE kind = 'master-registered' LIMIT 1"
        seq = pysqlite3.connect(place).execute(query).fetchone()[0]
        forge(
            place,
            lambda conn: changed_text(conn, seq, "EX-101-A", "EX-101-B"),
        )
        _status, faults = verify(place)
        assert faults[0].startswith(f"entry {seq} was changed")
        assert any(one.endswith("matrix is 'EX-101-A', the journal says 'EX-101-B'") for one in faults[1:])

    def test_an_entry_taken_out_is_named_and_the_rest_goes_on(self, place, made):
        forge(place, "DELETE FROM journal WHERE seq = 230")
        status, faults = verify(place, *points(made))
        assert status == 3
        assert faults[0] == "table journal_pack, row 230: it refers to a row of journal that is not there"
        assert faults[1] == "entry 230 is missing: found entry 231 after 229"
        # The hash that it had is stored with it alone: what was kept of more entries cannot be compared.
        assert [one.partition(": ")[2] for one in faults[2:3]] == [
            f"the first {sizes(made)[2]} entries cannot be compared with it, because entries are missing"
        ]
        assert faults[3:] == ["the tables could not be compared with the journal: it cannot be replayed"]

    def test_two_entries_that_changed_places(self, place):
        forge(
            place,
            "UPDATE journal SET seq = -1 WHERE seq = 230",
            "UPDATE journal SET seq = 230 WHERE seq = 231",
            "UPDATE journal SET seq = 231 WHERE seq = -1",
        )
        _status, faults = verify(place)
        assert faults[0] == "entry 230 says it is entry 231"
        assert any(one == "entry 231 says it is entry 230" for one in faults)

    def test_raw_scans(self, place):
        conn = pysqlite3.connect(place)
        first, last = conn.execute("SELECT MIN(seq), MAX(seq) FROM journal_pack").fetchone()
        conn.close()
        forge(
            place,
            f"DELETE FROM journal_pack WHERE seq = {first}",
            f"UPDATE journal_pack SET packed = x'00' WHERE seq = {last}",
        )
        _status, faults = verify(place)
        assert faults[0].startswith(f"the raw scans beside entry {first} were changed or taken away")
        assert faults[0].endswith("found none")
        assert faults[1].startswith(f"the raw scans beside entry {last} were changed or taken away")
        assert len(faults) == 2


class TestTree:
    def test_a_changed_a_missing_and_a_strange_hash(self, place):
        forge(
            place,
            "UPDATE tree_node SET hash = zeroblob(32) WHERE level = 4 AND position = 2",
            "DELETE FROM tree_node WHERE level = 4 AND position = 5",
            "INSERT INTO tree_node VALUES (4, 900, zeroblob(32)), (5, 0, zeroblob(32))",
        )
        status, faults = verify(place)
        assert status == 3
        assert faults[0].startswith(
            "the stored tree over entries 33 to 48 is 0000000000000000..., the entries give "
        )
        assert faults[1].startswith("the stored tree over entries 81 to 96 lacks the hash ")
        assert faults[2].startswith("the stored tree over entries 14401 to 14416 goes on after entry ")
        assert faults[3] == "the stored tree over entries 1 to 32 is of a level that is not stored"
        assert run("rebuild", ledger=place).code == 0
        assert verify(place) == (0, [])


class TestTables:
    @pytest.mark.parametrize(
        ("sql", "told"),
        [
            (
                f"UPDATE stock SET quantity = 8 WHERE place = '{code('K', 11)}'",
                f"stock {code('K', 11)} {code('L', 1)}: quantity is 8, the journal says ",
            ),
            (
                "DELETE FROM product WHERE gtin = (SELECT MAX(gtin) FROM product)",
                "in the journal but not in the tables",
            ),
            (
                f"INSERT INTO person_role VALUES ('{code('P', 3)}', 'quality')",
                f"person_role {code('P', 3)} quality: in the tables but not in the journal",
            ),
            (
                "UPDATE product SET title = CAST(x'ff41' AS TEXT) WHERE gtin = (SELECT MIN(gtin) FROM product)",
                "title is '\\udcffA', the journal says ",
            ),
            (
                f"UPDATE station SET last_number = 99 WHERE code = '{LINE}'",
                f"station {LINE}: last_number is 99",
            ),
            (
                f"UPDATE spool SET fact = '{{\"disc\":2}}' WHERE station = '{LINE}' AND fact LIKE '%disc%'",
                "this scan, not sealed yet, was changed since it was taken",
            ),
            (
                f"DELETE FROM spool WHERE number = (SELECT MAX(number) FROM spool WHERE station = '{LINE}')",
                LINE,
            ),
            (
                "UPDATE spool SET raw = raw || ' '",
                "this scan, not sealed yet, was changed since it was taken",
            ),
            ("UPDATE spool SET fact = 'none'", "the spool cannot be read to its end"),
        ],
    )
    def test_a_row_and_a_field(self, place, sql, told):
        forge(place, sql)
        status, faults = verify(place)
        assert status == 3
        assert any(told in one for one in faults), faults

    def test_rows_that_refer_to_nothing_and_constraints(self, place):
        forge(place, "PRAGMA ignore_check_constraints=ON", "UPDATE lot SET counter = -1")
        status, faults = verify(place)
        assert status == 3
        assert f"lot {code('L', 1)}: counter is -1, the journal says 20" in faults
        forge(
            place, f"UPDATE sample SET lot = '{code('L', 99)}'", f"UPDATE stock SET lot = '{code('L', 99)}'"
        )
        assert any("it refers to a row of lot that is not there" in one for one in verify(place)[1])


class TestStorage:
    def test_a_trigger_that_is_gone_or_changed(self, place):
        conn = pysqlite3.connect(place)
        conn.execute("DROP TRIGGER journal_no_update")
        conn.execute("DROP TRIGGER journal_no_delete")
        conn.execute(
            "CREATE TRIGGER journal_no_delete BEFORE DELETE ON journal WHEN 0 BEGIN SELECT RAISE(ABORT, 'no'); END"
        )
        conn.execute("CREATE TABLE notes (x)")
        conn.commit()
        conn.close()
        assert sorted(verify(place)[1]) == [
            "the table notes does not belong to the schema",
            "the trigger journal_no_delete of the schema was changed",
            "the trigger journal_no_update of the schema is gone",
        ]

    @pytest.mark.parametrize("kept", [0, 50, 4096, 40960])
    def test_a_cut_file(self, place, kept):
        data = place.read_bytes()
        assert len(data) > kept
        place.write_bytes(data[:kept])
        found = run("audit", "verify", ledger=place)
        assert found.code == 3
        assert "Traceback" not in found.err
        assert found.err

    @pytest.mark.parametrize("start", [0, 100, 4096, 8192])
    def test_garbage(self, place, start):
        data = place.read_bytes()
        place.write_bytes(data[:start] + bytes(n * 37 % 251 for n in range(len(data) - start)))
        found = run("audit", "verify", ledger=place)
        assert found.code == 3
        assert "Traceback" not in found.err
        assert found.err

    def test_no_ledger_is_wrong_usage_still(self, tmp_path):
        assert run("audit", "verify", ledger=tmp_path / "none.db").code == 2


class TestCheckpoints:
    def test_a_tail_cut_off(self, place, made):
        _one, two, three = sizes(made)
        forge(place, f"DELETE FROM journal_pack WHERE seq > {two}", f"DELETE FROM journal WHERE seq > {two}")
        run("rebuild", ledger=place)
        code, told = verify(place)
        assert code == 3, "what each station scanned last is forgotten easily"
        assert all(sentence.startswith("last_scan ") for sentence in told)
        forge(place, "DELETE FROM last_scan")
        assert verify(place) == (0, []), "by itself the shorter journal is whole"
        status, [told] = verify(place, *points(made))
        assert status == 3
        assert told.startswith("three, signed by ")
        assert told.endswith(
            f"it was made of {three} entries, but the journal has no entry {three}, only {two}: its tail was cut off, or it "
            "is another ledger"
        )

    def test_a_history_written_anew_lies_between_two_checkpoints(self, place, made):
        one, two, _three = sizes(made)
        rewritten(place, one + 9, "no code", "no cude")
        run("rebuild", ledger=place)
        assert verify(place) == (0, []), "by itself the other journal is whole"
        status, faults = verify(place, *points(made))
        assert status == 3
        assert [told.partition(",")[0] for told in faults] == ["two", "three"]
        for told in faults:
            assert (
                f"agrees with the first {one} entries, so the first entry that is another one lies between"
                in told
            )
        assert faults[0].endswith(f"lies between {one + 1} and {two}")

    def test_written_anew_from_the_start(self, place, made):
        one, *_ = sizes(made)
        rewritten(place, 3, '"event_time"', '"event_time"')
        assert verify(place, *points(made))[0] == 0
        rewritten(
            place, first_of(place, "Paper Comet Arithmetic"), "Paper Comet Arithmetic", "Paper Comet Algebra"
        )
        run("rebuild", ledger=place)
        _status, faults = verify(place, *points(made))
        assert faults[0].endswith(f"The change is somewhere in entries 1 to {one}")

    def test_two_checkpoints_that_contradict_each_other(self, place, made, tmp_path):
        """The second was signed for another history of the same size, with the same key."""
        other = tmp_path / "other.db"
        conn = pysqlite3.connect(place)
        conn.execute("VACUUM INTO ?", (str(other),))
        conn.close()
        Path(f"{other}.key").write_bytes(Path(f"{place}.key").read_bytes())
        Path(f"{other}.key").chmod(0o600)
        rewritten(other, sizes(made)[0] + 1, "no code", "no cude")
        run("rebuild", ledger=other)
        assert run("audit", "checkpoint", "--out", tmp_path / "lie", ledger=other).code == 0
        assert run("audit", "checkpoint", "--out", tmp_path / "true", ledger=place).code == 0
        status, [told] = verify(place, "--checkpoint", tmp_path / "lie", "--checkpoint", tmp_path / "true")
        assert status == 3
        assert "It contradicts true, signed by" in told

    def test_a_wrong_key_an_unknown_one_and_a_changed_text(self, place, made, tmp_path):
        own = Path(f"{place}.key").read_bytes()
        Path(f"{place}.key").unlink()
        none = run("audit", "verify", "--checkpoint", made / "one", ledger=place)
        assert (none.code, "no key is known that could have signed" in none.err) == (2, True)
        other = run("audit", "key", "--make", ledger=place).out.strip()
        status, [told] = verify(place, "--checkpoint", made / "one")
        assert status == 3
        assert f"not by a key that is known here: {other.split('+')[0]} ({other.split('+')[1]})" in told
        Path(f"{place}.key").write_bytes(own)
        right = run("audit", "key", ledger=place).out.strip()
        Path(f"{place}.key").unlink()
        assert verify(place, "--checkpoint", made / "one", "--key", right) == (0, [])
        size = str(sizes(made)[0])
        (tmp_path / "changed").write_text((made / "one").read_text().replace(size, str(int(size) + 1)))
        status, [told] = verify(place, "--checkpoint", tmp_path / "changed", "--key", right)
        assert (status, "does not fit the text: it was changed, or never signed" in told) == (3, True)

    def test_files_that_are_none(self, place, tmp_path):
        assert run("audit", "verify", "--checkpoint", tmp_path / "none", ledger=place).code == 2
        (tmp_path / "junk").write_text("junk")
        status, [told] = verify(place, "--checkpoint", tmp_path / "junk")
        assert (status, told) == (
            3,
            f"{tmp_path}/junk: the signed note has no empty line before its signatures",
        )
        assert run("audit", "verify", "--key", "junk", ledger=place).code == 3


class TestProve:
    def test_an_entry_to_a_checkpoint(self, place, made):
        found = json.loads(run("audit", "prove", "42", "--checkpoint", made / "two", ledger=place).out)
        leaf = merkle.hashlib.sha256(b"\x00" + found["canonical"].encode()).digest()
        path = [bytes.fromhex(one) for one in found["path"]]
        merkle_proofs.verify_inclusion(
            leaf, found["index"], found["size"], bytes.fromhex(found["root"]), path
        )
        assert (found["entry"], found["index"], found["size"]) == (42, 41, sizes(made)[1])
        assert found["checkpoint"] == (made / "two").read_text()
        assert json.loads(found["canonical"])["seq"] == 42

    def test_an_entry_to_what_is_there_now(self, place):
        found = json.loads(run("audit", "prove", "1", ledger=place).out)
        assert found["checkpoint"] is None
        assert found["size"] == Ledger.open(str(place)).head().seq

    def test_what_cannot_be_proven(self, place, made):
        assert run("audit", "prove", "9999", ledger=place).code == 2
        with Ledger.open(str(place)) as ledger:
            last = ledger.head().seq
        later = run("audit", "prove", str(last), "--checkpoint", made / "one", ledger=place)
        assert (later.code, "is not among the first" in later.err) == (2, True)
        rewritten(
            place, first_of(place, "Paper Comet Arithmetic"), "Paper Comet Arithmetic", "Paper Comet Algebra"
        )
        run("rebuild", ledger=place)
        wrong = run("audit", "prove", "1", "--checkpoint", made / "one", ledger=place)
        assert (wrong.code, "are not those of the checkpoint" in wrong.err) == (3, True)


def test_an_auditor_who_may_only_read_verifies(place, made):
    assert run("--read-only", "audit", "verify", *points(made), ledger=place).code == 0
    assert run("--read-only", "audit", "prove", "3", ledger=place).code == 0


def test_a_changed_word_of_the_schema(place):
    """Found by changing single bytes of the file: a constraint that was written otherwise said nothing."""
    conn = pysqlite3.connect(place)
    conn.execute("PRAGMA writable_schema=ON")
    conn.execute(
        "UPDATE sqlite_master SET sql = replace(sql, 'quantity >= 0', 'quantity >= 7') WHERE name = 'stock'"
    )
    conn.commit()
    conn.close()
    assert "the table stock of the schema was changed" in verify(place)[1]
