"""Booking what partners' documents offer: one event at a time, each once, the bad ones refused with their sentence.

Every event that is read for the first time, or says something new, is an entry. A lot that the ledger does not know yet is
received by it; a lot that it knows must be the same. Nothing of an event is booked when one thing of it cannot be. What a
sender takes back later is a finding for a person: the ledger undoes nothing by itself.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlalchemy import text

from tracelink.facts.partner_offers import CAME_IN, EventOutcome, Offer, Offered, Says, UnfitEvent
from tracelink.genealogy.model.cause_kinds import TOOL_KINDS
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.ledger.closed_sets import PartnerVerdict
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.partners import PartnerDocument, PartnerEvent, PartnerThing
from tracelink.ledger.kinds.setup import MaterialReceived, SleevesReceived
from tracelink.ledger.kinds.tools import ToolReceived
from tracelink.ledger.packs import RawScan
from tracelink.store.office import partner_sentences as say
from tracelink.store.office.office_acts import OfficeAct, authorised
from tracelink.store.office.partner_parts import part_lot_of

if TYPE_CHECKING:
    from tracelink.store.stations.booking import Booking

_DOCUMENT = text("SELECT 1 FROM partner_document WHERE sha256 = :sha256")
_BEFORE = text(
    "SELECT seq, content, verdict FROM partner_event WHERE event_id = :event_id AND verdict IN "
    "('booked', 'noted', 'withdrawn') ORDER BY seq"
)
_READ = text(
    "SELECT e.seq, e.verdict, t.uri, t.code, t.quantity, t.uom FROM partner_event e LEFT JOIN partner_thing t "
    "ON t.seq = e.seq WHERE e.document = :document AND e.place = :place ORDER BY e.seq, t.line"
)
# What left is in a departed shipment, on its pallet or alone, or it came back from one.
_SHIPPED = text(
    "SELECT 1 FROM return_line WHERE carton = :code UNION ALL "
    "SELECT 1 FROM nesting n LEFT JOIN nesting m ON m.child = n.parent AND m.closed_seq IS NULL "
    "JOIN shipment d ON d.code = COALESCE(m.parent, n.parent) "
    "WHERE n.child = :code AND n.closed_seq IS NULL AND d.status = 'shipped'"
)
_OURS = text("SELECT 1 FROM carton WHERE sscc = :code UNION ALL SELECT 1 FROM pallet WHERE sscc = :code")
_SIZE = text("SELECT gtin, quantity FROM sleeve_batch WHERE code = :code")


@dataclass(frozen=True, slots=True)
class DocumentFile:
    """A document as it lay in its file."""

    sha256: str
    file: str
    size: int


def require_importer(booking: Booking, badge: str) -> None:
    """Refuse somebody who may not read partners' documents into the ledger.

    Raises:
        RefusedByRule: the badge is not known, or its owner has none of the roles dock, press and quality.
    """
    authorised(booking.queries, badge, OfficeAct.READ_IN_DOCUMENTS)


def book_document(
    booking: Booking, stamp: Stamp, document: DocumentFile, offers: Sequence[Offer]
) -> list[EventOutcome]:
    """Book a document event by event, in its order."""
    known = booking.connection.execute(_DOCUMENT, {"sha256": document.sha256}).first()
    if known is None:
        booking.record(PartnerDocument(document.sha256, document.file, document.size, len(offers)), stamp)
    # A document may take back one of its own events, before or after it: that one is never booked.
    taken_back = {offer.event_id for offer in offers if offer.says is Says.WITHDRAWN}
    return [_book(booking, stamp, document, offer, taken_back) for offer in offers]


def _book(
    booking: Booking, stamp: Stamp, document: DocumentFile, offer: Offer, taken_back: set[str]
) -> EventOutcome:
    verdict, sentence, bodies = _judged(booking, offer, taken_back)
    if verdict is PartnerVerdict.BEFORE:
        return EventOutcome(offer.place, offer.event_id, verdict.value, sentence)
    things = tuple(PartnerThing(each.uri, each.code, each.quantity, each.uom) for each in offer.things)
    if not _is_written(booking, document, offer, verdict, things):
        event = PartnerEvent(
            document.sha256, offer.place, offer.event_id, offer.content, offer.at, verdict, sentence, things
        )
        booking.record(event, stamp, scans=(RawScan(offer.place, stamp.event_time, offer.raw),))
        for body in bodies:
            booking.record(body, stamp)
    return EventOutcome(offer.place, offer.event_id, verdict.value, sentence)


def _is_written(
    booking: Booking,
    document: DocumentFile,
    offer: Offer,
    verdict: PartnerVerdict,
    things: tuple[PartnerThing, ...],
) -> bool:
    """Say whether this event of this very file was judged so before, of the same things known under the same codes."""
    said: dict[int, tuple[str, list[PartnerThing]]] = {}
    for row in booking.connection.execute(_READ, {"document": document.sha256, "place": offer.place}):
        _verdict, named = said.setdefault(int(row.seq), (str(row.verdict), []))
        if row.uri is not None:
            named.append(PartnerThing(row.uri, row.code, row.quantity, row.uom))
    return (verdict, list(things)) in said.values()


_Judged = tuple[PartnerVerdict, str, list[EntryBody]]
"""A verdict on an event, what is said of it, and the entries that follow."""


def _judged(booking: Booking, offer: Offer, taken_back: set[str]) -> _Judged:
    if offer.says is Says.REFUSED:
        return PartnerVerdict.REFUSED, offer.sentence, []
    rows = booking.connection.execute(_BEFORE, {"event_id": offer.event_id}).all()
    seqs = {PartnerVerdict(row.verdict): int(row.seq) for row in reversed(rows)}
    if offer.says is Says.WITHDRAWN:
        return _withdrawn(offer, seqs)
    if rows and rows[0].content != offer.content:
        return PartnerVerdict.CHANGED, say.changed(offer, int(rows[0].seq)), []
    taken = seqs.get(PartnerVerdict.BOOKED) or seqs.get(PartnerVerdict.NOTED)
    if taken is not None:
        return PartnerVerdict.BEFORE, say.read_before(offer, taken), []
    if rows or offer.event_id in taken_back:
        return PartnerVerdict.NOTED, say.declared_wrong(offer), []
    if offer.says is Says.NOTED:
        return PartnerVerdict.NOTED, say.of_event(offer, offer.sentence), []
    try:
        return _receipt(booking, offer)
    except UnfitEvent as unfit:
        return PartnerVerdict.REFUSED, say.of_event(offer, str(unfit)), []


def _withdrawn(offer: Offer, seqs: Mapping[PartnerVerdict, int]) -> _Judged:
    before, booked = seqs.get(PartnerVerdict.WITHDRAWN), seqs.get(PartnerVerdict.BOOKED)
    if before is not None:
        return PartnerVerdict.BEFORE, say.withdrawn_before(offer, before), []
    if booked is None:
        return PartnerVerdict.WITHDRAWN, say.withdrawn_unbooked(offer), []
    return PartnerVerdict.WITHDRAWN, say.withdrawn_booked(offer, booked), []


def _receipt(booking: Booking, offer: Offer) -> _Judged:
    codes = [thing.code for thing in offer.things if thing.code is not None]
    if len(set(codes)) != len(codes):
        raise UnfitEvent(say.named_twice(next(code for code in codes if codes.count(code) > 1)))
    bodies = [(thing, _thing(booking, offer, thing)) for thing in offer.things]
    known = [(thing, body is None and not _is_of_another(booking, offer, thing)) for thing, body in bodies]
    sentence = say.received(offer, known)
    return PartnerVerdict.BOOKED, sentence, [body for _thing_, body in bodies if body is not None]


def _thing(booking: Booking, offer: Offer, thing: Offered) -> EntryBody | None:
    """Return the entry that a thing leads to; None if the ledger knows it already."""
    if thing.code is None:
        raise UnfitEvent(say.no_lot(thing.uri))
    if thing.code.isdigit():
        if not _is_of_another(booking, offer, thing):
            _require_shipped(booking, thing.code)
        return None
    kind = PlantCode.parse(thing.code).kind
    if kind is CodeKind.TOOL:
        return _tool(booking, offer, thing.code)
    if kind is CodeKind.SLEEVE_BATCH:
        return _sleeves(booking, offer, thing)
    if kind is CodeKind.PART_LOT:
        return part_lot_of(booking, offer, thing)
    return _material(booking, offer, thing)


def _is_of_another(booking: Booking, offer: Offer, thing: Offered) -> bool:
    """Say whether a carton or pallet came in that a person calls another plant's: what is in it stands in their records."""
    sscc = thing.code or ""
    came = thing.told and sscc.isdigit() and offer.sentence in CAME_IN
    return came and booking.queries.sscc_issued_for(sscc) is None


