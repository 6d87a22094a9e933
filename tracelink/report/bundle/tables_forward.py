"""Tables of a bundle that look forward: movements, cartons, pallets, shipments, balances."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from tracelink.facts.bundle_content import BundleFacts, CartonNote, Entry
from tracelink.ledger.export_rule import BundleTable
from tracelink.ledger.kinds.dock import ShipmentDeparted
from tracelink.ledger.kinds.line import DiscsSleeved
from tracelink.ledger.kinds.press import StackTaken
from tracelink.report.bundle.tables_sums import sum_tables
from tracelink.report.format.disc_columns import MAY_HOLD
from tracelink.report.format.table import Cell, Kind, Table, keyed, table

Row = tuple[Cell, ...]


def forward_tables(facts: BundleFacts) -> list[Table]:
    """Return the tables on where the discs went, in reading order."""
    return [_stacks(facts), _runs(facts), _cartons(facts), _pallets(facts), _shipments(facts), _consignees(facts),
            _returns(facts), _movements(facts), *sum_tables(facts)]  # fmt: skip


def moves(entry: Entry) -> Iterator[dict[str, str | int | None]]:
    """Yield the movements of an entry."""
    body = entry["body"]
    yield from body.get("moves") or ([body["moved"]] if isinstance(body.get("moved"), dict) else [])


def _stacks(facts: BundleFacts) -> Table:
    rows: list[Row] = [
        (
            body.spindle,
            move.lot,
            "not recorded" if move.first is None else f"{move.first}–{move.last}",
            move.quantity,
            entry["event_time"],
            facts.where(entry["station"]),
            facts.who(entry["person"]),
            entry["seq"],
        )
        for entry, body in facts.of_kind(StackTaken)
        for move in body.moves
    ]
    columns = (
        ("spindle", Kind.CODE), ("lot", Kind.CODE), ("strokes", Kind.CODE), ("discs", Kind.COUNT), ("stacked at", Kind.TIME), ("press", Kind.TEXT), ("by", Kind.TEXT),
        ("entry", Kind.NUMBER),
    )  # fmt: skip
    return table("stacks", "Stacks: discs taken from the press onto spindles", keyed(columns), rows)


def _runs(facts: BundleFacts) -> Table:
    rows: list[Row] = []
    for entry, body in facts.of_kind(DiscsSleeved):
        discs: dict[str, int] = {}
        for move in body.moves:
            discs[move.lot] = discs.get(move.lot, 0) + move.quantity
        rows.append(
            (
                body.first_at,
                body.last_at,
                facts.where(entry["station"]),
                facts.who(entry["person"]),
                ", ".join(dict.fromkeys(move.source for move in body.moves)),
                ", ".join(f"{count} of {lot}" for lot, count in discs.items()),
                body.batch,
                body.units,
                body.carton,
                entry["seq"],
            )
        )
    columns = (
        ("first match", Kind.TIME), ("last match", Kind.TIME), ("line", Kind.TEXT), ("by", Kind.TEXT), ("from spindle", Kind.TEXT), ("discs", Kind.TEXT),
        ("sleeves", Kind.CODE), ("units", Kind.COUNT), ("into carton", Kind.CODE), ("entry", Kind.NUMBER),
    )  # fmt: skip
    return table(
        "packing-runs", "Sleeved and packed: runs of matches of disc and sleeve", keyed(columns), rows
    )


def discs_in(facts: BundleFacts) -> dict[str, dict[str, int]]:
    """Return carton -> lot -> discs, added up from the movements of the bundle's entries."""
    found: dict[str, dict[str, int]] = {}
    for entry in facts.entries:
        for move in moves(entry):
            for place, sign in ((str(move["target"]), 1), (str(move["source"]), -1)):
                if place in facts.cartons:
                    lots = found.setdefault(place, {})
                    lots[str(move["lot"])] = lots.get(str(move["lot"]), 0) + sign * int(move["quantity"] or 0)
    return found


