"""Where a kind of entry can come from: which stations, whose hand, and what must stand beside it.

A chain shows that nothing was changed afterwards; it does not show that a rule made an entry. What a rule makes always
carries traces of how it came about: the station and the number of its scan, the person signed on there, the reason that
was asked for, the badge of a second person. Each kind says which; `origin_check.py` asks every entry for them.

Roles are those of the acts at the stations and of the commands (`station/*/acts.py`, `store/office/office_acts.py`). Tests
play the demo plant and days of every station, and no entry of theirs may lack anything.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum

AREAS = frozenset({"tool", "press", "lab", "line", "dock", "process", "assembly"})
"""Areas of stations."""

QUALITY = frozenset({"quality"})
WITNESSES = frozenset({"line", "quality"})
"""Roles of which one is enough."""


@dataclass(frozen=True, slots=True)
class Second:
    """A second person who agreed."""

    field: str
    """The field of the body that holds the badge."""
    roles: frozenset[str] = QUALITY
    """Roles of which one is enough."""
    always: bool = True
    """True if the field may not be empty."""


class ScanRule(Enum):
    """Which raw scans stand beside an entry of a station."""

    OWN = "own"
    """The scan that led to it: beside itself, or beside a later entry that the same scan led to."""
    SEALED = "sealed"
    """The matches that it seals; the scan that led to it may go on waiting with an act that it began."""
    NONE = "none"
    """Perhaps none: it follows from the entry before it, or the scan goes on waiting."""


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a kind of entry can come from."""

    areas: frozenset[str] = frozenset()
    """Areas of the stations that make it; empty if none does."""
    roles: frozenset[str] = frozenset()
    """Roles of which the person at the station must have one; empty if anybody with a badge may, or nobody."""
    by_command: bool = False
    """True if a command makes it as well."""
    command_roles: frozenset[str] = frozenset()
    """Roles for the command; empty if anybody with a badge may."""
    nobody: bool = False
    """True if it is made before anybody is signed on, or from a file of the plant."""
    reason: bool = False
    """True if a reason always stands beside it."""
    second: Second | None = None
    """The second person it needs."""
    scans: ScanRule = ScanRule.OWN
    """Which raw scans stand beside it, if it was made at a station."""

    def needs_reason(self) -> Origin:
        """Return the same with a reason beside it."""
        return replace(self, reason=True)

    def needs_second(self, field: str, roles: frozenset[str] = QUALITY, *, always: bool = True) -> Origin:
        """Return the same with a second person, as for `Second`."""
        return replace(self, second=Second(field, roles, always))

    def beside(self, scans: ScanRule) -> Origin:
        """Return the same with other raw scans beside it."""
        return replace(self, scans=scans)


def _at(area: str, *roles: str) -> Origin:
    return Origin(frozenset({area}), frozenset(roles or (area,)))


TOOL_ROOM, PRESS, LAB, LINE, DOCK = _at("tool"), _at("press"), _at("lab"), _at("line"), _at("dock")
PROCESS, ASSEMBLY = _at("process"), _at("assembly")
"""Work of one area by its people."""
LAB_QUALITY, DOCK_QUALITY = _at("lab", "quality"), _at("dock", "quality")
"""Decisions of quality at a station of that area."""
LAB_COMMAND = Origin(by_command=True, command_roles=frozenset({"lab", "quality"}))
LAB_OR_LAB_COMMAND = replace(LAB, by_command=True, command_roles=LAB_COMMAND.command_roles)
"""At the lab's bench, or by command from a file of an instrument."""
AFTER_A_VALUE = replace(
    LAB_OR_LAB_COMMAND.beside(ScanRule.NONE),
    areas=frozenset({"lab", "assembly"}),
    roles=frozenset({"lab", "assembly"}),
)
"""It follows from the value, judgement or test booked before it."""
DOCK_OR_QUALITY = _at("dock", "dock", "quality")
"""At a dock, by either."""
ANYWHERE = Origin(AREAS, nobody=True)
"""At any station, also before somebody is signed on."""
OF_A_BADGE = replace(ANYWHERE, by_command=True, scans=ScanRule.NONE)
"""About a badge and its PIN."""
FROM_FILE = Origin(by_command=True, nobody=True)
"""From a plant file, or by a command that keeps nobody's name."""
BY_QUALITY_OR_FILE = Origin(by_command=True, command_roles=QUALITY, nobody=True)
"""From the first plant file, or from a later one of somebody of quality."""
OF_FILES = (FROM_FILE, BY_QUALITY_OR_FILE)
"""Made before anybody is known; then by somebody."""
BY_ANYBODY, BY_QUALITY = Origin(by_command=True), Origin(by_command=True, command_roles=QUALITY)
"""By command, by whoever has a badge or the role."""
OF_LABELS = Origin(by_command=True, command_roles=WITNESSES)
OF_DRAWS = Origin(by_command=True, command_roles=frozenset({"dock", "quality"}))
OF_ORDERS = Origin(by_command=True, command_roles=frozenset({"dock", "quality"}), nobody=True)
OF_PARTNERS = Origin(by_command=True, command_roles=frozenset({"dock", "press", "quality"}))
"""By command, by those whose work it is."""
PARTS_RECEIVED = replace(ASSEMBLY, by_command=True, command_roles=OF_PARTNERS.command_roles)
"""At a station, or by command from a document of a partner."""
OF_A_COUNT = Origin(AREAS - {"tool", "process", "assembly"}, AREAS | QUALITY)
OF_A_DIFFERENCE = replace(OF_A_COUNT, by_command=True, reason=True)
"""By whoever counts at a station, or looks into a difference by command."""
OF_A_HOLD = Origin(
    frozenset({"lab", "line", "dock", "assembly"}),
    WITNESSES | {"dock", "assembly"},
    by_command=True,
    command_roles=QUALITY,
    reason=True,
)
"""A line holds both pieces of a number that is there twice, a dock a carton that differs, a placing machine what a wrong reel
placed; quality what it decides."""
OF_A_LIFT = Origin(frozenset({"lab"}), QUALITY, by_command=True, command_roles=QUALITY, reason=True)
"""By quality, at a lab or in a browser."""
