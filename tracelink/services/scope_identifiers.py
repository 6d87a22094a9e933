"""What somebody who does not know the plant can look for: on the disc, the sleeve, the carton, the papers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from tracelink.facts.scope_discs import Identifier, LookAlike
from tracelink.genealogy.containment.held import ContainerBound
from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.model.facts import STAMPER, ToolFact
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.shapes import TierName
from tracelink.ledger.count_words import counted
from tracelink.ledger.time_words import moment
from tracelink.store.records.scope_facts import ScopeFacts

_DAY = 10
"""Characters of the date in an RFC 3339 time."""


def identifiers(
    records: Records, scope: Scope, facts: ScopeFacts, lots: Sequence[str]
) -> tuple[Identifier, ...]:
    """Return what marks the discs in question, what is nearest to the disc first."""
    return (
        *_tools(records, scope),
        *_alike(records, scope, facts),
        *(one for lot in lots for one in _lot(records, facts, lot)),
        *_boxes(records, scope, facts),
    )


def _tools(records: Records, scope: Scope) -> Iterator[Identifier]:
    for code in scope.suspects:
        tool = records.tool(code)
        if tool is not None and tool.matrix:
            named = any(child.code in scope.suspects for child in records.children_of(code))
            yield Identifier(f"{tool.kind} {code}", _where(tool, grown_named=named), tool.matrix)


def _alike(records: Records, scope: Scope, facts: ScopeFacts) -> Iterator[Identifier]:
    """What a matrix text alone does not tell: discs of the same stamper that are cleared, and of other stampers."""
    others: dict[str, list[LookAlike]] = {}
    for one in facts.look_alikes:
        others.setdefault(one.matrix, []).append(one)
    cleared = sum(len(tier.strokes) for tier in scope.tiers if tier.name is TierName.CLEARED)
    own = {
        tool.matrix
        for code in scope.suspects
        if (tool := records.tool(code)) is not None and tool.kind == STAMPER
    }
    for text in dict.fromkeys([*sorted(own if cleared else ()), *others]):
        parts = [f"{counted(cleared, 'disc')} cleared here"] if cleared and text in own else []
        parts += [
            f"discs of stamper {one.stamper} (lot {', '.join(one.lots)}), which is not in question"
            for one in others.get(text, ())
        ]
        yield Identifier(
            f"matrix text {text}",
            "alone it cannot tell apart, outside the plant, the discs in question and",
            "; ".join(parts),
        )


def _where(tool: ToolFact, *, grown_named: bool) -> str:
    """Return where a tool's text stands; what is grown from it is told where it is not named itself."""
    side = f"side {tool.side}, " if tool.side else ""
    also = "" if tool.kind == STAMPER or grown_named else "; every tool grown from it carries the same text"
    return f"matrix text: {side}in the run-out area, between the label and the last groove{also}"


def _lot(records: Records, facts: ScopeFacts, lot: str) -> Iterator[Identifier]:
    fact = records.lot(lot)
    if fact is None:
        return
    if fact.kind != "lot":
        yield Identifier(f"{fact.kind} {lot}", "part number, revision", fact.title)
        return
    product = facts.products.get(lot)
    thing = f"lot {lot}"
    yield Identifier(thing, "title on the sleeve", fact.title)
    yield Identifier(thing, "barcode on the sleeve (GTIN, EAN-13)", fact.gtin)
    if product is None:
        yield Identifier(thing, "disc of the set", str(fact.piece))
        return
    yield Identifier(thing, "catalogue number on the sleeve", product.catalogue_number)
    yield Identifier(thing, "disc of the set, on its centre label", f"{fact.piece} of {product.total}")
    yield Identifier(
        thing,
        "matrix texts of both sides, in the run-out area",
        f"A {product.matrix[0]}, B {product.matrix[1]}",
    )
    first, last = product.pressed
    if first:
        yield Identifier(
            thing, "taken from the press between (not printed on it)", f"{moment(first)} and {moment(last)}"
        )


def _boxes(records: Records, scope: Scope, facts: ScopeFacts) -> Iterator[Identifier]:
    touched = [held for held in scope.containers if held.most]
    cartons = dict.fromkeys(held.code for held in touched if held.kind == "carton")
    pallets = dict.fromkeys(
        group.code for group in scope.groups if group.kind == "pallet" and group.bound.most
    )
    what = "SSCC on the label, 18 digits after (00)"
    if cartons:
        yield Identifier("cartons", what, _ranges(list(cartons)))
    if pallets:
        yield Identifier("pallets", what, _ranges(list(pallets)))
    numbers = [number for code in cartons for number in facts.numbers.get(code, ())]
    if numbers:
        yield Identifier(
            "numbered sleeves", "number on the sleeve, (21) in its symbol", ", ".join(_stretches(numbers))
        )
    batches = dict.fromkeys(batch for code in cartons for batch in records.carton_batches(code))
    if batches:
        yield Identifier("sleeves", "sleeve batch (plant record)", ", ".join(batches))
    days = dict.fromkeys(_departures(touched, facts))
    if days:
        yield Identifier("shipments", "left the plant on", ", ".join(days))


def _departures(touched: Sequence[ContainerBound], facts: ScopeFacts) -> Iterator[str]:
    for code in sorted({parent for held in touched for parent in held.parents}):
        delivery = facts.deliveries.get(code)
        if delivery is not None and delivery.departed_at:
            yield f"{delivery.departed_at[:_DAY]} ({code})"


def _stretches(numbers: Sequence[str]) -> Iterator[str]:
    """Numbers in order, those that follow each other as `21–500`; what is not a plain number stays as it is."""
    plain = sorted({int(number) for number in numbers if number == str(_whole(number))})
    # Numbers that follow each other have the same distance from their place in the list.
    for _distance, together in groupby(enumerate(plain), lambda pair: pair[1] - pair[0]):
        stretch = [number for _place, number in together]
        yield str(stretch[0]) if len(stretch) == 1 else f"{stretch[0]}–{stretch[-1]}"
    yield from sorted({number for number in numbers if number != str(_whole(number))})


def _whole(number: str) -> int | None:
    return int(number) if number.isascii() and number.isdigit() else None


def _ranges(codes: Sequence[str]) -> str:
    """Count and ends only where they are many: the table of containers names every one."""
    ordered = sorted(codes)
    few = 8
    if len(ordered) <= few:
        return ", ".join(ordered)
    return f"{len(ordered)} of them, from {ordered[0]} to {ordered[-1]}; the table of containers names each"
