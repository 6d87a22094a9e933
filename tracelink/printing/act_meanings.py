"""The acts of each kind of station in the order of its card, and what people read beside each word."""

from dataclasses import dataclass

from tracelink.errors import UsageError
from tracelink.station.acts_of_areas import ACTS_OF, AREAS
from tracelink.station.common.forms import SIGN_OFF

_SIGN_OFF = "Leave the station: nobody is signed on until the next badge"

_LINE_ACTS = {
    "CLEAR": "Clear the line: then a second person's badge",
    "CLOSE": "Close the open carton",
    "REJECT": "Scrap one disc of the open spindle",
    "NOREAD": "The code will not scan",
    "MANUAL": "After two NOREADs: then the typed code, second badge",
    "UNDO": "Take back the last match, reject, CLOSE, or an empty carton",
    "STOP": "Stop. Do what the screen says; cancels an unfinished action",
    "CHECK": "In-process check is good: then a second person's badge",
    "RECHECK": "Re-check the units set aside, one by one",
    "TAKEOUT": "Take a packed unit out: spindle card of a good disc, reason",
    "COUNT": "Count by hand: then what you counted, how many",
    "REOPEN": "Open a sealed carton again: then its label, the reason",
    "MERGE": "Empty a part carton into the open one: then its label, the reason",
    "HANDOVER": "Shift change: then the badge of whoever takes over",
    SIGN_OFF: _SIGN_OFF,
}

