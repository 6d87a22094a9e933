"""The small plant with a lab: tests, limits by date and gauges."""

from support_plant import LAB, LAB_2, START, Floor, code, gtin
from support_plantfile import read_plant_file

from tracelink.clock import utc_now
from tracelink.ledger.entry import Stamp

LAB_DATA = {
    "lab_test": [
        {"name": "noise", "unit": "dB", "measured_on": "side", "method": "silent groove", "defect": "surface noise"},
        {"name": "mass", "unit": "g", "measured_on": "disc", "method": "scale", "defect": "wrong mass"},
        {"name": "ticks", "unit": "ticks", "measured_on": "side", "method": "by ear", "defect": "ticks"},
    ],
    "limit": [
        {"test": "noise", "upper": "-55.0", "since": "2031-01-01"},
        {"test": "noise", "upper": "-50.0", "since": "2031-01-01", "gtin": gtin(3)},
        {"test": "mass", "lower": "138", "upper": "144.5", "since": "2031-02-01"},
    ],
    "gauge": [
        {
            "code": code("G", 1), "name": "groove tester", "tests": ["noise", "ticks"], "resolution": "0.1",
            "calibrated": "2031-01-10", "due": "2031-12-31",
        },
        {
            "code": code("G", 2), "name": "scale", "tests": ["mass"], "resolution": "0.1",
            "calibrated": "2030-01-10", "due": "2031-03-02",
        },
    ],
}  # fmt: skip


def add_to(floor: Floor, data: dict) -> None:
    """Record what a later plant file says, by nobody."""
    with floor.ledger.writing() as booking:
        for body in read_plant_file(data, new_ledger=False):
            booking.record(body, Stamp(START, utc_now()))


def lab_floor(**settings: int) -> Floor:
    """Lot 1 of 20 discs on spindles 11 and 12; Ada at both benches; samples 1 and 2 are discs 3 and 12."""
    floor = Floor.copy(**settings)
    add_to(floor, LAB_DATA)
    floor.press(1)
    floor.scan(LAB, "P1")
    floor.scan(LAB_2, "P1")
    floor.scan(LAB, "SAMPLE", "L1", "S1", "#3", "K11")
    floor.scan(LAB, "SAMPLE", "L1", "S2", "#12", "K12")
    return floor
