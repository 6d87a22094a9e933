"""Random histories: the tables are the journal's shadow, no disc appears or vanishes, no scan raises."""

from collections import Counter
from functools import cache

import pytest
from sqlalchemy import insert, select
from support_campaign import seeds
from support_histories import History, dock_history, history
from support_schema import empty_ledger
from support_session import noted

from tracelink.ledger.entry import read_entry
from tracelink.ledger.kinds.registry import KINDS
from tracelink.ledger.origin import FROM_FILE, OF_PARTNERS
from tracelink.ledger.packs import unpack_scans
from tracelink.station.station_states import read_state
from tracelink.store.database.tables import SHADOW
from tracelink.store.database.tables_stations import SPOOL_IN_ORDER, spool
from tracelink.store.journal import journal
from tracelink.store.journal.rebuild import differences, rebuild, replay
from tracelink.store.stations.judge_again import judge_again

SEEDS = seeds((1, 5, 6, 10, 12, 18, 25, 27, 30, 56))
"""Of the first 64 the seven that together reach every kind of entry, and the three that add most findings to them."""

MORE_SEEDS = range(64)
"""Looked through for kinds of entries that the seeds above do not reach."""

SCANS = 500

AREAS = (
    "tools", "press", "press_corrections", "lab", "line", "packing", "packing_changes", "dock", "warehouse", "returns", "station",
)  # fmt: skip
"""The modules of kinds that stations write; the others are written by commands, and so is what comes from a file."""

OLD = {"discs-returned"}
"""Kinds that only older programs wrote."""


@cache
def _play(seed) -> History:
    # A quarter are histories of two busy docks.
    made = history(seed) if seed % 32 < 24 else dock_history(seed)
    made.run(SCANS)
    return made


# Of the module, so that every test of one history comes before the next history: each worker plays its own share.
@pytest.fixture(scope="module", params=SEEDS)
def played(request, tmp_path_factory):
    made = _play(request.param)
    noted(tmp_path_factory, f"history-{request.param}", lambda: _reach(made))
    return made


def _reach(made):
    """The kinds of entries of a history, and how many of its scans wait in the spool."""
    kinds = sorted(set(made.floor.kinds()))
    return kinds, made.floor.count("spool")


def dump(conn):
    tables = {table.name: sorted(map(repr, conn.execute(select(table)))) for table in (*SHADOW, spool)}
    return {name: rows for name, rows in tables.items() if rows}


def test_a_rebuild_in_place_gives_the_very_same_rows(played):
    with played.floor.ledger._engine.begin() as conn:
        before = dump(conn)
        rebuild(conn)
        after = dump(conn)
    assert before == after, played.shown()


def test_a_replay_into_a_fresh_ledger_gives_the_very_same_rows(played):
    engine = empty_ledger()
    with played.floor.ledger.reading() as live, engine.begin() as fresh:
        spooled = [dict(row) for row in live.execute(SPOOL_IN_ORDER).mappings()]
        head = replay(fresh, journal.rows(live), spooled)
        if spooled:
            fresh.execute(insert(spool), spooled)
        assert differences(live, fresh) == [], played.shown()
        assert dump(live) == dump(fresh)
    assert head == played.floor.ledger.verify() == played.floor.ledger.head()


def test_discs_are_conserved(played):
    """For each lot: all places together hold what the press counted, each place what came minus what left.

    Loose discs that came back are counted twice, once in the carton they were sent in, by exactly their number.
    """
    rows = played.floor.rows
    over = rows(
        "SELECT l.code, l.counter, SUM(k.quantity) FROM lot l LEFT JOIN stock k ON k.lot = l.code "
        "GROUP BY l.code HAVING l.counter + (SELECT COALESCE(SUM(m.quantity), 0) FROM movement m "
        "WHERE m.lot = l.code AND m.source = 'customers') <> COALESCE(SUM(k.quantity), 0)"
    )
    assert over == []
    moved = {("counter", lot): n for lot, n in rows("SELECT code, counter FROM lot WHERE counter > 0")}
    for lot, quantity, source, target in rows("SELECT lot, quantity, source, target FROM movement"):
        if source != "customers":
            moved[(source, lot)] = moved.get((source, lot), 0) - quantity
        moved[(target, lot)] = moved.get((target, lot), 0) + quantity
    assert moved == {(place, lot): n for place, lot, n in rows("SELECT place, lot, quantity FROM stock")}
    assert min(moved.values()) >= 0