def _require_shipped(booking: Booking, sscc: str) -> None:
    if booking.connection.execute(_OURS, {"code": sscc}).first() is None:
        raise UnfitEvent(say.not_ours(sscc))
    if booking.connection.execute(_SHIPPED, {"code": sscc}).first() is None:
        raise UnfitEvent(say.not_left(sscc))


def _tool(booking: Booking, offer: Offer, code: str) -> EntryBody | None:
    what, side, matrix = (offer.words.get(word, "") for word in ("toolKind", "side", "matrix"))
    if what not in TOOL_KINDS or side not in ("A", "B") or not matrix:
        raise UnfitEvent(say.no_tool(code, what, side, matrix))
    known = booking.queries.tool(code)
    if known is None:
        return ToolReceived(code, what, side, matrix)
    ours, theirs = (known.what, known.side, known.matrix), (what, side, matrix)
    if ours != theirs:
        raise UnfitEvent(say.other_tool(code, ours, theirs))
    return None


def _material(booking: Booking, offer: Offer, thing: Offered) -> EntryBody | None:
    code = str(thing.code)
    is_label = PlantCode.parse(code).kind is CodeKind.LABEL_LOT
    detail = offer.words.get("detail") or offer.words.get("lotNumber") or thing.uri
    body = MaterialReceived(code, "compound", detail, None, None, None)
    if is_label:
        gtin = _product(booking, offer, thing, code)
        piece, side = offer.words.get("piece", ""), offer.words.get("side", "")
        parts = len(booking.queries.parts(gtin))
        if not (piece.isascii() and piece.isdigit() and 1 <= int(piece) <= parts) or side not in ("A", "B"):
            raise UnfitEvent(say.no_disc(code, parts, piece, side))
        body = replace(body, what="label", gtin=gtin, piece=int(piece), side=side)
    known = booking.queries.material(code)
    if known is None:
        return body
    ours, theirs = (
        (known.what, known.gtin, known.piece, known.side),
        (body.what, body.gtin, body.piece, body.side),
    )
    if ours != theirs:
        raise UnfitEvent(say.other_material(code, ours, theirs))
    return None


def _product(booking: Booking, offer: Offer, thing: Offered, code: str) -> str:
    gtin = thing.gtin or offer.words.get("gtin", "")[-13:]
    if booking.queries.product(gtin) is None:
        raise UnfitEvent(say.no_product(code, gtin))
    return gtin


def _sleeves(booking: Booking, offer: Offer, thing: Offered) -> EntryBody | None:
    code = str(thing.code)
    gtin = _product(booking, offer, thing, code)
    quantity = thing.quantity or ""
    if not (quantity.isascii() and quantity.isdigit() and int(quantity) > 0) or thing.uom is not None:
        raise UnfitEvent(say.no_pieces(code, thing))
    known = booking.connection.execute(_SIZE, {"code": code}).first()
    if known is None:
        return SleevesReceived(code, gtin, int(quantity), None, None, False)
    if known.gtin != gtin:
        raise UnfitEvent(say.other_product(code, known.gtin, gtin))
    return None
