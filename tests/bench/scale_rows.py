"""The baseline of the containment benchmark: one row per disc, and a query written by hand for it.

It records for each disc which run segment made it, which stack it lay on and which carton it went into, as if
somebody had known that for every single disc; edges are clustered one way and indexed the other, filled in order.
Two kinds: with keys like the ledger's own (codes of ten characters, and the entry that wrote each edge), and as lean
as such a schema can be made: whole numbers for everything, and nothing else.
"""

import time
from pathlib import Path
from typing import Any

import pysqlite3
from scale_plant import CARTON, CHANGE, LOT, STACK, THROWN

_LEAN = """
CREATE TABLE item (id INTEGER PRIMARY KEY, kind INTEGER NOT NULL);
CREATE TABLE edge (parent INTEGER NOT NULL, child INTEGER NOT NULL, PRIMARY KEY (parent, child)) WITHOUT ROWID;
"""
_LIKE_OURS = """
CREATE TABLE item (id TEXT PRIMARY KEY, kind INTEGER NOT NULL) WITHOUT ROWID;
CREATE TABLE edge (parent TEXT NOT NULL, child TEXT NOT NULL, seq INTEGER NOT NULL, PRIMARY KEY (parent, child))
    WITHOUT ROWID;
"""
_FORWARD = """
WITH RECURSIVE reached(id) AS (
    SELECT :root UNION SELECT e.child FROM reached r CROSS JOIN edge e ON e.parent = r.id
) SELECT i.id, i.kind FROM reached r CROSS JOIN item i ON i.id = r.id
"""
_BACK = """
WITH RECURSIVE reached(id) AS (
    SELECT :root UNION SELECT e.parent FROM reached r CROSS JOIN edge e ON e.child = r.id
) SELECT i.id, i.kind FROM reached r CROSS JOIN item i ON i.id = r.id
"""
# Item numbers: the millions tell the kind, so that filling needs no look-ups.
_FIRST = {
    "master": 1,
    "father": 10_000,
    "mother": 100_000,
    "stamper": 1_000_000,
    "compound": 3_000_000,
    "segment": 4_000_000,
    "stack": 10_000_000,
    "carton": 20_000_000,
    "pallet": 30_000_000,
    "shipment": 40_000_000,
    "disc": 100_000_000,
}
_KINDS = {name: place for place, name in enumerate(_FIRST)}


class Rows:
    """The baseline's database.

    Args:
        place: file to make.
        lean: whole numbers for keys instead of codes.
    """

    def __init__(self, place: Path, *, lean: bool) -> None:
        self.place = place
        self._lean = lean
        self._db = pysqlite3.connect(place, isolation_level=None)
        for pragma in ("journal_mode=WAL", "synchronous=OFF", "cache_size=-65536"):
            self._db.execute(f"PRAGMA {pragma}")

    def build(self, lots: int) -> float:
        """Fill it with the discs of `lots` lots; seconds taken."""
        began = time.perf_counter()
        self._db.executescript(_LEAN if self._lean else _LIKE_OURS)
        self._db.execute("BEGIN")
        carton = 0
        for lot in range(lots):
            carton = self._lot(lot, carton)
        self._db.execute("COMMIT")
        self._db.execute("CREATE INDEX ix_edge_child ON edge (child, parent)")
        self._db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        return time.perf_counter() - began

    def _lot(self, lot: int, carton: int) -> int:
        items: list[tuple[str, int]] = []
        edges: list[tuple[int, int]] = []
        disc = _FIRST["disc"] + lot * LOT
        before, late = _FIRST["segment"] + 2 * lot, _FIRST["segment"] + 2 * lot + 1
        self._tools(lot, items, edges)
        items += [("segment", before), ("segment", late)]
        for pair, segment in ((max(0, lot - 1), before), (lot, late)):
            edges += [(_FIRST["stamper"] + 2 * pair + side, segment) for side in (0, 1)]
            edges.append((_FIRST["compound"] + lot // 8, segment))
        pallet, shipment = _FIRST["pallet"] + lot, _FIRST["shipment"] + lot
        items += [("pallet", pallet), ("shipment", shipment)]
        edges.append((pallet, shipment))
        units = 0
        for stack in range(LOT // STACK):
            card = _FIRST["stack"] + lot * (LOT // STACK) + stack
            items.append(("stack", card))
            thrown = THROWN + (stack in (0, LOT // STACK - 1))
            for stroke in range(stack * STACK, (stack + 1) * STACK):
                items.append(("disc", disc + stroke))
                edges.append((before if stroke < CHANGE else late, disc + stroke))
                edges.append((card, disc + stroke))
                if stroke >= (stack + 1) * STACK - thrown:
                    continue
                if units == 0:
                    items.append(("carton", _FIRST["carton"] + carton))
                    edges.append((_FIRST["carton"] + carton, pallet))
                edges.append((disc + stroke, _FIRST["carton"] + carton))
                units += 1
                if units == CARTON:
                    units, carton = 0, carton + 1
        carton += units > 0
        self._write(lot, [(number, _KINDS[kind]) for kind, number in items], edges)
        return carton

    def _write(self, lot: int, items: list[tuple[int, int]], edges: list[tuple[int, int]]) -> None:
        if self._lean:
            self._db.executemany("INSERT INTO item VALUES (?, ?)", items)
            self._db.executemany("INSERT INTO edge VALUES (?, ?)", edges)
            return
        self._db.executemany("INSERT INTO item VALUES (?, ?)", [(_code(one), kind) for one, kind in items])
        rows = [
            (_code(parent), _code(child), lot * LOT + place) for place, (parent, child) in enumerate(edges)
        ]
        self._db.executemany("INSERT INTO edge VALUES (?, ?, ?)", rows)

    def _tools(self, lot: int, items: list[Any], edges: list[tuple[int, int]]) -> None:
        for side in (0, 1):
            father = _FIRST["father"] + 2 * (lot // 100) + side
            mother = _FIRST["mother"] + 2 * (lot // 10) + side
            stamper = _FIRST["stamper"] + 2 * lot + side
            if lot % 100 == 0:
                master = _FIRST["master"] + 2 * (lot // 100) + side
                items += [("master", master), ("father", father)]
                edges.append((master, father))
            if lot % 10 == 0:
                items.append(("mother", mother))
                edges.append((father, mother))
            items.append(("stamper", stamper))
            edges.append((mother, stamper))
        if lot % 8 == 0:
            items.append(("compound", _FIRST["compound"] + lot // 8))

    def size(self) -> int:
        """Bytes of the file."""
        return self.place.stat().st_size

    def key(self, kind: str, number: int) -> int | str:
        """The key of a thing: `number` counts lots for tools and compound, cartons for cartons."""
        each = {"father": 2 * (number // 100), "mother": 2 * (number // 10), "stamper": 2 * number}
        found = _FIRST[kind] + each.get(kind, number // 8 if kind == "compound" else number)
        return found if self._lean else _code(found)

    def forward(self, root: int | str) -> list[tuple[int | str, int]]:
        """Everything reached forward from an item."""
        found: list[tuple[int | str, int]] = self._db.execute(_FORWARD, {"root": root}).fetchall()
        return found

    def back(self, root: int | str) -> list[tuple[int | str, int]]:
        """The same backwards."""
        found: list[tuple[int | str, int]] = self._db.execute(_BACK, {"root": root}).fetchall()
        return found


def _code(number: int) -> str:
    return f"X{number:09d}"
