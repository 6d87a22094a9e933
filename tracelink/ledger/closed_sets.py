"""Places without a code, and how far a lot, carton, pallet and so on is: closed sets, as the tables hold them."""

from enum import StrEnum


class DiscPlace(StrEnum):
    """Where discs are, or went, when no code says it; elsewhere it is the code of a spindle, sample tag or carton."""

    COUNTER = "counter"
    """At the press: counted, and booked nowhere else yet."""
    SCRAP = "scrap"
    """Thrown out."""
    SET_UP = "set-up"
    """Thrown out while a press was set up, and first-offs after a change."""
    CUSTOMERS = "customers"
    """Outside the plant: loose discs that come back are moved in from there. No stock is kept of it, because what was
    sent stays counted in the carton it was sent in; such discs are in the records twice until its content is known."""
    RETURNED = "returned"
    """Came back from a customer, in the moment of coming in."""
    QUARANTINE = "quarantine"
    """Came back, and nobody has inspected them yet. In entries of older programs; each return is a place of its own."""
    DESTROYED = "destroyed"
    """Destroyed before a witness."""
    LOST = "lost"
    """Not in a broken carton where they were expected."""


_RETURN = "return "


def return_place(number: int) -> str:
    """Return the place where the discs of one return are until they are inspected: each return is its own."""
    return f"{_RETURN}{number}"


def is_return(place: str) -> bool:
    """Return whether a place is that of one return."""
    return place.startswith(_RETURN)


class MovementSense(StrEnum):
    """What a movement says of its discs beyond how many there were; most say nothing more."""

    ASSUMED = "assumed"
    """Nobody said where they were taken from; the source is where they had once been put, and they may have been
    anywhere behind it. Samples of older programs."""
    TAKEN_BACK = "taken back"
    """It undoes the last movement the other way: those very discs went back where they had come from."""


class LotStatus(StrEnum):
    """How far the pressing of a lot is."""

    PLANNED = "planned"
    SET_UP = "set up"
    """On a press, and no disc pressed yet."""
    RUNNING = "running"
    PRESSED = "pressed"
    """Taken off its press."""


class LotDecision(StrEnum):
    """What quality decided on a lot."""

    PENDING = "pending"
    RELEASED = "released"
    REJECTED = "rejected"


class CartonStatus(StrEnum):
    """The state of a carton, wherever it stands."""

    OPEN = "open"
    """At its line."""
    CLOSED = "closed"
    BROKEN = "broken"
    """Found open or damaged: its content is not claimed any more."""
    RETURNED = "returned"
    DESTROYED = "destroyed"


class PalletStatus(StrEnum):
    """How far a pallet is."""

    OPEN = "open"
    CLOSED = "closed"
    ACCEPTED = "accepted"
    """Into stock: every lot on it is released."""
    LOADED = "loaded"
    SHIPPED = "shipped"


class ShipmentStatus(StrEnum):
    """How far a shipment is."""

    LOADING = "loading"
    SHIPPED = "shipped"


class ToolStatus(StrEnum):
    """Whether a tool may be used."""

    IN_USE = "in use"
    RETIRED = "retired"


class PrintStatus(StrEnum):
    """Whether sleeves or an item of a kit are the print of today."""

    CURRENT = "current"
    SUPERSEDED = "superseded"


class ReturnStatus(StrEnum):
    """What became of what came back."""

    QUARANTINE = "quarantine"
    RESTOCKED = "restocked"
    DESTROYED = "destroyed"


class NumberState(StrEnum):
    """What became of the number of a sleeve that was packed."""

    RETURNED = "returned"
    RESTOCKED = "restocked"
    FREE = "free"
    """Restocked without its carton: it may be packed again."""
    DESTROYED = "destroyed"


class WorksOn(StrEnum):
    """What a process works on."""

    DISCS = "discs"
    TOOLS = "tools"
    PIECES = "pieces"
    """Boards or units of a build order, by their numbers."""
    MATERIAL = "material"
    """Material goes through and stays the lot that it was, as in drying."""
    BLEND = "blend"
    """Material, or discs to be ground, goes in and a new lot of material comes out."""


