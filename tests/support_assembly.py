"""A small assembly hall: two placing machines, a joining and a test bench, and a turntable unit of a dozen parts."""

from typing import Any

from support_notation import Script
from support_plant import START, STATIONS, Floor, code, gtin, n
from support_plantfile import read_plant_file

from tracelink.ledger.entry import Stamp
from tracelink.store.ledger import utc_now

MACHINE, MACHINE_2, BENCH, OVEN = (code("W", number) for number in (51, 52, 53, 54))
HALL = {"MACHINE": MACHINE, "MACHINE2": MACHINE_2, "BENCH": BENCH, "OVEN": OVEN}
BOARD, ARM, UNIT = "EX-3000", "EX-3100", "EX-3900"


def assembly_data() -> dict[str, Any]:
    """The board takes two resistors and a chip, the unit a board, an arm and four screws."""
    return {
        "station": [
            {"code": MACHINE, "area": "assembly", "name": "placing machine 1"},
            {"code": MACHINE_2, "area": "assembly", "name": "placing machine 2"},
            {"code": BENCH, "area": "assembly", "name": "joining bench"},
            {"code": OVEN, "area": "process", "name": "solder oven"},
        ],
        "person": [{"code": code("P", 51), "name": "Edda", "roles": ["assembly", "process"]}],
        "process": [{"name": "soldering", "works_on": "pieces"}],
        "equipment": [{"code": code("V", 51), "process": "soldering", "name": "solder oven 1"}],
        "product": [
            {
                "gtin": gtin(9),
                "catalogue_number": "EX 900",
                "title": "Ash Turntable",
                "carton_size": 5,
            }
        ],
        "order": [
            {
                "code": code("O", 9),
                "consignee": "Example Shop 9",
                "country": "NL",
                "gtin": gtin(9),
                "quantity": 2,
            }
        ],
        "part": [
            {"number": "EX-1001", "name": "resistor", "sample": 5},
            {"number": "EX-1002", "name": "motor chip"},
            {"number": "EX-1003", "name": "screw", "sample": 1},
            {"number": BOARD, "name": "motor board"},
            {"number": ARM, "name": "arm"},
            {"number": UNIT, "name": "turntable"},
        ],
        "bill": [
            {
                "part": BOARD,
                "version": "A",
                "since": "2020-01-01",
                "lines": [
                    {"part": "EX-1001", "revision": "1", "quantity": 2, "slot": "1"},
                    {"part": "EX-1002", "revision": "1", "quantity": 1, "slot": "2"},
                ],
            },
            {
                "part": UNIT,
                "version": "A",
                "since": "2020-01-01",
                "gtin": gtin(9),
                "lines": [
                    {"part": BOARD, "revision": "A", "quantity": 1},
                    {"part": "EX-1003", "revision": "1", "quantity": 4},
                ],
            },
        ],
        "slot": [
            {"code": code("J", 1), "station": MACHINE, "name": "1"},
            {"code": code("J", 2), "station": MACHINE, "name": "2"},
            {"code": code("J", 3), "station": MACHINE, "name": "3"},
            {"code": code("J", 11), "station": MACHINE_2, "name": "1"},
        ],
    }


def assembly_floor(**settings: int) -> Floor:
    """The plant with its assembly hall, and Edda signed on everywhere in it."""
    floor = Floor.copy(**settings)
    with floor.ledger.writing() as booking:
        for body in read_plant_file(assembly_data(), new_ledger=False):
            booking.record(body, Stamp(START, utc_now()))
    for station in HALL.values():
        floor.play(station, "P51 -> DONE; Edda is signed on. Scan an action card.")
    return floor


def play(floor: Floor, script: str, station: str = MACHINE) -> None:
    """Play a script whose lines happen at a placing machine unless they say another."""
    Script(floor, {**STATIONS, **HALL}, n, station).play(script)


PARTS = """
RECEIVE | M1 | "EX-1001 | "1 | "SL-77 | "3105 | #200 | TESTLOT | M1 | #5 | #0 -> DONE
RECEIVE | M2 | "EX-1002 | "1 | "SL-78 | "3106 | #60 | TESTLOT | M2 | #60 | #1 -> DONE
RECEIVE | M3 | "EX-1003 | "1 | "SL-79 | "3107 | #400 | TESTLOT | M3 | #1 | #0 -> DONE
RECEIVE | M4 | "EX-1001 | "1 | "SL-80 | "3108 | #100 | TESTLOT | M4 | #5 | #0 -> DONE
TAPE | F1 | M1 | #30 | TAPE | F1 | M4 | #10 -> DONE
TAPE | F2 | M2 | #59 | TAPE | F3 | M1 | #50 | FILL | F4 | M3 | #400 -> DONE
"""
"""Reel 1 has positions 1 to 30 of part lot 1 and 31 to 40 of part lot 4; reel 2 is chips, reel 3 more resistors, tray 4 screws."""

BUILT = f"""
BUILD | N1 | "{BOARD} | U101 | #40 | #2 -> DONE
SETUP | N1 | LOAD | J1 | F1 | LOAD | J2 | F2 -> DONE
PLACED | #10 -> DONE
SPLICE | J1 | F3 -> DONE
PLACED | #30 -> DONE
"""
"""Boards 1 to 20 took reel 1, boards 21 to 30 reel 3 that was joined to its tail."""


def built_floor(**settings: int) -> Floor:
    """The hall with thirty boards placed."""
    floor = assembly_floor(**settings)
    play(floor, PARTS)
    play(floor, BUILT)
    return floor


def hall_of_two_units() -> Floor:
    """The hall with two units, the board of one of which went through the oven."""
    floor = built_floor()
    play(
        floor,
        f"""
        BUILD | N2 | "{UNIT} | U201 | #4 | #1 | JOIN | U201 | U101 | F4 | JOIN | U202 | U116 | F4 -> DONE
        12:00 OVEN
        BEGIN | X1 | V51 | TAKE | X1 | N1 | #15 | #20 | END | X1 -> DONE
        """,
        BENCH,
    )
    return floor
