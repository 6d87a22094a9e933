"""How the shape of a fault is read for a kind of cause."""

from __future__ import annotations

from tracelink.genealogy.model.cause_kinds import TOOL_KINDS
from tracelink.genealogy.model.facts import STAMPER
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.suspects.closure import Closure
from tracelink.ledger.count_words import kind_words, words_of_all


def read_shape(records: Records, closure: Closure, shape: Shape) -> tuple[Shape, list[str]]:
    """How a shape is read for a kind of cause: the widest reading where the kind has no life of its own."""
    if closure.kind in TOOL_KINDS and closure.kind != STAMPER and shape is Shape.FROM_ONSET:
        how = (
            f"{closure.cause} is a {closure.kind}: a stamper grown from it after the fault began is wrong for its whole "
            f"life, so each stamper is read as {Shape.WHOLE_LIFE.value} and judged by its own discs only."
        )
        return Shape.WHOLE_LIFE, [how]
    changes = len([each for each in records.segments_of(closure.cause) if each.strokes]) - 1
    if closure.kind == "lot" and shape is Shape.WHOLE_LIFE and changes:
        how = (
            f"Lot {closure.cause} was pressed with changes on the way ({changes}): it has no one life, so shape "
            f"{shape.value} is read as {Shape.INTERMITTENT.value}, and no judged disc speaks for another."
        )
        return Shape.INTERMITTENT, [how]
    if any(not axis.ordered for axis in closure.axes) and shape is not Shape.INTERMITTENT:
        words = words_of_all(closure.lots or [closure.cause])
        how = (
            f"A {kind_words(closure.kind)} is not one thing that makes {words.one} after {words.one}: shape {shape.value} is read as "
            f"{Shape.INTERMITTENT.value}, so that no judged {words.one} speaks for another."
        )
        return Shape.INTERMITTENT, [how]
    return shape, []
