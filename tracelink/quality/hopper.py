"""What a hopper still gives of the old lot after a new one was put on top.

Two models stand at the ends. Stirred: everything in the hopper mixes at once, so the old lot thins out and
never ends. First in, first out: nothing mixes, and the old lot ends after one filling. Between them lies a hopper
that gives as a row of stirred tanks would, each an equal part of it: one tank is the stirred hopper, and the more
there are, the closer it comes to first in, first out. Which row fits is a measurement of the plant, and so is the
share below which the old lot is not followed.
"""

from __future__ import annotations

from math import ceil, exp, fsum, lgamma, log

from tracelink.errors import UsageError

MOST_TANKS = 100
"""Beyond so many a row is hardly told from first in, first out."""


def stirred_left(hopper_g: float, piece_g: float, pieces: int, tanks: int = 1) -> float:
    """Share of the old lot in what leaves a hopper after a number of pieces.

    Args:
        hopper_g: what the hopper holds, grams, above 0.
        piece_g: what one piece takes, grams, above 0.
        pieces: pieces made since the change, 0 or more.
        tanks: stirred tanks in a row that the hopper is like, 1 to 100.

    Returns:
        1 at the change; for one tank exp(-x) with x = pieces x piece_g / hopper_g, for n tanks
        exp(-n x) times the sum of (n x)^j / j! for j from 0 to n - 1.

    Source:
        Residence time in a stirred vessel, Levenspiel, Chemical Reaction Engineering, 3rd ed., p. 327; of equal tanks
        in series (Erlang's distribution), International Ozone Association, Pan American Group, Proceedings 2004,
        equation 7, which cites Levenspiel 1972.
    """
    _require(hopper_g, piece_g, tanks)
    through = tanks * pieces * piece_g / hopper_g
    if through == 0.0:
        return 1.0
    # Each term by its logarithm: exp(-n x) alone would be 0 long before the sum is.
    return fsum(exp(term * log(through) - through - lgamma(term + 1)) for term in range(tanks))


def stirred_pieces(hopper_g: float, piece_g: float, share: float, tanks: int = 1) -> int:
    """The first piece after a change whose share of the old lot is below `share`.

    Args:
        hopper_g: grams, above 0.
        piece_g: grams, above 0.
        share: above 0 and below 1.
        tanks: as for `stirred_left`.
    """
    _require(hopper_g, piece_g, tanks)
    if not 0.0 < share < 1.0:
        raise UsageError(f"a share of {share} cannot be stopped at: expected more than 0 and less than 1")
    # The share only falls: doubled until it is below, then halved down to the first piece that is.
    below = 1
    while stirred_left(hopper_g, piece_g, below, tanks) >= share:
        below *= 2
    above = below // 2
    while below - above > 1:
        between = (above + below) // 2
        if stirred_left(hopper_g, piece_g, between, tanks) < share:
            below = between
        else:
            above = between
    return below


def first_out_pieces(hopper_g: float, piece_g: float) -> int:
    """Pieces until the old lot is used up if nothing mixes; the last one may hold some of both.

    Args:
        hopper_g: grams, above 0.
        piece_g: grams, above 0.
    """
    _require(hopper_g, piece_g)
    return ceil(hopper_g / piece_g)


def _require(hopper_g: float, piece_g: float, tanks: int = 1) -> None:
    if hopper_g <= 0 or piece_g <= 0:
        raise UsageError(f"a hopper of {hopper_g} g and a piece of {piece_g} g: expected both above 0")
    if not 1 <= tanks <= MOST_TANKS:
        raise UsageError(f"a hopper like {tanks} stirred tanks: expected 1 to {MOST_TANKS}")
