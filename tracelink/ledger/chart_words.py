"""A signal on a control chart in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

JUDGED = "judged"
"""In place of a lab test: whether discs were judged good or bad."""

FAULT = "fault"
"""In place of a lab test: faults that tests of built pieces found; with what was typed of one, only that one."""


def is_fault(test: str) -> bool:
    """Return whether a chart is one of faults: `fault`, or `fault` and a position or symptom, such as `fault C12`."""
    return test == FAULT or test.startswith(f"{FAULT} ")


def fault_in(test: str, symptom: str | None, position: str | None) -> bool:
    """Return whether a failed test is the fault of a chart; capital letters make no difference.

    Args:
        test: of a chart of faults.
        symptom: what the piece did wrong.
        position: where the fault is.
    """
    wanted = test.removeprefix(FAULT).strip().casefold()
    return not wanted or wanted in ((symptom or "").casefold(), (position or "").casefold())


RULE_WORDS = {
    "1-beyond-3s": "beyond 3 sigma",
    "2-of-3-beyond-2s": "2 of 3 beyond 2 sigma",
    "4-of-5-beyond-1s": "4 of 5 beyond 1 sigma",
    "8-on-one-side": "8 on one side of the centre",
    "9-on-one-side": "9 on one side of the centre",
    "6-rising-or-falling": "6 steadily rising or falling",
    "14-alternating": "14 up and down in turn",
    "15-within-1s": "15 within 1 sigma",
    "8-beyond-1s": "8 beyond 1 sigma",
    "beyond-limit": "beyond its limit",
}
"""Every run rule as people say it."""


def rule_words(rules: Sequence[str]) -> str:
    """Return the first rule in words, and how many more there are."""
    first, *more = (RULE_WORDS.get(rule, rule) for rule in rules)
    return f"{first}, and {len(more)} more rules" if len(more) > 1 else ", ".join((first, *more))


class SignalFields(Protocol):
    """What is told of a signal."""

    @property
    def test(self) -> str:
        """What was measured."""
        ...

    @property
    def subject(self) -> str:
        """The tool or press of which the chart is."""
        ...

    @property
    def rules(self) -> Sequence[str]:
        """The rules that say so."""
        ...

    @property
    def lower(self) -> str | None:
        """Lower control limit."""
        ...

    @property
    def centre(self) -> str:
        """Centre line."""
        ...

    @property
    def upper(self) -> str:
        """Upper control limit."""
        ...

    @property
    def begins_after(self) -> int | None:
        """The change begins after this place."""
        ...

    @property
    def begins_by(self) -> int | None:
        """And by this one."""
        ...

    @property
    def stage(self) -> str | None:
        """What changed with it."""
        ...

    @property
    def stage_code(self) -> str | None:
        """Which one."""
        ...


def lines_words(lower: str | None, centre: str, upper: str) -> str:
    """Return centre line and limits of a point."""
    return (
        f"centre {centre}, limit {upper}" if lower is None else f"centre {centre}, limits {lower} to {upper}"
    )


def signal_words(signal: SignalFields) -> str:
    """Say that a value is a signal, where the change begins, and which stage to look at."""
    lines = lines_words(signal.lower, signal.centre, signal.upper)
    what = "the number of bad discs" if signal.test == JUDGED else signal.test
    if is_fault(signal.test):
        what = f"the number of pieces with {signal.test}"
    said = f"{what} is a signal on the chart of {signal.subject} ({rule_words(signal.rules)}; {lines})."
    if signal.begins_by is not None:
        said += f" The change begins between {signal.begins_after} and {signal.begins_by}."
    if signal.stage is None:
        return f"{said} Nothing recorded changed with it: look at {signal.subject} itself."
    named = signal.stage.replace("_a", " A").replace("_b", " B")
    return f"{said} Look at {named} {signal.stage_code}, which changed with it."
