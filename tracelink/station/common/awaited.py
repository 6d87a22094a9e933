"""What a station waits for, as a kind of thing: which picture stands on its screen, and which keypad.

A screen that draws keys for numbers, or a picture of a spindle card, must not know what acts ask for. What comes for
each question of an act stands here, by the name of its slot.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class AwaitedThing(StrEnum):
    """What is scanned or keyed next."""

    ACTION = "action"
    """An act card, or the scan that stands for one."""
    BADGE = "badge"
    PIN = "pin"
    REASON = "reason"
    NUMBER = "number"
    TEXT = "text"
    TOOL = "tool"
    LOT = "lot"
    MATERIAL = "material"
    SPINDLE = "spindle"
    SAMPLE = "sample"
    EQUIPMENT = "equipment"
    STEP = "step"
    PART_LOT = "part-lot"
    REEL = "reel"
    SLOT = "slot"
    BUILD = "build"
    UNIT = "unit"
    DISC = "disc"
    SLEEVE = "sleeve"
    ITEM = "item"
    SLEEVE_BATCH = "sleeve-batch"
    CARTON = "carton"
    PALLET = "pallet"
    CARTON_OR_PALLET = "carton-or-pallet"
    ORDER = "order"
    SHIPMENT = "shipment"
    LOCATION = "location"
    HOLD = "hold"
    ANY = "any"
    """Whatever the ledger knows."""


class Keyed(StrEnum):
    """What a person may key."""

    PIN = "pin"
    NUMBER = "number"
    TEXT = "text"


@dataclass(frozen=True, slots=True)
class Awaited:
    """What is scanned or keyed next."""

    thing: AwaitedThing
    keyed: tuple[Keyed, ...] = ()
    """What may be keyed for it; empty if it is only scanned."""


_NUMBER = Awaited(AwaitedThing.NUMBER, (Keyed.NUMBER,))
_TEXT = Awaited(AwaitedThing.TEXT, (Keyed.TEXT,))
_REASON = Awaited(AwaitedThing.REASON, (Keyed.TEXT,))
_SLEEVE = Awaited(AwaitedThing.SLEEVE, (Keyed.NUMBER, Keyed.TEXT))
_ONLY_SCANNED = {
    "batch": AwaitedThing.SLEEVE_BATCH,
    "build": AwaitedThing.BUILD,
    "carton": AwaitedThing.CARTON,
    # A stamper, a compound lot or a label lot.
    "component": AwaitedThing.ANY,
    "compound": AwaitedThing.MATERIAL,
    "content": AwaitedThing.CARTON,
    "equipment": AwaitedThing.EQUIPMENT,
    "gauge": AwaitedThing.EQUIPMENT,
    "gtin": AwaitedThing.SLEEVE,
    "hold": AwaitedThing.HOLD,
    "label_a": AwaitedThing.MATERIAL,
    "label_b": AwaitedThing.MATERIAL,
    "location": AwaitedThing.LOCATION,
    "lot": AwaitedThing.LOT,
    "material": AwaitedThing.MATERIAL,
    "order": AwaitedThing.ORDER,
    "pallet": AwaitedThing.PALLET,
    "packed": AwaitedThing.UNIT,
    "parent": AwaitedThing.TOOL,
    "part_lot": AwaitedThing.PART_LOT,
    "piece": AwaitedThing.CARTON_OR_PALLET,
    "piece_label": AwaitedThing.UNIT,
    "reel": AwaitedThing.REEL,
    "sample": AwaitedThing.SAMPLE,
    "second_person": AwaitedThing.BADGE,
    "serial": AwaitedThing.UNIT,
    "shipment": AwaitedThing.SHIPMENT,
    "slot": AwaitedThing.SLOT,
    "spindle": AwaitedThing.SPINDLE,
    "sscc": AwaitedThing.CARTON,
    "step": AwaitedThing.STEP,
    "stamper_a": AwaitedThing.TOOL,
    "stamper_b": AwaitedThing.TOOL,
    "subject": AwaitedThing.ANY,
    "tool": AwaitedThing.TOOL,
    "unit": AwaitedThing.UNIT,
}

AWAITED: Mapping[str, Awaited] = {
    **{name: Awaited(thing) for name, thing in _ONLY_SCANNED.items()},
    # A number with its unit.
    "amount": _TEXT,
    "again": Awaited(AwaitedThing.CARTON_OR_PALLET),
    "bad": _NUMBER,
    "blank": _TEXT,
    "back": Awaited(AwaitedThing.REASON, (Keyed.TEXT,)),
    "count": _NUMBER,
    "counter": _NUMBER,
    "date_code": Awaited(AwaitedThing.TEXT, (Keyed.NUMBER, Keyed.TEXT)),
    "defect": _REASON,
    "disc": _NUMBER,
    "failed": _NUMBER,
    "first": _NUMBER,
    "goes_to": _TEXT,
    "inspected": _TEXT,
    # A serial label, a reel or a part number.
    "joined": Awaited(AwaitedThing.ANY, (Keyed.TEXT,)),
    "keyed": Awaited(AwaitedThing.TEXT, (Keyed.NUMBER, Keyed.TEXT)),
    "last": _NUMBER,
    "line": _NUMBER,
    "looked_at": _NUMBER,
    "mark": _TEXT,
    "matrix": _TEXT,
    "name": _TEXT,
    "number": _SLEEVE,
    "panel": _NUMBER,
    "part": _TEXT,
    # A disc of a return is named by the number of the return.
    "place": Awaited(AwaitedThing.SPINDLE, (Keyed.NUMBER,)),
    "position": _TEXT,
    "programme": _TEXT,
    "quantity": _NUMBER,
    "read_a": _TEXT,
    "read_b": _TEXT,
    "reading": _TEXT,
    "reason": _REASON,
    "revision": Awaited(AwaitedThing.TEXT, (Keyed.NUMBER, Keyed.TEXT)),
    "side": _TEXT,
    "side_a": _TEXT,
    "side_b": _TEXT,
    "sleeve": _SLEEVE,
    "slow_test": _TEXT,
    # Text for a stroke that nobody can read any more.
    "stroke": Awaited(AwaitedThing.NUMBER, (Keyed.NUMBER, Keyed.TEXT)),
    "supplier_lot": Awaited(AwaitedThing.TEXT, (Keyed.NUMBER, Keyed.TEXT)),
    "symptom": _TEXT,
    "tested": _NUMBER,
    "thing": Awaited(AwaitedThing.ANY),
    "value": Awaited(AwaitedThing.TEXT, (Keyed.TEXT,)),
}
"""What comes for a slot, by its name."""

_OF_ACTS: Mapping[tuple[str | None, str], Awaited] = {
    **{
        (act, "thing"): Awaited(AwaitedThing.CARTON_OR_PALLET)
        for act in ("PICK", "UNLOAD", "CORRECTLOAD", "PUT", "MOVE", "RETURN")
    },
    # The number of a return.
    ("DESTROY", "thing"): Awaited(AwaitedThing.CARTON, (Keyed.NUMBER,)),
    # A disc without a known stroke cannot be named as missed.
    ("MISSED", "stroke"): _NUMBER,
    # Text where the lots of a carton are told apart.
    ("COUNT", "quantity"): Awaited(AwaitedThing.NUMBER, (Keyed.NUMBER, Keyed.TEXT)),
}
"""What comes for a slot of one act, where others mean something else by that name."""

_PLACE = re.compile(r"[-_ ]?[0-9]+$")


def awaited_for(slot: str, act: str | None = None) -> Awaited:
    """Return what comes for a slot.

    Args:
        slot: its name; of slots that are asked several times, with their number behind it.
        act: word of the act that asks; None if only the slot counts.
    """
    return _OF_ACTS.get((act, slot)) or AWAITED[_PLACE.sub("", slot)]
