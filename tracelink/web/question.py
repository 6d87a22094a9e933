"""The fields of the form of `/contain` as a question."""

from __future__ import annotations

import re
from collections.abc import Mapping

from tracelink.errors import UsageError
from tracelink.genealogy.containment.query import (
    ContainmentQuery,
    Evidence,
    parse_defect,
    parse_seconds,
    parse_window,
)
from tracelink.genealogy.model.shapes import Shape

FIELDS = ("cause", "shape", "defect", "also", "only_with", "evidence", "window", "since", "until", "seconds")
"""Names of the fields, as they stand in the address of a question."""
_PATIENCE = "20"
"""Seconds unless said otherwise: what somebody waits for at a screen."""


def question_of(given: Mapping[str, str]) -> ContainmentQuery:
    """Return the question that the fields spell; empty fields ask nothing.

    Args:
        given: text by name of a field; several codes or judged discs with blanks or commas between.

    Raises:
        UsageError: the cause or the shape is missing, or a field has the wrong form.
        IdentifierError: the code of a lot is invalid.
    """
    said = {name: text for name in FIELDS if (text := given.get(name, "").strip())}
    if "cause" not in said:
        raise UsageError("the cause is missing: expected a code, such as that of a stamper, lot or carton")
    shapes = [shape.value for shape in Shape]
    if said.get("shape") not in shapes:
        raise UsageError(
            f"the shape is {said.get('shape', 'missing')!r}: expected one of {', '.join(shapes)}"
        )
    return ContainmentQuery(
        cause=said["cause"],
        shape=Shape(said["shape"]),
        evidence=tuple(map(Evidence.parse, _several(said, "evidence"))),
        defect=parse_defect(said.get("defect")),
        window=parse_window(said["window"]) if "window" in said else None,
        also=_several(said, "also"),
        only_with=tuple((code,) for code in _several(said, "only_with")),
        since=said.get("since"),
        until=said.get("until"),
        seconds=parse_seconds(said.get("seconds", _PATIENCE)),
    )


def _several(said: Mapping[str, str], name: str) -> tuple[str, ...]:
    return tuple(re.findall(r"[^\s,]+", said.get(name, "")))
