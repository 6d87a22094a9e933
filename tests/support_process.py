"""A small plant with processes: a wash for discs, a bath for tools, a dryer, a blender and a grinder."""

from typing import Any

from support_notation import Script
from support_plant import START, STATIONS, Floor, code, n
from support_plantfile import read_plant_file

from tracelink.ledger.entry import Stamp
from tracelink.store.ledger import utc_now

STEPS = code("W", 41)
"""The station at which process steps are booked."""

WASH, WASH_2, BATH, DRYER, BLENDER, GRINDER = (code("V", number) for number in range(1, 7))


def process_data() -> dict[str, Any]:
    return {
        "station": [{"code": STEPS, "area": "process", "name": "process room"}],
        "person": [{"code": code("P", 41), "name": "Dora", "roles": ["process"]}],
        "process": [
            {
                "name": "wash",
                "works_on": "discs",
                "parameters": [
                    {"name": "bath temperature", "unit": "°C", "least": "38", "most": "42.5"},
                    {"name": "conductivity", "unit": "µS/cm", "most": "5"},
                ],
            },
            {"name": "nickel plating", "works_on": "tools"},
            {"name": "drying", "works_on": "material", "unit": "g"},
            {"name": "blending", "works_on": "blend", "unit": "g"},
            {"name": "grinding", "works_on": "blend", "unit": "g"},
        ],
        "equipment": [
            {"code": WASH, "process": "wash", "name": "wash bath 1"},
            {"code": WASH_2, "process": "wash", "name": "wash bath 2"},
            {"code": BATH, "process": "nickel plating", "name": "nickel bath"},
            {"code": DRYER, "process": "drying", "name": "dryer"},
            {"code": BLENDER, "process": "blending", "name": "blender"},
            {"code": GRINDER, "process": "grinding", "name": "grinder"},
        ],
    }


def process_floor(**settings: int) -> Floor:
    """The plant with grown tools, and its processes."""
    floor = Floor.copy(**settings)
    with floor.ledger.writing() as booking:
        for body in read_plant_file(process_data(), new_ledger=False):
            booking.record(body, Stamp(START, utc_now()))
    return floor


def play(floor: Floor, script: str) -> None:
    """Play a script whose lines happen at the process station unless they say another."""
    Script(floor, {**STATIONS, "STEPS": STEPS}, n, STEPS).play(script)
