"""The card of a station: every act that can be scanned there, on one A4 sheet."""

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tracelink.errors import UsageError
from tracelink.printing.label import Label, make_label
from tracelink.printing.layout import LabelLayout, load_layout
from tracelink.printing.output import whole_file
from tracelink.printing.pdf import PdfPages
from tracelink.printing.sheet import A4_MM, LabelSheet
from tracelink.station.decide import ACTS_OF, AREAS

LAYOUT = "act-row"
HEADING_MM = 7.0
"""Height of the heading's type, to be read from two metres with ease."""

_TOP_MM = 25.0
_COLUMNS = 2

_AREA_NAMES = {
    "tool": "Tool room",
    "press": "Press",
    "lab": "Laboratory and quality",
    "line": "Packing line",
    "dock": "Dock",
}

_LINE_ACTS = {
    "CLEAR": "Clear the line: then a second person's badge",
    "CLOSE": "Close the open carton",
    "REJECT": "Scrap one disc of the open spindle",
    "NOREAD": "The code will not scan",
    "MANUAL": "After two NOREADs: then the typed code, second badge",
    "UNDO": "Take back the last match, reject, CLOSE, or an empty carton",
    "STOP": "Stop. Put aside what you hold; cancels an unfinished action",
    "CHECK": "In-process check is good: then a second person's badge",
    "RECHECK": "Re-check the units set aside, one by one",
    "TAKEOUT": "Scrap a packed unit: answer the questions, give the reason",
    "COUNT": "Count by hand: then what you counted, how many",
    "REOPEN": "Open a sealed carton again: then its label, the reason",
    "MERGE": "Empty a part carton into the open one: then its label, the reason",
    "HANDOVER": "Shift change: then the badge of whoever takes over",
}

_MEANINGS = {
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
    ("press", "CORRECT"): "Correct the last counter reading: then right counter, reason, second badge",
    ("press", "RESUME"): "Restart a lot that was taken off: then lot card, what is mounted, reason",
    ("press", "COUNT"): "Count by hand: then what you counted, how many",
    ("lab", "SAMPLE"): "Draw a sample: then lot card, sample tag, stroke, and where it is from",
    ("lab", "GOOD"): "The sample is good: then its tag",
    ("lab", "BAD"): "The sample is bad: then its tag, the defect",
    ("lab", "REJUDGE"): "Correct a judgement: then sample tag, good or the defect, reason",
    ("lab", "MEASURE"): "A measured value: then sample tag, quantity and value",
    ("lab", "RELEASE"): "Release a lot: then lot card, reason",
    ("lab", "OVERRULE"): "Release in spite of a finding: then lot card, reason, second badge",
    ("lab", "REJECT"): "Reject a lot: then lot card, reason",
    ("lab", "HOLD"): "Put something on hold: then its code, reason",
    ("lab", "LIFT"): "Lift a hold: then the hold, reason, second badge",
    ("lab", "COUNT"): "Count by hand: then what you counted, how many",
    ("dock", "PALLET"): "Open a pallet: then its label",
    ("dock", "CLOSE"): "Close the open pallet",
    ("dock", "ACCEPT"): "Accept a pallet into stock: then its label",
    ("dock", "SHIP"): "Begin a shipment: then the order",
    ("dock", "PICK"): "Load a loose carton or a pallet: then its label, twice",
    ("dock", "UNLOAD"): "Take off the vehicle: then the label, reason",
    ("dock", "DRIVER"): "The driver checked the load: then their name",
    ("dock", "DEPART"): "The shipment leaves",
    ("dock", "ACCEPTLOAD"): "Quality accepts a short or over load: then the reason",
    ("dock", "PUT"): "Put away: then pallet or carton, location",
    ("dock", "MOVE"): "Move: then pallet or carton, new location",
    ("dock", "UNSTACK"): "Take a carton off its pallet: then its label, reason",
    ("dock", "REOPEN"): "Open a pallet again: then its label, reason",
    ("dock", "BREAK"): "A carton is found open or damaged: then its label, reason",
    ("dock", "REPACK"): "Seal a broken carton by count: then its label, count, reason",
    ("dock", "OPENCHECK"): "Open a carton and compare: then its label, count",
    ("dock", "RETURN"): "A carton came back: then its label, reason",
    ("dock", "RETURNLOOSE"): "Discs came back: then matrix number, stamper mark, count",
    ("dock", "RESTOCK"): "A returned carton is stock again: then its label, reason",
    ("dock", "RESTOCKLOOSE"): "Returned discs onto a spindle: then return number, new card, reason",
    ("dock", "DESTROY"): "Destroy: then carton or return number, reason, witness",
    ("dock", "COUNT"): "Count by hand: then what you counted, how many",
}
"""What people read beside an act's word. An act without an entry shows what it asks for."""

_CANCEL = "Cancel the unfinished action; nothing is booked"


@dataclass(frozen=True, slots=True)
class ActRow:
    """One act on a card."""

    word: str
    meaning: str


def acts_of(area: str) -> list[ActRow]:
    """Return the acts of a kind of station, in the order of its card.

    Args:
        area: tool, press, lab, line or dock.

    Raises:
        UsageError: there is no such area.
    """
    if area not in AREAS:
        raise UsageError(f"There is no work area {area!r}; expected one of {', '.join(AREAS)}.")
    if area not in ACTS_OF:
        return [ActRow(word, meaning) for word, meaning in _LINE_ACTS.items()]
    rows = [
        ActRow(word, _MEANINGS.get((area, word)) or " ".join(slot.asks for slot in form.slots) or word)
        for word, form in ACTS_OF[area].forms.items()
    ]
    return [*rows, ActRow("CANCEL", _CANCEL)]


def write_acts(
    path: Path, area: str, dpi: int, progress: Callable[[int], AbstractContextManager[Any]]
) -> Sequence[str]:
    """Write the card of a kind of station as a PDF and return the words on it.

    Args:
        path: the PDF, replaced in one step if it is there.
        area: tool, press, lab, line or dock.
        dpi: dots per inch of the printer.
        progress: given a number of labels, a progress bar.

    Raises:
        UsageError: there is no such area, or the file cannot be written.
        LabelNotProven: an act does not read back; no file was written.
    """
    rows = acts_of(area)
    layout = load_layout(LAYOUT)
    heading = f"{_AREA_NAMES[area]}: actions"
    with whole_file(path, heading) as part, progress(len(rows)) as bar:
        pages = PdfPages(part, heading, _sheet(layout), heading, HEADING_MM)
        for row in rows:
            pages.add(_proven(layout, row, dpi))
            bar.update(1)
        pages.save()
    return [row.word for row in rows]


def _proven(layout: LabelLayout, row: ActRow, dpi: int) -> Label:
    label = make_label(layout, {"act": row.word, "meaning": row.meaning}, dpi)
    label.proven()
    return label


def _sheet(layout: LabelLayout) -> LabelSheet:
    """Two columns below a heading."""
    width, height = A4_MM
    rows = int((height - _TOP_MM) // layout.height_mm)
    return LabelSheet(width, height, _COLUMNS, rows, layout.width_mm, layout.height_mm, _TOP_MM)
