"""What a hopper still gives of the old lot after a new one was put on top.

Two models stand at the ends. Stirred: everything in the hopper mixes at once, so the old lot thins out and
never ends. First in, first out: nothing mixes, and the old lot ends after one filling. A real hopper lies
between or beside them, so a share below which the old lot is not followed is a choice of the plant.
"""

from __future__ import annotations

from math import ceil, exp, floor, log

from tracelink.errors import UsageError


def stirred_left(hopper_g: float, piece_g: float, pieces: int) -> float:
    """Share of the old lot in what leaves a stirred hopper after a number of pieces.

    Args:
        hopper_g: what the hopper holds, grams, above 0.
        piece_g: what one piece takes, grams, above 0.
        pieces: pieces made since the change, 0 or more.

    Returns:
        exp(-pieces x piece_g / hopper_g), 1 at the change.

    Source:
        Residence time in a stirred vessel, Levenspiel, Chemical Reaction Engineering, 3rd ed., p. 327.
    """
    _require(hopper_g, piece_g)
    return exp(-pieces * piece_g / hopper_g)


def stirred_pieces(hopper_g: float, piece_g: float, share: float) -> int:
    """The first piece after a change whose share of the old lot is below `share` in a stirred hopper.

    Args:
        hopper_g: grams, above 0.
        piece_g: grams, above 0.
        share: above 0 and below 1.
    """
    _require(hopper_g, piece_g)
    if not 0.0 < share < 1.0:
        raise UsageError(f"a share of {share} is none to stop at: expected more than 0 and less than 1")
    pieces = floor(-log(share) * hopper_g / piece_g)
    while stirred_left(hopper_g, piece_g, pieces) >= share:
        pieces += 1
    return pieces


def first_out_pieces(hopper_g: float, piece_g: float) -> int:
    """Pieces until the old lot is used up if nothing mixes; the last one may hold some of both.

    Args:
        hopper_g: grams, above 0.
        piece_g: grams, above 0.
    """
    _require(hopper_g, piece_g)
    return ceil(hopper_g / piece_g)


def _require(hopper_g: float, piece_g: float) -> None:
    if hopper_g <= 0 or piece_g <= 0:
        raise UsageError(f"a hopper of {hopper_g} g and a piece of {piece_g} g: expected both above 0")
