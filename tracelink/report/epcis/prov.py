"""The acts of a lot as PROV-JSON: what was made from what, by which act, and who answers for it.

Things are entities, entries are activities, people and stations are agents. What went into an act was `used` by it,
what came out `wasGeneratedBy` it, and the second `wasDerivedFrom` the first; a thing in a carton, pallet or shipment is
its member. A judgement that corrects another is a revision of it.

Source: W3C PROV-DM for the terms; PROV-JSON, W3C member submission of 24 April 2013, for the form. How a plant's acts
map to them is a choice of this program.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.dock import CartonPalletised, PalletLoaded
from tracelink.ledger.kinds.lab import SampleDrawn, SampleJudged, SampleMeasured, SampleTaken
from tracelink.ledger.kinds.line import DiscsSleeved
from tracelink.ledger.kinds.measuring.result_entries import ResultRecorded
from tracelink.ledger.kinds.packing_changes import CartonsMerged
from tracelink.ledger.kinds.press import Mounted, PressSetUp, RunChanged, StackTaken
from tracelink.ledger.kinds.press_corrections import PressResumed
from tracelink.ledger.kinds.registry import KINDS, read_fields
from tracelink.ledger.kinds.tools import MasterRegistered, ToolGrown
from tracelink.ledger.kinds.warehouse import CartonPicked
from tracelink.report.epcis.event import Entry
from tracelink.report.epcis.names import Names

Section = dict[str, dict[str, Any]]

_GS1 = "https://id.gs1.org/"
_ENDS = {
    "used": ("prov:activity", "prov:entity"),
    "wasGeneratedBy": ("prov:entity", "prov:activity"),
    "wasDerivedFrom": ("prov:generatedEntity", "prov:usedEntity"),
    "wasAssociatedWith": ("prov:activity", "prov:agent"),
    "hadMember": ("prov:collection", "prov:entity"),
}
"""Relation -> the keys of its two ends."""


def prov_document(entries: Iterable[Entry], names: Names, people: Mapping[str, str]) -> dict[str, Any]:
    """Return the document.

    Args:
        entries: canonical entries, parsed, in the order of the journal.
        names: how things are called.
        people: badge -> name to be shown; a badge that is not here is shown as it is.
    """
    graph = _Graph(names, people)
    for entry in entries:
        graph.add(entry)
    return graph.document()


class _Graph:
    """A document under way."""

    def __init__(self, names: Names, people: Mapping[str, str]) -> None:
        self._names = names
        self._people = people
        self._sections: dict[str, Section] = {}
        self._count = 0

    def document(self) -> dict[str, Any]:
        """Return what was gathered."""
        prefix = {"plant": self._names.namespace, "id": f"https://{self._names.domain}/", "gs1": _GS1}
        return {"prefix": prefix, **self._sections}

    def add(self, entry: Entry) -> None:
        """Add what an entry says, if it made, used or moved anything."""
        if entry["kind"] not in KINDS:
            # Written by a newer program: what was made or moved is not known here.
            return
        body = read_fields(entry["kind"], entry["body"], entry["seq"])
        used, made = _ends(body, self._names)
        if isinstance(body, SampleJudged):
            used = [(self._names.thing(body.sample), "Sample")]
            made = [(self._names.address("judgement", str(entry["seq"])), "Judgement")]
        members = list(_members(body, self._names))
        if not (used or made or members):
            return
        act = f"id:entry/{entry['seq']}"
        self._activity(act, entry)
        things = [self._entity(name, what) for name, what in used]
        for name, what in made:
            product = self._entity(name, what)
            self._relate("wasGeneratedBy", product, act, {"prov:time": entry["event_time"]})
            for thing in things:
                if thing != product:
                    self._relate("wasDerivedFrom", product, thing, {"prov:activity": act})
        for thing in things:
            self._relate("used", act, thing)
        for parent, child in members:
            self._relate("hadMember", self._entity(*parent), self._entity(*child))
        if entry["corrects"] is not None and isinstance(body, SampleJudged):
            self._revised(entry)

    def _revised(self, entry: Entry) -> None:
        earlier, later = (self._names.address("judgement", str(n)) for n in (entry["corrects"], entry["seq"]))
        revision = {"prov:type": {"$": "prov:Revision", "type": "prov:QUALIFIED_NAME"}}
        self._relate(
            "wasDerivedFrom", self._entity(later, "Judgement"), self._entity(earlier, "Judgement"), revision
        )

    def _activity(self, act: str, entry: Entry) -> None:
        self._section("activity")[act] = {
            "prov:startTime": entry["event_time"],
            "prov:endTime": entry["event_time"],
            "prov:type": entry["kind"],
            "plant:entry": {"$": str(entry["seq"]), "type": "xsd:int"},
        }
        if entry["person"] is not None:
            self._agent(
                act, self._names.thing(entry["person"]), "prov:Person", self._people.get(entry["person"])
            )
        if entry["station"] is not None:
            self._agent(act, self._names.thing(entry["station"]), "plant:Station", None)

    def _agent(self, act: str, uri: str, kind: str, label: str | None) -> None:
        agent: dict[str, Any] = {"prov:type": {"$": kind, "type": "prov:QUALIFIED_NAME"}}
        if label is not None:
            agent["prov:label"] = label
        name = self._name(uri)
        self._section("agent")[name] = agent
        self._relate("wasAssociatedWith", act, name)

    def _entity(self, uri: str, kind: str) -> str:
        name = self._name(uri)
        declared = {"prov:type": {"$": f"plant:{kind}", "type": "prov:QUALIFIED_NAME"}}
        self._section("entity").setdefault(name, declared)
        return name

    def _relate(self, relation: str, first: str, second: str, more: Mapping[str, Any] | None = None) -> None:
        self._count += 1
        one, two = _ENDS[relation]
        self._section(relation)[f"_:r{self._count}"] = {one: first, two: second, **(more or {})}

    def _section(self, name: str) -> Section:
        return self._sections.setdefault(name, {})

    def _name(self, uri: str) -> str:
        for prefix, start in (("gs1", _GS1), ("id", f"https://{self._names.domain}/")):
            if uri.startswith(start):
                return f"{prefix}:{uri.removeprefix(start)}"
        return uri


Named = tuple[str, str]
"""A URI and what it is."""


def _ends(body: EntryBody, names: Names) -> tuple[list[Named], list[Named]]:
    """What an act used and what it made."""
    if isinstance(body, MasterRegistered | ToolGrown):
        used = [(names.thing(body.parent), "Tool")] if isinstance(body, ToolGrown) else []
        return used, [(names.thing(body.tool), body.what.capitalize())]
    if isinstance(body, PressSetUp | PressResumed):
        return _mounted(body.mounted, names), [(names.discs(body.lot), "Lot")]
    if isinstance(body, RunChanged):
        return _mounted(body.mounted, names), [(names.discs(body.reading.lot), "Lot")]
    if isinstance(body, StackTaken):
        return [(names.discs(body.reading.lot), "Lot")], [(names.thing(body.spindle), "Spindle")]
    if isinstance(body, SampleDrawn | SampleTaken):
        return [(names.discs(body.moved.lot), "Lot")], [(names.thing(body.sample), "Sample")]
    if isinstance(body, SampleMeasured | ResultRecorded):
        return [(names.thing(body.sample), "Sample")], []
    if isinstance(body, DiscsSleeved):
        return list(_packed(body, names)), [(names.thing(body.carton), "Carton")]
    if isinstance(body, CartonsMerged):
        return [(names.thing(body.source), "Carton")], [(names.thing(body.carton), "Carton")]
    return [], []


def _mounted(mounted: Mounted, names: Names) -> list[Named]:
    stampers = (mounted.stamper_a, mounted.stamper_b)
    materials = (mounted.compound, mounted.label_a, mounted.label_b)
    return [(names.thing(code), "Stamper") for code in stampers] + [
        (names.thing(code), "Material") for code in materials
    ]


def _packed(body: DiscsSleeved, names: Names) -> Iterator[Named]:
    for move in body.moves:
        yield names.discs(move.lot), "Lot"
        yield names.thing(move.source), "Spindle"
    yield names.thing(body.batch), "Sleeves"


def _members(body: EntryBody, names: Names) -> Iterator[tuple[Named, Named]]:
    if isinstance(body, CartonPalletised):
        yield (names.thing(body.pallet), "Pallet"), (names.thing(body.carton), "Carton")
    elif isinstance(body, PalletLoaded):
        yield (names.thing(body.shipment), "Shipment"), (names.thing(body.pallet), "Pallet")
    elif isinstance(body, CartonPicked):
        yield (names.thing(body.shipment), "Shipment"), (names.thing(body.carton), "Carton")
