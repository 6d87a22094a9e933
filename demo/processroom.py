"""On the Saturday as well: a lot of a blend with regrind, washed in two baths, of which one had gone bad.

It has a lot, stacks, equipment and a room of its own, so that nothing of the ten days is touched.
"""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from clockwork import local_time
from drift import BEGIN as DRIFT_BEGIN
from drift import LOT as NOISY_LOT
from drift import PRESS, Drift
from plantdata import MOTH, badge_scan, code
from plantfile import as_toml
from pressroom import CYCLE_S
from stock import Plant
from writer import write_log

from tracelink.identity.rawlines import raw_act, raw_plant

ROOM, LOT = code("W", 33), code("L", 4791)
WASH_1, WASH_2, NICKEL, BLENDER = (code("V", number) for number in range(31, 35))
PELLETS, BLEND = code("C", 39), code("C", 391)
PLATING, MIXING, GOOD_WASH, BAD_WASH, NEXT_WASH = (code("X", number) for number in range(301, 306))
STACKS = tuple(code("K", number) for number in range(9850, 9854))
BEGIN = DRIFT_BEGIN + 12 * 3600
"""In the evening, when the noisy lot is off the press."""
BEFORE = local_time(BEGIN - 3600)
"""When the room and its equipment are named."""
STROKES = 400
"""As in the full plant."""
CONDUCTIVITY = "5"
"""µS/cm at most in a wash: a choice of this plant, as are the other limits."""


@dataclass(frozen=True, slots=True)
class ProcessRoom:
    """What the story needs of it."""

    plan: Path
    logs: tuple[Path, ...]
    """In the order in which they happened: bath and blender, press, washes."""
    noticed: str
    """When the bad bath was seen."""


def prepare(out: Path, plant: Plant, drift: Drift) -> ProcessRoom:
    """Write the plant file and the logs.

    Args:
        out: the demo's folder.
        plant: after its last day.
        drift: the noisy lot, which ran on the same press, and is ground.
    """
    strokes = plant.scale.strokes(STROKES)
    folder = out / "processes"
    folder.mkdir(exist_ok=True)
    plan = folder / "processes.toml"
    plan.write_text(as_toml(_plan(strokes)), encoding="utf-8", newline="\n")
    stampers = [drift.stamper, plant.stampers[MOTH.matrix(1, "B")][0].code]
    pressed = BEGIN + 3600 + plant.scale.seconds(CYCLE_S) * strokes
    logs = tuple(out / "logs" / f"process-{name}.jsonl" for name in ("room", "press", "wash"))
    before = _bath_and_blender(stampers[1])
    write_log(logs[0], ROOM, before)
    earlier = json.loads(drift.pressing[0].read_text(encoding="utf-8").splitlines()[-1])["end"]
    write_log(logs[1], PRESS, _at_press(stampers, strokes, pressed), earlier + 1)
    washes, noticed = _washes(pressed + 3600)
    write_log(logs[2], ROOM, washes, len(before) + 1)
    return ProcessRoom(plan, logs, local_time(noticed))


def _bath_and_blender(stamper: str) -> list[tuple[int, str]]:
    raws = [
        badge_scan("Sena"),
        *_step("BEGIN", PLATING, raw_plant(NICKEL)),
        *_step("TAKE", PLATING, raw_plant(stamper)),
        *_step("READ", PLATING, '"bath temperature=55.5 °C'),
        *_step("READ", PLATING, '"current=42 A'),
        *_step("END", PLATING),
        *_step("BEGIN", MIXING, raw_plant(BLENDER)),
        *_step("TAKE", MIXING, raw_plant(PELLETS), '"80 kg'),
        *_step("TAKE", MIXING, raw_plant(NOISY_LOT), '"20 kg'),
        *_step("MAKE", MIXING, raw_plant(BLEND), '"99.2 kg'),
        *_step("END", MIXING),
    ]
    return _timed(BEGIN, raws)


