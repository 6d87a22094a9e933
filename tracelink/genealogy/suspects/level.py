"""Which level of a tool's family carries a fault: the stamper, its mother, its father or the master.

A fault of a mother is on every stamper grown from it afterwards. So the question at each level is what the
judged discs say about the *other* stampers below it: all bad speaks for this level or one above, a good one
for a level below. It is a pointer for the next test and no proof; untested stampers are listed as such.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import pairwise

from tracelink.errors import UsageError
from tracelink.genealogy.model.cause_kinds import node_of
from tracelink.genealogy.model.facts import STAMPER, JudgementFact, ToolFact
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.suspects.evidence import counts_as


@dataclass(frozen=True, slots=True)
class Level:
    """One tool in the line from a stamper to its master, and the stampers below it."""

    code: str
    """The tool."""
    kind: str
    """Kind of the tool: stamper, mother, father, lacquer or copper."""
    good: tuple[str, ...]
    """Stampers below it, itself included, with good discs only."""
    bad: tuple[str, ...]
    """Stampers with bad discs only."""
    mixed: tuple[str, ...]
    """Stampers with good and bad discs: their fault, if it is one, was not there from the start."""
    untested: tuple[str, ...]
    """Stampers without a judged disc."""


@dataclass(frozen=True, slots=True)
class Levels:
    """What the judged discs say about a stamper's family."""

    levels: tuple[Level, ...]
    """Levels, from the stamper to its master."""
    sentence: str
    """Which level the evidence points to."""


def level(
    records: Records,
    stamper: str,
    defect: str | None = None,
    judgements_of: Callable[[str], Iterable[JudgementFact]] | None = None,
) -> Levels:
    """Compare a stamper with its relatives, level by level.

    Args:
        records: the records.
        stamper: a stamper's code.
        defect: the defect asked about; None counts a disc bad for any defect.
        judgements_of: the judgements to use for a lot; None uses those recorded.

    Raises:
        UnknownCode: no record names the stamper.
        UsageError: the code is something else.
    """
    kind = node_of(records, stamper).kind
    if kind != STAMPER:
        raise UsageError(f"levels are compared from a stamper: expected a stamper, found {kind} {stamper}")
    judged = judgements_of or records.judgements_of
    verdicts: dict[str, str] = {}
    levels: list[Level] = []
    for tool in _line_of(records, stamper) or [ToolFact(stamper, STAMPER, None, "", "", "")]:
        # The stand-in is for a stamper that run segments name and no tool record describes.
        stampers = _stampers_below(records, tool)
        for code in stampers:
            if code not in verdicts:
                verdicts[code] = _verdict(records, code, defect, judged)
        levels.append(_level(tool, stampers, verdicts))
    return Levels(tuple(levels), _sentence(stamper, levels))


def _line_of(records: Records, stamper: str) -> list[ToolFact]:
    line: list[ToolFact] = []
    tool = records.tool(stamper)
    while tool is not None:
        line.append(tool)
        tool = records.tool(tool.parent) if tool.parent is not None else None
    return line


def _stampers_below(records: Records, tool: ToolFact) -> list[str]:
    found: list[ToolFact] = [tool]
    for one in found:
        # The list grows while it is read: children of children follow.
        found.extend(records.children_of(one.code))
    return [one.code for one in found if one.kind == STAMPER]


def _verdict(
    records: Records,
    stamper: str,
    defect: str | None,
    judgements_of: Callable[[str], Iterable[JudgementFact]],
) -> str:
    seen: set[bool] = set()
    segments = records.segments_with(stamper)
    for lot in dict.fromkeys(segment.lot for segment in segments):
        strokes = [segment.strokes for segment in segments if segment.lot == lot]
        for judgement in judgements_of(lot):
            good = counts_as(judgement, defect)
            if good is not None and any(judgement.stroke in some for some in strokes):
                seen.add(good)
    if not seen:
        return "untested"
    return "mixed" if len(seen) > 1 else ("good" if seen == {True} else "bad")


def _level(tool: ToolFact, stampers: Iterable[str], verdicts: dict[str, str]) -> Level:
    by_verdict: dict[str, list[str]] = {"good": [], "bad": [], "mixed": [], "untested": []}
    for code in stampers:
        by_verdict[verdicts[code]].append(code)
    return Level(
        tool.code,
        tool.kind,
        good=tuple(by_verdict["good"]),
        bad=tuple(by_verdict["bad"]),
        mixed=tuple(by_verdict["mixed"]),
        untested=tuple(by_verdict["untested"]),
    )


def _sentence(stamper: str, levels: list[Level]) -> str:
    own = levels[0]
    if not (own.bad or own.mixed):
        return f"No disc of stamper {stamper} was judged bad, so there is no fault to place."
    if own.mixed:
        return (
            f"Stamper {stamper} made good and bad discs: the evidence points to the stamper itself or to the press, not "
            f"to a tool it was grown from."
        )
    reached, seen = own, {stamper}
    for below, above in pairwise(levels):
        others_bad = [code for code in above.bad if code not in seen]
        others_good = [code for code in (*above.good, *above.mixed) if code not in seen]
        seen |= {*above.bad, *above.good, *above.mixed, *above.untested}
        if others_good:
            if others_bad:
                return _disagreeing(above, others_good, others_bad)
            return _bounded(reached, below, above, others_good)
        if others_bad:
            reached = above
    if reached is own:
        return (
            f"No other stamper of the family of {stamper} has a judged disc: the level cannot be told. Test discs of "
            f"{_listed(levels[-1].untested) or 'a stamper grown from the same mother'}."
        )
    return (
        f"Every judged stamper below {reached.kind} {reached.code} is bad: the evidence points to it or to a tool above "
        f"it.{_untested(levels[-1])}"
    )


def _bounded(reached: Level, below: Level, above: Level, good: list[str]) -> str:
    limit = f"{above.kind} {above.code}"
    up_to = "" if below is reached else f" or to a tool up to {below.kind} {below.code}"
    return (
        f"Stampers below {limit} made good discs ({_listed(good)}): the evidence points to {reached.kind} "
        f"{reached.code}{up_to}, not to {limit}.{_untested(above)}"
    )


def _disagreeing(above: Level, good: list[str], bad: list[str]) -> str:
    limit = f"{above.kind} {above.code}"
    return (
        f"Of the other stampers below {limit}, some made bad discs only ({_listed(bad)}) and some made good ones "
        f"({_listed(good)}): the evidence does not agree on one level. A fault that {limit} got between two growings "
        f"would look like this.{_untested(above)}"
    )


def _untested(at: Level) -> str:
    return f" Untested: {_listed(at.untested)}." if at.untested else ""


def _listed(codes: Iterable[str]) -> str:
    return ", ".join(codes)
