"""What a code is, and what a reader needs to know about it."""

from __future__ import annotations

from tracelink.errors import UnknownCode
from tracelink.genealogy.model.facts import SegmentFact
from tracelink.genealogy.model.part_facts import BUILD, PART_LOT, PIECE, REEL, PartLotFact
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.step_facts import EQUIPMENT, STEP, EquipmentFact, StepFact
from tracelink.genealogy.model.tree import Node
from tracelink.ledger.closed_sets import DiscPlace

TOOL_KINDS = frozenset({"lacquer", "copper", "father", "mother", "stamper"})
"""Kinds of tools, from the cut to the press."""

USED_KINDS = frozenset({"stamper", "compound", "label", "press"})
"""Kinds that a segment names."""

PLACE_KINDS = frozenset({"spindle", "carton", "sample", PIECE})
"""Kinds of things that discs are moved in and out of."""

LOT_KINDS = frozenset({"lot", REEL, BUILD})
"""Kinds of things whose discs, parts or pieces are told apart by number."""


_PLACES_OF_A_LOT = {
    DiscPlace.COUNTER.value: DiscPlace.COUNTER.value,
    DiscPlace.SCRAP.value: DiscPlace.SCRAP.value,
    DiscPlace.CUSTOMERS.value: "place",
}
"""Place -> the kind of its node."""


def node_of(records: Records, code: str) -> Node:
    """Look a code up in the records.

    Args:
        records: the records.
        code: a tool, lot, compound lot, label lot, press, spindle, sample, carton, pallet, shipment or sleeve
            batch; a numbered sleeve is resolved to its carton by the caller.

    Raises:
        UnknownCode: no record names the code.
    """
    found = (
        _tool(records, code)
        or _lot(records, code)
        or _shipment(records, code)
        or _container(records, code)
        or _used(records, code)
        or _batch(records, code)
        or _processed(records, code)
        or _part_lot(records, code)
        or _unhandled(records, code)
    )
    if found is None:
        raise UnknownCode(
            f"{code!r} is not in the records up to entry {records.head()[0]}: expected a tool, lot, press, compound "
            "or label lot in use, spindle, sample, carton, pallet, shipment, sleeve batch, process step, "
            "equipment, part lot, reel, build order, built piece, station or badge"
        )
    return found


def place_node(records: Records, place: str, lot: str) -> Node:
    """The node of a place named in a movement; counter, scrap and customers are one place for each lot."""
    kind = _PLACES_OF_A_LOT.get(place)
    if kind is not None:
        return Node(kind, f"{place} {lot}", ())
    return _container(records, place) or Node("place", place, ())


def used_node(code: str, kind: str) -> Node:
    """The node of a press, compound lot or label lot: segments name them, no fact describes them."""
    return Node(kind, code, ())


def facts(*pairs: tuple[str, str]) -> tuple[tuple[str, str], ...]:
    """The pairs that say something."""
    return tuple(pair for pair in pairs if pair[1])


def _tool(records: Records, code: str) -> Node | None:
    tool = records.tool(code)
    if tool is None:
        return None
    return Node(tool.kind, code, facts(("matrix", tool.matrix), ("side", tool.side), ("status", tool.status)))


def _lot(records: Records, code: str) -> Node | None:
    lot = records.lot(code)
    if lot is None:
        return None
    if lot.kind != "lot":
        of = facts(("part", lot.title), ("count", str(lot.pressed)), ("status", lot.status))
        return Node(lot.kind, code, of)
    return Node(
        "lot",
        code,
        facts(
            ("title", lot.title),
            ("GTIN", lot.gtin),
            ("disc", str(lot.piece)),
            ("pressed", str(lot.pressed)),
            ("status", lot.status),
        ),
    )


def _shipment(records: Records, code: str) -> Node | None:
    shipment = records.shipment(code)
    if shipment is None:
        return None
    return Node(
        "shipment",
        code,
        facts(("order", shipment.order), ("to", shipment.consignee), ("country", shipment.country)),
    )


def _container(records: Records, code: str) -> Node | None:
    container = records.container(code)
    if container is None:
        return None
    if not (container.part or container.detail):
        # Cartons and stacks, which a wide walk meets by the thousand.
        return Node(container.kind, code, (("status", container.status),) if container.status else ())
    named = (("part", container.part), ("status", container.status), ("detail", container.detail))
    return Node(container.kind, code, tuple((name, said) for name, said in named if said))


def _used(records: Records, code: str) -> Node | None:
    segments = records.segments_with(code)
    return used_node(code, role_in(segments[0], code)) if segments else None


def role_in(segment: SegmentFact, code: str) -> str:
    """What a code was used as in a segment that names it."""
    if code == segment.press:
        return "press"
    if code == segment.compound:
        return "compound"
    return "label" if code in (segment.label_a, segment.label_b) else "stamper"


def _processed(records: Records, code: str) -> Node | None:
    """Equipment, a process step, or material that only went into a step or came out of one."""
    placed, step = records.equipment(code), records.step(code)
    if placed is not None:
        return equipment_node(placed)
    if step is not None:
        return step_node(step)
    if records.step_that_made(code) is not None or records.steps_with(code):
        return used_node(code, "compound")
    return None


def _part_lot(records: Records, code: str) -> Node | None:
    lot = records.part_lot(code)
    return None if lot is None else part_lot_node(lot)


def part_lot_node(lot: PartLotFact) -> Node:
    """The node of a part lot."""
    return Node(
        PART_LOT,
        lot.code,
        facts(
            ("part", f"{lot.part} {lot.revision}"),
            ("supplier's lot", lot.supplier_lot),
            ("date code", lot.date_code),
            ("status", lot.status),
        ),
    )


def _unhandled(records: Records, code: str) -> Node | None:
    """A built piece that nobody has handled by itself yet."""
    piece = records.piece(code)
    if piece is None:
        return None
    return Node(PIECE, code, facts(("build order", piece.build), ("number", str(piece.number))))


def step_node(step: StepFact) -> Node:
    """The node of a process step."""
    ended = step.ended_at or "not ended"
    return Node(STEP, step.code, facts(("process", step.process), ("began", step.began_at), ("ended", ended)))


def equipment_node(placed: EquipmentFact) -> Node:
    """The node of a piece of equipment."""
    return Node(EQUIPMENT, placed.code, facts(("name", placed.name), ("process", placed.process)))


def used_in(segment: SegmentFact) -> tuple[tuple[str, str], ...]:
    """What the discs of a segment were made with: each code, and how it belongs to them."""
    return (
        (segment.stamper_a, "side A by"),
        (segment.stamper_b, "side B by"),
        (segment.compound, "compound"),
        (segment.label_a, "label A"),
        (segment.label_b, "label B"),
        (segment.press, "on press"),
    )


def _batch(records: Records, code: str) -> Node | None:
    return Node("sleeve-batch", code, ()) if records.sleeve_batch_cartons(code) else None
