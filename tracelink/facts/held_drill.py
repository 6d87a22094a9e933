"""A drill that was held: what was drawn, each timed step, and what it found."""

from dataclasses import dataclass
from typing import Any

from tracelink.ledger.kinds.drill import DrillHeld

DRAWN_FROM = ("carton", "stamper", "reel", "part-lot", "bath", "blend")
"""What a drill can draw."""


@dataclass(frozen=True, slots=True)
class RecordedDrill:
    """A drill that was recorded in the journal."""

    seq: int
    """Its entry."""
    seed: int
    what: str
    subject: str
    """Code of what was drawn."""
    back_ms: int
    """Milliseconds of each step."""
    forward_ms: int
    contain_ms: int
    balance_ms: int
    gaps: int
    """What the records did not say, or say in contradiction, on the way."""
    difference: int
    """The differences of all lots together, with sign."""
    lots_off: int
    """Lots of which some line is not zero."""
    limit_minutes: int
    """Time allowed for an exercise with people."""


@dataclass(frozen=True, slots=True)
class DrillStep:
    """One timed part of a drill."""

    name: str
    asked: str
    """The command that asks the same."""
    ms: int
    """Milliseconds of the machine."""
    found: str
    """The result in a few words."""


@dataclass(frozen=True, slots=True)
class DrillLot:
    """A lot that the containment reached, with its balance."""

    lot: str
    pressed: int
    """Discs counted at the press; parts on a reel or of a part lot; pieces of a build order."""
    difference: int
    """All differences of its balance together, with sign."""
    off: str
    """The line at which a difference first appears; empty if every line is zero."""


@dataclass(frozen=True, slots=True)
class Drill:
    """A drill that was held."""

    seed: int
    what: str
    subject: str
    """Code of what was drawn."""
    among: int
    """Number of things it was drawn from, 1 or more."""
    cause: str
    """What was contained: what was drawn, or of a carton a stamper or reel that it holds something of."""
    steps: tuple[DrillStep, ...]
    lots: tuple[DrillLot, ...]
    consignees: tuple[tuple[str, int], ...]
    """Who would have to be told, and how many discs of the lots each has."""
    discs: int
    """Discs of the lots."""
    unaccounted: int
    """Those that no place holds, with sign."""
    gaps: tuple[str, ...]
    """What the records did not say, or say in contradiction, on the way."""
    limit_minutes: int
    """Time allowed for an exercise with people, and where the number comes from."""
    limit_source: str
    head: tuple[int, str]

    @property
    def ms(self) -> int:
        """All steps together."""
        return sum(step.ms for step in self.steps)

    @property
    def difference(self) -> int:
        """The differences of all lots together, with sign; opposite ones cancel, so look at the lots."""
        return sum(lot.difference for lot in self.lots)

    @property
    def lots_off(self) -> int:
        """Lots of which some line is not zero."""
        return sum(bool(lot.off) for lot in self.lots)

    def entry(self) -> DrillHeld:
        """Return what the journal keeps of it."""
        back, forward, contained, balanced = (step.ms for step in self.steps)
        return DrillHeld(
            seed=self.seed,
            what=self.what,
            subject=self.subject,
            back_ms=back,
            forward_ms=forward,
            contain_ms=contained,
            balance_ms=balanced,
            gaps=len(self.gaps),
            difference=self.difference,
            lots_off=self.lots_off,
            limit_minutes=self.limit_minutes,
        )

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout drill --format json`; times in milliseconds."""
        return {
            "seed": self.seed,
            "what": self.what,
            "subject": self.subject,
            "among": self.among,
            "cause": self.cause,
            "steps": [
                {"step": step.name, "ms": step.ms, "found": step.found, "asked": step.asked}
                for step in self.steps
            ],
            "ms": self.ms,
            "lots": [
                {"lot": lot.lot, "pressed": lot.pressed, "difference": lot.difference, "off": lot.off}
                for lot in self.lots
            ],
            "difference": self.difference,
            "lots_off": self.lots_off,
            "consignees": [{"consignee": name, "discs": discs} for name, discs in self.consignees],
            "discs": self.discs,
            "unaccounted": self.unaccounted,
            "gaps": list(self.gaps),
            "limit": {"minutes": self.limit_minutes, "source": self.limit_source},
            "head": {"seq": self.head[0], "hash": self.head[1]},
        }
