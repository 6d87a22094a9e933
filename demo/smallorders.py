"""After the ten days: two small orders from a file, a pallet that leaves in part, returns, and a count that differs.

All of it happens at the third gate, from a log of its own.
"""

import csv
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from clockwork import day_start
from plantdata import DOGWOOD, FIR, HERON, LEDGER, MILLS, MOTH, SPARE_GATE, badge, badge_scan, code
from reasons import DELIVERED_TWICE, ORDERED_ALONE, SEALED, SPLIT
from stock import PHASE_2_DAY, Carton, Pallet, Plant
from writer import write_log

from tracelink.identity.rawlines import raw_act, raw_numbered_sleeve, raw_plant, raw_sscc

EVENING = day_start(PHASE_2_DAY) + 22 * 3600 + 600
"""When the others have gone home."""


@dataclass(frozen=True, slots=True)
class SmallOrders:
    """What the story needs of them."""

    orders: Path
    log: Path
    two_lines: str
    """The order of two products."""
    part: str
    """The order for one carton of a pallet."""
    codes: dict[str, Any]
    """For the story."""


def prepare(out: Path, plant: Plant) -> SmallOrders:
    """Write the order file and the log.

    Args:
        out: the demo's folder.
        plant: after its last day.
    """
    two_lines, part = code("O", 20851), code("O", 20852)
    whole = _free_pallets(plant, LEDGER)[0]
    loose = min(_loose(plant, HERON), key=_age)
    opened = _free_pallets(plant, MOTH)[0]
    single = opened.cartons[0]
    orders = out / "orders.csv"
    rows = [
        (two_lines, *DOGWOOD, LEDGER.gtin, whole.units),
        (two_lines, *DOGWOOD, HERON.gtin, loose.units),
        (part, *FIR, MOTH.gtin, single.units),
    ]
    with orders.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("order", "consignee", "country", "gtin", "quantity"))
        writer.writerows(rows)
    back = _returned(plant)
    scans = [
        *_shipping(two_lines, whole, loose),
        *_part(part, opened, single),
        *_returns(back),
        *_count(_loose(plant, MOTH)[0]),
    ]
    log = out / "logs" / "small-orders.jsonl"
    write_log(log, SPARE_GATE, [(EVENING + 8 * place, raw) for place, raw in enumerate(scans)])
    codes = {
        "orders": [two_lines, part],
        "opened_pallet": opened.sscc,
        "single_carton": single.sscc,
        "returned_carton": back.carton,
        "returned_numbers": list(back.numbers),
        "destroyed_number": back.loose,
        "counted_carton": _loose(plant, MOTH)[0].sscc,
    }
    return SmallOrders(orders, log, two_lines, part, codes)


def _age(thing: Pallet | Carton) -> tuple[str, str]:
    return min(thing.lots), thing.sscc


def _free_pallets(plant: Plant, product: Any) -> list[Pallet]:
    found = [p for p in plant.pallets if p.product == product and p.accepted and p.order is None]
    return sorted(found, key=_age)


def _loose(plant: Plant, product: Any) -> list[Carton]:
    return [carton for carton in plant.cartons[product.gtin] if not carton.held]


def _shipping(order: str, pallet: Pallet, carton: Carton) -> list[str]:
    label = raw_sscc(carton.sscc)
    ship = [raw_act("SHIP"), raw_plant(order), raw_sscc(pallet.sscc)]
    return [badge_scan("Quin"), *ship, raw_act("PICK"), label, label, raw_act("DEPART")]


def _part(order: str, pallet: Pallet, carton: Carton) -> list[str]:
    """One carton is taken off an accepted pallet, which is accepted anew without it."""
    whole, label = raw_sscc(pallet.sscc), raw_sscc(carton.sscc)
    opened = [raw_act("REOPEN"), whole, ORDERED_ALONE.scan, raw_act("UNSTACK"), label, ORDERED_ALONE.scan]
    closed = [raw_act("CLOSE"), raw_act("ACCEPT"), whole]
    return [
        *opened,
        *closed,
        raw_act("SHIP"),
        raw_plant(order),
        raw_act("PICK"),
        label,
        label,
        raw_act("DEPART"),
    ]


@dataclass(frozen=True, slots=True)
class _Back:
    """A carton of the numbered edition, and one sleeve of another, that come back."""

    carton: str
    numbers: tuple[int, ...]
    loose: int


def _returned(plant: Plant) -> _Back:
    pallet = next(p for p in plant.pallets if p.product == MILLS and p.order is not None)
    first, second = (carton.sscc for carton in pallet.cartons[:2])
    numbers = tuple(number for number, carton in plant.numbered_in.items() if carton == first)
    loose = next(number for number, carton in plant.numbered_in.items() if carton == second)
    return _Back(first, numbers, loose)


def _returns(back: _Back) -> list[str]:
    def sleeve(number: int) -> str:
        return raw_numbered_sleeve(MILLS.gtin, str(number))

    matrix = f'"{MILLS.matrix(1, "A")}'
    return [
        *(raw_act("RETURN"), raw_sscc(back.carton), DELIVERED_TWICE.scan, *map(sleeve, back.numbers)),
        *(raw_act("RETURNNOMARK"), matrix, "#1", sleeve(back.loose)),
        *(badge_scan("June"), raw_act("RESTOCK"), raw_sscc(back.carton), SEALED.scan),
        *(raw_act("DESTROY"), "#2", SPLIT.scan, badge_scan("Kofi")),
        # The sleeve that was destroyed a minute ago is held before the reader again.
        sleeve(back.loose),
    ]


def _count(carton: Carton) -> list[str]:
    """A loose carton is counted: one less than the records say."""
    return [raw_act("COUNT"), raw_sscc(carton.sscc), f"#{carton.units - 1}"]


BY = badge("Pia")
"""Who takes the orders."""
