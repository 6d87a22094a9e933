"""What a station that works by acts has in hand between two scans, and how entries and spooled scans change it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.station import ScanRefused, SignedOff, SignedOn


@dataclass(frozen=True, slots=True)
class FormState:
    """What a form station has in hand."""

    person: str | None = None
    form: str | None = None
    raws: tuple[str, ...] = ()
    """Raw scans of the slots filled so far, in order."""
    pin: str | None = None
    """The badge that was scanned and whose PIN is awaited."""
    turned_away: int | None = None
    """Number of the last scan of a badge with PIN that was refused."""


def evolve(state: FormState, body: EntryBody) -> FormState:
    """Return the state after an entry: a finished act clears it, a refusal leaves it as it was."""
    if isinstance(body, SignedOn):
        return FormState(person=body.person)
    if isinstance(body, SignedOff):
        # Who was signed off by the station may have left an act, which whoever signs on puts away.
        return replace(state, person=None) if body.by_itself else FormState()
    if isinstance(body, ScanRefused):
        return state
    return FormState(person=state.person)


def evolve_spooled(state: FormState, fact: Mapping[str, Any]) -> FormState:
    """Return the state after a scan that waits in the spool."""
    if "form" in fact:
        begun = (fact["slot"],) if "slot" in fact else ()
        return replace(state, form=fact["form"], raws=begun)
    if "cancel" in fact:
        return replace(state, form=None, raws=())
    if "look" in fact or "again" in fact:
        return state
    return replace(state, raws=(*state.raws, fact["slot"]))
