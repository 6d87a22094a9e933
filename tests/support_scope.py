"""A scope document of an invented lot, with any text in it, for the tests of its renderers."""

from dataclasses import replace

from support_asking import contain
from support_report import BAD_STAMPER, LOT, NOW, real_lot

from tracelink.genealogy.containment.in_plant import InPlant
from tracelink.genealogy.containment.lives import lives_of
from tracelink.genealogy.model.facts import LotFact, ToolFact
from tracelink.genealogy.model.shapes import Shape
from tracelink.report.scope.pictures import scope_pictures
from tracelink.report.scope.sections import scope_sections
from tracelink.services.scope_document import scope_document
from tracelink.store.records.scope_facts import ScopeFacts


def titled(title):
    """The lot of real size with another title, matrix text and consignee."""
    records = real_lot()
    records.lots[0] = LotFact(LOT, "9520000012342", 1, title, title, 1000, title)
    records.tools[3] = ToolFact(BAD_STAMPER, "stamper", "T0000021", title, "A", title)
    records.shipments = [replace(one, consignee=title) for one in records.shipments]
    return records


def scope_doc(records=None, cause=BAD_STAMPER, shape=Shape.FROM_ONSET, at=NOW):
    """The document of a scope, and the same in sections."""
    records = records or real_lot()
    scope = contain(records, cause, shape)
    lives = lives_of(scope)
    judgements = [one.judgement for life in lives for one in life.judged]
    rows = tuple(
        InPlant(
            one.code, one.kind, one.status, one.lot, one.pieces, one.least, one.most, one.parents, None, ""
        )
        for one in scope.containers
        if one.most and not one.shipped
    )
    document = scope_document(records, scope, lives, ScopeFacts(in_plant=rows), at=at)
    return document, scope_sections(document, scope_pictures(records, scope, lives, judgements, at=at))
