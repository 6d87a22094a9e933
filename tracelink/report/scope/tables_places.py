"""The tables of a scope document on places: where the discs are, in what, on what, and what stops them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tracelink.facts.scope_discs import JointBoundsFacts, StoppedLine
from tracelink.genealogy.containment.in_plant import InPlant
from tracelink.ledger.count_words import OF_DISCS
from tracelink.report.format.disc_columns import CHANCE, LEAST, MOST, THERE, TIGHT
from tracelink.report.format.table import Cell, Column, Kind, Loose, Signed, Table, table
from tracelink.report.scope.document import ScopeDocument

BOUNDS = (THERE, LEAST, MOST, CHANCE, TIGHT)
"""How many discs something holds, and how many of them can be affected."""


def upper(number: int, *, tight: bool) -> int:
    """Return the most affected discs, marked if the bound may be wider than the records force."""
    return number if tight else Loose(number)


def together(sums: JointBoundsFacts) -> dict[str, Cell]:
    """Return the joint bounds of several things, keys of `BOUNDS`."""
    return {
        "pieces": sums.pieces,
        "least": sums.least,
        "most": upper(sums.most, tight=sums.tight),
        "chance": sums.chance,
        "tight": sums.tight,
    }


_PLACES = (
    Column("place", "place"),
    THERE,
    LEAST,
    MOST,
)


def places(document: ScopeDocument) -> Table:
    """Return the places, what their discs add up to, and the count that they are held against.

    The least and the most of the places add up to nothing: a disc that may be in two places is in both lines.
    """
    sums = document.totals
    rows = [
        (
            line.name,
            Signed(line.pieces) if line.is_unaccounted else line.pieces,
            line.least,
            upper(line.most, tight=line.tight),
        )
        for line in document.places
    ]
    foot = [
        ("together", sums.places, "", ""),
        (_counted_where(document), sums.pieces, "", ""),
        ("difference", Signed(sums.difference), "", ""),
    ]
    nowhere = f"No {document.words.one} in question is recorded anywhere."
    return table("places", "Places, added up", _PLACES, rows, nowhere, foot=foot)


def _counted_where(document: ScopeDocument) -> str:
    if not document.tiers:
        return "in question"
    return "counted at the press" if document.words is OF_DISCS else document.words.made


_CONTAINERS = (
    Column("kind", "what"),
    Column("code", "code"),
    Column("status", "status", Kind.TEXT),
    Column("lot", "lot"),
    *BOUNDS,
    Column("stands_in", "on pallet, shipment", Kind.TEXT),
    Column("consignee", "consignee", Kind.TEXT),
    Column("order", "order"),
    Column("left", "left the plant", Kind.TIME),
    Column("hold", "hold"),
    Column("numbers", "sleeve numbers", Kind.TEXT),
)


def containers(document: ScopeDocument) -> Table:
    """Return each container that can hold an affected disc, those in the plant first."""
    rows = [
        (
            held.kind,
            held.code,
            held.status,
            held.lot,
            held.pieces,
            held.least,
            upper(held.most, tight=held.tight),
            held.chance,
            held.tight,
            held.stands_in,
            held.recipient,
            held.order,
            (held.shipped_at or "yes") if held.shipped else "no",
            held.hold or ("left" if held.shipped else "NONE"),
            held.numbers,
        )
        for held in document.containers
    ]
    foot = [{"kind": "together", **together(document.containers_together)}] if rows else []
    nowhere = f"No container is recorded that can hold an affected {document.words.one}."
    return table("containers", "Containers", _CONTAINERS, rows, nowhere, foot=foot)


_GROUPS = (
    Column("kind", "what"),
    Column("code", "code"),
    *BOUNDS,
    Column("shipped", "all of it left the plant", Kind.YES_NO),
)


def groups(document: ScopeDocument) -> Table:
    """Return pallets, shipments, orders and countries that can have an affected disc."""
    rows = [
        (
            one.kind,
            one.code,
            one.pieces,
            one.least,
            upper(one.most, tight=one.tight),
            one.chance,
            one.tight,
            one.shipped,
        )
        for one in document.groups
    ]
    nowhere = f"No pallet, shipment or order is recorded that can have an affected {document.words.one}."
    return table("groups", "Pallets, shipments, orders and countries", _GROUPS, rows, nowhere)


_IN_PLANT = (
    Column("kind", "what"),
    Column("code", "code"),
    Column("status", "status", Kind.TEXT),
    Column("lot", "lot", Kind.TEXT),
    THERE,
    LEAST,
    MOST,
    Column("stands_in", "on pallet, shipment", Kind.TEXT),
    Column("hold", "hold"),
    Column("bar", "barred by", Kind.TEXT),
    Column("free", "not on hold", Kind.YES_NO),
)


def in_plant(found: Sequence[InPlant]) -> Table:
    """Return what is suspect in the plant, and what stops each."""
    rows = [
        (
            row.kind,
            row.code,
            row.status,
            row.lot,
            row.pieces,
            row.least,
            row.most,
            row.stands_in,
            row.hold or "",
            row.bar,
            row.is_free,
        )
        for row in found
    ]
    return table("in plant", "Suspect stock in the plant", _IN_PLANT, rows)


def free(document: ScopeDocument) -> Table:
    """Return what nothing stops, and what it holds together."""
    sums = {"kind": "together", **together(document.free_together)}
    shown = in_plant(document.free).without("hold", "bar", "free")
    sums = {key: cell for key, cell in sums.items() if key in {column.key for column in shown.columns}}
    return table("", "Suspect stock not on hold", shown.columns, shown.rows, foot=[sums])


_STOPPED = (
    Column("kind", "what"),
    Column("stopped_by", "stopped by", Kind.TEXT),
    Column("items", "how many", Kind.COUNT),
    THERE,
    LEAST,
    MOST,
)


def stopped(found: Iterable[StoppedLine]) -> Table:
    """Return how the rest in the plant is stopped, each hold or rule with what it stops together."""
    rows = [
        (
            one.kind,
            one.stopped_by,
            one.items,
            one.together.pieces,
            one.together.least,
            upper(one.together.most, tight=one.together.tight),
        )
        for one in found
    ]
    nothing = "No suspect stock in the plant is on hold or stopped by a rule."
    return table("", "The rest in the plant, by what stops it", _STOPPED, rows, nothing)


_IDENTIFIERS = (
    Column("thing", "item"),
    Column("look_at", "where to look", Kind.TEXT),
    Column("says", "what it says", Kind.TEXT),
)


def identifiers(document: ScopeDocument) -> Table:
    """Return what someone who does not know this plant can look for."""
    rows = [(one.thing, one.look_at, one.says) for one in document.identifiers]
    return table("identifiers", "What someone outside this plant can look for", _IDENTIFIERS, rows)


_IN_SHORT = (Column("thing", "item"), Column("says", "where to look, and what it says there", Kind.TEXT))


def identifiers_in_short(document: ScopeDocument) -> Table:
    """Return the same on paper: one row per item."""
    found: dict[str, list[str]] = {}
    for one in document.identifiers:
        found.setdefault(one.thing, []).append(f"{one.look_at}: {one.says}")
    rows = [(thing, "; ".join(says)) for thing, says in found.items()]
    return table("", "What someone outside this plant can look for", _IN_SHORT, rows)
