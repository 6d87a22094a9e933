"""Migration 0044: entries of the form before come out with the same bytes, in fewer; one that was changed stays as it is."""

from importlib.util import module_from_spec, spec_from_file_location

import pytest
from support_older_form import older_form
from support_plant import Floor

from tracelink.datadir import data_dir
from tracelink.store.compact.pack_form import _many_written
from tracelink.store.journal import journal


@pytest.fixture
def conn():
    floor = Floor.copy()
    floor.press(1)
    floor.open_line(1, [11], 1)
    floor.match(1, 3)
    with floor.ledger.transaction() as made:
        yield made


def migration():
    path = data_dir("migrations") / "versions" / "0044_values_apart.py"
    spec = spec_from_file_location("migration_0044", path)
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_same_bytes_come_out_and_a_changed_entry_stays_as_it_is(conn):
    before = list(journal.rows(conn))
    now = conn.exec_driver_sql("SELECT seq, stored FROM journal ORDER BY seq").all()
    packs = conn.exec_driver_sql("SELECT seq, packed FROM journal_pack ORDER BY seq").all()
    for name in ("journal_no_update", "journal_pack_no_update"):
        conn.exec_driver_sql(f"DROP TRIGGER {name}")
    for row in before:
        conn.exec_driver_sql(
            "UPDATE journal SET stored = ? WHERE seq = ?", (older_form(row.canonical), row.seq)
        )
        if row.pack is not None:
            long = _many_written(row.taken_apart.scans, row.seq)
            conn.exec_driver_sql("UPDATE journal_pack SET packed = ? WHERE seq = ?", (long, row.seq))
    assert [row.canonical for row in journal.rows(conn)] == [row.canonical for row in before]
    older = dict(conn.exec_driver_sql("SELECT seq, stored FROM journal").all())
    changed = before[-3].seq
    other = older[changed][:16] + b"\x01" + older[changed][17:]
    conn.exec_driver_sql("UPDATE journal SET stored = ? WHERE seq = ?", (other, changed))

    migration()._rewrite(conn)

    after = conn.exec_driver_sql("SELECT seq, stored FROM journal ORDER BY seq").all()
    assert dict(after) == {**dict(now), changed: other}
    assert conn.exec_driver_sql("SELECT seq, packed FROM journal_pack ORDER BY seq").all() == packs
    assert sum(len(stored) for _seq, stored in after) < sum(map(len, older.values()))
    for row, same in zip(journal.rows(conn), before, strict=True):
        assert (row.canonical == same.canonical) == (row.seq != changed)
        assert (row.hash, row.pack) == (same.hash, same.pack)
