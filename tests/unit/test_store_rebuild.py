"""Rebuild: what it mends, what it reports, and what it refuses without changing anything."""

import zlib

import pytest
from sqlalchemy import insert, select, text
from support_plant import LINE, Floor, carton_sscc, code, n
from support_schema import empty_ledger
from support_sql import change, unguard

from tracelink.errors import BrokenChain, NewerJournal, ProjectionDiffers
from tracelink.ledger.entry import Entry, Stamp, entry_hash
from tracelink.ledger.proof.chain import Head, JournalRow
from tracelink.store.database.tables import SHADOW
from tracelink.store.database.tables_stations import spool
from tracelink.store.journal import journal
from tracelink.store.journal.rebuild import differences, rebuild, replay


@pytest.fixture
def floor():
    """Matches in the spool, a disc in hand, and everything sealed before them."""
    made = Floor.copy()
    made.press(1)
    made.open_line(1, [11], 1)
    made.match(1, 2)
    made.play(LINE, "CLOSE | carton 2 | disc 1.1 | sleeve 1 -> MATCH\ndisc 1.1 -> NEXT")
    return made


def everything(conn):
    return {table.name: sorted(map(repr, conn.execute(select(table)))) for table in (*SHADOW, spool)}


def compared(floor):
    """What `differences` says about the live tables against a replay of the journal."""
    engine = empty_ledger()
    with floor.ledger.reading() as live, engine.begin() as fresh:
        spooled = [dict(row) for row in live.execute(select(spool)).mappings()]
        replay(fresh, journal.rows(live), spooled)
        fresh.execute(insert(spool), spooled)
        return differences(live, fresh)


FORGERIES = [
    (
        "UPDATE stock SET quantity = 7 WHERE place = '{K11}'",
        "stock {K11} {L1}: quantity is 7, the journal says 8",
    ),
    ("DELETE FROM carton_sleeve", "carton_sleeve {carton} {B1}: in the journal but not in the tables"),
    (
        "INSERT INTO person_role VALUES ('{P3}', 'quality')",
        "person_role {P3} quality: in the tables but not in the journal",
    ),
    (
        "UPDATE lot SET decision = 'released' WHERE code = '{L1}'",
        "lot {L1}: decision is 'released', the journal says 'pending'",
    ),
    (
        "UPDATE station SET last_number = 99 WHERE code = '{W4}'",
        "station {W4}: last_number is 99, the journal says 15",
    ),
]
NAMES = {short: code(short[0], int(short[1:])) for short in ("K11", "L1", "B1", "P3", "W4")} | {
    "carton": carton_sscc(1)
}


@pytest.mark.parametrize(("sql", "sentence"), FORGERIES, ids=range(len(FORGERIES)))
def test_a_table_edited_behind_the_journals_back_is_reported_and_mended(floor, sql, sentence):
    assert compared(floor) == []
    with floor.ledger.transaction() as conn:
        before = everything(conn)
        conn.execute(text(sql.format(**NAMES)))
    assert compared(floor) == [sentence.format(**NAMES)]
    with floor.ledger.transaction() as conn:
        reached = []
        head = rebuild(conn, reached.append)
        assert everything(conn) == before
    assert head == floor.ledger.head()
    assert reached == list(range(1, head.seq + 1))
    assert compared(floor) == []


def test_of_a_long_text_only_what_differs_is_shown(floor):
    with floor.ledger.transaction() as conn:
        query = text("SELECT desk FROM station WHERE code = :code")
        desk = conn.execute(query, {"code": NAMES["W4"]}).scalar_one()
        assert len(desk) > 400
        changed = desk[:-3] + "X" + desk[-2:]
        update = text("UPDATE station SET desk = :desk WHERE code = :code")
        conn.execute(update, {"desk": changed, "code": NAMES["W4"]})
    [sentence] = compared(floor)
    assert sentence.startswith(f"station {NAMES['W4']}: desk is ...")
    is_now, should = sentence.split(": desk is ")[1].split(", the journal says ")
    assert (is_now != should, changed[-20:] in is_now, desk[-20:] in should) == (True, True, True)
    assert len(sentence) < 400


