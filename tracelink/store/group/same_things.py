"""Which code of one plant is which code of another: by the names under which things go from plant to plant.

A thing that a plant took in by the document of another is known there by that document's name for it: a Digital Link with an SSCC,
or the address that the other plant gave its own thing (`report/epcis/names.py` writes both). Nothing is joined because codes look
alike: each plant counts its tools and lots from one.
"""

from collections.abc import Iterator, Mapping
from urllib.parse import unquote

from sqlalchemy import Connection, text

from tracelink.errors import IdentifierError
from tracelink.identity.gs1.digitallink import is_link, parse_link
from tracelink.store.bundle.bundle_facts import domain_of

Thing = tuple[str, str]
"""A plant and its code of a thing."""

_TAKEN_IN = text(
    "SELECT t.uri, t.code, e.at FROM partner_thing t JOIN partner_event e ON e.seq = t.seq "
    "WHERE e.verdict = 'booked' AND t.code IS NOT NULL ORDER BY t.seq, t.line"
)
_PACKED = text("SELECT 1 FROM carton WHERE sscc = :code UNION ALL SELECT 1 FROM pallet WHERE sscc = :code")


class SameThings:
    """What passed between the plants of a group.

    Args:
        plants: name of each plant -> a connection to its copy, inside a transaction that reads one state.
    """

    def __init__(self, plants: Mapping[str, Connection]) -> None:
        self._plants = plants
        domains: dict[str, list[str]] = {}
        for plant, conn in plants.items():
            if (domain := domain_of(conn)) is not None:
                domains.setdefault(domain, []).append(plant)
        self.doubtful = tuple(
            f"Plants {' and '.join(shared)} give their things addresses under one domain, {domain}: what passed between them is "
            "joined by SSCC only."
            for domain, shared in domains.items()
            if len(shared) > 1
        )
        self._domains = {domain: shared[0] for domain, shared in domains.items() if len(shared) == 1}
        self._first: dict[Thing, Thing] = {}
        self.came_in: dict[Thing, list[tuple[str, str]]] = {}
        """Thing where it was made -> plants that took it in, and when."""
        self._others: dict[Thing, list[Thing]] = {}
        for plant, conn in plants.items():
            for row in conn.execute(_TAKEN_IN):
                self._join(plant, row.uri, row.code, row.at)
        for thing in self._first:
            self._others.setdefault(self.made_as(thing), []).append(thing)

    def made_as(self, thing: Thing) -> Thing:
        """Return a thing as the plant knows it that made it."""
        seen = {thing}
        # A tool that went there and back has a name from each: where it is known already is where it was made.
        while (before := self._first.get(thing)) is not None and before not in seen:
            seen.add(before)
            thing = before
        return thing

    def known_as(self, thing: Thing) -> list[Thing]:
        """Return a thing, given as its maker knows it, as every plant knows it; its maker first."""
        return [thing, *self._others.get(thing, ())]

    def _join(self, plant: str, uri: str, code: str, at: str) -> None:
        for maker in self._makers(uri):
            if maker[0] != plant:
                self._first.setdefault((plant, code), maker)
                self.came_in.setdefault(maker, []).append((plant, at))
                return

    def _makers(self, uri: str) -> Iterator[Thing]:
        for domain, plant in self._domains.items():
            if uri.startswith(f"https://{domain}/"):
                yield plant, unquote(uri.rpartition("/")[2])
                return
        try:
            sscc = parse_link(uri).get("00") if is_link(uri) else None
        except IdentifierError:
            return
        if sscc is not None:
            yield from (
                (plant, sscc)
                for plant, conn in self._plants.items()
                if conn.execute(_PACKED, {"code": sscc}).first() is not None
            )
