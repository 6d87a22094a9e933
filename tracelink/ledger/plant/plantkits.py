"""The part of a plant file that says what goes into a unit, and where to look when a line is cleared."""

from collections.abc import Mapping
from typing import Any

from tracelink.errors import IdentifierError, UsageError
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.ledger.kinds.kits import ClearanceListed, KitDefined, KitSlot
from tracelink.ledger.kinds.setup import ProductDefined

_SHAPES = ({"disc"}, {"item", "name"}, {"prompt"})


def clearance_areas(where: str, areas: object) -> ClearanceListed:
    """Read the list of areas to look at.

    Args:
        where: named in a refusal.
        areas: one text or more, none empty.

    Raises:
        UsageError: it is not such a list.
    """
    if not (isinstance(areas, list) and areas and all(isinstance(each, str) and each for each in areas)):
        raise UsageError(f"{where} is {areas!r}: expected a list of texts")
    return ClearanceListed(tuple(areas))


def kit(where: str, rows: list[Any], product: ProductDefined) -> KitDefined:
    """Read the kit of a product.

    Args:
        where: the product's section, named in a refusal.
        rows: in order, tables of `disc = 1`, `item = "I..."` with `name`, or `prompt`. Discs that are not listed
            come first.
        product: the product; its kit has each of its discs once, disc 1 before anything that is scanned.

    Raises:
        UsageError: a row has another shape, or the discs do not come 1, 2, 3 ...
    """
    pieces = tuple(_piece(f"{where}, kit piece {place}", row) for place, row in enumerate(rows, 1))
    wanted = list(range(1, len(product.parts) + 1))
    listed = [piece.disc for piece in pieces if piece.disc is not None]
    if not listed:
        pieces = (*(KitSlot(disc, None, "") for disc in wanted), *pieces)
    elif listed != wanted:
        raise UsageError(f"{where}: the kit lists discs {listed}: expected {wanted}, or none of them")
    scanned = [piece for piece in pieces if piece.disc is not None or piece.item is not None]
    if scanned[0].disc != 1:
        raise UsageError(f"{where}: the kit begins with {scanned[0].name}: expected disc 1 first")
    items = [piece.item for piece in scanned if piece.item is not None]
    if len(items) != len(set(items)):
        raise UsageError(f"{where}: the kit names an item twice: expected each item once")
    return KitDefined(product.gtin, pieces)


def _piece(where: str, row: Any) -> KitSlot:
    if not isinstance(row, Mapping) or set(row) not in _SHAPES:
        raise UsageError(f"{where} is {row!r}: expected disc, or item and name, or prompt")
    if "disc" in row:
        if type(row["disc"]) is not int:
            raise UsageError(f"{where}: disc is {row['disc']!r}: expected a whole number")
        return KitSlot(row["disc"], None, "")
    name = row["prompt"] if "prompt" in row else row["name"]
    if not (isinstance(name, str) and name):
        raise UsageError(f"{where}: the name is {name!r}: expected a text")
    return KitSlot(None, _item_code(where, row["item"]), name) if "item" in row else KitSlot(None, None, name)


def _item_code(where: str, text: object) -> str:
    try:
        code = PlantCode.parse(str(text))
    except IdentifierError as problem:
        raise UsageError(f"{where}: item: {problem}") from None
    if code.kind is not CodeKind.KIT_ITEM:
        raise UsageError(f"{where}: item is {text}: expected a kit item, found a {code.kind.noun}")
    return code.text