def test_the_line_goes_on_where_it_was(floor):
    with floor.ledger.transaction() as conn:
        rebuild(conn)
    floor.play(LINE, "sleeve 1 -> MATCH\nCLOSE -> DONE")
    assert floor.read("carton", "units", sscc=n("carton 2")) == [(2,)]


def forge(conn, kind, body):
    """An entry that follows well from the one before, and yet is none that this plant's tables can take."""
    head = journal.head(conn)
    entry = Entry(
        head.seq + 1, Stamp("2031-03-03T08:00:00+01:00", "2031-03-03T07:00:00Z"), kind, body, head.hash
    )
    canonical = entry.canonical()
    made = JournalRow(entry.seq, entry_hash(canonical), canonical, None, kind)
    journal.store(conn, made)
    return Head(made.seq, made.hash)


@pytest.mark.parametrize(
    ("kind", "body", "error", "sentence"),
    [
        ("carton-closed", {"carton": "000", "units": 1}, ProjectionDiffers,
         "entry {} (carton-closed) cannot be projected: the ledger has 0 rows of carton for sscc 000: expected one"),
        ("pallet-opened", {"pallet": "000"}, ProjectionDiffers,
         "entry {} (pallet-opened) cannot be projected: NOT NULL constraint failed: pallet.station"),
        ("song-sung", {}, NewerJournal,
         "entry {} is of kind 'song-sung', which this program does not know: use a newer program"),
    ],
)  # fmt: skip
def test_an_entry_that_cannot_be_projected_is_named_and_nothing_is_changed(
    floor, kind, body, error, sentence
):
    with floor.ledger.transaction() as conn:
        forged = forge(conn, kind, body)
        before = everything(conn)
    with pytest.raises(error) as caught, floor.ledger.transaction() as conn:
        rebuild(conn)
    # What the database itself says of its rule is its own, in one line.
    told, *_ = sentence.format(forged.seq).split("NOT NULL")
    assert str(caught.value).startswith(told)
    assert told == str(caught.value) or ("station" in str(caught.value) and "\n" not in str(caught.value))
    with floor.ledger.reading() as conn:
        assert everything(conn) == before
    assert floor.ledger.verify() == forged


@pytest.mark.parametrize("table", ["journal", "journal_pack"])
def test_a_journal_that_does_not_verify_is_not_rebuilt_from(floor, table):
    """The file itself is edited, past the triggers."""
    with floor.ledger.transaction() as conn:
        before = everything(conn)
        unguard(conn, table)
        seq = conn.execute(text("SELECT MIN(seq) FROM journal_pack")).scalar()
        column, value = ("stored", b"{}") if table == "journal" else ("packed", zlib.compress(b"[]"))
        conn.execute(
            text(f"UPDATE {table} SET {column} = :value WHERE seq = :seq"), {"value": value, "seq": seq}
        )
    for act in (floor.ledger.verify, lambda: rebuilt(floor)):
        with pytest.raises(BrokenChain) as caught:
            act()
        assert caught.value.seq == seq
    with floor.ledger.reading() as conn:
        assert everything(conn) == before


def rebuilt(floor):
    with floor.ledger.transaction() as conn:
        rebuild(conn)


def test_a_pack_that_is_not_even_compressed_is_located(floor):
    with floor.ledger.transaction() as conn:
        unguard(conn, "journal_pack")
        seq = conn.execute(text("SELECT MAX(seq) FROM journal_pack")).scalar()
        change(conn, "journal_pack", {"packed": b"\xff"}, seq=seq)
    with pytest.raises(BrokenChain) as caught:
        floor.ledger.verify()
    assert caught.value.seq == seq
