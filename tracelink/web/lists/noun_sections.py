"""What is known of a thing that has no family: a hold, a person, a station, a location."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import asdict

from runout import OpenLedger
from tracelink.identity.plantcode import CodeKind
from tracelink.ledger.time_words import moment
from tracelink.report.format.document import Block, FactList, Section
from tracelink.report.format.table import Cell, Column, Kind, table

_LAST = 20
_HELD = (
    Column("subject", "item held"),
    Column("first", "from stroke", Kind.NUMBER),
    Column("last", "to stroke", Kind.NUMBER),
)
_REFUSED = (
    Column("at", "when", Kind.TIME),
    Column("finding", "reason"),
    Column("sentence", "what was said", Kind.TEXT),
    Column("seq", "entry", Kind.ENTRY),
)
_STANDS = (
    Column("code", "code"),
    Column("what", "what"),
    Column("state", "state"),
    Column("units", "units", Kind.COUNT),
    Column("place", "where", Kind.TEXT),
    Column("kept_for", "kept for"),
    Column("hold", "on hold"),
)


def noun_sections(ledger: OpenLedger, code: str) -> list[Section]:
    """Return what is known of a thing by its code; of a kind that has a family, nothing."""
    make = _MAKERS.get(code[:1])
    return [] if make is None else [Section(title, blocks) for title, blocks in make(ledger, code) if blocks]


Parts = Iterator[tuple[str, tuple[Block, ...]]]


def _hold(ledger: OpenLedger, code: str) -> Parts:
    things = [one for one in ledger.holds(lifted=True).things if one.hold == code]
    if not things:
        return
    one = things[0]
    state = "in force" if one.lifted_seq is None else f"lifted by entry {one.lifted_seq}"
    facts = (
        ("hold", one.hold),
        ("state", state),
        ("because of", one.cause or "–"),
        ("reason", one.reason or "–"),
        ("placed by", one.person or "–"),
        ("entry", str(one.seq)),
    )
    yield "What it is", (FactList(facts),)
    rows = [asdict(each) for each in things]
    yield "What it holds", (table("", "Items held", _HELD, rows),)


def _person(ledger: OpenLedger, code: str) -> Parts:
    for owner in ledger.people.everybody().owners:
        if owner.person == code:
            counts = "yes" if owner.withdrawn is None else f"no, withdrawn {moment(owner.withdrawn)}"
            pin = "none" if owner.pin_seq is None else f"set by entry {owner.pin_seq}"
            facts = (
                ("badge", owner.person),
                ("name", owner.name),
                ("roles", owner.roles or "none"),
                ("counts", counts),
                ("PIN", pin),
                ("wrong PINs in a row", str(owner.failures or 0)),
            )
            yield "Who it is", (FactList(facts),)


def _station(ledger: OpenLedger, code: str) -> Parts:
    for at in ledger.stations.board().stations:
        if at.station == code:
            facts = (
                ("station", at.station),
                ("name", at.name),
                ("area", at.area),
                ("signed on", at.person or "nobody"),
                ("does", at.doing),
                ("waits for", at.waits_for),
            )
            yield "What it does", (FactList(facts),)
            found = ledger.stations.refusals(station=code, last=_LAST).to_dict()
            yield (
                f"The newest {_LAST} findings",
                (table("", "Findings", _REFUSED, found, "Nothing was refused here."),),
            )


def _location(ledger: OpenLedger, code: str) -> Parts:
    rows: list[dict[str, Cell]] = list(ledger.warehouse.find(code).to_dict())
    yield "What stands there", (table("", "Stock", _STANDS, rows, "Nothing stands there."),)


_MAKERS: dict[str, Callable[[OpenLedger, str], Parts]] = {
    CodeKind.HOLD.value: _hold,
    CodeKind.PERSON.value: _person,
    CodeKind.STATION.value: _station,
    CodeKind.LOCATION.value: _location,
}
