"""The group's database asked: the questions of one plant, of the records of all its plants together."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import asdict, dataclass, replace
from typing import Any

from tracelink.clock import running_seconds
from tracelink.errors import IdentifierError, UnknownCode, UsageError
from tracelink.facts.group_plants import FoundInPlant, PlantHead
from tracelink.facts.lot_stops import CaseOfLot
from tracelink.genealogy.containment.contain import contain
from tracelink.genealogy.containment.given_evidence import require_known_defect
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.flow.budget import Budget
from tracelink.genealogy.model.cause_kinds import node_of
from tracelink.genealogy.walk.walk import trace_back, trace_forward
from tracelink.services.codes import resolve_thing
from tracelink.services.desks import warehouse
from tracelink.services.tracing import Trace, judgements_in, lots_in, unread_in
from tracelink.store.group.group_database import GroupDatabase
from tracelink.store.group.group_standing import head_of
from tracelink.store.group.joined_records import JoinedRecords
from tracelink.store.group.named_facts import qualified, within_a_plant
from tracelink.store.ledger import Ledger
from tracelink.store.records.lot_cases import cases_of_lots
from tracelink.store.stations.holds import holds_by_thing


@dataclass(frozen=True, slots=True)
class GroupTrace:
    """The genealogy of one thing across plants."""

    trace: Trace
    """Codes are PLANT:CODE; entries recorded late are told by each plant's own trace."""
    plants: tuple[PlantHead, ...]
    """Up to which entry of each plant."""
    doubtful: tuple[str, ...]
    """Why things that passed between plants are not joined."""

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout group trace --format json`."""
        told = self.trace.to_dict()
        del told["late"]
        return {**told, "plants": _heads(self.plants), "doubtful": list(self.doubtful)}


@dataclass(frozen=True, slots=True)
class GroupScope:
    """What a query found across plants, by their records. It reports; an authorised person decides."""

    scope: Scope
    plants: tuple[PlantHead, ...]
    """Up to which entry of each plant."""

    @property
    def affected(self) -> bool:
        """True if any disc is proven or possible, or any tool may carry the fault."""
        return bool(self.scope.suspects) or any(held.most for held in self.scope.containers)

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout group contain --format json`."""
        return {**self.scope.to_json(), "plants": _heads(self.plants)}


@dataclass(frozen=True, slots=True)
class GroupStock:
    """Where something is, plant by plant."""

    things: tuple[FoundInPlant, ...]

    def to_dict(self) -> list[dict[str, Any]]:
        """Return the same data as `runout group find --format json`."""
        return [{"plant": one.plant, **asdict(one.thing)} for one in self.things]


def _heads(plants: Sequence[PlantHead]) -> list[dict[str, Any]]:
    return [
        {"plant": one.plant, "seq": one.head.seq, "hash": one.head.hash, "recorded_at": one.recorded_at}
        for one in plants
    ]


@contextmanager
def _reading(group: GroupDatabase) -> Iterator[JoinedRecords]:
    """Open the records of all plants for one question."""
    with group.engine(read_only=True) as engine, engine.connect() as conn:
        plants = group.plants(conn)
    with ExitStack() as opened:
        copies = {
            plant: opened.enter_context(Ledger.open(group.plant_url(plant), read_only=True))
            for plant in plants
        }
        yield JoinedRecords({plant: opened.enter_context(copy.reading()) for plant, copy in copies.items()})


def _plants_of(records: JoinedRecords) -> tuple[PlantHead, ...]:
    return tuple(head_of(conn, plant) for plant, conn in records.plants.items())


def _resolved(records: JoinedRecords, given: str) -> str:
    """Return the group's code of what a person gives: PLANT:CODE, or a code that one thing of the group has.

    Raises:
        UnknownCode, IdentifierError: no plant knows it, or it is no code.
        UsageError: several plants have another thing of that code; or it is none that discs can touch.
    """
    plant, colon, own = given.strip().partition(":")
    if colon and plant in records.of:
        own = resolve_thing(records.of[plant], own)
        _require_discs_in_it(records, plant, own)
        return records.name(plant, own)
    found: dict[str, None] = {}
    for name, of in records.of.items():
        code = resolve_thing(of, given)
        try:
            _require_discs_in_it(records, name, code)
        except UnknownCode:
            continue
        found[records.name(name, code)] = None
    if len(found) > 1:
        raise UsageError(f"{given} is another thing in each plant: say which of {', '.join(found)}")
    if not found:
        raise UnknownCode(f"{given!r} is not in the records of {', '.join(records.of) or 'any plant'}")
    return next(iter(found))


def _require_discs_in_it(records: JoinedRecords, plant: str, code: str) -> None:
    """Look a code up in its plant.

    Raises:
        UnknownCode: it is not there.
        UsageError: it is of a person or of a station that presses nothing: what those did is asked of their plant.
    """
    of = records.of[plant]
    try:
        node_of(of, code)
    except UnknownCode:
        if of.station_area(code) is not None or of.person_name(code) is not None:
            raise within_a_plant(code) from None
        raise


def trace(group: GroupDatabase, given: str, *, back: bool, forward: bool) -> GroupTrace:
    """Trace one thing across plants.

    Raises:
        UnknownCode, IdentifierError, UsageError: as `_resolved`.
    """
    with _reading(group) as records:
        code = _resolved(records, given)
        behind = trace_back(records, code) if back else None
        ahead = trace_forward(records, code) if forward else None
        trees = [tree for tree in (behind, ahead) if tree is not None]
        codes = list(dict.fromkeys(node.code for tree in trees for node in tree.nodes))
        lots = lots_in(trees) if records.lot(code) is None else [code]
        made = Trace(
            code=code,
            head=records.head(),
            back=behind,
            forward=ahead,
            holds=_holds(records, codes),
            judgements=judgements_in(records, trees),
            unread=unread_in(records, trees),
            late=(),
            loaded_later=None,
            cases=tuple(_cases(records, lots, codes)),
        )
        return GroupTrace(made, _plants_of(records), records.same.doubtful)


def _own(records: JoinedRecords, codes: Sequence[str]) -> Mapping[str, dict[str, str]]:
    """Return for each plant its own codes of some things -> the group's."""
    found: dict[str, dict[str, str]] = {plant: {} for plant in records.of}
    for code in codes:
        for plant, own in records.homes(code) if ":" in code else ():
            found[plant][own] = code
    return found