class StepInput(StrEnum):
    """How what went into a process step is known."""

    TOOL = "tool"
    SPINDLE = "spindle"
    """All discs that were on it then."""
    STROKES = "strokes"
    """Discs of a lot, by their strokes."""
    MATERIAL = "material"
    GROUND = "ground"
    """Discs of a lot, or trim of them, by mass: which discs is not known."""


class StepStatus(StrEnum):
    """How far a process step is."""

    OPEN = "open"
    ENDED = "ended"


class ReasonAct(StrEnum):
    """Acts that ask why, so that a plant may have cards for it: the area of the station, and the act's word."""

    TOOL_RETIRE = "tool RETIRE"
    PRESS_CORRECT = "press CORRECT"
    PRESS_RESUME = "press RESUME"
    LAB_BAD = "lab BAD"
    """Here the card names the defect; also where a judgement is corrected to one."""
    LAB_REJUDGE = "lab REJUDGE"
    LAB_RETEST = "lab RETEST"
    LAB_MISSED = "lab MISSED"
    LAB_WAIVE = "lab WAIVE"
    LAB_REJECTPART = "lab REJECTPART"
    LAB_RELEASE = "lab RELEASE"
    LAB_OVERRULE = "lab OVERRULE"
    LAB_REJECT = "lab REJECT"
    LAB_HOLD = "lab HOLD"
    LAB_LIFT = "lab LIFT"
    LINE_CLOSE = "line CLOSE"
    LINE_REJECT = "line REJECT"
    LINE_TAKEOUT = "line TAKEOUT"
    LINE_REOPEN = "line REOPEN"
    LINE_MERGE = "line MERGE"
    DOCK_UNLOAD = "dock UNLOAD"
    DOCK_ACCEPTLOAD = "dock ACCEPTLOAD"
    DOCK_CORRECTLOAD = "dock CORRECTLOAD"
    DOCK_UNSTACK = "dock UNSTACK"
    DOCK_REOPEN = "dock REOPEN"
    DOCK_BREAK = "dock BREAK"
    DOCK_REPACK = "dock REPACK"
    DOCK_RETURN = "dock RETURN"
    DOCK_UNITBACK = "dock UNITBACK"
    DOCK_RESTOCK = "dock RESTOCK"
    DOCK_RESTOCKLOOSE = "dock RESTOCKLOOSE"
    DOCK_DESTROY = "dock DESTROY"
    PROCESS_END = "process END"
    PROCESS_UNDO = "process UNDO"
    PROCESS_CORRECT = "process CORRECT"
    PROCESS_REOPEN = "process REOPEN"
    ASSEMBLY_OUT = "assembly OUT"

    @property
    def area(self) -> str:
        """Kind of station."""
        return self.value.split()[0]

    @property
    def word(self) -> str:
        """Word on the act card."""
        return self.value.split()[1]


class PartnerVerdict(StrEnum):
    """What became of an event of a partner's document."""

    BOOKED = "booked"
    NOTED = "noted"
    """It is right, and nothing follows from it."""
    BEFORE = "before"
    """It was read before; nothing is recorded."""
    REFUSED = "refused"
    CHANGED = "changed"
    """Its number is known with other content."""
    WITHDRAWN = "withdrawn"
    """Its sender declared it wrong."""


class PlantField(StrEnum):
    """What of the things that were set up can change from a time on."""

    ROLES = "roles"
    BADGE = "badge"
    TITLE = "title"
    CATALOGUE_NUMBER = "catalogue number"
    CARTON_SIZE = "carton size"
    PRINT = "print"
    STATION = "station"
    SETTING = "setting"


class LimitStanding(StrEnum):
    """Where a measured value stands by the limit that held when it was measured."""

    WITHIN = "within"
    OUTSIDE = "outside"
    """It proposes that the disc is bad; a person judges."""
    NO_LIMIT = "no limit"
    """No limit held: nobody can tell."""


class MeasuredOn(StrEnum):
    """What a lab test is measured on."""

    SIDE = "side"
    """Each side of a disc by itself, so that a value belongs to one stamper."""
    DISC = "disc"
