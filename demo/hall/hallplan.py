"""The second hall: what is built there of which parts, who works where, and who orders it; all invented."""

from typing import Any

from plantdata import badge, code, gtin
from plantfile import Tables

from hall.droptest import NAME, READINGS

STORE, MACHINE, SOLDER, BOARD_TEST, ARM_BENCH, UNIT_BENCH, FINAL_TEST, REWORK, PACKING, GATE = (
    code("W", number) for number in range(61, 71)
)
STATIONS = (
    (STORE, "assembly", "Parts store"),
    (MACHINE, "assembly", "Placing machine"),
    (SOLDER, "process", "Solder room"),
    (BOARD_TEST, "assembly", "Board test"),
    (ARM_BENCH, "assembly", "Arm bench"),
    (UNIT_BENCH, "assembly", "Unit bench"),
    (FINAL_TEST, "assembly", "Final test"),
    (REWORK, "assembly", "Rework bench"),
    (PACKING, "assembly", "Unit packing"),
    (GATE, "dock", "Dock, gate 4"),
)

TILO, ULLA, VITO, WERA, YANN, ZITA, HANA = map(
    badge, ("Tilo", "Ulla", "Vito", "Wera", "Yann", "Zita", "Hana")
)

GTIN, CATALOGUE, TITLE = gtin(61), "EX 161", "Kettle Moon turntable"

RESISTOR, CAPACITOR, DRIVER, CRYSTAL, CONNECTOR = "EX-1001", "EX-1002", "EX-1003", "EX-1004", "EX-1005"
MOTOR, PLATTER, SCREW, FOOT = "EX-2001", "EX-2002", "EX-2003", "EX-2004"
TUBE, BEARING, CARTRIDGE = "EX-2011", "EX-2012", "EX-2013"
BOARD, ARM, UNIT = "EX-3000", "EX-3100", "EX-3900"

PARTS = (
    (RESISTOR, "resistor", 20),
    (CAPACITOR, "capacitor", 20),
    (DRIVER, "motor driver", 20),
    (CRYSTAL, "crystal", 20),
    (CONNECTOR, "connector", 20),
    (MOTOR, "motor", 8),
    (PLATTER, "platter", 8),
    (SCREW, "screw", 20),
    (FOOT, "rubber foot", 20),
    (TUBE, "arm tube", 8),
    (BEARING, "bearing", 8),
    (CARTRIDGE, "cartridge", 8),
)
"""Part number, name, and how many of a lot are tested: choices of this plant."""

ON_BOARD = ((RESISTOR, 4), (CAPACITOR, 3), (DRIVER, 1), (CRYSTAL, 1), (CONNECTOR, 2))
"""What a board takes of each slot, in their order."""
IN_ARM = ((TUBE, 1), (BEARING, 2), (CARTRIDGE, 1))
IN_UNIT = ((MOTOR, 1), (PLATTER, 1), (SCREW, 6), (FOOT, 4))
"""What goes into a unit beside board and arm."""
SLOTS = tuple(code("J", 611 + place) for place in range(len(ON_BOARD)))
NEW_FOOT = "2"
"""The revision of the rubber foot from the second day on."""

OVEN = code("V", 41)
PANEL, CARTON, PALLET = 4, 2, 12
"""Boards to a panel, units to a carton and cartons to a pallet; a choice of this plant, the last as in the full plant."""

CONSIGNEES = (("Example Gorse Audio", "NL"), ("Example Hazel Listening", "DE"), ("Example Ivy Rooms", "FR"))
ORDERS = tuple(code("O", 20871 + place) for place in range(len(CONSIGNEES)))
LABELS = 400
"""So many carton labels, and pallet labels, lie ready in the hall."""
FIRST_DAY, SECOND_DAY = "2025-03-17", "2025-03-18"


def plan(ordered: list[int]) -> dict[str, Any]:
    """Return the plant file of the hall.

    Args:
        ordered: units of each order.
    """
    built = ((BOARD, "motor board"), (ARM, "arm"), (UNIT, "turntable"))
    return {
        "station": [{"code": station, "area": area, "name": name} for station, area, name in STATIONS],
        "product": [{"gtin": GTIN, "catalogue_number": CATALOGUE, "title": TITLE, "carton_size": CARTON}],
        "part": [{"number": number, "name": name, "sample": sample} for number, name, sample in PARTS]
        + [{"number": number, "name": name} for number, name in built],
        "bill": _bills(),
        "slot": [
            {"code": slot, "station": MACHINE, "name": str(place)} for place, slot in enumerate(SLOTS, 1)
        ],
        "process": [
            {
                "name": "soldering",
                "works_on": "pieces",
                "parameters": [{"name": "peak temperature", "unit": "°C", "least": "235", "most": "250"}],
            }
        ],
        "slow_test": [
            {"name": NAME, "readings": [{"label": label, "days": days} for label, days in READINGS]}
        ],
        "equipment": [{"code": OVEN, "process": "soldering", "name": "solder oven"}],
        "sscc": [
            {"what": "carton", "extension": "2", "first_serial": 1, "last_serial": LABELS},
            {"what": "pallet", "extension": "3", "first_serial": 1, "last_serial": LABELS},
        ],
        "order": [
            {"code": order, "consignee": consignee, "country": country, "gtin": GTIN, "quantity": units}
            for order, (consignee, country), units in zip(ORDERS, CONSIGNEES, ordered, strict=True)
        ],
    }


def _bills() -> Tables:
    since = "2025-01-01"
    placed = [
        {**_line(part, quantity), "slot": str(slot)} for slot, (part, quantity) in enumerate(ON_BOARD, 1)
    ]
    arm = [_line(part, quantity) for part, quantity in IN_ARM]
    return [
        {"part": BOARD, "version": "A", "since": since, "lines": placed},
        {"part": ARM, "version": "A", "since": since, "lines": arm},
        {"part": UNIT, "version": "A", "since": since, "gtin": GTIN, "lines": _in_unit("1")},
        {"part": UNIT, "version": "B", "since": SECOND_DAY, "gtin": GTIN, "lines": _in_unit(NEW_FOOT)},
    ]


def _in_unit(foot: str) -> Tables:
    parts = [_line(part, quantity, foot if part == FOOT else "1") for part, quantity in IN_UNIT]
    return [_line(BOARD, 1, "A"), _line(ARM, 1, "A"), *parts]


def _line(part: str, quantity: int, revision: str = "1") -> dict[str, Any]:
    return {"part": part, "revision": revision, "quantity": quantity}
