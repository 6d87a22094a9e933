"""Which severity the next lot is inspected with, from how the lots of the same product and kind of inspection came out.

Source:
    MIL-STD-105E 4.7.1 to 4.7.4 and 4.8; ANSI/ASQ Z1.4 8.3 and 8.4 say the same. The limit numbers that MIL-STD-105E asks
    for before reduced inspection (table VIII) are left out, as Z1.4 8.5 allows both parties to agree. That inspection
    ends after ten lots in a row on tightened inspection belongs to MIL-STD-105D (1963), from memory: so it is a setting.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from tracelink.quality.sampling.attribute_plan import SampleOutcome
from tracelink.quality.sampling.attribute_tables import InspectionSeverity

_WINDOW = 5
"""Two lots not within the plan among so many in a row lead to tightened inspection; so many within it lead back."""


@dataclass(frozen=True, slots=True)
class SwitchingRules:
    """What a plant has agreed with whoever takes its lots; 0 switches a rule off."""

    end_rejected: int = 5
    """After so many lots not within the plan, on tightened inspection, it ends until the cause was mended."""
    end_tightened: int = 0
    """After so many lots in a row on tightened inspection it ends until the cause was mended; MIL-STD-105D had 10."""
    reduced_after: int = 0
    """After so many lots in a row within the plan, on normal inspection, it is reduced; MIL-STD-105E has 10."""


@dataclass(frozen=True, slots=True)
class InspectedLot:
    """How a lot came out that was inspected by a plan."""

    outcome: SampleOutcome
    """Where its sample stood."""
    resubmitted: bool = False
    """True if it was inspected before: it does not count."""
    steady: bool = True
    """False if it was pressed irregularly: reduced inspection ends, and does not begin."""

    @property
    def within(self) -> bool:
        """True unless the rejection number was reached."""
        return self.outcome is not SampleOutcome.REACHED


@dataclass(frozen=True, slots=True)
class Switching:
    """Where a product stands for one kind of inspection, before its next lot."""

    severity: InspectionSeverity = InspectionSeverity.NORMAL
    """What the next lot is inspected with."""
    discontinued: bool = False
    """True if inspection has ended until the cause was mended."""
    lots: tuple[InspectedLot, ...] = ()
    """The lots that counted since this severity began, oldest first."""


def after_lot(state: Switching, lot: InspectedLot, rules: SwitchingRules) -> Switching:
    """Return where a product stands after one more lot; a resubmitted lot, or one while discontinued, changes nothing."""
    if lot.resubmitted or state.discontinued:
        return state
    now = replace(state, lots=(*state.lots, lot))
    if state.severity is InspectionSeverity.NORMAL:
        return _after_normal(now, rules)
    if state.severity is InspectionSeverity.TIGHTENED:
        return _after_tightened(now, rules)
    if lot.outcome is SampleOutcome.WITHIN and lot.steady:
        return now
    return Switching(InspectionSeverity.NORMAL)


def after_lots(lots: Iterable[InspectedLot], rules: SwitchingRules) -> Switching:
    """Return where a product stands after all its lots, oldest first; the first one was inspected normally."""
    state = Switching()
    for lot in lots:
        state = after_lot(state, lot, rules)
    return state


def _after_normal(now: Switching, rules: SwitchingRules) -> Switching:
    if sum(not lot.within for lot in now.lots[-_WINDOW:]) > 1:
        return Switching(InspectionSeverity.TIGHTENED)
    last = now.lots[-rules.reduced_after :] if rules.reduced_after else ()
    if last and len(last) == rules.reduced_after and all(lot.within and lot.steady for lot in last):
        return Switching(InspectionSeverity.REDUCED)
    return now


def _after_tightened(now: Switching, rules: SwitchingRules) -> Switching:
    last = now.lots[-_WINDOW:]
    if len(last) == _WINDOW and all(lot.within for lot in last):
        return Switching(InspectionSeverity.NORMAL)
    rejected = sum(not lot.within for lot in now.lots)
    ended = 0 < rules.end_rejected <= rejected or 0 < rules.end_tightened <= len(now.lots)
    return replace(now, discontinued=ended)
