"""What exports must know of a kind of entry: it stands beside the kind itself, so that a new kind is one file.

Three exports ask. An audit bundle takes the entries that act on its things. Its report prints some of them as rows of a
table. An EPCIS document gives an event for each act on a thing, made in `report/epcis/`, or says why there is none.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum, StrEnum
from typing import Any


class Things(StrEnum):
    """Sets of codes of a bundle; each is the name of a field of its scope."""

    TOOLS = "tools"
    LOTS = "lots"
    """Lots whose making is told."""
    WHOLE = "whole"
    """Lots all of whose discs are followed."""
    MATERIALS = "materials"
    SPINDLES = "spindles"
    SAMPLES = "samples"
    CARTONS = "cartons"
    PALLETS = "pallets"
    SHIPMENTS = "shipments"
    LOCATIONS = "locations"
    BATCHES = "batches"
    ORDERS = "orders"
    GTINS = "gtins"
    STEPS = "steps"
    EQUIPMENT = "equipment"
    PROCESSES = "processes"
    PARTS = "parts"
    """Kinds of parts, part lots, reels, slots, build orders and built pieces that are followed."""
    PART_SOURCES = "part_sources"
    """Part lots, reels and build orders that followed pieces are of: how they came to be is told, what else they went into is not."""
    ANY = "things"
    """All of these that can be on hold or be asked about."""


class Taken(Enum):
    """When an entry is taken into a bundle."""

    BY_ITS_THINGS = "when it acts on a thing of the bundle"
    CASE_SCOPE = "when the scope of its case has a lot or carton of the bundle"
    SETTING_UP = "when what it says something about stands in an entry that was taken; looked at last"
    ALWAYS = "in every bundle; looked at last"
    BEFORE_A_RUN = (
        "when it stood at a station before an entry that was taken, until the next of its kind there"
    )
    WHILE_ON = "while a thing of the bundle is on at its station"
    WITH_ANOTHER = "with the entry that it ends or belongs to"
    NEVER = "never: it concerns no lot, and what is kept of it is nobody's to carry away"


class NoEvent(Enum):
    """Why a kind of entry gives no EPCIS event."""

    SAYS_WHAT_IS = "says what something is or how many labels there are; nothing happened to a thing"
    DECISION = "a decision or a paper; the holds of a case have events of their own"
    LOT_UNKNOWN = "discs of several lots counted together: of which lot one is missing is not known"
    OF_ITS_SENDER = "the event is its sender's, who hands it out"
    PART_OF_AN_ACT = "a check, a paper or a preparation; the event is that of the act it belongs to"


class BundleTable(StrEnum):
    """Tables of a bundle that take every entry of a kind as a row."""

    CLEARANCES = "line-clearance"
    CASES = "cases"
    DEVIATIONS = "deviations"
    PRESS_ACTS = "press-acts"
    RETURNS = "returns"


@dataclass(frozen=True, slots=True)
class On:
    """Where a body names what its entry acts on: the carton put on a pallet, not the pallet that holds a hundred others."""

    path: str
    """Field names with dots between; `[]` after a name for each of its items: `reading.lot`, `items[].subject`."""
    things: tuple[Things, ...]
    """The entry acts on a thing of the bundle if the text there is in one of these sets."""

    def texts(self, body: Mapping[str, Any]) -> Iterator[str]:
        """Yield the texts that a body has there.

        Args:
            body: as it lies in the journal: every entry of a ledger is asked, and few are wanted as dataclasses.
        """
        found: list[Any] = [body]
        for part in self.path.split("."):
            name, many = part.removesuffix("[]"), part.endswith("[]")
            values = [each.get(name) for each in found if isinstance(each, Mapping)]
            found = [item for value in values for item in (value or () if many else (value,))]
        return (each for each in found if isinstance(each, str))


@dataclass(frozen=True, slots=True)
class ExportRule:
    """What exports must know of a kind of entry."""

    acts_on: tuple[On, ...] = ()
    """Where its body names what it acts on; one that is of the bundle is enough."""
    taken: Taken = Taken.BY_ITS_THINGS
    """When a bundle takes it."""
    no_event: NoEvent | None = None
    """Why it gives no EPCIS event; None if one is made of it."""
    tables: tuple[BundleTable, ...] = ()
    """The tables that take each such entry as a row; others may put it together with more."""
    called: str = ""
    """How the table of acts at the press calls it."""
    holds_name: bool = False
    """True if the body holds a person's name; such entries are withheld where people are shown by their badges."""


def on(path: str, *things: Things) -> tuple[On, ...]:
    """Return the one place of a body that names what is acted on; several are added up with `+`."""
    return (On(path, things),)
