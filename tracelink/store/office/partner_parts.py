"""A lot of parts that a partner's event brings in: into quarantine, as one that is received at a station."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tracelink.facts.partner_offers import Offer, Offered, UnfitEvent
from tracelink.ledger.kinds.assembly.part_entries import PartLotReceived
from tracelink.store.office import partner_sentences as say

if TYPE_CHECKING:
    from tracelink.store.stations.booking import Booking


def part_lot_of(booking: Booking, offer: Offer, thing: Offered) -> PartLotReceived | None:
    """Return the entry that receives a part lot; None if the ledger knows it as the same.

    Args:
        booking: the transaction.
        offer: the event; its words say part number, revision, the supplier's lot and date code.
        thing: the lot, with its plant code and a whole number of pieces.

    Raises:
        UnfitEvent: the part is not one of this plant, the quantity is no number of pieces, or the lot is known otherwise.
    """
    code, said = str(thing.code), offer.words
    part, revision = said.get("part", ""), said.get("revision", "")
    if booking.queries.part_kind(part) is None or not revision:
        raise UnfitEvent(say.no_part(code, part, revision))
    quantity = thing.quantity or ""
    if not (quantity.isascii() and quantity.isdigit() and int(quantity) > 0) or thing.uom is not None:
        raise UnfitEvent(say.no_pieces(code, thing))
    supplier_lot = said.get("supplierLot") or said.get("lotNumber") or thing.uri
    known = booking.queries.part_lot(code)
    if known is None:
        return PartLotReceived(
            code, part, revision, supplier_lot, said.get("dateCode", "not told"), int(quantity)
        )
    ours, theirs = (known.part, known.revision, known.quantity), (part, revision, int(quantity))
    if ours != theirs:
        raise UnfitEvent(say.other_part(code, ours, theirs))
    return None
