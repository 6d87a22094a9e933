"""From the lives of a cause to tiers of lots, with a reason each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tracelink.genealogy.containment.scope import Tier
from tracelink.genealogy.model.shapes import TierName
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.suspects.carry_over import Carried
from tracelink.genealogy.suspects.closure import Axis, BlendedDiscs
from tracelink.genealogy.suspects.narrow import Narrowed


def tiers_of(axes: Sequence[Axis], narrowed: Sequence[Narrowed]) -> list[Tier]:
    """Turn parts of axes into tiers of lots; where two axes meet on a disc, the stronger suspicion counts."""
    found: list[Tier] = []
    taken: dict[str, StrokeSet] = {}
    for name in (TierName.PROVEN, TierName.POSSIBLE, TierName.CLEARED):
        for axis, result in zip(axes, narrowed, strict=True):
            for part in result.parts:
                if part.tier is not name:
                    continue
                for lot, strokes in axis.lots(part.positions):
                    own = strokes - taken.get(lot, NO_STROKES)
                    if own:
                        found.append(Tier(name, lot, own, part.reason))
                        taken[lot] = taken.get(lot, NO_STROKES) | own
    return sorted(found, key=lambda tier: (tier.lot, tier.strokes.first))


def explained(tiers: Iterable[Tier], carried: Sequence[Carried | BlendedDiscs]) -> list[Tier]:
    """The tiers with those possible discs set apart that only hold some of a material, each with that reason."""
    if not carried:
        return list(tiers)
    found: list[Tier] = []
    for tier in tiers:
        rest = tier.strokes
        for one in carried if tier.name is TierName.POSSIBLE else ():
            met = rest & one.strokes if one.lot == tier.lot else NO_STROKES
            if met:
                found.append(Tier(tier.name, tier.lot, met, one.reason, share_permille=one.share_permille))
                rest -= met
        if rest:
            found.append(Tier(tier.name, tier.lot, rest, tier.reason))
    return sorted(found, key=lambda tier: (tier.lot, tier.strokes.first))