def _at_press(stampers: list[str], strokes: int, pressed: int) -> list[tuple[int, str]]:
    codes = [LOT, *stampers, BLEND, MOTH.label(1, "A"), MOTH.label(1, "B")]
    sides = [f'"{MOTH.matrix(1, side)}' for side in "AB"]
    begin = [badge_scan("Finn"), raw_act("SETUP"), *map(raw_plant, codes), raw_act("START"), *sides]
    scans = _timed(BEGIN + 1800, begin)
    for place, stack in enumerate(STACKS, 1):
        stroke = strokes * place // len(STACKS)
        at = pressed - (strokes - stroke)
        scans += _timed(at, [raw_act("STACK"), raw_plant(stack), f"#{stroke}"], 1)
    return [*scans, *_timed(pressed + 60, [raw_act("STOP"), f"#{strokes}"])]


def _washes(begin: int) -> tuple[list[tuple[int, str]], int]:
    """Return the scans, and when the bad bath was seen."""
    first = [badge_scan("Sena"), *_washed(GOOD_WASH, WASH_1, STACKS[0], "2.8")]
    # Two stacks went in before anybody read the conductivity, after half an hour.
    second = _step("BEGIN", BAD_WASH, raw_plant(WASH_2))
    for stack in STACKS[1:3]:
        second += _step("TAKE", BAD_WASH, raw_plant(stack))
    noticed = begin + 2700
    third = _read(BAD_WASH, "19.4") + _step("END", BAD_WASH, '"rinse water ran out')
    last = _washed(NEXT_WASH, WASH_1, STACKS[3], "3.1")
    scans = _timed(begin, first) + _timed(begin + 900, second)
    return scans + _timed(noticed, third) + _timed(noticed + 600, last), noticed


def _washed(step: str, bath: str, stack: str, conductivity: str) -> list[str]:
    return [
        *_step("BEGIN", step, raw_plant(bath)),
        *_step("TAKE", step, raw_plant(stack)),
        *_read(step, conductivity),
        *_step("END", step),
    ]


def _read(step: str, conductivity: str) -> list[str]:
    return [
        *_step("READ", step, '"bath temperature=40.2 °C'),
        *_step("READ", step, f'"conductivity={conductivity} µS/cm'),
    ]


def _step(act: str, step: str, *raws: str) -> list[str]:
    return [raw_act(act), raw_plant(step), *raws]


def _timed(begin: int, raws: list[str], pause: int = 6) -> list[tuple[int, str]]:
    return [(begin + pause * place, raw) for place, raw in enumerate(raws)]


def _plan(strokes: int) -> dict[str, Any]:
    temperature = {"name": "bath temperature", "unit": "°C"}
    return {
        "station": [{"code": ROOM, "area": "process", "name": "Process room"}],
        "lot": [{"code": LOT, "gtin": MOTH.gtin, "piece": 1, "quantity": strokes}],
        "process": [
            {
                "name": "disc wash",
                "works_on": "discs",
                "parameters": [
                    {**temperature, "least": "38", "most": "42.5"},
                    {"name": "conductivity", "unit": "µS/cm", "most": CONDUCTIVITY},
                ],
            },
            {
                "name": "nickel plating",
                "works_on": "tools",
                "parameters": [
                    {**temperature, "least": "50", "most": "60"},
                    {"name": "current", "unit": "A", "least": "38", "most": "46"},
                ],
            },
            {"name": "regrind blending", "works_on": "blend", "unit": "g"},
        ],
        "equipment": [
            {"code": WASH_1, "process": "disc wash", "name": "disc wash 1"},
            {"code": WASH_2, "process": "disc wash", "name": "disc wash 2"},
            {"code": NICKEL, "process": "nickel plating", "name": "nickel tank"},
            {"code": BLENDER, "process": "regrind blending", "name": "regrind blender"},
        ],
    }
