"""Random days played as scans at real stations, each log booked when its turn comes, late ones with their own times.

Lot L4 is of a numbered edition with one disc to a unit: each disc that is packed gets a sleeve with a number, so that
the number of a returned sleeve says in which carton its disc left.
"""

from dataclasses import dataclass, field

from support_days import MARKS
from support_plant import DOCK, DOCK_2, LAB, LINE, PRESS, Floor, n, stamper

STATIONS = {"press": PRESS, "line": LINE, "lab": LAB, "dock 1": DOCK, "dock 2": DOCK_2}
LOT = "L4"
A, B = "EX-103-A", "EX-103-B"


@dataclass
class DayAtStations:
    """A day being played on a plant."""

    day: object
    floor: Floor
    codes: dict = field(default_factory=dict)
    """Places as the day names them -> as the ledger does."""
    open_spindle: str | None = None
    open_carton: str | None = None
    made: set = field(default_factory=set)
    """Cartons whose label is in use."""
    number_of: dict = field(default_factory=dict)
    """Disc -> the number of its sleeve."""
    line_of: dict = field(default_factory=dict)
    """Return as the day numbers it -> as the ledger does."""
    spare: int = 50

    def code(self, place):
        """The short name of a place, as scans tell it."""
        if place[0] == "K":
            return f"K{1000 + int(place[1:])}"
        if place[0] == "C":
            return f"carton {place[1:]}"
        return f"S{place[1:]}"

    def place(self, name):
        """A place as the ledger names it."""
        if name.startswith("return "):
            return f"return {self.line_of[name]}"
        return n(self.code(name)) if name[0] in "KCS" and name[1:].isdigit() else name

    def scan(self, station, *lines):
        for line in lines:
            verdict = self.floor.scan(STATIONS[station], line)
            assert verdict.finding is None, (station, lines, line, verdict)

    def play(self, order):
        """Play all events; a verdict that is a finding fails."""
        self.floor.at = "2031-03-04T00:00:00+01:00"
        for station in ("press", "line", "lab", "dock 1", "dock 2"):
            self.scan(station, "P1")
        self._press([event for event in order if event.what == "stack"])
        self.scan("lab", "RELEASE", LOT, '"listened')
        self.scan("line", "CLEAR", "P2", "B3")
        for event in order:
            minute = event.minute + 60
            self.floor.at = f"2031-03-04T{minute // 60:02d}:{minute % 60:02d}:00+01:00"
            if event.what != "stack":
                getattr(self, f"_{event.what}")(event)

    def _press(self, stacks):
        a, b = stamper(A), stamper(B)
        self.scan("press", "SETUP", LOT, a, b, "C1", "E7", "E8", "START", f'"{A}', f'"{B}')
        stops = [(event.discs[-1], 1, ("STACK", self.code(event.target))) for event in stacks]
        stops.append((self.day.cut, 0, ("CHANGE", stamper(A, 2))))
        for counter, _, (act, thing) in sorted(stops):
            self.scan("press", act, thing, f"#{counter}")
        self.scan("press", "STOP", f"#{self.day.discs}")

    def _line_ready(self, carton):
        if self.open_carton == carton:
            return
        if self.open_carton is not None:
            self.scan("line", "CLOSE")
        again = carton in self.made
        self.scan("line", *(["REOPEN", self.code(carton), '"more'] if again else [self.code(carton)]))
        self.open_carton = carton
        self.made.add(carton)

    def _spindle_ready(self, spindle):
        if self.open_spindle != spindle:
            self.scan("line", self.code(spindle))
            self.open_spindle = spindle

    def _pack(self, event):
        if self.open_spindle is None:
            self._spindle_ready(event.source)
        self._line_ready(event.target)
        self._spindle_ready(event.source)
        undone = {disc for one in self.day.events if one.what == "undo" for disc in one.discs
                  if self.day.events[one.back_of] is event}  # fmt: skip
        # What UNDO takes back is what was packed last.
        for disc in sorted(event.discs, key=lambda disc: disc in undone):
            self.spare += 1
            self.number_of[disc] = str(self.spare)
            self.scan("line", "disc 3.1", f"sleeve 3 no {self.spare}")

    def _undo(self, event):
        self.scan("line", "UNDO")

    def _reject(self, event):
        if self.open_spindle is None:
            self._spindle_ready(event.source)
        if self.open_carton is None:
            self.spare += 1
            self._line_ready(f"C{self.spare}")
        self._spindle_ready(event.source)
        self.scan("line", "disc 3.1", "REJECT")

    def _seal(self, event):
        if self.open_carton == event.source:
            self.scan("line", "CLOSE")
            self.open_carton = None

    def _sample(self, event):
        [disc] = event.discs
        stroke = f"#{disc}" if event.named else '"unknown'
        self.scan("lab", "SAMPLE", LOT, self.code(event.target), stroke)
        carton = self.day_carton(event.source)
        if event.source.startswith("return ") and carton is None:
            self.scan("lab", f"#{self.line_of[event.source]}")
        elif carton is None:
            self.scan("lab", self.code(event.source))
        else:
            self.scan("lab", self.code(carton), f"sleeve 3 no {self.number_of[disc]}")

    def day_carton(self, place):
        """The carton in which the discs of a place are; None for a spindle or loose discs."""
        if place.startswith("return "):
            came = next(event for event in self.day.events if event.target == place)
            return came.source if came.what == "back" else None
        return place if place[0] == "C" else None

    def _depart(self, event):
        carton = self.code(event.source)
        self.scan(event.station, "SHIP", "O3", "PICK", carton, carton, "DEPART")

    def _next_return(self, event):
        self.line_of[event.target] = len(self.line_of) + 1

    def _loose(self, event):
        self._next_return(event)
        if event.mark in MARKS:
            mark = stamper(A, MARKS.index(event.mark) + 1)
            self.scan(event.station, "RETURNLOOSE", f'"{A}', f'"{mark}', f"#{len(event.discs)}")
        else:
            self.scan(event.station, "RETURNNOMARK", f'"{A}', f"#{len(event.discs)}")
        left = list(event.numbers)
        for disc in event.discs:
            if event.came_from[disc] in left:
                left.remove(event.came_from[disc])
                self.scan(event.station, f"sleeve 3 no {self.number_of[disc]}")

    def _back(self, event):
        self._next_return(event)
        self.scan(event.station, "RETURN", self.code(event.source), '"wrong title')

    def _restock(self, event):
        carton = self.day_carton(event.source)
        if carton is None:
            line = f"#{self.line_of[event.source]}"
            self.scan(event.station, "RESTOCKLOOSE", line, self.code(event.target), '"looks new')
        else:
            self.scan(event.station, "RESTOCK", self.code(carton), '"looks new')

    def _destroy(self, event):
        carton = self.day_carton(event.source)
        thing = f"#{self.line_of[event.source]}" if carton is None else self.code(carton)
        self.scan(event.station, "DESTROY", thing, '"no use', "P2")
