"""The fields of a question about a bad thing, as forms of acts have them."""

from __future__ import annotations

from tracelink.genealogy.model.shapes import Shape
from tracelink.web.acts.act_forms import FormField, FormFieldKind
from tracelink.web.page_words import FIELD_LABELS

SHAPES = {
    Shape.FROM_ONSET: "damage, there from some stroke on",
    Shape.WHOLE_LIFE: "made wrong",
    Shape.WINDOW: "something that happened between two points",
    Shape.INTERMITTENT: "comes and goes",
}
"""What each shape means."""


def _more(name: str, option: str, longest: int, hint: str = "") -> FormField:
    return FormField(name, FIELD_LABELS[option], is_needed=False, longest=longest, hint=hint, is_more=True)


FIELDS = (
    FormField("cause", "Cause", FormFieldKind.CODE, longest=200),
    FormField(
        "shape",
        FIELD_LABELS["--shape"],
        FormFieldKind.CHOICE,
        choices=tuple((shape.value, f"{shape.value}: {meaning}") for shape, meaning in SHAPES.items()),
    ),
    _more("defect", "--defect", 60),
    _more("also", "--also", 400),
    _more("only_with", "--only-with", 400),
    _more("evidence", "--evidence", 1000, "Such as L0000123:42=good, with commas between."),
    _more("window", "--window", 40, "First and last, such as 400-520."),
    _more(
        "since",
        "--from",
        40,
        "A day, or 2025-03-10 06:00 by the clock of the server; with an offset behind it by another clock.",
    ),
    _more("until", "--to", 40),
)
"""As they stand in the address of a question."""