def test_every_match_shown_is_a_disc_in_a_carton(played):
    """Sealed or still in the spool; but for the discs of unfinished sets that were taken apart again."""
    rows = played.floor.rows
    [(sealed,)] = rows("SELECT COALESCE(SUM(k.quantity), 0) FROM stock k JOIN carton c ON c.sscc = k.place")
    [(apart,)] = rows(
        "SELECT COALESCE(SUM(m.quantity), 0) FROM movement m JOIN carton c ON c.sscc = m.source "
        "WHERE m.target NOT IN (SELECT sscc FROM carton)"
    )
    # What came back and was restocked left its carton and is in it again.
    [(back,)] = rows(
        "SELECT COALESCE(SUM(m.quantity), 0) FROM movement m JOIN carton c ON c.sscc = m.target "
        "WHERE m.source LIKE 'return %'"
    )
    [(spooled,)] = rows("SELECT COUNT(*) FROM spool WHERE spindle IS NOT NULL")
    assert sealed + spooled + apart - back == played.matches, played.shown()


def test_the_spool_can_be_sealed(played):
    """What is spooled takes no more discs from a spindle than it has, and no number twice."""
    rows = played.floor.rows
    over = rows(
        "SELECT p.spindle FROM spool p LEFT JOIN stock k ON k.place = p.spindle AND k.lot = p.lot "
        "WHERE p.spindle IS NOT NULL GROUP BY p.spindle HAVING COUNT(*) > COALESCE(MAX(k.quantity), 0)"
    )
    assert over == []
    numbers = rows("SELECT gtin, number FROM numbered_sleeve") + rows(
        "SELECT c.gtin, p.sleeve_number FROM spool p JOIN carton c ON c.sscc = p.carton "
        "WHERE p.sleeve_number IS NOT NULL"
    )
    assert len(numbers) == len(set(numbers))


def test_what_a_carton_holds_adds_up(played):
    """Units are the sleeves by batch; numbers, discs and items are what so many units need, plus the unit in hand."""
    rows = played.floor.rows
    assert (
        rows(
            "SELECT c.sscc FROM carton c LEFT JOIN carton_sleeve s ON s.carton = c.sscc GROUP BY c.sscc "
            "HAVING c.units <> COALESCE(SUM(s.units), 0) OR c.units < 0 OR MIN(s.units) < 0"
        )
        == []
    )
    assert (
        rows(
            # A sleeve that came back loose and is packed again is in another carton; the one sent stays as it was sent.
            "SELECT c.sscc FROM carton c JOIN product p ON p.gtin = c.gtin WHERE c.units * p.numbered <> "
            "(SELECT COUNT(*) FROM numbered_sleeve n WHERE n.carton = c.sscc) AND c.sscc NOT IN (SELECT n.child "
            "FROM nesting n LEFT JOIN nesting m ON m.child = n.parent JOIN shipment d ON d.code IN (n.parent, m.parent) "
            "WHERE d.status = 'shipped')"
        )
        == []
    ), played.shown()
    # What is shipped or closed has no unit in hand.
    assert (
        rows(
            "SELECT c.sscc FROM carton c WHERE c.status = 'closed' AND c.units * (SELECT COUNT(*) FROM product_part q "
            "WHERE q.gtin = c.gtin) <> (SELECT COALESCE(SUM(k.quantity), 0) FROM stock k WHERE k.place = c.sscc)"
        )
        == []
    ), played.shown()
    assert (
        rows(
            "SELECT c.sscc, i.item FROM carton c JOIN kit_piece i ON i.gtin = c.gtin AND i.item IS NOT NULL "
            "WHERE c.status = 'closed' AND c.units <> COALESCE((SELECT x.quantity FROM carton_item x WHERE "
            "x.carton = c.sscc AND x.item = i.item), 0)"
        )
        == []
    ), played.shown()


def test_a_hold_back_ends_when_every_unit_was_rechecked_or_taken_out(played):
    """What a desk holds back is what the tables say, and nothing is packed into a carton meanwhile."""
    left = dict(played.floor.read("hold_back", "station", "left"))
    for station, desk in played.floor.read("station", "code", "desk", area="line"):
        held = read_state("line", desk).held
        assert (None if held is None else held.left) == left.get(station), played.shown()
    since = {}
    for (canonical,) in played.floor.read("journal", "canonical", order="seq"):
        entry = read_entry(bytes(canonical))
        station = entry.stamp.station
        if entry.kind == "hold-back-opened":
            since[station] = entry.body["units"]
        elif entry.kind == "units-rechecked":
            since[station] -= entry.body["units"]
        elif entry.kind == "unit-taken-out" and entry.body["held_back"]:
            since[station] -= 1
        elif entry.kind == "hold-back-closed":
            assert since.pop(station) == 0, entry
        elif entry.kind in ("discs-sleeved", "carton-closed", "carton-opened", "cartons-merged"):
            assert station not in since, entry
    assert since == left


