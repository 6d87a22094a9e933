"""The plant file of the demo plant: what the ledger must know before the first scan."""

import json
from collections.abc import Mapping, Sequence
from typing import Any

from measure import Scale
from plantdata import (
    LOTS,
    ORDERS,
    PEOPLE,
    PLANT,
    PREFIX,
    PRODUCTS,
    SPARE_GATE,
    SPARE_LINE,
    STATIONS,
    Product,
    badge,
    code,
    station_code,
)
from pressroom import DISC_G, HOPPER_DISCS, REST_MINUTES
from reasons import reason_tables

Tables = list[dict[str, Any]]


def plant_file(scale: Scale) -> dict[str, Any]:
    """Return the plant file as data.

    Args:
        scale: how large the plant is.
    """
    return {
        "plant": {
            "name": PLANT,
            "company_prefix": PREFIX,
            "matrix_pattern": "[A-Z]{2}-[0-9]{3}-[A-D][1-9]",
            "matrix_example": "EX-101-A1",
            "settings": {
                "rest_minutes": REST_MINUTES,
                "disc_g": DISC_G,
                "hopper_g": DISC_G * scale.strokes(HOPPER_DISCS),
            },
        },
        "person": [{"code": badge(name), "name": name, "roles": list(roles)} for name, roles in PEOPLE],
        "station": [
            {"code": station_code(name), "area": area, "name": name} for area, name, _crew in STATIONS
        ]
        + [
            {"code": SPARE_LINE, "area": "line", "name": "Packing line 3"},
            {"code": SPARE_GATE, "area": "dock", "name": "Dock, gate 3"},
        ],
        "reason": reason_tables(),
        "item": [
            {"code": product.item(place), "name": name, "gtin": product.gtin, "status": "current"}
            for product in PRODUCTS
            for place, name in enumerate(product.items, 1)
        ],
        "product": [_product(product, scale) for product in PRODUCTS],
        "lot": [
            {
                "code": plan.code,
                "gtin": plan.product.gtin,
                "piece": plan.piece,
                "quantity": scale.strokes(plan.strokes),
            }
            for plan in LOTS
        ],
        "material": _compounds() + [label for product in PRODUCTS for label in _labels(product)],
        "sleeves": [batch for product in PRODUCTS for batch in _sleeves(product, scale)],
        "sscc": [
            {"what": "carton", "extension": "0", "first_serial": 100, "last_serial": 9999},
            {"what": "pallet", "extension": "1", "first_serial": 10, "last_serial": 999},
        ],
        "order": [
            {
                "code": order.code,
                "consignee": order.consignee,
                "country": order.country,
                "gtin": order.product.gtin,
                "quantity": order.pallets
                * scale.pack(order.product.pallet)
                * scale.pack(order.product.carton),
            }
            for order in ORDERS
        ],
    }


def _product(product: Product, scale: Scale) -> dict[str, Any]:
    kit = [{"item": product.item(place), "name": name} for place, name in enumerate(product.items, 1)]
    prompt = [{"prompt": product.prompt}] if product.prompt else []
    return {
        **({"kit": kit + prompt} if kit else {}),
        "gtin": product.gtin,
        "catalogue_number": product.catalogue,
        "title": product.title,
        "numbered": bool(product.edition),
        "carton_size": scale.pack(product.carton),
        "parts": [
            {"matrix_a": product.matrix(piece, "A"), "matrix_b": product.matrix(piece, "B")}
            for piece in range(1, product.discs + 1)
        ],
    }


def _compounds() -> Tables:
    return [
        {"code": code("C", 10 * press + place), "what": "compound", "detail": f"black, silo {press}"}
        for press in (1, 2, 3)
        for place in range(10)
    ]


def _labels(product: Product) -> Tables:
    return [
        {
            "code": product.label(piece, side),
            "what": "label",
            "detail": f"{product.catalogue} disc {piece} side {side}",
            "gtin": product.gtin,
            "piece": piece,
            "side": side,
        }
        for piece in range(1, product.discs + 1)
        for side in "AB"
    ]


def _sleeves(product: Product, scale: Scale) -> Tables:
    if product.edition:
        copies = scale.strokes(product.edition)
        numbers = {"first_number": 1, "last_number": copies}
        return [{"code": product.batch, "gtin": product.gtin, "quantity": copies, **numbers}]
    planned = sum(plan.strokes for plan in LOTS if plan.product == product) // product.discs
    quantity = scale.strokes(planned)
    old = {"code": product.superseded_batch, "gtin": product.gtin, "quantity": 100, "superseded": True}
    return [old, {"code": product.batch, "gtin": product.gtin, "quantity": quantity}]


def as_toml(data: Mapping[str, Any]) -> str:
    """Return a plant file as TOML text.

    Args:
        data: sections, either one table or a list of tables; text must be plain enough to be the same in JSON.
    """
    parts = ["# The demo plant. Everything in it is invented; GS1 reserves the prefix 952 for examples.\n"]
    for name, section in data.items():
        if isinstance(section, Mapping):
            parts.append(_table(f"[{name}]", section))
        else:
            parts += [_table(f"[[{name}]]", fields) for fields in section]
    return "\n".join(parts)


def _table(head: str, fields: Mapping[str, Any]) -> str:
    return head + "\n" + "".join(f"{name} = {_value(value)}\n" for name, value in fields.items())


def _value(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{name} = {_value(inner)}" for name, inner in value.items()) + " }"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return "[" + ", ".join(_value(inner) for inner in value) + "]"
    return json.dumps(value)
