"""What a container of a case left the plant in: a board in a unit, the unit in a carton, the carton on a pallet."""

from __future__ import annotations

from dataclasses import dataclass

from tracelink.identity.plantcode import CodeKind
from tracelink.ledger.kinds.case_scope import CaseContainer

_SSCC_DIGITS = 18


@dataclass(frozen=True, slots=True)
class ShippedIn:
    """The nesting of a container by what each is; empty where there is none."""

    unit: str
    """Serial label of the outermost piece: what a consignee reads on the goods."""
    carton: str
    """SSCC of the carton; for discs the container itself."""
    pallet: str
    """SSCC of the pallet."""


def shipped_in(held: CaseContainer) -> ShippedIn:
    """Return what a container left the plant in; the outermost of its parents is the shipment."""
    nest = (held.code, *held.parents[:-1])
    pieces = [code for code in nest if code[:1] == CodeKind.PIECE.value]
    if not pieces:
        return ShippedIn("", held.code, nest[1] if len(nest) > 1 else "")
    # A unit is packed in a carton before anything is put on a pallet.
    carton, pallet = [*(code for code in nest if code.isdigit() and len(code) == _SSCC_DIGITS), "", ""][:2]
    return ShippedIn(pieces[-1], carton, pallet)
