"""Whoever is signed on and may not act any more: a badge is withdrawn, or a role taken away, while they are at a station."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import ActRead, PlantRead, read_scan
from tracelink.station.common.authority import require_role
from tracelink.station.common.form_state import FormState
from tracelink.station.common.station_facts import Person
from tracelink.station.line.state import LineState
from tracelink.station.sentences import common_sentences, form_sentences


def may_act_still(person: Person, state: FormState | LineState) -> bool:
    """Say whether who is signed on may act now: a badge can be withdrawn, and a role taken away, meanwhile."""
    return person.withdrawn is None and ("line" in person.roles or not isinstance(state, LineState))


def refuse_unless_leaving(person: Person, raw: str, state: FormState | LineState) -> None:
    """Refuse what is not the badge of somebody else, nor STOP: while a disc is in hand nobody else can sign on."""
    reading = read_scan(raw)
    if isinstance(reading, ActRead) and reading.word in ("STOP", "CANCEL"):
        return
    if isinstance(reading, PlantRead) and reading.code.kind is CodeKind.PERSON:
        return
    if person.withdrawn is not None:
        raise common_sentences.badge_withdrawn_here(person, holds_pieces=isinstance(state, LineState))
    require_role(person, ("line",), form_sentences.MAY_NOT_PACK)
