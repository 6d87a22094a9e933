"""Whatever is scanned and keyed at two stations with PINs: tables equal a replay, and no PIN is kept or shown."""

import random
from functools import cache

import pytest
from support_pins import PINS, WRONG, later, nothing_tells_a_pin, rebuilds, with_pins
from support_plant import LAB, LINE, Floor, code

from tracelink.ledger.kinds.access import (
    KINDS,
    PinKeyReplaced,
    PinReplaced,
    StationKeyEnrolled,
    StationKeyWithdrawn,
)
from tracelink.ledger.pins import PIN_MARK

HANDS = {
    LAB: ["SAMPLE", "L1", "S1", "#3", "HOLD", "K11", '"sticky', "LIFT", "H1", '"wiped', "STOP", "CANCEL"],
    LINE: ["CLEAR", "B1", "K11", "carton 1", "disc 1.1", "sleeve 1", "CHECK", "HANDOVER", "MANUAL", "NOREAD", "UNDO",
           "CLOSE", '"because', "STOP", "sleeve 2", "RECHECK", "carton 2"],
}  # fmt: skip
MATCH = {LAB: HANDS[LAB], LINE: ["disc 1.1", "sleeve 1"] * 9}
SEEDS = range(4)
BADGES = ["P1", "P2", "P3"]


def line_of(rng, station, floor):
    """Mostly what the station waits for, so that acts are finished now and then."""
    [(desk,)] = floor.read("station", "desk", code=station)
    awaited = next((number for number in PINS if f'"pin":"{code("P", number)}"' in desk), None)
    if awaited is not None and rng.random() < 0.7:
        return rng.choice([f"#{PINS[awaited]}", f"#{PINS[awaited]}", f"#{WRONG}", PINS[awaited], f'"{WRONG}'])
    if awaited is None and '"person":null' in desk and rng.random() < 0.2:
        return rng.choice([f"#{PINS[1]}", PIN_MARK])
    return rng.choice([*BADGES, *HANDS[station], *HANDS[station], *MATCH[station]])


@cache
def played(seed):
    rng = random.Random(seed)
    floor = Floor.copy()
    floor.press(1)
    floor.open_line(1, [11], 1)
    floor = with_pins(floor)
    for step in range(90):
        floor.scan(station := rng.choice([LAB, LINE, LINE]), line_of(rng, station, floor))
        later(floor, rng.choice([0, 1, 40]))
        if step % 30 == 17:
            rebuilds(floor)
    return floor


@pytest.mark.parametrize("seed", SEEDS)
def test_histories_with_pins_rebuild_and_tell_none(seed):
    rebuilds(played(seed))
    nothing_tells_a_pin(played(seed))


def test_the_histories_reach_every_kind_of_entry_about_pins():
    reached = {kind for seed in SEEDS for kind in played(seed).kinds()}
    # Keys are made and enrolled, and PINs replaced, by commands, not by scans.
    assert {kind.kind for kind in KINDS} - {
        PinKeyReplaced.kind,
        PinReplaced.kind,
        StationKeyEnrolled.kind,
        StationKeyWithdrawn.kind,
    } <= reached
    assert {"signed-on", "line-cleared", "discs-sleeved"} <= reached