def _holds(records: JoinedRecords, codes: Sequence[str]) -> dict[str, str]:
    """Return the hold on each thing, in whatever plant it was placed."""
    found: dict[str, str] = {}
    for plant, own in _own(records, codes).items():
        for thing, hold in holds_by_thing(records.plants[plant], list(own)).items():
            found.setdefault(own[thing], qualified((plant, hold)))
    return found


def _cases(records: JoinedRecords, lots: Sequence[str], codes: Sequence[str]) -> Iterator[CaseOfLot]:
    things = _own(records, codes)
    for plant, own in _own(records, lots).items():
        for case in cases_of_lots(records.plants[plant], list(own), list(things[plant])):
            yield replace(case, code=qualified((plant, case.code)), cause=records.name(plant, case.cause))


def scope_of(
    group: GroupDatabase, query: ContainmentQuery, watch: Callable[[float], None] = lambda _used: None
) -> GroupScope:
    """Say what a cause may have touched in every plant, how sure that is, and where each disc is.

    Args:
        group: the database.
        query: what is asked; codes as for `_resolved`.
        watch: told now and then how many of its seconds were used.

    Raises:
        UnknownCode, IdentifierError, UsageError: as `_resolved`; or the question is of one plant only.
    """
    with _reading(group) as records:
        asked = replace(
            query.with_clauses(
                tuple(tuple(_resolved(records, code) for code in clause) for clause in query.clauses)
            ),
            evidence=tuple(replace(one, lot=_resolved(records, one.lot)) for one in query.evidence),
        )
        scope = contain(records, asked, Budget(query.seconds, running_seconds, watch))
        require_known_defect((*scope.evidence, *scope.untold), scope.defect)
        gaps = (*scope.gaps, *records.same.doubtful)
        return GroupScope(replace(scope, gaps=gaps), _plants_of(records))


def find(group: GroupDatabase, given: str) -> GroupStock:
    """Say where a pallet or carton is, by the records of each plant that knows it.

    Raises:
        IdentifierError: it is no code.
        UnknownCode: no plant knows it.
    """
    things: list[FoundInPlant] = []
    with _reading(group) as records:
        plant, colon, own = given.partition(":")
        asked = {plant: own} if colon and plant in records.of else dict.fromkeys(records.of, given)
        for name, code in asked.items():
            try:
                found = warehouse.find(records.plants[name], code)
            except IdentifierError:
                raise
            except UsageError:
                # Not a thing of this plant.
                continue
            things += [FoundInPlant(name, thing) for thing in found.things]
            for other, at in records.same.came_in.get((name, warehouse.any_code(code)), ()):
                things += [
                    FoundInPlant(other, replace(thing, state="came in", place=f"came in {at}", kept_for=""))
                    for thing in found.things
                ]
        if not things:
            raise UnknownCode(
                f"{given!r} is not a pallet, carton, location or shipment of {', '.join(asked)}"
            )
    return GroupStock(tuple(things))
