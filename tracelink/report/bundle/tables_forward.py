"""Tables of a bundle that look forward: movements, cartons, pallets, shipments, balances."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from tracelink.report.bundle.facts import BundleFacts, CartonNote, Entry
from tracelink.report.bundle.table import BundleTable, table
from tracelink.report.format.grids import GridCell
from tracelink.report.pages import balance_rows

Row = tuple[GridCell, ...]


def forward_tables(facts: BundleFacts) -> list[BundleTable]:
    """Return the tables on where the discs went, in reading order."""
    return [_stacks(facts), _runs(facts), _cartons(facts), _pallets(facts), _shipments(facts), _consignees(facts),
            _returns(facts), _movements(facts), _balance(facts), _labels(facts)]  # fmt: skip


def moves(entry: Entry) -> Iterator[dict[str, GridCell]]:
    """Yield the movements of an entry."""
    body = entry["body"]
    yield from body.get("moves") or ([body["moved"]] if isinstance(body.get("moved"), dict) else [])


def _stacks(facts: BundleFacts) -> BundleTable:
    rows: list[Row] = [
        (
            entry["body"]["spindle"],
            move["lot"],
            _strokes(move),
            move["quantity"],
            entry["event_time"],
            facts.where(entry["station"]),
            facts.who(entry["person"]),
            entry["seq"],
        )
        for entry in facts.of_kind("stack-taken")
        for move in moves(entry)
    ]
    columns = (
        ("spindle", ""), ("lot", ""), ("strokes", ""), ("discs", "n"), ("stacked at", "w"), ("press", "w"), ("by", "w"),
        ("entry", "n"),
    )  # fmt: skip
    return table("stacks", "Stacks: discs taken from the press onto spindles", columns, rows)


def _strokes(move: dict[str, GridCell]) -> str:
    return "not recorded" if move["first"] is None else f"{move['first']}–{move['last']}"


def _runs(facts: BundleFacts) -> BundleTable:
    rows: list[Row] = []
    for entry in facts.of_kind("discs-sleeved"):
        body = entry["body"]
        discs: dict[str, int] = {}
        for move in body["moves"]:
            discs[move["lot"]] = discs.get(move["lot"], 0) + move["quantity"]
        rows.append(
            (
                body["first_at"],
                body["last_at"],
                facts.where(entry["station"]),
                facts.who(entry["person"]),
                ", ".join(dict.fromkeys(move["source"] for move in body["moves"])),
                ", ".join(f"{count} of {lot}" for lot, count in discs.items()),
                body["batch"],
                body["units"],
                body["carton"],
                entry["seq"],
            )
        )
    columns = (
        ("first match", "w"), ("last match", "w"), ("line", "w"), ("by", "w"), ("from spindle", "w"), ("discs", "w"),
        ("sleeves", ""), ("units", "n"), ("into carton", ""), ("entry", "n"),
    )  # fmt: skip
    return table("packing-runs", "Sleeved and packed: runs of matches of disc and sleeve", columns, rows)


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


def _cartons(facts: BundleFacts) -> BundleTable:
    contents = discs_in(facts)
    packed: dict[str, list[Entry]] = {}
    for entry in facts.of_kind("discs-sleeved"):
        packed.setdefault(entry["body"]["carton"], []).append(entry)
    rows = [
        _carton(facts, code, note, contents.get(code, {}), packed.get(code, []))
        for code, note in facts.cartons.items()
    ]
    columns = (
        ("carton", ""), ("product", "w"), ("status", ""), ("units", "n"), ("discs by lot", "w"), ("sleeves", "w"),
        ("packed from", "w"), ("to", "w"), ("on pallet", ""), ("location", "w"), ("shipment", ""), ("consignee", "w"),
        ("last entry", "n"),
    )  # fmt: skip
    return table("cartons", "Cartons", columns, rows, "No carton holds a disc of it.")


def _carton(
    facts: BundleFacts, code: str, note: CartonNote, contents: dict[str, int], packed: list[Entry]
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
        packed[0]["body"]["first_at"] if packed else "",
        packed[-1]["body"]["last_at"] if packed else "",
        pallet,
        location,
        shipment,
        sent.consignee if sent else "",
        packed[-1]["seq"] if packed else None,
    )


def _pallets(facts: BundleFacts) -> BundleTable:
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
        ("pallet", ""), ("status", ""), ("cartons of this bundle", "n"), ("units in them", "n"), ("location", "w"),
        ("shipment", ""),
    )  # fmt: skip
    return table(
        "pallets", "Pallets; other cartons may stand on them", columns, rows, "No carton stands on a pallet."
    )


def _shipments(facts: BundleFacts) -> BundleTable:
    contents = discs_in(facts)
    departed = {entry["body"]["shipment"]: entry for entry in facts.of_kind("shipment-departed")}
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
        ("shipment", ""), ("order", "w"), ("consignee", "w"), ("country", ""), ("status", ""), ("left at", "w"),
        ("cartons", "n"), ("units", "n"), ("discs of these lots", "n"), ("entry", "n"),
    )  # fmt: skip
    return table("shipments", "Shipments", columns, rows, "Nothing of it was loaded.")


def _consignees(facts: BundleFacts) -> BundleTable:
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
        ("consignee", "w"),
        ("country", ""),
        ("cartons", "n"),
        ("units", "n"),
        ("discs of these lots", "n"),
    )
    return table(
        "consignees", "Who has how much, by what left the plant", columns, rows, "No carton was packed."
    )


_RETURNS = (
    "carton-returned", "discs-returned", "discs-came-back", "number-came-back", "carton-restocked", "discs-restocked",
    "numbers-restocked", "discs-destroyed", "numbers-destroyed",
)  # fmt: skip


def _returns(facts: BundleFacts) -> BundleTable:
    rows: list[Row] = []
    for entry in facts.of_kind(*_RETURNS):
        body = entry["body"]
        left = body.get("left") or {}
        what = body.get("carton") or left.get("child") or _loose(body)
        witness = facts.who(body.get("witness"))
        rows.append((entry["event_time"], entry["kind"], what, facts.who(entry["person"]), witness,
                     entry["reason"] or "", entry["seq"]))  # fmt: skip
    columns = (
        ("at", "w"), ("act", ""), ("what", "w"), ("by", "w"), ("witness", "w"), ("reason", "w"), ("entry", "n"),
    )  # fmt: skip
    return table(
        "returns", "Returned, restocked, destroyed", columns, rows, "Nothing came back or was destroyed."
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


def _movements(facts: BundleFacts) -> BundleTable:
    rows = [
        (entry["seq"], entry["event_time"], entry["kind"], move["lot"], move["quantity"], move["source"],
         move["target"], move["first"], move["last"])
        for entry in facts.entries
        for move in moves(entry)
    ]  # fmt: skip
    columns = (
        ("entry", "n"), ("at", ""), ("act", ""), ("lot", ""), ("discs", "n"), ("from", ""), ("to", ""),
        ("first stroke", "n"), ("last stroke", "n"),
    )  # fmt: skip
    return table("movements", "Every movement of discs", columns, rows, in_report=False)


def _balance(facts: BundleFacts) -> BundleTable:
    rows: list[Row] = []
    for balance, _ in facts.balances:
        for row in balance_rows.lot_rows(balance):
            entries = row["entries"]
            named = ", ".join(str(each) for each in entries[:12]) if isinstance(entries, list) else ""
            cells = (row["line"], row["term"], row["came"], row["went"])
            told = (*cells, row["difference"], row["basis"])
            rows.append((balance.lot, *map(_cell, told), named))
    columns = (
        ("lot", ""), ("line", "w"), ("term", "w"), ("came in", "n"), ("went or there", "n"), ("difference", "n"),
        ("by", "w"), ("entries to look at", "w"),
    )  # fmt: skip
    otherwise = "A balance is that of a whole lot; this bundle follows a part of one."
    return table("balance", "Does the lot add up? Differences with their sign", columns, rows, otherwise)


def _cell(value: object) -> GridCell:
    return value if isinstance(value, int | str) or value is None else str(value)


def _labels(facts: BundleFacts) -> BundleTable:
    rows: list[Row] = []
    for balance in facts.labels:
        records = balance.records
        within = "not known" if balance.difference is None else "within" if balance.within else "OUTSIDE"
        fates = ", ".join(f"{fate} {count}" for fate, count in records.fates.items())
        limit = f"{records.limit_permille / 10:g} % ({records.limit_source})"
        rows.append((records.subject, records.issued, fates, balance.difference, limit, within))
    columns = (
        ("labels", ""), ("issued", "n"), ("accounted for", "w"), ("difference", "n"), ("limit in force", "w"),
        ("judged", ""),
    )  # fmt: skip
    return table("label-balance", "Do the labels and sleeves add up, against which limit", columns, rows)
