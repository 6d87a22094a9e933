"""The shapes a fault can have along the life of the thing that causes it, and the tiers of suspicion."""

from __future__ import annotations

from enum import StrEnum


class Shape(StrEnum):
    """How a fault runs along the strokes of its cause."""

    FROM_ONSET = "from-onset"
    """Damage: good up to some stroke, bad from there on."""
    WHOLE_LIFE = "whole-life"
    """Made wrong: every stroke is bad, or none is."""
    WINDOW = "window"
    """Something that happened between two known points; what it did there is not known."""
    INTERMITTENT = "intermittent"
    """Comes and goes: no disc says anything about another."""


class TierName(StrEnum):
    """How strongly a stroke is suspected."""

    PROVEN = "proven"
    """Affected, if the fault has this shape and the judgements are right."""
    POSSIBLE = "possible"
    """Nothing recorded says that it is affected, and nothing that it is not."""
    CLEARED = "cleared"
    """Not affected, if the fault has this shape and the judgements are right; always with its reason."""