def test_a_stamper_is_on_one_press_and_a_child_in_one_parent(played):
    rows = played.floor.rows
    mounted = rows(
        "SELECT s.stamper_a, s.stamper_b FROM lot l JOIN run_segment s ON s.lot = l.code WHERE l.status IN "
        "('set up', 'running') AND s.\"first\" = (SELECT MAX(t.\"first\") FROM run_segment t WHERE t.lot = l.code)"
    )
    stampers = [code for pair in mounted for code in pair]
    assert len(stampers) == len(set(stampers))
    children = rows("SELECT child FROM nesting WHERE closed_seq IS NULL")
    assert len(children) == len(set(children))


def test_nothing_held_or_not_released_leaves(played):
    """What a shipment departs with was free at that entry: no open hold on it, its lots released."""
    entries = played.floor.read("journal", "kind", "canonical", order="seq")
    shipped = [canonical for kind, canonical in entries if kind in ("shipment-departed", "lot-decided")]
    nests = played.floor.read("nesting", "child", "parent", "opened_seq", "closed_seq")
    moves = played.floor.read("movement", "seq", "lot", "quantity", "source", "target")

    def inside(parent, seq):
        return [
            c for c, p, opened, closed in nests if p == parent and opened < seq and (closed or seq) >= seq
        ]

    def lots_in(place, seq):
        held = Counter()
        for at, lot, quantity, source, target in moves:
            if at < seq:
                held[lot] += quantity * ((target == place) - (source == place))
        return {lot for lot, quantity in held.items() if quantity}

    decision = {}
    for canonical in shipped:
        entry = read_entry(bytes(canonical))
        if entry.kind == "lot-decided":
            decision[entry.body["lot"]] = entry.body["decision"]
            continue
        on_it = inside(entry.body["shipment"], entry.seq)
        assert set(entry.body["pallets"]) <= set(on_it)
        cartons = [carton for thing in on_it for carton in (inside(thing, entry.seq) or [thing])]
        assert cartons
        for carton in cartons:
            found = {decision.get(lot) for lot in lots_in(carton, entry.seq)}
            assert found == {"released"}, (carton, entry)


def test_the_records_keep_every_raw_scan_once(played):
    """Packs and spool together hold each station's scans 1, 2, 3, ... in the characters that came."""
    kept = {}

    def keep(station, number, raw):
        assert number not in kept.setdefault(station, {}), (station, number)
        kept[station][number] = raw

    with played.floor.ledger.reading() as conn:
        for row in journal.rows(conn):
            station = read_entry(row.canonical).stamp.station
            for scan in unpack_scans(row.pack) if row.pack else ():
                keep(station, scan.number, scan.raw)
        for station, number, raw in conn.exec_driver_sql("SELECT station, number, raw FROM spool"):
            keep(station, number, raw)
    came = {}
    for station, raw, _verdict in played.log:
        came.setdefault(station, []).append(raw)
    for station, raws in came.items():
        assert sorted(kept[station]) == list(range(1, len(kept[station]) + 1))
        assert [kept[station][n] for n in sorted(kept[station])][-len(raws) :] == raws, station


def test_every_entry_follows_from_its_scans(played):
    """Judged again in their turns, by stations that know only what the ledger held then."""
    with played.floor.ledger.reading() as conn:
        found = judge_again(conn)
    assert found.unforced is None, (found.unforced.sentence, played.shown())
    assert (found.not_judged, found.reworded) == (0, 0)


def test_the_histories_reach_every_kind_of_entry_that_scans_lead_to(tmp_path_factory):
    areas = {name: kind.__module__.rpartition(".")[2] for name, kind in KINDS.items()}
    assert set(AREAS) <= set(areas.values())
    scanned = {
        name
        for name, area in areas.items()
        if area in AREAS and KINDS[name].origin not in (FROM_FILE, OF_PARTNERS)
    }
    missing = scanned - OLD
    unfinished = []
    for seed in dict.fromkeys([*SEEDS, *MORE_SEEDS]):
        if seed in SEEDS or missing:
            # What another worker has played is not played again.
            kinds, spooled = noted(tmp_path_factory, f"history-{seed}", lambda seed=seed: _reach(_play(seed)))
            missing -= set(kinds)
            unfinished.append(spooled)
    assert missing == set()
    assert sum(unfinished) > len(unfinished)
