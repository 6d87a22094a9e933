"""Who has what of a scope: containers, what they stand in, and the consignees behind them."""

from __future__ import annotations

from collections.abc import Iterable

from tracelink.facts import scope_discs as where
from tracelink.genealogy.containment.held import ContainerBound
from tracelink.genealogy.containment.in_plant import StoppedTogether
from tracelink.genealogy.containment.scope import Scope, bounds_of
from tracelink.genealogy.flow.pool_bounds import Bound
from tracelink.genealogy.model.records import Records
from tracelink.ledger.closed_sets import ShipmentStatus
from tracelink.store.records.scope_facts import ScopeFacts


def containers(records: Records, scope: Scope, facts: ScopeFacts) -> tuple[where.Container, ...]:
    """Return each container that can hold an affected disc, those in the plant first."""
    holds = {(row.code, row.lot): row.hold for row in facts.in_plant}
    touched = [held for held in scope.containers if held.most]
    return tuple(
        _container(records, held, holds.get((held.code, held.lot)), facts)
        for held in sorted(touched, key=lambda one: (one.shipped, one.kind, one.code, one.lot))
    )


def _container(
    records: Records, held: ContainerBound, hold: str | None, facts: ScopeFacts
) -> where.Container:
    delivery = next((one for one in _deliveries(records, [held], facts)), None)
    return where.Container(
        kind=held.kind,
        code=held.code,
        status="" if held.status == held.kind else held.status,
        lot=held.lot,
        pieces=held.pieces,
        least=held.least,
        most=held.most,
        chance=held.chance,
        tight=held.tight,
        stands_in=held.parents,
        recipient=held.consignee,
        order="" if delivery is None else delivery.order,
        shipped_at="" if delivery is None else delivery.departed_at,
        shipped=held.shipped,
        hold=hold,
        numbers=facts.numbers.get(held.code, ()),
    )


def _deliveries(
    records: Records, held: Iterable[ContainerBound], facts: ScopeFacts
) -> Iterable[where.Delivery]:
    """The shipments that containers are in, each once."""
    for code in dict.fromkeys(parent for one in held for parent in one.parents):
        if code in facts.deliveries:
            yield facts.deliveries[code]
            continue
        shipment = records.shipment(code)
        if shipment is not None:
            place = records.container(code)
            yield where.Delivery(
                code, shipment.order, "", place is not None and place.status == ShipmentStatus.SHIPPED
            )


def together(scope: Scope, codes: Iterable[str]) -> where.JointBoundsFacts:
    """Return the bounds of containers, or of all that goes to consignees, together."""
    bound = bounds_of(scope, codes)
    return joint(bound)


def joint(bound: Bound) -> where.JointBoundsFacts:
    """Return a bound as a fact of a document."""
    return where.JointBoundsFacts(bound.pieces, bound.least, bound.most, bound.chance, bound.tight)


def stopped(found: Iterable[StoppedTogether]) -> tuple[where.StoppedLine, ...]:
    """Return what holds and rules stop in the plant."""
    return tuple(where.StoppedLine(one.kind, one.stopped_by, one.items, joint(one.bound)) for one in found)


def groups(scope: Scope) -> tuple[where.Group, ...]:
    """Return the pallets and shipments that can have an affected disc."""
    return tuple(
        where.Group(
            group.kind,
            group.code,
            group.bound.pieces,
            group.bound.least,
            group.bound.most,
            group.bound.chance,
            group.bound.tight,
            group.shipped,
        )
        for group in scope.groups
        if group.kind != "consignee" and group.bound.most
    )


def recipients(records: Records, scope: Scope, facts: ScopeFacts) -> tuple[where.Recipient, ...]:
    """Return the consignees who have, or are to have, an affected disc."""
    found = []
    # Gathered once: a wide scope has many consignees and many more containers.
    of_consignee: dict[str, list[ContainerBound]] = {}
    for held in scope.containers:
        of_consignee.setdefault(held.consignee, []).append(held)
    for group in scope.groups:
        if group.kind != "consignee" or not group.bound.most:
            continue
        every = of_consignee[group.code]
        theirs = [held for held in every if held.most]
        deliveries = tuple(_deliveries(records, theirs, facts))
        shipments = [records.shipment(one.shipment) for one in deliveries]
        countries = dict.fromkeys(one.country for one in shipments if one is not None)
        found.append(
            where.Recipient(
                name=group.code,
                country=", ".join(countries),
                deliveries=deliveries,
                containers=len({held.code for held in theirs}),
                pieces=group.bound.pieces,
                sent=sum(held.pieces for held in every if held.shipped),
                may_hold=sum(held.pieces for held in theirs),
                least=group.bound.least,
                most=group.bound.most,
                chance=group.bound.chance,
                tight=group.bound.tight,
                shipped=group.shipped,
                contact=facts.contacts.get(group.code),
                # Nobody ever records an onward sale.
                onward=None,
            )
        )
    return tuple(found)
