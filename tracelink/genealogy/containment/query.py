"""What a containment is asked: the cause, the shape of its fault, and what is known besides the records.

A query is plain data: it says nothing about a command line, can be kept in a case, and asked again of a later
ledger. Every way of asking (the command, a case, another program) comes down to one of these.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from types import UnionType

from tracelink.errors import UsageError
from tracelink.genealogy.containment.next_test import DEFAULT_TESTS
from tracelink.genealogy.model.facts import JudgementFact
from tracelink.genealogy.model.shapes import Shape
from tracelink.identity.plantcode import CodeKind, PlantCode

_EVIDENCE = re.compile(
    r"(?P<lot>[A-Z0-9]+)(:(?P<stroke>[0-9]{1,9}))?=(?P<word>good|bad)(:(?P<defect>.{1,60}))?"
)

BY_LABEL = 0
"""In place of a stroke, for a built piece that is named by its serial label."""

NOT_RECORDED = "not recorded"
"""In place of the tag of a sample, for a disc whose judgement came with the query."""

MOST_TESTS = 1000
"""Tests named at most."""

SECONDS = 30
"""Time for a question and its certificate, unless another is given: as long as somebody waits at a screen."""

MOST_SECONDS = 86_400
"""Time that can be given: a day."""

SENSIBLE_SECONDS = f"a number of seconds that is more than 0 and {MOST_SECONDS} at most"
"""What can be given, for a sentence that refuses something else."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """A judged disc or built piece that the lab has not recorded.

    Raises:
        UsageError: a field has the wrong type, or a good disc has a defect.
    """

    lot: str
    """Code of its lot; of a built piece its serial label."""
    stroke: int
    """Which disc of the lot: 1 for the first stroke; 0 for a built piece."""
    good: bool
    """True if it was found good."""
    defect: str | None = None
    """What was found on a bad disc, in lower case; None if nobody named it."""

    def __post_init__(self) -> None:
        _require("Evidence.lot", self.lot, str)
        _require("Evidence.stroke", self.stroke, int)
        _require("Evidence.good", self.good, bool)
        _require("Evidence.defect", self.defect, str, optional=True)
        if self.good and self.defect:
            raise UsageError(f"--evidence {str(self)!r}: a good disc has no defect")

    @classmethod
    def parse(cls, text: str) -> Evidence:
        """Read `LOT:STROKE=good`, `LOT:STROKE=bad[:DEFECT]`, or the same with a serial label in place of LOT:STROKE.

        Raises:
            UsageError: the text has another form.
            IdentifierError: the lot's code is wrong.
        """
        match = _EVIDENCE.fullmatch(text)
        if match is None:
            raise UsageError(f"--evidence {text!r}: expected LOT:STROKE=good or LOT:STROKE=bad[:DEFECT]")
        good = match["word"] == "good"
        if good and match["defect"]:
            raise UsageError(f"--evidence {text!r}: a good disc has no defect")
        defect = match["defect"].strip().lower() if match["defect"] else None
        code = PlantCode.parse(match["lot"])
        if (code.kind is CodeKind.PIECE) != (match["stroke"] is None):
            raise UsageError(
                f"--evidence {text!r}: expected LOT:STROKE, or the serial label of a built piece alone"
            )
        return cls(code.text, int(match["stroke"] or BY_LABEL), good, defect)

    def __str__(self) -> str:
        verdict = "good" if self.good else "bad"
        which = self.lot if self.stroke == BY_LABEL else f"{self.lot}:{self.stroke}"
        return f"{which}={verdict}" + (f":{self.defect}" if self.defect else "")

    def judgement(self, seq: int) -> JudgementFact:
        """Return it as a judgement that came after entry `seq`."""
        return JudgementFact(NOT_RECORDED, self.lot, self.stroke, self.good, self.defect, seq)


@dataclass(frozen=True, slots=True)
class ContainmentQuery:
    """What one or several causes may have touched.

    Raises:
        UsageError: a field has the wrong type or lies outside its range.
    """

    cause: str
    """Code of a tool of any level, press, compound or label lot, lot, spindle, carton, pallet, shipment, sleeve
    batch, process step, equipment, station or badge; or a raw scan of one."""
    shape: Shape
    """How the fault runs along the life of the cause."""
    evidence: tuple[Evidence, ...] = ()
    """Judged discs that the lab has not recorded."""
    defect: str | None = None
    """Count a disc as bad for this defect only, in lower case; None counts any."""
    window: tuple[int, int] | None = None
    """For `Shape.WINDOW` of one stamper or lot: first and last stroke; of a press: first and last entry."""
    also: tuple[str, ...] = ()
    """Further causes: discs of any of them."""
    only_with: tuple[tuple[str, ...], ...] = ()
    """Only discs that one cause of each of these touched as well."""
    since: str | None = None
    """For stations and badges: what was done at this time or later; RFC 3339 with offset."""
    until: str | None = None
    """The same: at this time or earlier."""
    next_tests: int = DEFAULT_TESTS
    """How many discs to name whose test would narrow the scope most, 0 to 1000."""
    seconds: float = SECONDS
    """Time for the question and its certificate together, more than 0 and 86400 at most; past it limits hold, but are
    not called exact. A case does not keep it."""

    def __post_init__(self) -> None:
        _require("ContainmentQuery.cause", self.cause, str)
        _require("ContainmentQuery.shape", self.shape, Shape)
        _require_each("ContainmentQuery.evidence", self.evidence, Evidence)
        _require("ContainmentQuery.defect", self.defect, str, optional=True)
        _require_each("ContainmentQuery.also", self.also, str)
        _require_each("ContainmentQuery.only_with", self.only_with, tuple)
        for clause in self.only_with:
            _require_each("ContainmentQuery.only_with", clause, str)
        _require("ContainmentQuery.since", self.since, str, optional=True)
        _require("ContainmentQuery.until", self.until, str, optional=True)
        _require("ContainmentQuery.next_tests", self.next_tests, int)
        if self.window is not None:
            _require_each("ContainmentQuery.window", self.window, int)
            if len(self.window) != 2:
                raise UsageError(f"ContainmentQuery.window is {self.window!r}: expected (first, last)")
        if not 0 <= self.next_tests <= MOST_TESTS:
            raise UsageError(f"ContainmentQuery.next_tests is {self.next_tests}: expected 0 to {MOST_TESTS}")
        _require("ContainmentQuery.seconds", self.seconds, int | float)
        if not 0 < self.seconds <= MOST_SECONDS:
            raise UsageError(f"ContainmentQuery.seconds is {self.seconds}: expected {SENSIBLE_SECONDS}")

    @property
    def clauses(self) -> tuple[tuple[str, ...], ...]:
        """The causes: every clause must hold, and of a clause any of its codes."""
        return ((self.cause, *self.also), *self.only_with)

    @property
    def codes(self) -> tuple[str, ...]:
        """The codes of all causes."""
        return tuple(code for clause in self.clauses for code in clause)

    @property
    def has_period(self) -> bool:
        """True if it asks about a period."""
        return self.since is not None or self.until is not None

    def with_clauses(self, clauses: tuple[tuple[str, ...], ...]) -> ContainmentQuery:
        """Return the same query about other codes, clause by clause."""
        (cause, *also), *only_with = clauses
        return replace(self, cause=cause, also=tuple(also), only_with=tuple(map(tuple, only_with)))


def parse_window(text: str) -> tuple[int, int]:
    """Read FIRST-LAST.

    Raises:
        UsageError: the text has another form.
    """
    match = re.fullmatch(r"([0-9]{1,9})-([0-9]{1,9})", text)
    if match is None:
        raise UsageError(f"--window {text!r}: expected FIRST-LAST, such as 400-520")
    return int(match[1]), int(match[2])


def parse_seconds(text: str | None) -> float:
    """Read a number of seconds; `SECONDS` for None.

    Raises:
        UsageError: it is no number, 0 or less, or more than a day.
    """
    if text is None:
        return SECONDS
    try:
        seconds = float(text)
    except ValueError:
        raise UsageError(f"--seconds {text!r}: expected {SENSIBLE_SECONDS}, such as 60") from None
    # Written so that "not a number" is refused too.
    if not 0 < seconds <= MOST_SECONDS:
        raise UsageError(f"--seconds {text}: expected {SENSIBLE_SECONDS}")
    return seconds


def parse_defect(text: str | None) -> str | None:
    """Return the name of a defect as the lab writes it; None for any.

    Raises:
        UsageError: the name is empty.
    """
    if text is None:
        return None
    name = text.strip().lower()
    if not name:
        raise UsageError("--defect is empty: name the defect as the lab does, or leave it out for any")
    return name


def _require(field: str, value: object, kind: type | UnionType, *, optional: bool = False) -> None:
    # bool is a kind of int in Python; a stroke of True must not pass.
    fits = isinstance(value, kind) and (kind is bool or not isinstance(value, bool))
    if not fits and not (optional and value is None):
        expected = f"{getattr(kind, '__name__', kind)}{' or None' if optional else ''}"
        raise UsageError(f"{field} is {value!r}: expected {expected}, found {type(value).__name__}")


def _require_each(field: str, values: object, kind: type) -> None:
    _require(field, values, tuple)
    assert isinstance(values, tuple)
    for place, value in enumerate(values):
        _require(f"{field}[{place}]", value, kind)
