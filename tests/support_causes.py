"""A day of one press, line and dock, for the tests of what a station or a person did."""

from support_plant import DOCK, LINE, PRESS, Floor, stamper

HOPPER = {"hopper_g": 320, "disc_g": 160}
"""Two discs to a filling: below 1 % after ten."""


def at(hour: int, minute: int = 0) -> str:
    return f"2031-03-04T{hour:02d}:{minute:02d}:00+01:00"


def play_day(floor: Floor) -> Floor:
    """At nine Cleo presses with compound 1, at ten with compound 2; Ada packs at eleven, at twelve and at two."""
    a, b = stamper("EX-101-A"), stamper("EX-101-B")
    floor.at = at(9)
    floor.scan(PRESS, "P3", "SETUP", "L1", a, b, "C1", "E1", "E2", "START", '"EX-101-A', '"EX-101-B')
    floor.scan(PRESS, "STACK", "K11", "#20", "CHANGE", "C2", "#20")
    floor.at = at(10)
    floor.scan(PRESS, "STACK", "K12", "#40", "EMPTY", "#40", "STACK", "K13", "#50", "STOP", "#50")
    for hour, card, first in ((11, 11, 1), (12, 12, 3)):
        floor.at = at(hour)
        floor.scan(LINE, "P1", "CLEAR", "P2", "B1", f"K{card}", f"carton {first}")
        floor.match(1, times=5)
        floor.scan(LINE, "CLOSE")
    floor.at = at(13)
    floor.scan(DOCK, "P1", "PALLET", "pallet 1", "carton 1")
    # Two matches that lie in the spool still.
    floor.at = at(14)
    floor.scan(LINE, "carton 4")
    floor.match(1, times=2)
    assert all(verdict.word.value != "STOP" for verdict in floor.verdicts)
    return floor