def standing(facts: BundleFacts, code: str) -> tuple[str, str, str]:
    """Return the pallet, the location and the shipment that a carton is in now; empty text for none."""
    found = {"pallet": "", "location": "", "shipment": ""}
    todo = facts.parents(code)
    while todo:
        parent = todo.pop()
        what = (
            "shipment" if parent in facts.shipments else "location" if parent in facts.locations else "pallet"
        )
        found[what] = parent
        todo += facts.parents(parent)
    place = found["location"]
    if place:
        found["location"] = f"{facts.locations[place]} ({place})"
    return found["pallet"], found["location"], found["shipment"]


def _cartons(facts: BundleFacts) -> Table:
    contents = discs_in(facts)
    packed: dict[str, list[tuple[Entry, DiscsSleeved]]] = {}
    for entry, body in facts.of_kind(DiscsSleeved):
        packed.setdefault(body.carton, []).append((entry, body))
    rows = [
        _carton(facts, code, note, contents.get(code, {}), packed.get(code, []))
        for code, note in facts.cartons.items()
    ]
    columns = (
        ("carton", Kind.CODE), ("product", Kind.TEXT), ("status", Kind.CODE), ("units", Kind.COUNT), ("discs by lot", Kind.TEXT), ("sleeves", Kind.TEXT),
        ("packed from", Kind.TIME), ("to", Kind.TIME), ("on pallet", Kind.CODE), ("location", Kind.TEXT), ("shipment", Kind.CODE), ("consignee", Kind.TEXT),
        ("last entry", Kind.COUNT),
    )  # fmt: skip
    return table("cartons", "Cartons", keyed(columns), rows, "No carton holds a disc of it.")


def _carton(
    facts: BundleFacts,
    code: str,
    note: CartonNote,
    contents: dict[str, int],
    packed: list[tuple[Entry, DiscsSleeved]],
) -> Row:
    pallet, location, shipment = standing(facts, code)
    product = facts.products.get(note.gtin)
    sent = facts.shipments.get(shipment)
    return (
        code,
        product.title if product else note.gtin,
        note.status,
        note.units,
        ", ".join(f"{count} of {lot}" for lot, count in sorted(contents.items()) if count),
        ", ".join(note.batches),
        packed[0][1].first_at if packed else "",
        packed[-1][1].last_at if packed else "",
        pallet,
        location,
        shipment,
        sent.consignee if sent else "",
        packed[-1][0]["seq"] if packed else None,
    )


def _pallets(facts: BundleFacts) -> Table:
    rows: list[Row] = []
    for code, status in facts.pallets.items():
        cartons = [carton for carton in facts.cartons if code in facts.parents(carton)]
        _, location, shipment = standing(facts, code)
        rows.append(
            (
                code,
                status,
                len(cartons),
                sum(facts.cartons[each].units for each in cartons),
                location,
                shipment,
            )
        )
    columns = (
        ("pallet", Kind.CODE), ("status", Kind.CODE), ("cartons of this bundle", Kind.COUNT), ("units in them", Kind.COUNT), ("location", Kind.TEXT),
        ("shipment", Kind.CODE),
    )  # fmt: skip
    return table(
        "pallets",
        "Pallets; other cartons may stand on them",
        keyed(columns),
        rows,
        "No carton stands on a pallet.",
    )


def _discs_title(facts: BundleFacts) -> str:
    """What the discs in the cartons of the bundle are: a case has only the cartons that can hold an affected one."""
    return "discs of these lots" if facts.case is None else MAY_HOLD.title