_MEANINGS = {
    ("tool", "BLANK"): "Inspect a blank: then new tag, barcode, side, number, good",
    ("tool", "LACQUER"): "A new lacquer: then tool tag, side, matrix number",
    ("tool", "COPPER"): "A new copper master: then tool tag, side, matrix number",
    ("tool", "GROW"): "A tool grown from another: then the old tag, the new tag",
    ("tool", "RETIRE"): "Retire a tool: then its tag, the reason",
    ("press", "SETUP"): "Set a lot up: then lot card, stampers, compound, labels",
    ("press", "START"): "Start the run: then the first disc's matrix number, A and B",
    ("press", "STACK"): "Stack discs on a spindle: then spindle card, counter",
    ("press", "SCRAP"): "Scrap discs at the press: then how many",
    ("press", "CHANGE"): "Change a stamper, compound or label: then the new one, counter",
    ("press", "EMPTY"): "The hopper was emptied: then the press counter",
    ("press", "STOP"): "End the run: then counter",
    ("press", "TRIAL"): "Scrap trial discs: then the press counter",
    ("press", "CORRECT"): "Correct the last reading: then right counter, reason, second badge",
    ("press", "RESUME"): "Restart a lot that was taken off: then lot card, what is mounted, reason",
    ("press", "COUNT"): "Count by hand: then what you counted, how many",
    ("lab", "SAMPLE"): "Draw a sample: then lot card, sample tag, stroke, and where it is from",
    ("lab", "GOOD"): "The sample is good: then its tag",
    ("lab", "BAD"): "The sample is bad: then its tag, the defect",
    ("lab", "REJUDGE"): "Correct a judgement: then sample tag, good or the defect, reason",
    ("lab", "MEASURE"): "A measured value: then sample tag, quantity and value, side, gauge",
    ("lab", "RETEST"): "Measure again: as MEASURE, then why the first does not count",
    ("lab", "DRAWUNIT"): "A built unit or board goes to the lab: then its serial label",
    ("lab", "SLOWTEST"): "Begin a slow test: then sample tag, its name",
    ("lab", "READING"): "A reading of a slow test: then sample tag, good or the defect",
    ("lab", "COMPARE"): "Compare inspectors: then sample tag, good or the defect",
    ("lab", "STUDY"): "Study a gauge: as MEASURE, as often as the study asks",
    ("lab", "WAIVE"): "A bad sample shall not stop its lot: then tag, reason, second badge",
    ("lab", "REJECTPART"): "Reject part of a lot: then lot card, first and last stroke, reason",
    ("lab", "MISSED"): "A wanted disc is not to be had: then lot card, stroke, reason",
    ("lab", "SORT"): "Discs were sorted: then spindle, carton or return, looked at, bad, defect",
    ("lab", "RELEASE"): "Release a lot: then lot card, reason",
    ("lab", "OVERRULE"): "Release in spite of a finding: then lot card, reason, second badge",
    ("lab", "REJECT"): "Reject a lot: then lot card, reason",
    ("lab", "HOLD"): "Put something on hold: then its code, reason",
    ("lab", "LIFT"): "Lift a hold: then the hold, reason, second badge",
    ("lab", "COUNT"): "Count by hand: then what you counted, how many",
    ("process", "BEGIN"): "Begin a process step: then a new step card, the equipment",
    ("process", "TAKE"): "Book what goes in: then step card, what goes in, how much",
    ("process", "UNDO"): "It did not go in, or was not made: then step card, the thing, why",
    ("process", "READ"): "A reading of the step: then step card, name and value",
    ("process", "MAKE"): "A new compound lot was made: then step card, its card, how much",
    ("process", "END"): "End the step: then step card, why if something was not right",
    ("process", "CORRECT"): "It made another amount: then step card, its lot, how much, why",
    ("process", "REOPEN"): "The step was not over: then step card, why, second badge",
    ("assembly", "RECEIVE"): "A part lot came in: then card, part, revision, supplier's lot, date",
    ("assembly", "TESTLOT"): "A part lot was tested: then card, tested, failed",
    ("assembly", "TAPE"): "Tape parts on a reel: then reel label, part lot, how many",
    ("assembly", "FILL"): "Pour parts into a tray: then tray label, part lot, how many",
    ("assembly", "LEFT"): "Count what is left: then reel label, how many",
    ("assembly", "BUILD"): "A build order: then card, part, first serial, how many, panel",
    ("assembly", "SETUP"): "Set the machine up: then the build order card",
    ("assembly", "LOAD"): "Put a reel into a slot: then slot tag, reel label",
    ("assembly", "SPLICE"): "Join a reel to the tail: then slot tag, the new reel",
    ("assembly", "CHECK"): "Look at a slot once more: then slot tag, the reel in it",
    ("assembly", "DROP"): "Parts were thrown away: then the reel, how many",
    ("assembly", "PLACED"): "So many are done: then the counter of the machine",
    ("assembly", "UNLOAD"): "Take the reels out of a slot: then its tag",
    ("assembly", "ENDRUN"): "The machine is done with the build order",
    ("assembly", "JOIN"): "Parts go into a unit: then its label, each part",
    ("assembly", "PASS"): "It passed the test: then its label, the programme",
    ("assembly", "FAIL"): "It failed: then its label, programme, symptom, where",
    ("assembly", "OUT"): "Take a part out in rework: then the unit, the part, where to, why",
    ("assembly", "PACK"): "Units into a carton: then its label, each unit, the label again",
    ("dock", "PALLET"): "Open a pallet: then its label",
    ("dock", "CLOSE"): "Close the open pallet",
    ("dock", "ACCEPT"): "Accept a pallet into stock: then its label",
    ("dock", "SHIP"): "Begin a shipment: then the order",
    ("dock", "PICK"): "Load a loose carton or a pallet: then its label, twice",
    ("dock", "UNLOAD"): "Take off the vehicle: then the label, reason",
    ("dock", "DRIVER"): "The driver checked the load: then their name",
    ("dock", "DEPART"): "The shipment leaves",
    ("dock", "ACCEPTLOAD"): "Quality accepts a short or over load: then the reason",
    (
        "dock",
        "CORRECTLOAD",
    ): "A load that left was wrong: then shipment, thing, reason, badge",
    ("dock", "PUT"): "Put away: then pallet or carton, location",
    ("dock", "MOVE"): "Move: then pallet or carton, new location",
    ("dock", "UNSTACK"): "Take a carton off its pallet: then its label, reason",
    ("dock", "REOPEN"): "Open a pallet again: then its label, reason",
    ("dock", "BREAK"): "A carton is found open or damaged: then its label, reason",
    ("dock", "REPACK"): "Seal a broken carton by count: then its label, count, reason",
    ("dock", "OPENCHECK"): "Open a carton and compare: then its label, count",
    ("dock", "RETURN"): "A carton or pallet came back: then its label, reason",
    ("dock", "RETURNLOOSE"): "Discs came back: then matrix number, stamper mark, count",
    ("dock", "RETURNNOMARK"): "Discs came back, no mark to be read: then matrix number, count",
    ("dock", "UNITBACK"): "A unit came back: then its serial label, reason",
    ("dock", "RESTOCK"): "A returned carton is stock again: then its label, reason",
    ("dock", "RESTOCKLOOSE"): "Returned discs onto a spindle: then return number, new card, reason",
    ("dock", "DESTROY"): "Destroy: then carton or return number, reason, witness",
    ("dock", "COUNT"): "Count by hand: then what you counted, how many",
    ("dock", "NUMBERS"): "A carton of numbers was counted short: then its label, each sleeve",
}
"""What people read beside an act's word. An act without an entry shows what it asks for."""

_CANCEL = "Cancel the unfinished action; nothing is booked"


@dataclass(frozen=True, slots=True)
class ActRow:
    """One act on a card."""

    word: str
    meaning: str


def acts_of(area: str) -> list[ActRow]:
    """Return the acts of a kind of station, in the order of its card: first what puts an unfinished act away.

    Args:
        area: tool, press, lab, line, dock, process or assembly.

    Raises:
        UsageError: there is no such area.
    """
    if area not in AREAS:
        raise UsageError(f"There is no work area {area!r}; expected one of {', '.join(AREAS)}.")
    if area not in ACTS_OF:
        return _first("STOP", [ActRow(word, meaning) for word, meaning in _LINE_ACTS.items()])
    rows = [
        ActRow(word, _MEANINGS.get((area, word)) or " ".join(slot.asks for slot in form.slots) or word)
        for word, form in ACTS_OF[area].forms.items()
    ]
    return _first("STOP", [ActRow("CANCEL", _CANCEL), *rows, ActRow(SIGN_OFF, _SIGN_OFF)])


def _first(word: str, rows: list[ActRow]) -> list[ActRow]:
    """Return the rows with the one of this word, if there is one, before all others."""
    return sorted(rows, key=lambda row: row.word != word)


def act_words() -> frozenset[str]:
    """Return the words of all acts of all kinds of stations."""
    return frozenset(row.word for area in AREAS for row in acts_of(area))
