"""What containers are, and what they stand in."""

from __future__ import annotations

from dataclasses import dataclass, replace

from tracelink.genealogy.containment.held import ContainerBound
from tracelink.genealogy.flow.pool_bounds import Bound
from tracelink.genealogy.model.facts import ContainerFact, ShipmentFact
from tracelink.genealogy.model.records import Records
from tracelink.ledger.closed_sets import CartonStatus, ShipmentStatus
from tracelink.ledger.count_words import piece_words


@dataclass(frozen=True, slots=True)
class ContainerPlace:
    """Where a container stands."""

    parents: tuple[str, ...]
    """Codes of what it stands in, from the innermost to the outermost."""
    consignee: str
    """Who gets it; empty if it is in no shipment."""
    shipped: bool
    """True if it left the plant."""


# Plain text: they are compared with for every container, and a member of an enum is slow to look up.
_BROKEN, _SHIPPED = CartonStatus.BROKEN.value, ShipmentStatus.SHIPPED.value

_NOT_KNOWN_YET = ContainerPlace((), "", shipped=False)


class Whereabouts:
    """Looks up, once each, what containers are and stand in.

    Args:
        records: the records.
    """

    def __init__(self, records: Records) -> None:
        self._records = records
        self._standings: dict[str, ContainerPlace] = {}
        self._inside: dict[str, ContainerPlace] = {}
        self._facts: dict[str, ContainerFact | None] = {}
        self._shipments: dict[tuple[str, ...], ShipmentFact | None] = {}
        self.gaps: list[str] = []
        """Sentences on containers that no record describes, or that stand in two places at once."""

    def container(self, place: str, lot: str, bound: Bound) -> ContainerBound:
        """One container with its bounds and where it stands."""
        fact = self._fact(place)
        if fact is None or fact.status == _BROKEN:
            self._tell(fact, place, lot)
        kind, status = ("place", "") if fact is None else (fact.kind, fact.status)
        standing = self._standing(place)
        # By position: a wide scope makes thousands of them.
        return ContainerBound(
            place, kind, status, lot, bound, standing.parents, standing.consignee, standing.shipped
        )

    def _tell(self, fact: ContainerFact | None, place: str, lot: str) -> None:
        words = piece_words(lot)
        if fact is None:
            self.gaps.append(
                f"{words.many.capitalize()} of {words.whole} {lot} were moved into {place}, which no record describes. Find out what it is."
            )
        else:
            self.gaps.append(
                f"Carton {place} was found open or damaged: what it holds of {words.whole} {lot} is a possibility, "
                "not a claim. Count it."
            )

    def inside(self, parent: str) -> ContainerPlace:
        """Where things stand that are in something; empty for nothing."""
        if not parent:
            return ContainerPlace((), "", shipped=False)
        found = self._inside.get(parent)
        if found is None:
            outer = self._standing(parent)
            found = ContainerPlace((parent, *outer.parents), outer.consignee, outer.shipped)
            # Of two things that stand in each other, one is not known yet.
            if outer is not _NOT_KNOWN_YET:
                self._inside[parent] = found
        return found

    def _fact(self, code: str) -> ContainerFact | None:
        if code not in self._facts:
            self._facts[code] = self._records.container(code)
        return self._facts[code]

    def is_unclaimed(self, place: str) -> bool:
        """Return whether what a place holds is not known any more."""
        fact = self._fact(place)
        return fact is not None and fact.status == _BROKEN

    def bound_for(self, held: ContainerBound, kind: str) -> str:
        """Who gets a container, or the order or the country that its shipment is for; empty if it is in none."""
        if kind == "consignee":
            return held.consignee
        shipment = self._outermost(held.parents) or self._records.shipment(held.code)
        if shipment is None:
            return ""
        return shipment.order if kind == "order" else shipment.country

    def _outermost(self, parents: tuple[str, ...]) -> ShipmentFact | None:
        # Cartons of one pallet have the same parents: a wide scope asks the same shipments thousands of times.
        if parents not in self._shipments:
            found = (self._records.shipment(code) for code in reversed(parents))
            self._shipments[parents] = next((one for one in found if one is not None), None)
        return self._shipments[parents]

    def kind(self, code: str) -> str:
        """What a container's parent is."""
        if self._records.shipment(code) is not None:
            return "shipment"
        fact = self._fact(code)
        return fact.kind if fact else "place"

    def _standing(self, code: str) -> ContainerPlace:
        found = self._standings.get(code)
        if found is None:
            # Held first, so that records that put two things into each other end the search.
            self._standings[code] = _NOT_KNOWN_YET
            found = self._standings[code] = self._look(code)
        return found

    def _look(self, code: str) -> ContainerPlace:
        nests = self._records.parents_of(code)
        # Most things never stood in another place than now.
        now = nests if len(nests) == 1 and nests[0].closed is None else [n for n in nests if n.closed is None]
        if not now:
            shipment = self._records.shipment(code)
            consignee = shipment.consignee if shipment else ""
            return ContainerPlace((), consignee, self._is_shipped(code))
        if len(now) > 1:
            names = " and ".join(nest.parent for nest in now)
            self.gaps.append(
                f"The records show {code} in {names} at once; the last entry is used. Look for it."
            )
            now = [max(now, key=lambda nest: nest.opened)]
        found = self.inside(now[0].parent)
        return replace(found, shipped=True) if not found.shipped and self._is_shipped(code) else found

    def _is_shipped(self, code: str) -> bool:
        # Only a recorded departure counts: what is being loaded can still be stopped.
        fact = self._fact(code)
        return fact is not None and fact.status == _SHIPPED