def _shipments(facts: BundleFacts) -> Table:
    contents = discs_in(facts)
    departed = {body.shipment: entry for entry, body in facts.of_kind(ShipmentDeparted)}
    rows: list[Row] = []
    for code, note in facts.shipments.items():
        inside = [carton for carton in facts.cartons if standing(facts, carton)[2] == code]
        discs = sum(
            count for carton in inside for lot, count in contents.get(carton, {}).items() if lot in facts.lots
        )
        entry = departed.get(code)
        rows.append(
            (code, note.order, note.consignee, note.country, note.status, note.departed_at or "not recorded",
             len(inside), sum(facts.cartons[each].units for each in inside), discs, entry["seq"] if entry else None)
        )  # fmt: skip
    columns = (
        ("shipment", Kind.CODE), ("order", Kind.TEXT), ("consignee", Kind.TEXT), ("country", Kind.CODE), ("status", Kind.CODE), ("left at", Kind.TIME),
        ("cartons", Kind.COUNT), ("units", Kind.COUNT), (_discs_title(facts), Kind.COUNT), ("entry", Kind.NUMBER),
    )  # fmt: skip
    return table("shipments", "Shipments", keyed(columns), rows, "Nothing of it was loaded.")


def _consignees(facts: BundleFacts) -> Table:
    contents = discs_in(facts)
    sums: dict[tuple[str, str], list[int]] = {}
    for carton, note in facts.cartons.items():
        shipment = standing(facts, carton)[2]
        sent = facts.shipments.get(shipment)
        key = (sent.consignee, sent.country) if sent and sent.status == "shipped" else ("(still here)", "")
        line = sums.setdefault(key, [0, 0, 0])
        discs = sum(count for lot, count in contents.get(carton, {}).items() if lot in facts.lots)
        line[:] = line[0] + 1, line[1] + note.units, line[2] + discs
    rows: list[Row] = [(name, country, *line) for (name, country), line in sorted(sums.items())]
    columns = (
        ("consignee", Kind.TEXT),
        ("country", Kind.CODE),
        ("cartons", Kind.COUNT),
        ("units", Kind.COUNT),
        (_discs_title(facts), Kind.COUNT),
    )
    return table(
        "consignees",
        "Who has how much, by what left the plant",
        keyed(columns),
        rows,
        "No carton was packed.",
    )


def _returns(facts: BundleFacts) -> Table:
    rows: list[Row] = []
    for entry, _ in facts.of_table(BundleTable.RETURNS):
        body = entry["body"]
        left = body.get("left") or {}
        what = body.get("carton") or left.get("child") or _loose(body)
        witness = facts.who(body.get("witness"))
        rows.append((entry["event_time"], entry["kind"], what, facts.who(entry["person"]), witness,
                     entry["reason"] or "", entry["seq"]))  # fmt: skip
    columns = (
        ("at", Kind.TIME), ("act", Kind.CODE), ("what", Kind.TEXT), ("by", Kind.TEXT), ("witness", Kind.TEXT), ("reason", Kind.TEXT), ("entry", Kind.NUMBER),
    )  # fmt: skip
    return table(
        "returns",
        "Returned, restocked, destroyed",
        keyed(columns),
        rows,
        "Nothing came back or was destroyed.",
    )


def _loose(body: Mapping[str, Any]) -> str:
    """What came back without a carton."""
    if "gtin" in body:
        numbers = [body["serial"]] if "serial" in body else body["serials"]
        return f"numbers {', '.join(numbers)}"
    if "moved" in body:
        return f"{body['moved']['quantity']} of {body['moved']['lot']}"
    lots = body.get("lot") or " or ".join(body.get("candidates", ())) or "an unknown lot"
    return f"{body.get('discs', 'no')} discs of {lots}"


def _movements(facts: BundleFacts) -> Table:
    rows = [
        (entry["seq"], entry["event_time"], entry["kind"], move["lot"], move["quantity"], move["source"],
         move["target"], move["first"], move["last"])
        for entry in facts.entries
        for move in moves(entry)
    ]  # fmt: skip
    columns = (
        ("entry", Kind.NUMBER), ("at", Kind.TIME), ("act", Kind.CODE), ("lot", Kind.CODE), ("discs", Kind.COUNT), ("from", Kind.CODE), ("to", Kind.CODE),
        ("first stroke", Kind.NUMBER), ("last stroke", Kind.NUMBER),
    )  # fmt: skip
    return table("movements", "Every movement of discs", keyed(columns), rows)
